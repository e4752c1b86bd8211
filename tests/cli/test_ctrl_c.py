"""Ctrl-C: a command ends at once, without a traceback, and says what stands."""

from __future__ import annotations

import argparse
import json
import os
import re
import shutil
import signal
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from bad_exports import density, panel_row, panels, pull_off
from build_example import EXAMPLE
from labs import PANEL, LabAtWork, started, wait_until

from tiecoat.cli import main
from tiecoat.cli.intake_screen import show_intake
from tiecoat.intake.outcome import Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.settings import Lab
from tiecoat.verify.verify import verify

Make = Callable[..., LabAtWork]
FILES = 60


def interrupted(*ignored: object, **more: object) -> None:
    """Ctrl-C in the midst of something."""
    raise KeyboardInterrupt


@pytest.mark.skipif(sys.platform == "win32", reason="sends a signal to a group of processes")
@pytest.mark.parametrize("shown", ["", "filed"], ids=["while workers start", "while it files"])
def test_taking_in_stops_and_goes_on(lab: Make, tmp_path: Path, shown: str) -> None:
    """What was filed stands, is counted, and the next call takes in all the others, once each."""
    at_work = lab()
    for day in range(FILES):
        at = f"{1 + day % 28:02}.09.2026;{8 + day // 28:02}:12"
        at_work.drop(f"{day}.csv", density(f"1.{3000 + day}", at=at))
    log = tmp_path / "said"
    command = [sys.executable, "-m", "tiecoat", "take", "--lab", str(at_work.root)]
    process = started(command, log, {}, None)
    wait_until(lambda: shown in log.read_text() and (at_work.root / "index.sqlite").exists(), "it")
    os.killpg(process.pid, signal.SIGINT)  # as a terminal does
    code = process.wait(30)
    said = log.read_text()
    assert "Traceback" not in said
    if code == 0:  # it was through before
        assert said.endswith(f"in all: {FILES} filed\n")
        return
    assert code == 130
    (told,) = re.findall(r"^stopped: (.*)\. Nothing is half filed; ", said, re.MULTILINE)
    filed = said.count("filed   ")
    assert told == (f"{filed} filed" if filed else "nothing was filed")
    at_work.take()
    assert len(at_work.rows("density")) == FILES
    assert at_work.waiting() == []
    assert verify(at_work.lab).findings == ()


@pytest.mark.every(6)
@pytest.mark.parametrize(
    ("arguments", "there"),
    [
        (["report", "--to", "TO"], ("report.write.draw_all", "the report was not written")),
        (["evaluate", "gloss", "--to", "TO"], ("ask.evaluate._each", "nothing was written")),
        (["compare"], ("ask.study_data.compare", "nothing was written")),
        (["verify"], ("verify.verify.each_table", "nothing was changed")),
        (["reindex"], ("archive.index.catching_up.refresh", "the index is whole, as it was")),
    ],
    ids=lambda value: value[0] if isinstance(value, list) else "",
)
def test_other_commands_say_what_stands(
    arguments: list[str],
    there: tuple[str, str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """And it is so: nothing is written that is not whole."""
    where, stands = there
    root, to = tmp_path / "lab", tmp_path / "to.csv"
    shutil.copytree(EXAMPLE, root)
    (root / "stage").mkdir(exist_ok=True)
    index = root / "index.sqlite"
    if arguments == ["reindex"]:
        assert main(["reindex", "--lab", str(root)]) == 0
    before = index.read_bytes() if index.exists() else b""
    capsys.readouterr()
    monkeypatch.setattr(f"tiecoat.{where}", interrupted)
    named = [str(to) if one == "TO" else one for one in arguments]
    assert main([*named, "--lab", str(root)]) == 130
    printed = capsys.readouterr()
    assert printed.out == ""
    assert printed.err.startswith(f"stopped: {stands}")
    assert not to.exists()
    assert (index.read_bytes() if index.exists() else b"") == before


def test_a_total_ends_what_took_in_several(lab: Make, capsys: pytest.CaptureFixture[str]) -> None:
    """The last line counts files by what became of them; of one file its own line tells enough."""
    at_work = lab()
    at_work.drop("a.csv", density())
    at_work.drop("b.csv", density("x"))
    at_work.drop("c.csv", density("1.4", at="15.09.2026;08:12"))
    assert main(["take", "--lab", str(at_work.root)]) == 1
    assert capsys.readouterr().out.splitlines()[-1] == "in all: 2 filed, 1 held"
    at_work.drop("again.csv", density())
    assert main(["take", "--lab", str(at_work.root)]) == 0
    assert len(capsys.readouterr().out.splitlines()) == 1


def test_a_file_that_was_tried_again_is_counted_once(
    lab: Make, capsys: pytest.CaptureFixture[str]
) -> None:
    """By what became of it in the end: of two that wait for the register one is freed."""
    at_work = lab(ids={"panel": f"{PANEL}|P-[0-9]{{3}}"})
    at_work.drop("freed.csv", pull_off(panel="P-201"))
    at_work.drop("waits.csv", pull_off(panel="P-299"))

    def twice(of: Lab, teller: Teller) -> None:
        take(of, [], teller)
        at_work.drop("register.csv", panels(panel_row("P-201", "RB-014")))
        take(of, [], teller)

    options = argparse.Namespace(json=True, name="take", lab=str(at_work.root))
    assert show_intake(at_work.lab, options, twice) == 1
    said = json.loads(capsys.readouterr().out)
    assert (said["counts"]["filed"], said["counts"]["held"]) == (2, 1)
    became = {one["name"]: one["status"] for one in said["files"]}
    assert became == {"freed.csv": "filed", "waits.csv": "held", "register.csv": "filed"}
    assert len(said["files"]) == len(became)
