"""What it costs to ask for results: the files of this package that one question runs through."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from labs import LabAtWork

EXPORTS = Path(__file__).resolve().parents[2] / "archive_example" / "exports"
# Besides those that compute: thirteen are of the index and the tables (does anything lack? what has
# changed?), twelve of the commands, which a parser has to know before it knows which is asked for.
MOST_FILES = 64
UNITS = {"tiecoat.dialect.units", "tiecoat.dialect.time_words"}  # results are in known ones
COMPUTING = ("tiecoat.evaluate.impedance.", "tiecoat.evaluate.statistics.")
SHOWN = """
import contextlib, io, sys
from tiecoat.cli import main
with contextlib.redirect_stdout(io.StringIO()) as said:
    code = main(sys.argv[1:])
print(code, "modulus" in said.getvalue())
for name, module in sorted(sys.modules.items()):
    if name.partition(".")[0] == "tiecoat":
        with open(module.__file__, encoding="utf-8") as file:
            if len(file.readlines()) > 3:  # a room's own line is no file to read
                print(name)
"""


def loaded_by(lab: LabAtWork, *question: str) -> list[str]:
    """The modules with code that a question in a fresh process has loaded."""
    command = [sys.executable, "-c", SHOWN, *question, "--lab", str(lab.root)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    answered, *names = done.stdout.splitlines()
    assert answered == "0 True"
    return names


@pytest.fixture
def filed(lab: Callable[..., LabAtWork]) -> LabAtWork:
    """A lab with one spectrum, and no register."""
    made = lab()
    (export,) = (EXPORTS / "impedance").glob("*RB-016-1 (Tag 0).csv")
    shutil.copy(export, made.root / "inbox")
    command = [sys.executable, "-m", "tiecoat.cli", "take", "--lab", str(made.root)]
    subprocess.run(command, capture_output=True, check=True)
    return made


def test_results_of_impedance_load_no_reader_and_no_other_result(filed: LabAtWork) -> None:
    """An empty table loads its own kind alone, the results of a kind what computes them."""
    names = loaded_by(filed, "evaluate", "impedance")
    rooms = {name.split(".")[1] for name in {*names} - UNITS if "." in name}
    assert rooms & {"plugins", "dialect", "picture", "intake", "compare", "report"} == set()
    schemas = {name for name in names if name.startswith("tiecoat.schemas.")}
    assert {name for name in schemas if "words" not in name} == {
        "tiecoat.schemas.film_thickness",
        "tiecoat.schemas.panels",
        "tiecoat.schemas.strict",
    }
    others = ("adhesion", "exposure", "film", "wet_paint")
    assert not [
        name for name in names if name.startswith(tuple(f"tiecoat.evaluate.{o}." for o in others))
    ]
    statistics = {name for name in names if name.startswith("tiecoat.evaluate.statistics.")}
    assert statistics == {  # of times to a limit
        "tiecoat.evaluate.statistics.censored_times",
        "tiecoat.evaluate.statistics.interval_likelihood",
        "tiecoat.evaluate.statistics.likeliest_many",
        "tiecoat.evaluate.statistics.turnbull",
    }
    assert "tiecoat.cli.brought_commands" not in names  # commands of plugins are loaded for none
    assert len([name for name in names if not name.startswith(COMPUTING)]) <= MOST_FILES
