"""The guide for whoever looks after the computer."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable

import pytest
from labs import LabAtWork

from tiecoat.cli import main
from tiecoat.cli.commands import _parser


def guide(capsys: pytest.CaptureFixture[str]) -> str:
    """Return what `tiecoat guide upkeep` says."""
    capsys.readouterr()
    assert main(["guide", "upkeep"]) == 0
    return capsys.readouterr().out


def test_every_command_in_it_is_one(capsys: pytest.CaptureFixture[str]) -> None:
    """What it tells people to type is understood by the program."""
    named = re.findall(r"`tiecoat ([^`]+)`|^    tiecoat (.+)$", guide(capsys), re.MULTILINE)
    assert len(named) > 8
    for words in {one or other for one, other in named}:
        _parser().parse_args(words.split())


def test_all_that_a_lab_keeps_is_told(
    lab: Callable[..., LabAtWork], capsys: pytest.CaptureFixture[str]
) -> None:
    """Each file and folder of a lab stands in its table."""
    made = lab()
    said = guide(capsys)
    there = {path.name for path in made.root.iterdir()}
    assert {name for name in there if name[0] != "." and f"`{name}" not in said} == set()


def test_a_copy_by_its_order_is_mended_by_rebuild(at_work: LabAtWork) -> None:
    """What is filed between the copy of the archive and that of the originals is made again."""
    copy = at_work.root.with_name("copy")
    copy.mkdir()
    for name in ("tiecoat.toml", "format.json"):
        shutil.copy(at_work.root / name, copy)
    shutil.copytree(at_work.root / "readers", copy / "readers")
    shutil.copytree(at_work.root / "archive", copy / "archive")
    before = {path.relative_to(at_work.root) for path in at_work.root.glob("archive/*/*/*")}
    at_work.drop("late.csv", LATE)
    at_work.take()
    for name in ("journal", "originals", "held"):
        shutil.copytree(at_work.root / name, copy / name)
    after = {path.relative_to(at_work.root) for path in at_work.root.glob("archive/*/*/*")}
    assert after > before
    assert main(["verify", "--lab", str(copy)]) == 1
    assert main(["rebuild", "--lab", str(copy)]) == 0
    assert main(["verify", "--lab", str(copy)]) == 0
    assert {path.relative_to(copy) for path in copy.glob("archive/*/*/*")} == after


LATE = (
    "batch;measured at;temperature [°C];density [g/cm³];state;elapsed [s]\n"
    "RB-099;14.09.2026 08:00;23,0;1,391;as mixed;60\n"
)
