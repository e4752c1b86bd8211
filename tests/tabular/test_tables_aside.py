"""Tables that do not stand upright: on their side, side by side, and as records.

No source: the layouts are of our own invention, what is expected is common practice.
"""

from __future__ import annotations

import pytest
from grids import cells, parted_beside, records, seen_on_its_side, sheet_grid, text_grid, titles
from hypothesis import given
from hypothesis import strategies as st

LYING = """
Gauge readings
Date;16.9.2026
Spot;1;2;3
Thickness;81;79;84
the end
"""


def test_a_table_on_its_side_is_turned() -> None:
    """Titles in the first column head the values beside them; other lines stay free lines."""
    sight = seen_on_its_side(text_grid(LYING))

    assert sight is not None
    assert titles(sight) == ["Spot", "Thickness"]
    assert cells(sight) == [["1", "81"], ["2", "79"], ["3", "84"]]
    assert [line.text for line in sight.tables[0].above] == ["Gauge readings", "Date 16.9.2026"]
    assert [line.text for line in sight.below] == ["the end"]


def test_an_amount_with_its_unit_is_no_column_that_lies() -> None:
    """A name, a number and a unit above a table of two columns are an entry."""
    sight = seen_on_its_side(text_grid("Thickness;20;mm\nSpot;1;2\nGloss;81;79"))

    assert sight is not None
    assert [line.cells for line in sight.tables[0].above] == [("Thickness", "20", "mm")]


def test_several_tables_on_their_side_are_each_turned() -> None:
    """Each block has the lines right above it."""
    sight = seen_on_its_side(text_grid(f"{LYING.strip()}\nK1-01.b2\nSpot;1;2\nThickness;90;91"))

    assert sight is not None
    assert cells(sight, 0) == [["1", "81"], ["2", "79"], ["3", "84"]]
    assert cells(sight, 1) == [["1", "90"], ["2", "91"]]
    assert [line.text for line in sight.tables[1].above] == ["the end", "K1-01.b2"]


def test_an_upright_table_does_not_lie() -> None:
    """Titles in one row with numbers below them are no table on its side."""
    assert seen_on_its_side(text_grid("Panel;Spot;Thickness\nK1-01.b1;1;81\nK1-01.b1;2;79")) is None


@given(st.lists(st.integers(20, 900), min_size=2, max_size=9))
def test_turning_loses_no_value(values: list[int]) -> None:
    """As many rows come out as there are values beside each title, in their order."""
    spots = ";".join(str(n + 1) for n in range(len(values)))
    sight = seen_on_its_side(text_grid(f"Spot;{spots}\nThickness;{';'.join(map(str, values))}"))

    assert sight is not None
    assert [row[1] for row in cells(sight)] == [str(value) for value in values]


@pytest.mark.parametrize(
    "text",
    [
        "Panel: K1-01.b1\nSpot: 1\nThickness: 81 µm\n\nPanel: K1-01.b1\nSpot: 2\nThickness: 79 µm",
        "Panel;K1-01.b1\nSpot;1\nThickness;81;µm\n\nPanel;K1-01.b1\nSpot;2\nThickness;79;µm",
        "# Panel = K1-01.b1\n# Spot = 1\n# Thickness = 81 µm\nEOF",
    ],
)
def test_names_with_values_beside_them_are_records(text: str) -> None:
    """Lines of a name and a value are records, also with a unit in a cell of its own."""
    sight = records(text_grid(text))

    assert sight is not None
    assert sight.records
    assert sight.tables == []


@pytest.mark.parametrize(
    "text",
    [
        "Spot;Thickness [µm]\n1;81\n2;79",  # a table
        "Panel: K1-01.b1\nSpot: 1\nCoat;Spot;Thickness\nsystem;1;81",  # entries over a table
        "Coat;Thickness\nsystem;0.176\nsystem;0.184",  # words that come again
        "a;b\nc;d",  # no words of the trade
        "Panel: K1-01.b1\nSpot: 1\n1,81\n2,79\n3,77",  # rows that another delimiter parts
    ],
)
def test_what_is_more_than_names_and_values_is_no_record(text: str) -> None:
    """Rows of a table make a grid more than records."""
    assert records(text_grid(text)) is None


def test_tables_side_by_side_are_parted_by_an_empty_column() -> None:
    """The same titles on both sides of an empty column are two tables."""
    parts = parted_beside(
        sheet_grid(
            [
                ["K1-01.b1", "", "", "K1-01.b2", ""],
                ["spot", "thickness", "", "spot", "thickness"],
                [1.0, 161.0, "", 1.0, 164.0],
                [2.0, 143.0, "", 2.0, 145.0],
            ]
        )
    )

    assert [part.rows[0] for part in parts] == [["K1-01.b1", ""], ["K1-01.b2", ""]]
    assert [part.rows[2] for part in parts] == [[1.0, 161.0], [1.0, 164.0]]
    assert [list(part.numbers) for part in parts] == [[1, 2, 3, 4]] * 2


def test_an_empty_column_between_other_titles_parts_nothing() -> None:
    """A table with a column left empty is one table."""
    grid = sheet_grid([["spot", "", "thickness"], [1.0, "", 161.0], [2.0, "", 143.0]])

    assert parted_beside(grid) == [grid]
