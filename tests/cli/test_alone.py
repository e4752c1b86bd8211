"""`tiecoat` alone: where one is, how the lab is, and what one does next."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from pathlib import Path

import pytest
from bad_exports import batches, density
from labs import LabAtWork

from tiecoat.cli import commands, main

Make = Callable[..., LabAtWork]


def advised(printed: str) -> list[list[str]]:
    """The commands that are told to come next, each in its words."""
    lines = printed.partition("What to do next:\n")[2].splitlines()
    return [shlex.split(re.split(r" {2,}", line.strip())[0])[1:] for line in lines]


def alone(capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Call the program with nothing."""
    code = main([])
    return code, capsys.readouterr().out


def test_where_there_is_no_lab(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It says so, in code 2, and that one makes a lab or names one: both work as they are told."""
    monkeypatch.chdir(tmp_path)
    code, printed = alone(capsys)
    assert code == 2
    assert printed.startswith(f"There is no lab in {tmp_path}. What to do next:\n")
    assert advised(printed) == [["new", "FOLDER"], ["--lab", "FOLDER"], ["--help"]]
    assert main(["new", "FOLDER"]) == 0
    capsys.readouterr()
    assert main(["--lab", "FOLDER"]) == 0
    printed = capsys.readouterr().out
    assert printed.startswith(f"lab      {tmp_path / 'FOLDER'}\nservice  not running: ")
    assert advised(printed)[0] == ["serve", "--lab", "FOLDER"]


def test_what_comes_next(
    lab: Make, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the first file to a study; each command that is told is one, and does what it says."""
    at_work = lab()
    monkeypatch.chdir(at_work.root)
    code, printed = alone(capsys)
    assert code == 0
    assert "filed    nothing yet\n" in printed
    assert advised(printed) == [["serve"], ["try", "FILE"], ["--help"]]

    at_work.drop(
        "batches.csv",
        batches("RB-010", "RB-014").replace(
            "RB-014,EP-1,,0,control", "RB-014,EP-1,mica,5,candidate"
        ),
    )
    at_work.drop("density.csv", density())
    at_work.drop("bad.csv", density("x"))
    code, printed = alone(capsys)
    assert code == 0
    assert "waiting  3 files in the inboxes\n" in printed
    assert advised(printed)[0] == ["take"]
    assert at_work.waiting() == ["bad.csv", "batches.csv", "density.csv"]  # nothing was touched

    assert main(advised(printed)[0]) == 1
    capsys.readouterr()
    code, printed = alone(capsys)
    assert code == 1
    assert "held     1 file; see: tiecoat held\n" in printed
    assert "filed    batches, density of 2 batches\n" in printed
    assert "waiting" not in printed
    told = advised(printed)
    assert told == [["serve"], ["held"], ["contents"], ["study", "-o", "STUDY.toml"], ["--help"]]
    for words in told[1:-1]:
        assert main(words) in {0, 1}
        assert capsys.readouterr().err == ""
    for words in told[:-1]:
        commands._parser().parse_args(words)


def test_a_file_that_stays_is_not_waiting(
    lab: Make, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where exports are left in place, what was filed does not count again."""
    at_work = lab(inbox=[{"path": "inbox", "after": "leave"}])
    at_work.drop("density.csv", density())
    at_work.take()
    monkeypatch.chdir(at_work.root)
    assert "waiting" not in alone(capsys)[1]
    (at_work.root / "index.sqlite").unlink()  # what is filed is told without it, too
    assert "filed    density of 1 batch\n" in alone(capsys)[1]


def test_an_inbox_that_is_not_there_is_not_counted_as_empty(
    lab: Make, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of a folder that cannot be seen it is said that it cannot, not that nothing waits."""
    at_work = lab(inbox=[{"path": "inbox"}, {"path": "elsewhere"}])
    (at_work.root / "elsewhere").rmdir()
    monkeypatch.chdir(at_work.root)
    printed = alone(capsys)[1]
    assert "waiting  not known: " in printed
    assert "elsewhere" in printed
