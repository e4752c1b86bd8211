"""What a person sees in a grid: titles, rows, free lines, summaries, one table after another.

No source: the layouts are of our own invention, what is expected is common practice.
"""

from __future__ import annotations

import pytest
from grids import cells, seen, sheet_grid, text_grid, titles
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.dialect.delimited import Cell

PLAIN = """
Spot;Thickness [µm]
1;81
2;79
3;84
"""


def test_titles_with_values_below_are_a_table() -> None:
    """Words of the trade over rows of numbers are titles."""
    sight = seen(text_grid(PLAIN))

    assert titles(sight) == ["Spot", "Thickness [µm]"]
    assert cells(sight) == [["1", "81"], ["2", "79"], ["3", "84"]]
    assert (sight.tables[0].header_row, sight.tables[0].rows) == (1, [2, 3, 4])


@pytest.mark.parametrize("units", [";µm", ";[µm]", "-;µm", ";(µm)"])
def test_a_row_of_units_below_the_titles_is_none_of_the_rows(units: str) -> None:
    """Units in a row of their own belong to the titles above."""
    sight = seen(text_grid(f"Spot;Thickness\n{units}\n1;81\n2;79"))

    assert [column.unit for column in sight.tables[0].columns] == [None, "µm"]
    assert cells(sight) == [["1", "81"], ["2", "79"]]


def test_a_row_of_groups_goes_before_the_titles_below_it() -> None:
    """A title over several columns says what they have in common."""
    sight = seen(text_grid("Panel;left;;right;\n;spot;gloss;spot;gloss\nK1-01.b1;1;80;1;82"))

    assert titles(sight) == ["Panel", "left spot", "left gloss", "right spot", "right gloss"]


@pytest.mark.parametrize(
    "line", ["-----------", "=====;=====", "# a pause", "// paused", "* pause", "", "  "]
)
@given(place=st.integers(1, 4))
def test_rulers_and_comments_amid_rows_are_passed_over(line: str, place: int) -> None:
    """A line that tells nothing of the rows parts no table, wherever it stands among them."""
    lines = PLAIN.strip().split("\n")
    sight = seen(text_grid("\n".join([*lines[:place], line, *lines[place:]])))

    assert len(sight.tables) == 1
    assert cells(sight) == [["1", "81"], ["2", "79"], ["3", "84"]]


@pytest.mark.parametrize("below", ["Mean;81.3", "min;79", "Standard deviation;2.5"])
def test_a_summary_below_a_table_is_none_of_its_rows(below: str) -> None:
    """A mean is no spot."""
    sight = seen(text_grid(f"{PLAIN.strip()}\n{below}"))

    assert len(sight.tables[0].rows) == 3
    assert sight.tables[0].summaries == [5]


def test_a_word_of_a_column_is_no_summary() -> None:
    """A column whose cells are the word total sums up nothing: all coats together are measured."""
    sight = seen(text_grid("Coat;Thickness [µm]\ntotal;181\ntotal;179\ntotal;184"))

    assert cells(sight) == [["total", "181"], ["total", "179"], ["total", "184"]]
    assert sight.tables[0].summaries == []


def test_an_entry_that_begins_like_a_summary_above_a_table_is_kept() -> None:
    """Some words for the mean are words for a diameter too: above all rows nothing is summed up."""
    sight = seen(text_grid(f"Mean;19.9\n{PLAIN.strip()}"))

    assert [line.cells for line in sight.tables[0].above] == [("Mean", "19.9")]


def test_lines_above_a_table_are_its_own() -> None:
    """What stands above titles tells of the rows below them."""
    sight = seen(text_grid(f"Gauge readings\nPanel;K1-01.b1\n\n{PLAIN.strip()}"))

    assert [line.cells for line in sight.tables[0].above] == [
        ("Gauge readings",),
        ("Panel", "K1-01.b1"),
    ]


def test_one_table_after_another_has_lines_of_its_own() -> None:
    """Each table counts what stands right above it."""
    sight = seen(text_grid(f"Panel;K1-01.b1\n{PLAIN.strip()}\n\nPanel;K1-01.b2\n{PLAIN.strip()}"))

    assert [[line.text for line in table.above] for table in sight.tables] == [
        ["Panel K1-01.b1"],
        ["Panel K1-01.b2"],
    ]
    assert cells(sight, 0) == cells(sight, 1)


def test_rows_below_another_heading_go_on_under_the_same_titles() -> None:
    """A line that names a panel amid rows begins the rows of that panel."""
    sight = seen(text_grid(f"{PLAIN.strip()}\nPanel;K1-01.b2\n1;90\n2;91"))

    first, second = sight.tables
    assert second.before is first
    assert titles(sight, 1) == titles(sight, 0)
    assert cells(sight, 1) == [["1", "90"], ["2", "91"]]
    assert [line.text for line in second.above] == ["Panel K1-01.b2"]


def test_a_heading_of_nothing_but_an_id_is_no_row() -> None:
    """An id alone in its line says whose the next rows are."""
    sight = seen(text_grid(f"K1-01.b1\n{PLAIN.strip()}\nK1-01.b2\n1;90\n2;91"))

    assert [[line.text for line in table.above] for table in sight.tables] == [
        ["K1-01.b1"],
        ["K1-01.b2"],
    ]


def test_a_name_and_its_value_below_numbered_rows_is_no_row() -> None:
    """An entry of the next block is not taken for the last spot."""
    sight = seen(sheet_grid([["Spot", "Thickness"], [1.0, 81.0], [2.0, 79.0], ["Gloss", 81.0]]))

    assert cells(sight) == [[1.0, 81.0], [2.0, 79.0]]
    assert [line.cells for line in sight.below] == [("Gloss", 81.0)]


def test_cells_of_words_that_come_again_are_rows_and_no_entries() -> None:
    """A column of coats looks like names of entries, but names do not come again."""
    rows: list[list[Cell]] = [
        ["Coat", "Thickness [mm]"],
        *[["system", n / 1000] for n in (176, 184, 167)],
    ]
    sight = seen(sheet_grid(rows))

    assert titles(sight) == ["Coat", "Thickness [mm]"]
    assert len(sight.tables[0].rows) == 3


def test_merged_cells_stay_empty_where_nothing_is_written() -> None:
    """Rows whose id was merged over them belong to the table, with an empty cell each."""
    sight = seen(
        sheet_grid(
            [
                ["Panel", "Spot", "Thickness"],
                ["K1-01.b1", 1.0, 81.0],
                ["", 2.0, 79.0],
                ["K1-01.b2", 1.0, 90.0],
                ["", 2.0, 92.0],
            ]
        )
    )

    assert [row[0] for row in cells(sight)] == ["K1-01.b1", "", "K1-01.b2", ""]


def test_a_row_with_too_few_or_too_many_fields_is_told() -> None:
    """A text that was cut leaves a row short."""
    sight = seen(text_grid("Panel;Spot;Thickness\nK1-01.b1;1;81\nK1-01.b1;2;79\nK1-01.b1;3"))

    assert sight.tables[0].short == [(4, 2)]


def test_numbers_without_titles_are_told() -> None:
    """A row like results above all titles belongs to nothing that is read."""
    sight = seen(text_grid(f"7;80;81\n8;82;83\n{PLAIN.strip()}"))

    assert sight.orphans == [1, 2]


@given(
    st.lists(
        st.tuples(st.integers(1, 999), st.floats(20, 900).map(lambda value: f"{value:.1f}")),
        min_size=2,
        max_size=12,
    ),
    st.lists(st.sampled_from(["Gauge readings", "Note; a fine day", "", "# exported"]), max_size=4),
)
def test_every_row_below_the_titles_is_seen(rows: list[tuple[int, str]], above: list[str]) -> None:
    """Whatever stands above, no row of numbers is lost and none comes from elsewhere."""
    body = [f"{spot};{value}" for spot, value in rows]
    sight = seen(text_grid("\n".join([*above, "Spot;Thickness [µm]", *body])))

    assert cells(sight) == [[str(spot), value] for spot, value in rows]
    assert sight.orphans == []


def test_rows_of_amounts_below_a_comment_are_no_titles() -> None:
    """A number with its unit in the cell is a value, though it has letters."""
    sight = seen(text_grid("Spot;Thickness\n1;177 µm\n* zeroed again\n2;166 µm\n3;165 µm"))

    assert len(sight.tables) == 1
    assert cells(sight) == [["1", "177 µm"], ["2", "166 µm"], ["3", "165 µm"]]


def test_a_last_line_of_too_few_delimiters_is_told() -> None:
    """What is left of a row that was cut before its first value is no empty line."""
    whole = seen(text_grid("Panel;Spot;Thickness\nK1-01.b1;1;81\nK1-01.b1;2;79\n;;"))
    cut = seen(text_grid("Panel;Spot;Thickness\nK1-01.b1;1;81\nK1-01.b1;2;79\n;"))

    assert (whole.tables[0].short, cut.tables[0].short) == ([], [(4, 2)])
