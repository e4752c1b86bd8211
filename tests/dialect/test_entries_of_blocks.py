"""Which table a line above a table counts for, and what is told where one seems to be lost."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tiecoat.dialect.export import Export
from tiecoat.dialect.table import Table
from tiecoat.reasons import Reason

Make = Callable[..., Export]
TITLES = {"f": ("f",), "z": ("z",)}
TABLE = "f;z\n1,5;2\n"


def tables(export: Export) -> list[Table]:
    """Return all tables."""
    return export.tables(TITLES)


@pytest.mark.parametrize("apart", ["", "\n"], ids=["above", "apart"])
@pytest.mark.parametrize(
    "text",
    [
        "Panel;A\nHours;24 h\n{}{}\nPanel;B\n{}{}",
        "Hours;24 h\n{}{}\n{}{}",
        "Station;2\n\nHours;24 h\n{}{}\n{}{}",
        "Hours;24 h\n{}{}\n{}{}\nHours;72 h\n{}{}",
        "Station;2\nHours;24 h\n\nPanel;A\n{}{}\nPanel;B\n{}{}\nHours;72 h\n{}{}",
    ],
)
def test_a_line_that_another_table_has_is_not_taken_over(
    export: Make, text: str, apart: str
) -> None:
    """The hours of one table are not those of the next; its row and that of the line are told."""
    export_ = export(text.replace("{}{}", apart + TABLE))
    table = tables(export_)[1]
    assert table.entry_number(("Immersed", "Hours"), "h") is None
    (fault,) = export_.faults
    assert (fault.reason, fault.row) == (Reason.MISSING_COLUMN, table.header_row)
    assert "no line 'Hours' above this table, but above another, in row" in fault.sentence


def test_a_line_that_only_the_first_table_lacks_is_told(export: Make) -> None:
    """Also the first line may be lost."""
    export_ = export(f"Panel;A\n{TABLE}\nPanel;B\nTime;2026-09-14\n{TABLE}")
    assert tables(export_)[0].entry_time(("Time",)) is None
    assert [fault.row for fault in export_.faults] == [2]


def test_the_top_of_the_file_counts_for_every_table(export: Make) -> None:
    """Where an empty row sets it apart and no table has such a line of its own."""
    export_ = export(f"Panel;A\nHours;24 h\n\nRun;1\n{TABLE}\nRun;2\n{TABLE}\nRun;3\n{TABLE}")
    found = tables(export_)
    assert [table.entry(("Panel",)) for table in found] == ["A"] * 3
    assert [table.entry_number(("Hours",), "h") for table in found] == [24.0] * 3
    assert [table.entry(("Run",)) for table in found] == ["1", "2", "3"]
    assert [table.entry(("Other",)) for table in found] == [None] * 3
    assert export_.faults == []


def test_a_line_below_another_sort_of_table_is_its_own(export: Make) -> None:
    """Tables that were asked for by other titles stand between as well."""
    export_ = export(f"Hours;24 h\n{TABLE}\nf;y\n1,5;2\n")
    first = tables(export_)[0]
    (second,) = export_.tables({"y": ("y",)})
    assert first.entry_number(("Hours",), "h") == 24.0
    assert second.entry_number(("Hours",), "h") is None
    assert [(fault.reason, fault.row) for fault in export_.faults] == [(Reason.MISSING_COLUMN, 5)]


def test_a_name_with_an_unknown_unit_is_told(export: Make) -> None:
    """`Film (apples): 182` is no line that is missing: its unit is at fault."""
    export_ = export(f"Film (apples): 182\n\n{TABLE}")
    assert tables(export_)[0].entry_number(("Film",), "um") is None
    (fault,) = export_.faults
    assert (fault.reason, fault.row) == (Reason.UNKNOWN_UNIT, 1)
    assert "found the unit 'apples'; expected a unit that can be turned into um" in fault.sentence
