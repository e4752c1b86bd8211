"""Read exports that seem unfinished: they wait longer, as their writer may go on.

One ends before the usual end of its layout in its inbox, or within a row where those of its layout
do not, or is held for what a half-written file looks like. It is kept back once read; filed or held
it is when it has been quiet for long enough, or at once when it has changed: then what it has
become goes on with it.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pyarrow as pa

from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.continuing import begins_with
from tiecoat.intake.filing.read import Read
from tiecoat.intake.inboxes.pace import FileEnd, Paces
from tiecoat.reasons import Reason

HALF_WRITTEN = frozenset(
    one.code
    for one in (
        Reason.EMPTY_TABLE,
        Reason.CUT_OFF,
        Reason.DAMAGED_SHEET,
        Reason.DAMAGED_PICTURE,
    )
)
LATEST = 1000  # paths of which it is known what came last
SHORT = "it ends earlier than the files of its inbox do, and waits for the rest"
HALF = "it seems half written, and waits for the rest"
OPEN = "its last row has no end as the others have, and waits for the rest"
HEAD = 4096  # bytes in which a text shows that it is one
HEADING = 2  # lines of a held text that may be no more than its head
OF_UTF16 = (b"\xff\xfe", b"\xfe\xff")


@dataclass(frozen=True)
class _KeptBack:
    read: Read
    why: str
    since: float
    due: float


class Unfinished:
    """Keeps reads back that came from an inbox and seem unfinished.

    Parameters
    ----------
    paces
        How the files of each inbox end as a rule.
    patient
        Whether anything is kept back: who takes in once wants all that is there.
    clock
        Monotonic time in seconds.
    """

    def __init__(
        self, paces: Paces, *, patient: bool, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._paces = paces
        self._patient = patient
        self._clock = clock
        self._kept: dict[str, _KeptBack] = {}
        self._latest: dict[Path, ExportFile] = {}

    @property
    def count(self) -> int:
        """How many are kept back."""
        return len(self._kept)

    def __contains__(self, sha256: str) -> bool:
        return sha256 in self._kept

    def keep_back(self, read: Read) -> bool:
        """Keep a read back if it seems unfinished; say whether it does."""
        arrival = next((one for one in read.entry.arrivals if one.inbox), None)
        if not self._patient or arrival is None or not (why := self._why(read)):
            return False
        now = self._clock()
        kept = _KeptBack(read, why, now, now + arrival.longer_s)
        self._kept[read.entry.file.sha256] = kept
        return True

    def arrived(self, path: Path, file: ExportFile) -> list[Read]:
        """Note what has come of a path; return, to be gone on with, what was kept back of it."""
        self._latest.pop(path, None)
        self._latest[path] = file
        if len(self._latest) > LATEST:
            self._latest.pop(next(iter(self._latest)))
        return self._gone_on(lambda one: any(a.path == path for a in one.read.entry.arrivals))

    def overtaken(self, read: Read) -> ExportFile | None:
        """Return what has come of the file of a read meanwhile, where that goes on with it."""
        file, arrivals = read.entry.file, read.entry.arrivals
        latest = self._latest.get(arrivals[0].path) if len(arrivals) == 1 else None
        gone_on = latest is not None and latest.sha256 != file.sha256 and self._why(read)
        return latest if latest and gone_on and begins_with(latest.path, file.path) else None

    def due(self) -> list[Read]:
        """Return what has waited for long enough."""
        now = self._clock()
        return self._gone_on(lambda one: now >= one.due)

    def late(self, long_s: float) -> list[tuple[Path, str]]:
        """Return the files that wait for longer, and why."""
        now = self._clock()
        return [
            (one.read.entry.arrivals[0].path, one.why)
            for one in self._kept.values()
            if now - one.since > long_s
        ]

    def filed(self, read: Read) -> None:
        """Learn from a filed export how the files of its inbox end."""
        inboxes = {one.inbox for one in read.entry.arrivals if one.inbox}
        if not inboxes:
            return
        is_open, _ = _last_row(read.entry.file.path)
        for layout, end in _ends(read, is_open=is_open):
            for inbox in inboxes:
                self._paces.of(inbox).ended(layout, end)

    def _gone_on(self, which: Callable[[_KeptBack], bool]) -> list[Read]:
        found = [sha256 for sha256, one in self._kept.items() if which(one)]
        return [self._kept.pop(sha256).read for sha256 in found]

    def _why(self, read: Read) -> str:
        is_open, lines = _last_row(read.entry.file.path)
        if hold := read.reading.hold:
            if hold.reason in HALF_WRITTEN or 0 < lines <= HEADING:
                return HALF
            return OPEN if is_open else ""
        inboxes = {one.inbox for one in read.entry.arrivals if one.inbox}
        found = _ends(read, is_open=is_open)
        ends = [(self._paces.of(inbox), *end) for end in found for inbox in inboxes]
        if is_open and any(not pace.is_usual(layout) for pace, layout, _ in ends):
            return OPEN
        return SHORT if any(pace.is_short(layout, end) for pace, layout, end in ends) else ""


def _ends(read: Read, *, is_open: bool) -> list[tuple[str, FileEnd]]:
    """Return, by its reader and kind and whether its last row is open, how a file ends."""
    layout = f"{read.reading.reader} {{}}" + (" without a last line end" if is_open else "")
    return [(layout.format(k), _end_of(rows)) for k, rows in read.rows.items() if rows.num_rows]


def _last_row(path: Path) -> tuple[bool, int]:
    """Say of a text of lines whether its last one has no end, and how many it begins with.

    Of a picture, a workbook and what cannot be read neither is said.
    """
    try:
        with path.open("rb") as file:
            head = file.read(HEAD)
            file.seek(0, 2)
            file.seek(max(0, file.tell() - 2))
            tail = file.read()
    except OSError:
        return False, 0
    if b"\n" not in head.replace(b"\r", b"\n") or (b"\0" in head and not head.startswith(OF_UTF16)):
        return False, 0
    ended = any(mark in tail for mark in (b"\n", b"\r"))
    lines = sum(bool(line.strip(b"\0 \t")) for line in head.splitlines())
    return not ended, lines if len(head) < HEAD else 0


def _end_of(rows: pa.Table) -> FileEnd:
    order = json.loads((rows.schema.metadata or {}).get(b"tiecoat.order", b"[]"))
    if not order or rows.num_rows == 1:
        return FileEnd(rows.num_rows)
    ends = [
        (rows["source_row"][place].as_py() or 0, rows[order[-1]][place].as_py())
        for place in (0, rows.num_rows - 1)
    ]
    first, last = (value for _, value in sorted(ends, key=lambda end: end[0]))
    if not isinstance(first, float) or not isinstance(last, float):
        return FileEnd(rows.num_rows)
    return FileEnd(rows.num_rows, (first, last))
