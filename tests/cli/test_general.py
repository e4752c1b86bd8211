"""What holds for every command: where the lab is named, how much is told, which program it is."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from importlib.metadata import version
from pathlib import Path

import pytest
from labs import LabAtWork

from tiecoat.cli import commands, main

Make = Callable[..., LabAtWork]


@pytest.mark.parametrize(
    "words",
    [
        ["--lab", "LAB", "held"],
        ["held", "--lab", "LAB"],
        ["--lab", "elsewhere", "held", "--lab", "LAB"],
        ["--lab", "LAB", "held", "retry"],
        ["held", "--lab", "LAB", "retry"],
        ["held", "retry", "--lab", "LAB"],
        ["held", "--lab", "elsewhere", "retry", "--lab", "LAB"],
    ],
    ids=" ".join,
)
def test_the_lab_is_named_anywhere(words: list[str]) -> None:
    """Before the command, after it, after its action; what stands last counts."""
    assert commands._parser().parse_args(words).lab == "LAB"


def test_the_lab_of_the_environment(
    lab: Make, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """TIECOAT_LAB stands for --lab where that is not given; without both it is the folder here."""
    at_work = lab()
    monkeypatch.chdir(at_work.root.parent)
    assert main(["held"]) == 2
    assert "or name another with --lab or TIECOAT_LAB" in capsys.readouterr().err
    monkeypatch.setenv("TIECOAT_LAB", str(at_work.root))
    assert main(["held"]) == 0
    assert main(["held", "--lab", str(at_work.root.parent)]) == 2
    monkeypatch.setenv("TIECOAT_LAB", "")
    monkeypatch.chdir(at_work.root)
    assert main(["held"]) == 0


@pytest.mark.parametrize("quiet", [["-q", "held"], ["held", "-q"], ["held", "--quiet"]])
def test_quiet_tells_errors_only(
    lab: Make, quiet: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    """The exit code tells the rest, as for `grep -q`; why a command could not be done is told."""
    at_work = lab()
    at_work.drop("unknown.csv", "no table\n")
    at_work.take()
    assert main([*quiet, "--lab", str(at_work.root)]) == 1
    assert capsys.readouterr() == ("", "")
    assert main([*quiet, "--lab", str(at_work.root.parent)]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    assert "is not a lab" in printed.err


def test_verbose_tells_more(
    lab: Make, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Program, lab and time go to the errors' stream, so that the output stays as it is."""
    at_work = lab()
    assert main(["held", "--lab", str(at_work.root)]) == 0
    plain = capsys.readouterr()
    assert main(["held", "-v", "--lab", str(at_work.root)]) == 0
    told = capsys.readouterr()
    assert told.out == plain.out
    first, last = told.err.splitlines()
    assert first.startswith(f"tiecoat {version('tiecoat')}, Python ")
    assert first.endswith(f", lab {at_work.root}")
    assert last.startswith("took ")

    def broken(*ignored: object) -> None:
        raise ZeroDivisionError("here")

    monkeypatch.setattr("tiecoat.lab.settings.open_lab", broken)
    assert main(["held"]) == 70
    assert "Traceback" not in capsys.readouterr().err
    assert main(["held", "-v"]) == 70
    assert "Traceback" in capsys.readouterr().err


def test_quiet_and_verbose_exclude_each_other(capsys: pytest.CaptureFixture[str]) -> None:
    """Both at once is a mistake, and told."""
    with pytest.raises(SystemExit, match="2"):
        main(["held", "-q", "-v"])
    assert "not allowed with" in capsys.readouterr().err


@pytest.mark.parametrize("module", ["tiecoat", "tiecoat.cli"])
def test_it_runs_as_a_module(module: str, tmp_path: Path) -> None:
    """`python -m tiecoat` is `tiecoat`, which says its version as the package has it."""
    done = subprocess.run(
        [sys.executable, "-m", module, "--version"],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
        cwd=tmp_path,
        env=dict(os.environ),
    )
    assert done.stdout == f"tiecoat {version('tiecoat')}\n"
    assert done.stderr == ""
