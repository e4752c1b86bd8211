"""What an export offers beside its tables."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tiecoat.dialect.export import HEAD, Export
from tiecoat.errors import FileHeld
from tiecoat.reasons import FAULTS_KEPT, Reason

Make = Callable[..., Export]


def test_head_size_and_text(export: Make) -> None:
    """The head is the first 64 KiB, the text all of it."""
    export_ = export("x" * (HEAD + 10))
    assert (len(export_.head), export_.size, len(export_.text())) == (HEAD, HEAD + 10, HEAD + 10)
    assert not export_.is_workbook


@pytest.mark.parametrize(
    "raw", [b"", b"PK\x03\x04broken", b"\x89PNG\r\n\0\0\x01", b"\xff\xfea", b"\n"]
)
def test_first_lines_never_raise(export: Make, raw: bytes) -> None:
    """They are for a person to look at, whatever the file is."""
    assert all(line.isprintable() for line in export(raw).first_lines())


def test_first_lines_make_control_characters_visible(export: Make) -> None:
    """Tabs and NULs show; what could turn the writing direction does not pass."""
    assert export(b"a\tb\0\nc \xe2\x80\xae d\n" + b"x" * 300).first_lines(3) == [
        "a␉b␀",
        "c � d",
        "x" * 200 + "…",
    ]


def test_faults_are_counted_on_after_the_list_is_full(export: Make) -> None:
    """A hundred thousand bad cells make no report of a hundred thousand lines."""
    export_ = export("a")
    for row in range(FAULTS_KEPT + 50):
        export_.fault(Reason.NOT_A_NUMBER, row=row)
    assert (len(export_.faults), export_.fault_count) == (FAULTS_KEPT, FAULTS_KEPT + 50)
    with pytest.raises(FileHeld) as caught:
        export_.hold(Reason.INCONSISTENT, row=7)
    assert (len(caught.value.faults), caught.value.total) == (FAULTS_KEPT, FAULTS_KEPT + 51)


def test_hold_carries_what_was_noted_before(export: Make) -> None:
    """All faults are told at once."""
    export_ = export("a")
    export_.fault(Reason.NOT_A_NUMBER, row=3, column="a", found="x", expected="a number")
    with pytest.raises(FileHeld) as caught:
        export_.hold(Reason.INCONSISTENT, row=9)
    assert caught.value.reason is Reason.INCONSISTENT
    assert [fault.row for fault in caught.value.faults] == [3, 9]


def test_a_text_is_one_sheet_without_a_name(export: Make) -> None:
    """Split by the delimiter that gives rows of one length."""
    (sheet,) = export("Note, with comma\na;b\n1;2\n3;4\n").sheets()
    assert sheet.name is None
    assert list(sheet.rows[1:]) == [["a", "b"], ["1", "2"], ["3", "4"]]
    assert list(sheet.numbers) == [1, 2, 3, 4]
