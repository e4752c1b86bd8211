"""Columns that a table may lack are not lost to a title that is nearly theirs."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from tiecoat.dialect.export import Export
from tiecoat.reasons import Reason

Make = Callable[..., Export]
TITLES = {
    "panel": ("Panel",),
    "dose": ("Dose", "Menge"),
    "spot 1": ("Spot 10",),
    "spot 2": ("Spot 20",),
    "blisters": ("Blisters",),
    "t": ("t",),
}
OPTIONAL = TITLES.keys() - {"panel"}


@pytest.mark.parametrize(
    "title",
    [
        "Dose (apples)",
        "Dose [apples]",
        "Dose / apples",
        "Dose, apples",
        "menge in apples",
    ],
)
def test_an_optional_column_in_an_unknown_unit_is_told(export: Make, title: str) -> None:
    """It is held as an unknown unit, never filed empty: row, unit found, and what would do."""
    export_ = export(f'x\nPanel;"{title}"\nRB-014-1;5\n')
    (table,) = export_.tables(TITLES, OPTIONAL)
    table.numbers("dose", "percent", unit="%")
    (fault,) = export_.faults
    assert (fault.reason, fault.row) == (Reason.UNKNOWN_UNIT, 2)
    assert "found the unit 'apples'" in fault.sentence


@pytest.mark.parametrize("title", ["Blisers", "Blistters", "Blistres", "Blosters [x]", "Blister"])
def test_an_optional_column_one_letter_off_is_told(export: Make, title: str) -> None:
    """Lost, doubled, changed, swapped: the title is named, and the one it is like."""
    export_ = export(f"Panel;{title}\nRB-014-1;2\n")
    export_.tables(TITLES, OPTIONAL)
    (fault,) = export_.faults
    assert (fault.reason, fault.row) == (Reason.MISSING_COLUMN, 1)
    assert f"found the title '{title}'; expected 'Blisters'" in fault.sentence


def test_columns_of_other_things_are_left_alone(export: Make) -> None:
    """Remarks, titles that stand for another column, short titles in other letters."""
    export_ = export("Panel;Spot 10;Remark (by);T (bath);Posters\nRB-014-1;5;;;\n")
    (table,) = export_.tables(TITLES, OPTIONAL)
    assert table.numbers("spot 1", "") == [5.0]
    assert export_.faults == []


def test_a_title_unlike_that_of_the_table_beside_it_is_told(export: Make) -> None:
    """Where all other titles agree, the one that does not is damaged."""
    export_ = export("Panel;t;No\nR1;1;1\n\nPanel;f;No\nR2;2;2\n\nPanel;No\nR3;3\n")
    export_.tables(TITLES, OPTIONAL)
    assert [(fault.reason, fault.row) for fault in export_.faults] == [(Reason.MISSING_COLUMN, 4)]
    assert "found the title 'f'; expected 't' as in row 1" in export_.faults[0].sentence
