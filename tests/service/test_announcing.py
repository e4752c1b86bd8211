"""Telling people: the example of DEVELOPERS.md, and plugins that fail, hang or die."""

from __future__ import annotations

import re
import time
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from labs import LabAtWork, wait_until

from tiecoat.extend import loading
from tiecoat.extend.loading import announcers_named, load_announcers, load_evaluations, load_plugins
from tiecoat.intake.held.files import hold
from tiecoat.intake.outcome import Outcome, Pulse
from tiecoat.plugin import Event
from tiecoat.reasons import Reason
from tiecoat.service import announcing
from tiecoat.service.announcing import Announcer

Make = Callable[..., LabAtWork]
NOW = datetime(2026, 11, 26, 8, tzinfo=UTC)
DEVELOPERS = Path(__file__).parents[2] / "DEVELOPERS.md"
HOOK = """
from tiecoat.plugin import hookimpl

@hookimpl
def tiecoat_announce(event):
"""
BOARD = '    (event.lab / "board.txt").open("a").write(event.line + "\\n")\n'


@pytest.fixture(autouse=True)
def anew() -> Iterator[None]:
    """Nothing is kept from one test to the next."""
    load_announcers.cache_clear()
    yield
    load_announcers.cache_clear()


def put(at_work: LabAtWork, name: str, text: str) -> None:
    """Write a file into the readers folder."""
    path = at_work.root / "readers" / name
    path.write_text(text, encoding="utf-8")
    path.chmod(0o644)


def board(at_work: LabAtWork) -> list[str]:
    """The lines that the plugin has written."""
    path = at_work.root / "board.txt"
    return path.read_text(encoding="utf-8").splitlines() if path.exists() else []


def beat_until(announcer: Announcer, done: Callable[[], object], what: str) -> None:
    """Let the main loop beat until it is so."""

    def beaten() -> object:
        announcer.beat(Pulse("watching"))
        return done()

    wait_until(beaten, what, 60)


def test_the_documented_announcer_tells_of_what_is_held(
    lab: Make, serve: Callable[..., object]
) -> None:
    """The example of DEVELOPERS.md writes line and reason of a held file."""
    (code,) = re.findall(
        r"```python\n(.*?tiecoat_announce.*?)```", DEVELOPERS.read_text("utf-8"), re.S
    )
    at_work = lab(readers={"folder": True})
    put(at_work, "announce_on_the_board.py", code)
    serve(at_work)
    at_work.drop("bad.csv", b"\x00\x01")
    notices = at_work.root / "notices.txt"
    wait_until(lambda: notices.exists() and "bad.csv\nis held" in notices.read_text("utf-8"), "it")
    told = notices.read_text(encoding="utf-8")
    assert re.match(r"\d\d \w+, \d\d:\d\d UTC: held    bad.csv: the file is neither text", told)
    assert "What to do next:" in told


def test_what_fails_is_told_once_and_costs_nobody_else_anything(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One raises, one does not load, one works: it gets each event, they one complaint each."""
    at_work = lab(readers={"folder": True})
    put(at_work, "announce_a.py", HOOK + "    1 / 0\n")
    put(at_work, "announce_b.py", "import no_such_package")
    put(at_work, "announce_c.py", HOOK + BOARD)
    said: list[str] = []
    announcer = Announcer(at_work.lab, said.append)
    held = hold(name="x.csv", folder="", sha256="ab" * 32, reason=Reason.NO_READER)
    for _ in range(3):
        announcer.became(Outcome("held", "x.csv", held=held))
    announcer.became(Outcome("filed", "y.csv"))  # no event
    announcer.said("the inbox is out of reach")
    beat_until(announcer, lambda: len(board(at_work)) == 4, "four events on the board")
    announcer.close()
    assert board(at_work)[3] == "the inbox is out of reach"
    assert len(said) == 2
    assert "announce_a.py: ZeroDivisionError" in said[1]
    assert "announce_b.py was left out: ModuleNotFoundError" in said[0]


def test_one_that_hangs_or_dies_is_ended_and_the_next_event_goes_on(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Announcing never waits: an event that hangs is cut short, one that kills its process too."""
    monkeypatch.setattr(announcing, "LIMIT_S", 2.0)
    at_work = lab(readers={"folder": True})
    code = "    import os, time\n    event.line == 'die' and os._exit(9)\n"
    code += "    event.line == 'hang' and time.sleep(600)\n"
    put(at_work, "announce_it.py", HOOK + code + BOARD)
    said: list[str] = []
    announcer = Announcer(at_work.lab, said.append)
    begun = time.monotonic()
    for line in ("die", "hang", "well"):
        announcer.said(line)
    assert time.monotonic() - begun < 2
    beat_until(announcer, lambda: board(at_work) == ["well"], "the event after them")
    announcer.close()
    assert said == [
        "an event was not announced: its process ended with code 9",
        "an event was not announced: it was stopped after 2 s",
    ]


def test_a_flood_is_counted_instead_of_told(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """While MOST_WAITING events wait, further ones become one event that names their number."""
    monkeypatch.setattr(announcing, "MOST_WAITING", 3)
    at_work = lab(readers={"folder": True})
    put(at_work, "announce_it.py", HOOK + BOARD)
    announcer = Announcer(at_work.lab, print)
    for n in range(1003):
        announcer.said(f"{n}")
    beat_until(announcer, lambda: len(board(at_work)) >= 4, "the event with the number")
    announcer.close()
    assert board(at_work) == [
        "0",
        "1",
        "2",
        "1,000 more events at the same time; see: tiecoat held",
    ]


def test_without_announcers_no_process_starts(lab: Make) -> None:
    """A lab without an announcer, or whose folder is not allowed, has none of the cost."""
    at_work = lab()
    put(at_work, "announce_it.py", HOOK + BOARD)
    announcer = Announcer(at_work.lab, print)
    announcer.said("x")
    assert announcer._pool is None
    announcer.close()
    assert board(at_work) == []


def test_announcers_are_loaded_apart_from_all_others(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Their files are not run to find readers or evaluations, nor the other way round."""
    monkeypatch.setattr(loading, "entry_points", lambda group: ())
    at_work = lab()
    folder = at_work.root / "readers"
    assert not announcers_named(folder)
    put(at_work, "announce_it.py", HOOK + BOARD)
    put(at_work, "reader.py", "1 / 0")
    assert announcers_named(folder)
    (where,) = load_announcers(folder).announce
    assert where.endswith("announce_it.py")
    put(at_work, "announce_it.py", "1 / 0")
    assert not any("announce_it" in one for one in load_plugins(folder).problems)
    assert load_evaluations(folder).problems == ()
    put(at_work, "reader.py", HOOK + BOARD)
    (problem,) = load_plugins(folder).problems
    assert "announcements from announce_" in problem


def test_an_event_says_what_a_person_needs(lab: Make) -> None:
    """An event of a held file names the folder in which its reason lies."""
    event = Event("held", "held x.csv", Path("/lab"), NOW, Path("/lab/held/1"))
    assert event.folder == Path("/lab/held/1")
