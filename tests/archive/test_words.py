"""The words that the archive keeps on disk: the same for ever, and each with its place."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum
from pathlib import Path

import pytest
from one_more_word import one_more_word

from tiecoat.archive.account import Account
from tiecoat.archive.journal.records import JournalLine
from tiecoat.archive.words import Became, RecordSort, Withdrawn
from tiecoat.intake.outcome import FileStatus
from tiecoat.rebuild.history import history

KEPT: dict[type[StrEnum], set[str]] = {
    Became: {"filed", "held", "discarded"},
    Withdrawn: {"superseded", "retracted"},
    RecordSort: {
        *("filing", "filed", "known", "held", "discarded", "retracted", "rebuilt"),
        *("settings", "taken-back", "merged", "overtaken", "reinstated", "upgraded"),
    },
}


@pytest.mark.parametrize("words", KEPT, ids=lambda words: words.__name__)
def test_what_stands_on_disk_keeps_its_word(words: type[StrEnum]) -> None:
    """A lab of an earlier version is read by the words that it was written with."""
    assert {str(word) for word in words} == KEPT[words]


@pytest.mark.parametrize(
    ("sort", "became"),
    [
        ("filing", None),
        ("filed", "filed"),
        ("known", "filed"),
        ("held", "held"),
        ("discarded", "discarded"),
        ("retracted", None),
        ("reinstated", None),
        ("rebuilt", None),
        ("settings", None),
        ("overtaken", None),
        ("taken-back", None),
        ("upgraded", None),
        ("merged", None),
        ("note", None),
    ],
)
def test_what_a_record_says_of_its_original(sort: str, became: str | None) -> None:
    """Filed, held, discarded, or nothing; a record of a sort that nobody knows says nothing."""
    found = RecordSort.of(sort)
    assert (found.became if found else None) == became
    assert found is not None or sort not in KEPT[RecordSort]


def test_whatever_becomes_of_a_file_can_be_recorded() -> None:
    """Each status of a file that something became of is a sort of record, which says what."""
    nothing_became_of = {FileStatus.WAITING, FileStatus.DAMAGED}
    recorded = [status for status in FileStatus if status not in nothing_became_of]
    assert all(RecordSort(status).became for status in recorded)
    assert [RecordSort.of(status) for status in nothing_became_of] == [None, None]


ASKED: dict[str, Callable[[list[JournalLine]], object]] = {
    "account": Account.of,
    "history": history,
}


@pytest.mark.parametrize("who", ASKED)
def test_a_sort_of_record_without_a_place_is_refused(who: str) -> None:
    """Neither what the journal says nor what is made again from it leaves a known sort out."""
    lines = [
        JournalLine(Path("2026-11.jsonl"), 1, b'{"event": "thawed", "sha256": "ab", "name": "x"}')
    ]
    ASKED[who](lines)
    with one_more_word(RecordSort, "thawed"), pytest.raises(AssertionError, match="thawed"):
        ASKED[who](lines)
