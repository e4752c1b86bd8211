"""How slowly the files of an inbox are written, and how they end as a rule: learnt from the last.

It is kept in the index, and learnt anew where that was deleted.
"""

from __future__ import annotations

import json
from collections import deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tiecoat.archive.index.cache import Index

REMEMBERED = 20  # files of an inbox whose pauses count
COMPARED = 9  # files of a layout whose ends count
SAME = 0.01  # two ends that differ by no more are the same
USUAL = 2  # of these end so: then it is usual
MARGIN = 2.0  # times the longest pause that is waited for
PATIENCE = 20.0  # times its time to settle that a file waits which seems unfinished
LONGEST_S = 900.0  # of which anything is learnt; who writes at a longer interval writes anew


@dataclass(frozen=True)
class FileEnd:
    """Where a file ends: its number of rows, and from where to where it runs.

    A sweep runs over frequencies; None is of a kind that runs over nothing, and of a single row.
    """

    rows: int
    run: tuple[float, float] | None = None

    def falls_short_of(self, usual: FileEnd) -> bool:
        """Say whether it ends before another of its layout did."""
        if self.run is None or usual.run is None:
            return self.rows < usual.rows
        first, there = usual.run
        here = self.run[1]
        alike = abs(here - there) <= SAME * max(abs(here), abs(there))
        return not alike and (here > there if there < first else here < there)

    def is_like(self, other: FileEnd) -> bool:
        """Say whether it ends where another did."""
        return not (self.falls_short_of(other) or other.falls_short_of(self))


@dataclass
class Pace:
    """What is known of the files of one inbox.

    `written` holds of the last files how long they took from the first to the last change that was
    seen, and the longest pause between two of these; `ends` how the last files of each layout
    ended.
    """

    written: deque[tuple[float, float]] = field(default_factory=lambda: deque(maxlen=REMEMBERED))
    ends: dict[str, deque[FileEnd]] = field(default_factory=dict)

    took_s: float = 0.0  # the longest of them
    pause_s: float = 0.0

    def was_written(self, took_s: float, pause_s: float) -> None:
        """Note how a file was written."""
        if pause_s <= LONGEST_S:
            self.written.append((round(min(took_s, LONGEST_S), 3), round(pause_s, 3)))
            self.took_s, self.pause_s = map(max, zip(*self.written, strict=True))

    def forget(self) -> None:
        """Forget how slowly files were written: to wait for so long loses others."""
        self.written.clear()
        self.took_s = self.pause_s = 0.0

    def quiet_s(self, settle_s: float, pause_s: float = 0.0) -> float:
        """Return how long a file must be quiet that itself made such a pause."""
        wait_s = MARGIN * max(self.pause_s, pause_s)
        return max(settle_s, min(wait_s, LONGEST_S))

    def longer_s(self, settle_s: float) -> float:
        """Return how long a file must be quiet that seems unfinished."""
        return max(settle_s, min(max(PATIENCE * settle_s, self.took_s), LONGEST_S))

    def ended(self, layout: str, end: FileEnd) -> None:
        """Note how a file of a layout ended."""
        self.ends.setdefault(layout, deque(maxlen=COMPARED)).append(end)

    def is_usual(self, layout: str) -> bool:
        """Say whether files of a layout have come before."""
        return len(self.ends.get(layout, ())) >= USUAL

    def is_short(self, layout: str, end: FileEnd) -> bool:
        """Say whether a file ends before the usual end of its layout, at no usual one."""
        ends = self.ends.get(layout, deque())

        def is_usual(one: FileEnd) -> bool:
            return sum(map(one.is_like, ends)) >= USUAL

        return not is_usual(end) and any(end.falls_short_of(one) and is_usual(one) for one in ends)

    def as_text(self) -> str:
        """Return it as the index keeps it."""
        ends = {layout: [(one.rows, one.run) for one in ends] for layout, ends in self.ends.items()}
        return json.dumps({"written": list(self.written), "ends": ends})

    @classmethod
    def of_text(cls, text: str) -> Pace:
        """Return what `as_text` wrote; nothing is known where another version wrote it."""
        pace = cls()
        try:
            said = json.loads(text)
            for took_s, pause_s in said["written"]:
                pace.was_written(float(took_s), float(pause_s))
            for layout, ends in said["ends"].items():
                for rows, run in ends:
                    pace.ended(layout, FileEnd(rows, (run[0], run[1]) if run else None))
        except (ValueError, LookupError, TypeError, AttributeError):
            return cls()
        return pace


class Paces:
    """The paces of a lab's inboxes, as the index keeps them.

    Parameters
    ----------
    index
        Of the lab.
    """

    def __init__(self, index: Index) -> None:
        self._index = index
        self._kept: Mapping[Path, str] = index.paces()
        self._paces = {inbox: Pace.of_text(text) for inbox, text in self._kept.items()}

    def of(self, inbox: Path) -> Pace:
        """Return the pace of an inbox; the same one at each call."""
        return self._paces.setdefault(inbox, Pace())

    def keep(self, inboxes: Iterable[Path]) -> None:
        """Have the index keep what was learnt."""
        said = {inbox: self.of(inbox).as_text() for inbox in inboxes}
        changed = {inbox: text for inbox, text in said.items() if self._kept.get(inbox) != text}
        if changed:
            self._index.keep_paces(changed)
            self._kept = {**self._kept, **changed}
