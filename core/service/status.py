"""How the service of a lab is, for a person and for a monitor."""

from __future__ import annotations

import socket
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from tiecoat.archive.index.building import read_index
from tiecoat.archive.opening import doubt_of_journal, to_be_completed
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged, WrittenByNewer
from tiecoat.intake.held.counting import HeldCount
from tiecoat.lab.settings import Lab
from tiecoat.service.health import BEAT_S, HEALTH, TOO_OLD_S, Health, read_health
from tiecoat.wording import counted

WELL, HELD_OR_TROUBLE, NOT_RUNNING = 0, 1, 2
STILL_S = 30.0  # three beats: so long ago, a beat does not say what is true now
REUSED = timedelta(seconds=5)  # a process that began so much later is another of the same number


@dataclass(frozen=True)
class ServiceStatus:
    """What to print, and the exit code: 0 well, 1 something held or in the way, 2 not running.

    `health` is what it left at its last beat, `said` how it is by now; `troubles` are in its way:
    the commands in `completes` complete those of them that were cut short.
    """

    code: int
    lines: tuple[str, ...]
    health: Health | None
    said: str
    held: int
    remarked: int
    troubles: tuple[str, ...]
    completes: tuple[str, ...] = ()


def status(lab: Lab, now: datetime | None = None) -> ServiceStatus:
    """Return how the service of a lab is.

    The health file says it. On the computer of the service its process is asked for as well, so
    that an end is seen at once; elsewhere only the age of the last beat counts.
    """
    now = now or datetime.now(UTC)
    health, wrong = _health(lab, now)
    held = HeldCount(lab).now()
    said = wrong or _running(health, now)
    lines = [f"lab      {lab.root}", f"service  {said}"]
    if health and not wrong:
        lines.append(f"inboxes  {health.waiting:,} files settling, {health.queue:,} being taken in")
    if held:
        lines.append(f"held     {counted(held, 'file')}; see: tiecoat held")
    if remarked := _remarked(lab):
        filed = f"{counted(remarked, 'measurement')} filed with a remark"
        lines.append(f"remarks  {filed}; see: tiecoat contents")
    troubles = (*health.troubles, *_still(health, now)) if health and not wrong else ()
    if doubt := " ".join(doubt_of_journal(lab).split("\n")):
        troubles = tuple(dict.fromkeys((*troubles, doubt)))
    to_complete = to_be_completed(lab)
    troubles += tuple(
        f"cut short: {said}. Nothing is lost; complete it: {does}" for said, does in to_complete
    )
    lines += [f"trouble  {trouble}" for trouble in troubles]
    if health and health.last_error and health.last_error not in troubles:
        lines.append(f"earlier  {health.last_error_at}: {health.last_error}")
    code = NOT_RUNNING if wrong else HELD_OR_TROUBLE if held or troubles else WELL
    completes = tuple(command for _, command in to_complete)
    return ServiceStatus(code, tuple(lines), health, said, held, remarked, troubles, completes)


def _health(lab: Lab, now: datetime) -> tuple[Health | None, str]:
    """Return how the service was at its last beat, and why nothing is running, "" if it is."""
    try:
        health = read_health(lab.root)
    except WrittenByNewer as error:
        return None, f"not known: {str(error).partition(chr(10))[0]}"
    if health is None and fsio.is_there(lab.root / HEALTH):
        again = f"a service that runs writes it anew within {BEAT_S:g} s"
        return None, f"not known: {HEALTH} does not say how it is; {again}"
    return health, _not_running(health, now)


def _remarked(lab: Lab) -> int:
    """Count by the index; without one nobody is kept waiting for it."""
    try:
        index = read_index(lab)
    except WrittenByNewer:
        return 0
    if index is None:
        return 0
    with index, suppress(ArchiveDamaged):
        return index.remarked()
    return 0


def _not_running(health: Health | None, now: datetime) -> str:
    """Say why nothing is running; "" if something is."""
    if health is None:
        return "not running: it has never been started here"
    age = now - datetime.fromisoformat(health.beat)
    if health.host == socket.gethostname() and not _lives(health):
        orderly = health.state == "stopping" and not health.troubles
        how = "was stopped" if orderly else "ended without having been stopped"
        return f"not running: it {how}, last beat {health.beat}"
    if age.total_seconds() > TOO_OLD_S:
        return (
            f"not moving: the last beat of process {health.pid} on {health.host} was at"
            f" {health.beat}, {age.total_seconds():,.0f} s ago"
        )
    return ""


def _still(health: Health, now: datetime) -> tuple[str, ...]:
    """Say that the service has not moved for a while, whatever its last beat has told."""
    age_s = (now - datetime.fromisoformat(health.beat)).total_seconds()
    return (f"it has not moved for {age_s:.0f} s",) if age_s > STILL_S else ()


def _lives(health: Health) -> bool:
    import psutil

    try:
        began = datetime.fromtimestamp(psutil.Process(health.pid).create_time(), UTC)
    except psutil.NoSuchProcess:
        return False
    except psutil.Error:
        return True
    return began < datetime.fromisoformat(health.since) + REUSED


def _running(health: Health | None, now: datetime) -> str:
    assert health is not None
    age_s = max(0.0, (now - datetime.fromisoformat(health.beat)).total_seconds())
    return (
        f"{health.state}: process {health.pid} on {health.host}, tiecoat {health.version},"
        f" since {health.since}; last beat {age_s:.0f} s ago"
    )
