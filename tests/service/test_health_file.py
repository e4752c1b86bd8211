"""The health file: when it is written, what it says, and what `service status` makes of it."""

from __future__ import annotations

import json
import os
import socket
from collections.abc import Callable
from dataclasses import asdict, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import psutil
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from labs import LabAtWork

from tiecoat.disk import fsio
from tiecoat.intake.outcome import Pulse
from tiecoat.service.health import (
    BEAT_S,
    HEALTH,
    SOON_S,
    TOO_OLD_S,
    Health,
    HealthFile,
    read_health,
)
from tiecoat.service.status import status

Make = Callable[..., LabAtWork]
AT_REST = Pulse("watching")
SHARE = "the inbox \\\\server\\share is out of reach"


class Clock:
    """A clock that is set by hand."""

    now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


def written(at_work: LabAtWork) -> Health:
    """What the file says."""
    health = read_health(at_work.root)
    assert health is not None
    return health


def test_it_is_written_at_a_beat_and_sooner_when_something_changes(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At rest a writing each BEAT_S; within SOON_S of a change; at once for another state."""
    swaps: list[bytes] = []
    monkeypatch.setattr(fsio, "swap_note", lambda path, content: swaps.append(content))
    clock = Clock()
    file = HealthFile(lab().lab, clock)
    begun = clock.now_s
    for pulse, at_s, writings in [
        (Pulse("starting"), 0.0, 1),
        (Pulse("starting", queue=3), 0.5, 1),
        (AT_REST, 0.6, 2),
        (AT_REST, 0.6 + BEAT_S - 0.1, 2),
        (AT_REST, 0.7 + BEAT_S, 3),
        (Pulse("watching", 1), 0.8 + BEAT_S, 3),
        (Pulse("watching", 1), 0.8 + BEAT_S + SOON_S, 4),
        (Pulse("stopping"), 0.9 + BEAT_S + SOON_S, 5),
    ]:
        clock.now_s = begun + at_s
        file.beat(pulse)
        assert len(swaps) == writings, pulse


def test_it_does_not_grow(lab: Make) -> None:
    """Two hundred beats at rest leave one file of below 1 kB, and nothing beside it."""
    clock = Clock()
    at_work = lab()
    file = HealthFile(at_work.lab, clock)
    before = set(at_work.root.iterdir())
    for _ in range(200):
        file.beat(AT_REST)
        clock.now_s += BEAT_S
    assert {path.name for path in set(at_work.root.iterdir()) - before} == {HEALTH}
    assert (at_work.root / HEALTH).stat().st_size < 1000


def test_troubles_are_told_and_the_last_one_is_remembered(lab: Make) -> None:
    """A trouble stands there while it lasts, and as the last error when it is over."""
    clock = Clock()
    at_work = lab()
    file = HealthFile(at_work.lab, clock)
    file.beat(Pulse("watching", 2, 5, (SHARE,)))
    found = written(at_work)
    assert (found.waiting, found.queue, found.troubles) == (2, 5, (SHARE,))
    clock.now_s += SOON_S
    file.beat(AT_REST)
    assert written(at_work).troubles == ()
    assert written(at_work).last_error == SHARE
    file.beat(Pulse("stopping"))
    HealthFile(at_work.lab).beat(AT_REST)  # the next run
    assert written(at_work).last_error == SHARE


def test_a_run_that_was_not_stopped_is_told_by_the_next(lab: Make) -> None:
    """After a crash, a kill or a power cut the next service says that the last one just ended."""
    at_work = lab()
    HealthFile(at_work.lab).beat(AT_REST)
    before = written(at_work)
    HealthFile(at_work.lab).beat(AT_REST)
    assert written(at_work).last_error == f"process {before.pid} ended without having been stopped"
    assert written(at_work).last_error_at == before.beat


def test_a_disk_that_refuses_stops_nothing(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """A full disk costs beats, and the first one that works is written."""
    clock = Clock()
    at_work = lab()
    file = HealthFile(at_work.lab, clock)

    def full(path: Path, content: bytes) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as broken:
        broken.setattr(fsio, "swap_note", full)
        file.beat(AT_REST)
    assert read_health(at_work.root) is None
    clock.now_s += BEAT_S
    file.beat(AT_REST)
    assert written(at_work).state == "watching"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(st.binary(max_size=40) | st.dictionaries(st.text(max_size=5), st.integers(), max_size=3))
def test_any_other_content_is_no_health(tmp_path: Path, content: object) -> None:
    """Whatever stands in the file, reading it gives its values or None, never an error."""
    raw = content if isinstance(content, bytes) else json.dumps(content).encode()
    (tmp_path / HEALTH).write_bytes(raw)
    assert read_health(tmp_path) is None


def leave(at_work: LabAtWork, **changes: object) -> Health:
    """Leave a health file of this process with some values changed."""
    now = datetime.now(UTC).isoformat(timespec="seconds")
    made = Health("watching", now, now, os.getpid(), socket.gethostname(), "0.1.0")
    born = datetime.fromtimestamp(psutil.Process().create_time(), UTC)
    made = replace(made, since=born.isoformat(), **changes)  # type: ignore[arg-type]
    (at_work.root / HEALTH).write_text(json.dumps(asdict(made)), encoding="utf-8")
    return made


def ago(seconds: float) -> str:
    """A time so long ago."""
    return (datetime.now(UTC) - timedelta(seconds=seconds)).isoformat(timespec="seconds")


@pytest.mark.parametrize(
    ("changes", "code", "said"),
    [
        ({}, 0, "watching: process"),
        ({"state": "starting"}, 0, "starting: process"),
        ({"troubles": (SHARE,)}, 1, f"trouble  {SHARE}"),
        ({"beat": ago(TOO_OLD_S + 60)}, 2, "not moving: the last beat of process"),
        ({"pid": 2**22 + 5}, 2, "not running: it ended without having been stopped, last beat"),
        ({"pid": 2**22 + 5, "state": "stopping"}, 2, "not running: it was stopped, last beat"),
        ({"host": "elsewhere", "pid": 2**22 + 5}, 0, "on elsewhere, tiecoat 0.1.0"),
        ({"host": "elsewhere", "beat": ago(TOO_OLD_S + 60)}, 2, "on elsewhere was at"),
        ({"beat": ago(-3600), "host": "elsewhere"}, 0, "last beat 0 s ago"),  # clocks differ
    ],
)
def test_status_judges_the_health_file(
    lab: Make, changes: dict[str, object], code: int, said: str
) -> None:
    """0 well, 1 something in the way, 2 not running or not moving, with the reason."""
    at_work = lab()
    leave(at_work, **changes)
    found = status(at_work.lab)
    assert found.code == code
    assert said in "\n".join(found.lines)


def test_a_reused_process_number_is_not_the_service(lab: Make) -> None:
    """A process that began after the service did, under its number, is another one."""
    at_work = lab()
    leave(at_work)
    record = json.loads((at_work.root / HEALTH).read_text(encoding="utf-8"))
    record["since"] = ago(365 * 24 * 3600)
    (at_work.root / HEALTH).write_text(json.dumps(record), encoding="utf-8")
    assert status(at_work.lab).code == 2
