"""Reading what the journal has got since the index read it last.

Who starts must know which settings filings refer to and what was begun and not ended. Both stand in
the journal, which grows for years; so the index remembers them, and where it has read on to.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from tiecoat.archive.journal.records import FORMAT, Journal, JournalLine, settings_in
from tiecoat.archive.words import RecordSort

if TYPE_CHECKING:
    from tiecoat.archive.index.cache import Index
    from tiecoat.lab.settings import Lab

_PLAIN = f'{{"format": {FORMAT}, '.encode()  # how a record of this format begins
_BEGINS = (f'"event": "{RecordSort.FILING}"'.encode(), b'"to_file": [')


def follow(lab: Lab, index: Index) -> None:
    """Read on in the journal; from its beginning where the record read last is not there any more.

    Raises
    ------
    WrittenByNewer
        If a record is of a format that is not known here.
    """
    journal = Journal(lab)
    mark = index.journal_read()
    if mark is not None and not journal.stands(mark):
        index.note_journal(None, {}, {})
        mark = None
    settings: dict[str, dict[str, Any]] = {}
    open_ones = set(index.begun())
    begun: dict[str, Mapping[str, Any] | None] = {}
    last = mark
    for line, after in journal.since(mark):
        settings |= settings_in(line)
        _note(begun, line, open_ones)
        last = after
    if last != mark:
        index.note_journal(last, settings, begun)


def _note(
    begun: dict[str, Mapping[str, Any] | None], line: JournalLine, open_ones: set[str]
) -> None:
    """Note what a line says is begun (its record), or ended (None); few lines say either."""
    begins = any(sign in line.text for sign in _BEGINS)
    if not (begins or open_ones) and line.text.startswith(_PLAIN):
        return
    record = line.record or {}
    sha256 = str(record.get("sha256"))
    begins_now: dict[str, Any] = {str(one["sha256"]): one for one in record.get("to_file", [])}
    if RecordSort.of(record.get("event")) is RecordSort.FILING:
        begins_now[sha256] = record
    elif sha256 in open_ones:
        open_ones.remove(sha256)
        begun[sha256] = None
    open_ones.update(begins_now)
    begun.update(begins_now)  # also what is filed anew as it is retracted
