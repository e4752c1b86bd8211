"""Whether the records of the journal are those that were written, and which of them count."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from tiecoat.archive.journal.records import JournalLine
from tiecoat.archive.spilled import Spilled
from tiecoat.archive.words import RecordSort

END = re.compile(rb', "before": (?:null|"([0-9a-f]{64})"), "hash": "([0-9a-f]{64})"\}$')
END_LENGTH = 160  # in which it stands


@dataclass(frozen=True)
class Break:
    """A line that does not follow from those before it; `said` is what is wrong with it."""

    line: JournalLine
    said: str


def breaks(lines: Iterable[JournalLine]) -> Iterator[Break]:
    """Yield each record that was changed, inserted or moved, and each that follows a removed one.

    Torn lines are passed over, as appending does. That records were removed at the very end does
    not show here: nothing follows them.

    Parameters
    ----------
    lines
        A journal, or a list of its lines: where not all is in order they are gone through again.
    """
    if not _all_follow(lines):
        yield from _breaks(lines)


def _all_follow(lines: Iterable[JournalLine]) -> bool:
    """Say whether each record is unchanged and names the one before; mostly so, and soon said."""
    last = ""
    for line in lines:
        end = END.search(line.text, max(0, len(line.text) - END_LENGTH))
        if end is None and line.record is None:
            continue  # torn
        if end is None or (end[1] or b"").decode() != last or not line.unchanged:
            return False
        last = end[2].decode()
    return True


def _breaks(lines: Iterable[JournalLine]) -> Iterator[Break]:
    at: Spilled[str] = Spilled(str, str)
    for line in lines:
        if (own := _said(line, "hash")) and own not in at:
            at[own] = line.place
    last = ""
    for line, following in _with_next(line for line in lines if line.record is not None):
        own, before = _said(line, "hash"), _said(line, "before")
        if not own:
            yield Break(line, "carries no hash: it was put in by hand, or its hash was taken out")
            continue
        if at[own] != line.place:
            yield Break(line, f"is a copy of {at[own]}")
            continue
        if not line.unchanged:
            yield Break(line, "was changed after it was written")
        if before != last:
            yield Break(line, _misplaced(before, at))
            if following and _said(following, "before") == last:
                continue  # the next one goes on as if this one were not there
        last = own


def _with_next(lines: Iterable[JournalLine]) -> Iterator[tuple[JournalLine, JournalLine | None]]:
    before: JournalLine | None = None
    for line in lines:
        if before is not None:
            yield before, line
        before = line
    if before is not None:
        yield before, None


def in_force(lines: Iterable[JournalLine]) -> Iterator[JournalLine]:
    """Leave out the records of rebuilds that were taken back: they are as if never made.

    Parameters
    ----------
    lines
        A journal, or a list of its lines: they are gone through twice.
    """
    back = {
        _said(line, "rebuild")
        for line in lines
        if b'"taken-back"' in line.text and _sort(line) is RecordSort.TAKEN_BACK
    }
    for line in lines:
        taken = back and _said(line, "rebuild") in back and _sort(line) is RecordSort.REBUILT
        if not taken:
            yield line


def _sort(line: JournalLine) -> RecordSort | None:
    return RecordSort.of((line.record or {}).get("event"))


def _said(line: JournalLine, key: str) -> str:
    value = (line.record or {}).get(key)
    return value if isinstance(value, str) else ""


def _misplaced(before: str, at: Mapping[str, str]) -> str:
    if not before:
        return "begins as if it were the first record of all: what stood before it was not its past"
    if before in at:
        return f"was put in or moved: by its own account it follows {at[before]}"
    return "follows a record that is not there: one or more were removed just before it"
