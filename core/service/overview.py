"""Where one is, how the lab is, and what one does next: for whoever calls the program alone."""

from __future__ import annotations

import time
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass

from tiecoat.archive.index.building import read_index
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.errors import ArchiveDamaged, WrittenByNewer
from tiecoat.intake.inboxes.boxes import Box
from tiecoat.lab.settings import Lab
from tiecoat.service.status import NOT_RUNNING, ServiceStatus, status
from tiecoat.wording import counted

PATIENCE_S = 2.0  # that inboxes are waited for, such as those on a share
REGISTER = "batches"


@dataclass(frozen=True)
class FiledSoFar:
    """Of which kinds there are tables, and of how many batches."""

    kinds: frozenset[str]
    n_batches: int


@dataclass(frozen=True)
class Overview:
    """The state of a lab, in lines, and commands that come next, each with what it does.

    `waiting` counts the files in the inboxes that a service would take in; None if it runs, or if
    an inbox does not answer.
    """

    service: ServiceStatus
    filed: FiledSoFar
    waiting: int | None
    lines: tuple[str, ...]
    next: tuple[tuple[str, str], ...]

    @property
    def needs_a_person(self) -> bool:
        """Whether something is held or in the way."""
        return bool(self.service.held or self.service.troubles)


def overview(lab: Lab) -> Overview:
    """Return how a lab is and what comes next in it; nothing is changed or waited for."""
    service, filed = status(lab), _filed(lab)
    waiting, complaint = _waiting(lab) if service.code == NOT_RUNNING else (None, "")
    lines = list(service.lines)
    if complaint:
        lines.append(f"waiting  not known: {complaint}")
    if waiting:
        lines.append(f"waiting  {counted(waiting, 'file')} in the inboxes")
    of = "1 batch" if filed.n_batches == 1 else f"{filed.n_batches:,} batches"
    said = f"{', '.join(sorted(filed.kinds))} of {of}" if filed.kinds else "nothing yet"
    lines.append(f"filed    {said}")
    return Overview(service, filed, waiting, tuple(lines), tuple(_next(service, filed, waiting)))


def _next(
    service: ServiceStatus, filed: FiledSoFar, waiting: int | None
) -> Iterator[tuple[str, str]]:
    for command in service.completes:
        yield command, "completes what was cut short; nothing is lost"
    if service.code == NOT_RUNNING and waiting:
        yield "tiecoat take", "takes in what waits, and returns"
    if service.code == NOT_RUNNING:
        yield "tiecoat serve", "takes in whatever is dropped into the inboxes, until Ctrl-C"
    if service.held:
        yield "tiecoat held", "says what is held and why, and what mends it"
    if REGISTER not in filed.kinds:
        said = "shows what would be filed of a file; begin with the sheets of batches and panels"
        yield "tiecoat try FILE", said
    elif filed.kinds - {REGISTER, "panels"}:
        yield "tiecoat contents", "says what is filed"
        yield "tiecoat study -o STUDY.toml", "begins a comparison of candidates with the control"


def _filed(lab: Lab) -> FiledSoFar:
    places: Iterable[Place] = ()
    with suppress(WrittenByNewer, ArchiveDamaged):
        if index := read_index(lab):
            with index:
                places = list(index.tables())
    places = places or storage_of(lab).places()
    kinds, batches = zip(*places, strict=True) if (places := list(places)) else ((), ())
    return FiledSoFar(frozenset(kinds), len(set(batches)))


def _waiting(lab: Lab) -> tuple[int | None, str]:
    """Count the files that wait in the inboxes; None, and why, where that is not known."""
    remembered = {}
    with suppress(WrittenByNewer, ArchiveDamaged):
        if index := read_index(lab):
            with index:
                remembered = index.remembered()
    boxes = [Box(lab, inbox, lambda line: None) for inbox in lab.settings.inbox]
    end = time.monotonic() + PATIENCE_S
    settled = {arrival.path for box in boxes for arrival in box.scan(end, lambda: remembered)}
    while any(box.looking for box in boxes) and time.monotonic() < end:
        time.sleep(0.05)
        settled |= {arrival.path for box in boxes for arrival in box.scan(end, lambda: remembered)}
    silent = ["an inbox does not answer" for box in boxes if box.looking]
    if complaints := [*filter(None, (box.complaint for box in boxes)), *silent]:
        return None, complaints[0]
    return len(settled.union(*(box.settler.waiting for box in boxes))), ""
