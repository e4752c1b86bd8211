"""How far a command is: shown where it takes long, in a terminal only, and never in the output."""

from __future__ import annotations

import os
import pty
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import pytest
from bad_exports import density
from build_example import EXAMPLE
from labs import LabAtWork

from tiecoat.archive.opening import reindex
from tiecoat.ask.evaluate import evaluate
from tiecoat.ask.query import open_archive
from tiecoat.ask.study_data import study_data
from tiecoat.cli.general import progress
from tiecoat.compare.study import load_study
from tiecoat.report.brought_pages import made_pages
from tiecoat.report.figures import draw_all

STUDY = """
control = "RB-010"
batches = ["RB-010", "RB-014"]
[[property]]
name = "pull-off strength"
"""
Steps = list[tuple[str, int, int]]
pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs a terminal of its own")


def in_terminal(command: Sequence[str], output: Path) -> str:
    """Run Python with the errors' stream on a terminal and the output in a file."""
    reading, writing = pty.openpty()
    with output.open("wb") as file:
        process = os.posix_spawn(
            sys.executable,
            [sys.executable, *command],
            {**os.environ, "TERM": "xterm", "COLUMNS": "100"},
            file_actions=[
                (os.POSIX_SPAWN_DUP2, file.fileno(), 1),
                (os.POSIX_SPAWN_DUP2, writing, 2),
            ],
        )
    os.close(writing)
    shown = b""
    while True:
        try:
            part = os.read(reading, 1 << 16)
        except OSError:  # how Linux tells that nobody writes any more
            break
        if not part:
            break
        shown += part
    os.close(reading)
    os.waitpid(process, 0)
    return shown.decode()


SLOW = """
import time
from tiecoat.cli import general, progress
progress.PATIENCE_S = 0.05
with general.progress() as told:
    for done in range(1200):
        told("tables", done, 1200)
        time.sleep(0.001 if done else 0.3)
        if done == 1000:
            print("a line of the output")
"""


def test_a_bar_with_count_and_time(tmp_path: Path) -> None:
    """It names what is done, how many of how many, and the time that remains; then it is gone."""
    shown = in_terminal(["-c", SLOW], tmp_path / "output")
    assert "tables" in shown
    assert "/1200" in shown
    assert "0:00:0" in shown
    assert shown.rstrip().endswith("\x1b[2K")  # the last that is done is to wipe the line
    assert (tmp_path / "output").read_text() == "a line of the output\n"


def test_what_is_quick_shows_nothing(tmp_path: Path) -> None:
    """A command that is done within a second leaves the terminal as it was."""
    quick = "from tiecoat.cli.general import progress\nwith progress() as told: told('x', 0, 1)"
    assert in_terminal(["-c", quick], tmp_path / "output") == ""


def test_nothing_outside_a_terminal(capfd: pytest.CaptureFixture[str]) -> None:
    """In a log or a pipe there is no bar, however long it takes."""
    with progress() as told:
        told("tables", 0, 10)
    assert capfd.readouterr() == ("", "")


@pytest.mark.thorough
def test_each_thing_ends(lab: Callable[..., LabAtWork]) -> None:
    """What is told of evaluating, comparing, drawing and indexing counts up to all of it."""
    at_work = lab()
    at_work.drop("RB-014.csv", density())
    at_work.take()
    steps: Steps = []

    def told(what: str, done: int, total: int) -> None:
        steps.append((what, done, total))

    reindex(at_work.lab, told)
    archive = open_archive(EXAMPLE)
    evaluate(archive, "gloss", told=told)
    data = study_data(archive, load_study(STUDY, "study"), told)
    draw_all(data, made_pages(data), with_png=False, told=told)
    ends = {what: (done, total) for what, done, total in steps}
    assert {"tables", "evaluating gloss", "kinds", "comparing", "drawing"} <= ends.keys()
    assert [what for what, (done, total) in ends.items() if done != total] == []
    counts = [done for what, done, _ in steps if what == "drawing"]
    assert counts == list(range(len(counts)))
