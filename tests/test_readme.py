"""What README.md shows is so: its commands are understood, its scripts and files work.

What it promises beyond that stands in a table of DEVELOPERS.md, with the test of each promise.
"""

from __future__ import annotations

import argparse
import re
import shlex
import tomllib
from dataclasses import fields
from pathlib import Path

import duckdb
import pytest

import tiecoat
from tiecoat.cli import commands, main
from tiecoat.contract.lab_command import OWN_COMMANDS
from tiecoat.extend.loading import load_commands
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import SETTINGS, open_lab
from tiecoat.service.health import Health

TREE = Path(__file__).parent.parent
README = (TREE / "README.md").read_text(encoding="utf-8")
EXAMPLE = TREE / "archive_example"
SHOWN = re.compile(r"(?:`|^ {4}|/)tiecoat ([^`\n#]*)", re.MULTILINE)
ROW = re.compile(r"^\| `tiecoat (\w+)", re.MULTILINE)


def block(language: str, part: str) -> str:
    """Return the one block of this language that holds a text."""
    blocks = re.findall(rf"```{language}\n(.*?)```", README, re.DOTALL)
    (found,) = (one for one in blocks if part in one)
    return str(found)


def test_every_command_shown_is_understood() -> None:
    """With its options and arguments, placeholders standing for what a person writes there."""
    shown = [re.sub(r"[\[\]]|\.\.\.", "", line).strip() for line in SHOWN.findall(README)]
    shown.remove("--version")  # tried where it is told
    assert len(shown) > 30
    for line in shown:
        words = shlex.split(line)
        commands._parser().parse_args([*words, "because"] if words[-1] == "--why" else words)


def test_the_table_has_every_command() -> None:
    """None is left out but the one by which a lab begins, which is shown before it."""
    (choices,) = (
        action.choices
        for action in commands._parser()._actions
        if isinstance(action, argparse._SubParsersAction)
    )
    assert {*ROW.findall(README), "new"} == {*choices, *load_commands(None).commands}
    assert {*choices} == OWN_COMMANDS


def test_the_script_runs_on_the_example() -> None:
    """Each line gives rows, as it stands, once the lab is the example."""
    script = block("python", "tiecoat.open").replace("my-lab", EXAMPLE.as_posix())
    rooms: dict[str, object] = {}
    exec(compile(script, "README.md", "exec"), rooms)
    archive = rooms["archive"]
    assert isinstance(archive, tiecoat.Archive)
    assert len(archive.read("impedance", batch="RB-014", panel="RB-014-3")) > 0
    assert archive.read("pull_off", where="strength_mpa < 5")["strength_mpa"].max() < 5


def test_the_question_without_tiecoat_finds_the_valid_rows() -> None:
    """Any program that reads Parquet gets by it what tiecoat gives."""
    sql = block("sql", "withdrawn").replace("my-lab", EXAMPLE.as_posix())
    with duckdb.connect() as connection:
        found = connection.execute(sql).fetchall()
    assert len(found) == len(tiecoat.open(EXAMPLE).read("pull_off")) > 0


def test_the_files_shown_are_in_order(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The table profile is one, words of the lab are settings, notes are TOML."""
    profile = tmp_path / "gauge.toml"
    profile.write_text(block("toml", "gauge_of_hall_3"), encoding="utf-8")
    assert main(["profile", str(profile)]) == 0
    assert "film_thickness" in capsys.readouterr().out
    lab = new_lab(tmp_path / "lab")
    with (lab.root / SETTINGS).open("a", encoding="utf-8") as settings:
        settings.write(block("toml", "[words.film_thickness]"))
    assert "Schichtd." in str(open_lab(lab.root).habits.words)
    assert tomllib.loads(block("toml", "um_per_pixel")) == {"um_per_pixel": 0.52}


def test_the_fields_of_the_health_file_are_told() -> None:
    """Each that a service writes stands in the table, and none that it does not."""
    table = README.partition("A monitor that cannot run a program may read it:")[2]
    told = re.findall(r"^\| (`[^|]*) \|", table.partition("\n\nTried on")[0], re.MULTILINE)
    names = [name for cell in told for name in re.findall(r"`(\w+)`", cell)]
    assert sorted(names) == sorted(one.name for one in fields(Health))
