"""Whether the records of the journal are those that were written, and which of them count."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tiecoat.archive.journal.records import JournalLine
from tiecoat.archive.words import RecordSort


@dataclass(frozen=True)
class Break:
    """A line that does not follow from those before it; `said` is what is wrong with it."""

    line: JournalLine
    said: str


def breaks(lines: Sequence[JournalLine]) -> Iterator[Break]:
    """Yield each record that was changed, inserted or moved, and each that follows a removed one.

    Torn lines are passed over, as appending does. That records were removed at the very end does
    not show here: nothing follows them.
    """
    records = [line for line in lines if line.record is not None]
    at: dict[str, JournalLine] = {}
    for line in records:
        at.setdefault(_said(line, "hash"), line)
    last = ""
    for place, line in enumerate(records):
        own, before = _said(line, "hash"), _said(line, "before")
        if not own:
            yield Break(line, "carries no hash: it was put in by hand, or its hash was taken out")
            continue
        if at[own] is not line:
            yield Break(line, f"is a copy of {at[own].place}")
            continue
        if not line.unchanged:
            yield Break(line, "was changed after it was written")
        if before != last:
            yield Break(line, _misplaced(before, at))
            following = records[place + 1 : place + 2]
            if following and _said(following[0], "before") == last:
                continue  # the next one goes on as if this one were not there
        last = own


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


def _misplaced(before: str, at: dict[str, JournalLine]) -> str:
    if not before:
        return "begins as if it were the first record of all: what stood before it was not its past"
    if before in at:
        return f"was put in or moved: by its own account it follows {at[before].place}"
    return "follows a record that is not there: one or more were removed just before it"
