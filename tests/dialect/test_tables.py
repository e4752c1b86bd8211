"""Tables in text exports: where they begin and end, and what is told of unreadable rows."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits, Layout
from tiecoat.dialect.table import Table
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

Make = Callable[..., Export]
DENSITY = {"batch": ("Batch",), "temp": ("Sample temp",), "rho": ("Density", "Dichte")}
BENCH = """Density bench, 100 ml cup
Instrument;DB-2
Operator;M. Keller

Date;Time;Batch;State;Sample temp. [°C];Density [g/cm³];Rest [min];Remark
14.09.2026;08:12;RB-014;as mixed;22,8;1,3912;0;
14.09.2026;08:40;RB-014;deaerated;23,0;1,4375;0;vacuum 10 min
"""


def only_table(export: Export, titles: dict[str, tuple[str, ...]], **how: object) -> Table:
    (table,) = export.tables(titles, **how)  # type: ignore[arg-type]
    return table


def reasons(export: Export) -> list[tuple[Reason, int | None]]:
    return [(fault.reason, fault.row) for fault in export.faults]


def held(export: Export, titles: dict[str, tuple[str, ...]], **how: object) -> FileHeld:
    with pytest.raises(FileHeld) as caught:
        export.tables(titles, **how)  # type: ignore[arg-type]
    return caught.value


def test_a_table_is_found_below_free_lines_and_keeps_its_row_numbers(export: Make) -> None:
    """Preamble, units in titles, decimal comma: numbers in the units asked for, rows as shown."""
    table = only_table(export(BENCH.encode("cp1252")), DENSITY)
    assert (table.header_row, table.rows) == (5, [6, 7])
    assert table.numbers("temp", "degC") == [22.8, 23.0]
    assert table.numbers("rho", "kg/m**3") == [1391.2, 1437.5]
    assert table.texts("batch") == ["RB-014", "RB-014"]
    assert table.unit("rho") == "g/cm³"
    assert table.unit("batch") is None


def test_a_date_and_a_time_column_make_a_time(export: Make) -> None:
    """Local time of the lab becomes UTC."""
    table = only_table(export(BENCH), {"date": ("Date",), "clock": ("Time",)})
    assert table.times("date", "clock")[1] == datetime(2026, 9, 14, 6, 40, tzinfo=UTC)


def test_an_empty_cell_is_nan_none_or_no_time(export: Make) -> None:
    """Words for nothing are nothing; a missing optional column likewise."""
    export_ = export("a;b;c;t\n1,5;n/a;;-\n2;-;x;2026-09-14\n")
    titles = {key: (key,) for key in "abctm"}
    table = only_table(export_, titles, optional={"m"})
    assert math.isnan(table.numbers("b", "")[0])
    assert table.texts("c") == [None, "x"]
    assert table.times("t")[0] is None
    assert not table.has("m")
    assert math.isnan(table.numbers("m", "ohm")[1])
    assert table.texts("m") == table.times("m") == [None, None]
    assert export_.faults == []


def test_a_missing_column_is_named_with_its_other_titles(export: Make) -> None:
    """The nearest header row is quoted, every missing column has a fault, and no one guesses."""
    export_ = export(BENCH)
    titles = {**DENSITY, "eta": ("Viscosity", "eta"), "cup": ("Cup",)}
    assert export_.missing(titles) == "no column 'Viscosity' (also: eta); no column 'Cup'"
    assert export_.missing(DENSITY) == ""
    assert export_.missing(titles, optional={"eta", "cup"}) == ""
    error = held(export_, titles)
    assert error.reason is Reason.MISSING_COLUMN
    assert [fault.row for fault in error.faults] == [5, 5]
    assert "expected a column 'Viscosity' (also: eta)" in error.faults[0].sentence
    assert "Date, Time, Batch" in error.faults[0].sentence


def test_asking_what_is_missing_never_raises(export: Make) -> None:
    """For a picture, an empty file or a broken workbook it says in words what is the matter."""
    assert export(b"").missing(DENSITY) == "the file is empty"
    assert (
        export(b"\x89PNG\r\n\0\0\0\rIHDR").missing(DENSITY).startswith("the file is neither text")
    )
    assert export(b"PK\x03\x04rest").missing(DENSITY).startswith("the workbook is damaged")
    assert export("no table here").missing({"a": ("A",)}) == "no column 'A'"


@pytest.mark.parametrize("delimiter", [";", "\t", ",", "|"])
def test_the_delimiter_is_the_one_under_which_the_titles_stand(
    export: Make, delimiter: str
) -> None:
    """However many commas the free lines hold."""
    rows = [["f [Hz]", "Z' [Ohm]"], ["100000", "215.3"], ["10", "1e6"]]
    body = "\n".join(delimiter.join(row) for row in rows)
    table = only_table(
        export(f"Film, wet, in salt water; bath 2\n\n{body}\n"), {"f": ("f",), "re": ("Z'",)}
    )
    assert table.numbers("re", "ohm") == [215.3, 1e6]
    assert table.rows == [4, 5]


def test_sep_line_and_declared_delimiter_win(export: Make) -> None:
    """`sep=;` is what spreadsheets write; a table profile says it in its layout."""
    table = only_table(export("sep=|\na|b\n1,5|2\n"), {"a": ("a",), "b": ("b",)})
    assert (table.rows, table.numbers("a", "")) == ([3], [1.5])
    odd = "a:b\n1.5:2\n"
    table = only_table(export(odd), {"a": ("a",)}, layout=Layout(delimiter=":"))
    assert table.numbers("a", "") == [1.5]


def test_quoted_cells_may_hold_the_delimiter_and_line_ends(export: Make) -> None:
    """Rows keep the line on which they begin."""
    text = 'No.,Failure,"Note, if any"\n1,"60 % B, 40 % B/C","two\nlines"\n2,100 % B,"say ""B"""\n'
    table = only_table(export(text), {"n": ("No",), "f": ("Failure",), "note": ("Note, if any",)})
    assert table.texts("f") == ["60 % B, 40 % B/C", "100 % B"]
    assert table.texts("note") == ["two\nlines", 'say "B"']
    assert table.rows == [2, 4]


def test_a_quotation_mark_that_is_not_closed_is_told_and_swallows_nothing(export: Make) -> None:
    """The row on which it opens is named, and the file is held."""
    export_ = export('a;b\n1;2\n3;"x\n4;5\n6;7\n')
    table = only_table(export_, {"a": ("a",), "b": ("b",)})
    assert table.rows == [2]
    assert reasons(export_) == [(Reason.UNEVEN_ROW, 3)]
    assert "not closed" in export_.faults[0].sentence
    error = held(export('"Cup book\na;b\n1;2\n'), {"a": ("a",), "b": ("b",)})
    assert (error.reason, error.faults[0].row) == (Reason.UNEVEN_ROW, 1)


def test_a_row_of_units_is_no_row_of_values(export: Make) -> None:
    """The unit row may leave cells empty and put brackets around."""
    table = only_table(
        export("f;|Z|;Phase;Spot\n[Hz];kOhm;deg;\n10;1,25;-80,5;a\n"),
        {"f": ("f",), "z": ("|Z|",), "phase": ("Phase",)},
    )
    assert table.rows == [3]
    assert table.unit("f") == "Hz"
    assert table.numbers("z", "ohm") == [1250.0]
    assert table.numbers("phase", "rad") == [pytest.approx(-math.radians(80.5))]


def test_a_unit_row_that_contradicts_the_title_is_told(export: Make) -> None:
    """A factor of a thousand is not decided by who is read first."""
    export_ = export("Batch;Density [g/cm³]\n;kg/m³\nRB-014;1391,2\n")
    only_table(export_, {"batch": ("Batch",), "rho": ("Density",)})
    assert reasons(export_) == [(Reason.INCONSISTENT, 2)]


def test_blocks_have_their_own_entries_and_fall_back_on_the_top(export: Make) -> None:
    """What stands above a block counts for it; what is missing there, at the top of the file."""
    text = (
        "Panel;RB-014-3\n\nSpectrum;1\nImmersion;48,0 h\n\nf;|Z|\nHz;kOhm\n10;1,25\n1;2,5\n\n"
        "Spectrum;2\nImmersion;72,0 h\n\nf;|Z|\nHz;kOhm\n10;1,125\n"
    )
    first, second = export(text).tables({"f": ("f",), "z": ("|Z|",)})
    assert [t.entry(("Spectrum",)) for t in (first, second)] == ["1", "2"]
    assert [t.entry(("Panel",)) for t in (first, second)] == ["RB-014-3", "RB-014-3"]
    assert [t.entry_number(("Immersion",), "h") for t in (first, second)] == [48.0, 72.0]
    assert second.numbers("z", "ohm") == [1125.0], "open alone, clear beside the first block"
    assert (first.rows, second.rows) == ([8, 9], [16])


@pytest.mark.parametrize(
    "line",
    [
        "Cell area: 14.6 cm2",
        "Cell area;14.6 cm2",
        "Cell area = 14.6 cm2",
        "Cell area\t14.6 cm2",
        "Cell area [cm2]: 14.6",
        "Cell area;14.6;cm2",
        "cell_area: 0.00146 m2;;",
        "CELL AREA:;14,6 cm²",
    ],
)
def test_an_entry_may_be_written_in_many_ways(export: Make, line: str) -> None:
    """Colon, equals sign, delimiter or tab; the unit beside the value, in the name or after it."""
    table = only_table(export(f"{line}\n\nf;z\n10.5;1.5\n"), {"f": ("f",), "z": ("z",)})
    assert table.entry_number(("Area", "Cell area"), "cm**2") == pytest.approx(14.6)
    assert table.entry_number(("Thickness",), "um") is None


def test_an_entry_may_hold_the_delimiter_of_the_table(export: Make) -> None:
    """The value goes to the end of its line; delimiters that pad the line are no part of it."""
    text = (
        "Station: bath 2, left\nMeasured at: 2026-09-22 09:14:05,,\nArea: 14,6 cm2\n\nf,z\n1.5,2\n"
    )
    table = only_table(export(text), {"f": ("f",), "z": ("z",)})
    assert table.entry(("Station",)) == "bath 2, left"
    assert table.entry_time(("Measured at",)) == datetime(2026, 9, 22, 7, 14, 5, tzinfo=UTC)
    assert table.entry_number(("Area",), "cm**2") == 14.6


def test_faults_of_entries_name_their_line(export: Make) -> None:
    """Text, no unit, a unit of another quantity, no time: each is told, and None comes back."""
    text = "Area: large\nFilm: 182\nAge: 3 mm\nAt: soon\n\nf;z\n1,5;2\n"
    export_ = export(text)
    table = only_table(export_, {"f": ("f",), "z": ("z",)})
    assert table.entry_number(("Area",), "cm**2") is None
    assert table.entry_number(("Film",), "um") is None
    assert table.entry_number(("Film",), "um", unit="um") == 182.0
    assert table.entry_number(("Age",), "h") is None
    assert table.entry_time(("At",)) is None
    assert reasons(export_) == [
        (Reason.NOT_A_NUMBER, 1),
        (Reason.UNKNOWN_UNIT, 2),
        (Reason.UNKNOWN_UNIT, 3),
        (Reason.NOT_A_TIME, 4),
    ]


def test_a_row_of_another_length_is_told_and_left_out(export: Make) -> None:
    """Too few or too many fields; delimiters at the end of a row are no fields."""
    export_ = export("a;b;c\n1;2;3;;\n4;5\n6;7;8;9\n10;11;12\n")
    table = only_table(export_, {key: (key,) for key in "abc"})
    assert table.rows == [2, 5]
    assert reasons(export_) == [(Reason.UNEVEN_ROW, 3), (Reason.UNEVEN_ROW, 4)]
    assert export_.faults[0].sentence == (
        "row 3: found 2 fields; expected 3 fields as in the header, row 1"
    )


def test_unquoted_decimal_commas_between_commas_are_never_read_as_columns(export: Make) -> None:
    """1,5 in a comma separated file makes a field too many."""
    export_ = export("Panel,Strength [MPa]\nRB-014-3,5,3\n")
    error = held(export_, {"panel": ("Panel",), "strength": ("Strength",)})
    assert error.reason is Reason.UNEVEN_ROW
    assert "decimal comma" in error.faults[0].sentence


@pytest.mark.parametrize("end", ["", "\n", "\n\n"])
def test_a_short_last_row_means_that_the_file_was_cut_off(export: Make, end: str) -> None:
    """Even if it begins with a text."""
    export_ = export("Panel;No;Force [kN]\nRB-014-3;1;1,48\nRB-014-3;2" + end)
    only_table(export_, {"panel": ("Panel",), "force": ("Force",)})
    assert reasons(export_) == [(Reason.CUT_OFF, 3)]


def test_a_last_number_cut_in_two_is_told_if_it_does_not_parse(export: Make) -> None:
    """1.2E at the end of a file without a line end is cut off; elsewhere it is no number."""
    titles = {"f": ("f",), "z": ("z",)}
    cut = export("f;z\n10;1.2E5\n1;1.2E")
    only_table(cut, titles).numbers("z", "")
    assert reasons(cut) == [(Reason.CUT_OFF, 3)]
    whole = export("f;z\n10;1.2E5\n1;1.2E\n")
    only_table(whole, titles).numbers("z", "")
    assert reasons(whole) == [(Reason.NOT_A_NUMBER, 3)]


def test_no_cut_through_a_file_is_taken_for_the_whole(export: Make) -> None:
    """Cut at any byte: held, or a whole number of rows, of which only the last value is shorter."""
    whole = only_table(export(BENCH), DENSITY).numbers("rho", "g/cm**3")
    raw = BENCH.encode()
    for cut in range(len(raw)):
        export_ = export(raw[:cut])
        try:
            table = only_table(export_, DENSITY)
        except FileHeld:
            continue
        values = table.numbers("rho", "g/cm**3")
        if not export_.faults:
            assert values == whole[: len(values)]


def test_free_lines_right_below_a_table_are_no_rows(export: Make) -> None:
    """`Name: value` lines up to the end of the block; not so a row that was cut."""
    export_ = export("a;b\n1;2\n3;4\nMean: 3\nOperator: M. Keller;\n")
    assert only_table(export_, {"a": ("a",), "b": ("b",)}).rows == [2, 3]
    assert export_.faults == []
    between = export("a;b\n1;2\nNote: shaken\n3;4\n")
    assert only_table(between, {"a": ("a",), "b": ("b",)}).rows == [2, 4]
    assert reasons(between) == [(Reason.UNEVEN_ROW, 3)]


def test_a_declared_end_ends_the_table(export: Make) -> None:
    """What follows is no part of it, however it looks."""
    text = "a;b\n1;2\nEnd of data;;\n3;4\n"
    table = only_table(export(text), {"a": ("a",), "b": ("b",)}, layout=Layout(end="End of"))
    assert table.rows == [2]


def test_rows_behind_a_gap_are_not_lost_in_silence(export: Make) -> None:
    """Rows like the table's own behind an empty row, with no header above them, are told."""
    export_ = export("Batch;Density\nRB-014;1,39\n\nRB-015;1,41\n")
    only_table(export_, {"batch": ("Batch",), "rho": ("Density",)})
    export_.tell_unread()
    assert reasons(export_) == [(Reason.UNREAD_ROWS, 4)]


def test_a_header_again_begins_a_new_table(export: Make) -> None:
    """With or without an empty row before it."""
    first, second = export("a;b\n1;2\na;b\n3;4\n").tables({"a": ("a",), "b": ("b",)})
    assert (first.rows, second.rows, second.header_row) == ([2], [4], 3)


def test_a_header_without_rows_is_told(export: Make) -> None:
    """Alone it holds the file; beside other tables it is a fault."""
    titles = {"a": ("a",), "b": ("b",)}
    assert held(export("x: 1\na;b\n"), titles).reason is Reason.EMPTY_TABLE
    export_ = export("a;b\n1;2\n\na;b\n")
    assert only_table(export_, titles).rows == [2]
    assert reasons(export_) == [(Reason.EMPTY_TABLE, 4)]


def test_two_columns_for_one_title_are_told(export: Make) -> None:
    """Force in N and force in kN side by side: nobody chooses."""
    export_ = export("No.;Force [N];Force [kN]\n1;1482;1,482\n")
    only_table(export_, {"force": ("Force",)})
    assert reasons(export_) == [(Reason.INCONSISTENT, 1)]
    assert "'Force [N]' and 'Force [kN]'" in export_.faults[0].sentence


def test_text_where_a_number_belongs_is_told_for_each_cell(export: Make) -> None:
    """Row, column and what was found; the other cells are read."""
    export_ = export("a;b\n1,5;2\nwet;3\n2,5;inf\n1_0;4\n")
    table = only_table(export_, {"a": ("a",), "b": ("b",)})
    assert table.numbers("a", "")[::2] == [1.5, 2.5]
    table.numbers("b", "")
    assert reasons(export_) == [
        (Reason.NOT_A_NUMBER, 3),
        (Reason.NOT_A_NUMBER, 5),
        (Reason.NOT_A_NUMBER, 4),
    ]
    assert export_.faults[0].sentence == (
        "row 3, column 'a': found 'wet'; expected a number with decimal comma"
    )
    table.numbers("a", "")
    assert export_.fault_count == 3, "the same fault is noted once"


class TestDecimalMark:
    """Which mark is the decimal one."""

    def read(self, export: Export, **how: object) -> list[float]:
        return only_table(export, {"a": ("a",), "b": ("b",)}, **how).numbers("a", "")

    def test_a_single_open_number_is_held_with_both_readings(self, export: Make) -> None:
        """1,250 alone may be 1.25 or 1250, and so may 1.250."""
        for cell in ("1,250", "1.250"):
            export_ = export(f"a;b\n{cell};2\n{cell};3\n")
            assert all(math.isnan(value) for value in self.read(export_))
            assert reasons(export_) == [(Reason.AMBIGUOUS_NUMBER, 2)]
            assert f"{cell}, which may be 1.25 or 1250" in export_.faults[0].sentence

    def test_another_column_settles_it(self, export: Make) -> None:
        """A file has one decimal mark."""
        assert self.read(export("a;b\n1,250;22,8\n")) == [1.25]
        assert self.read(export("a;b\n1,250;22.8\n")) == [1250.0]
        assert self.read(export("a;b;rest\n1,250;2;0,5\n")) == [1.25]

    def test_columns_asked_for_come_before_the_others(self, export: Make) -> None:
        """A software version beside the values does not turn their marks."""
        assert self.read(export("a;b;made by\n1,250;2,5;2.1\n1,5;2,5;2.1\n")) == [1.25, 1.5]

    def test_the_habit_of_the_lab_settles_what_the_file_leaves_open(self, export: Make) -> None:
        """And nothing that the file says clearly."""
        comma, point = Habits(decimal="comma"), Habits(decimal="point")
        assert self.read(export("a;b\n1,250;2\n", comma)) == [1.25]
        assert self.read(export("a;b\n1,250;2\n", point)) == [1250.0]
        assert self.read(export("a;b\n1.5;2\n", comma)) == [1.5]

    def test_the_layout_settles_it_first(self, export: Make) -> None:
        """What a profile declares is not weighed against the cells: those are told."""
        assert self.read(export("a;b\n1,250;2\n"), layout=Layout(decimal="comma")) == [1.25]
        export_ = export("a;b\n1.5;2\n")
        assert math.isnan(self.read(export_, layout=Layout(decimal="comma"))[0])
        assert reasons(export_) == [(Reason.NOT_A_NUMBER, 2)]

    def test_the_layout_settles_it_for_entries_too(self, export: Make) -> None:
        """A declared comma holds for the lines above a table, however clear a point may be."""
        text = "Area: {}\n\na;b\n1;2\n"
        for cell, area in (("14,6 cm2", 14.6), ("1.250 cm2", 1250.0), ("14.6 cm2", None)):
            export_ = export(text.format(cell))
            table = only_table(export_, {"a": ("a",), "b": ("b",)}, layout=Layout(decimal="comma"))
            assert table.entry_number(("Area",), "cm**2") == area
        (fault,) = export_.faults
        assert (fault.reason, fault.row, fault.column) == (Reason.NOT_A_NUMBER, 1, "Area")
        assert (fault.found, fault.expected) == ("'14.6'", "a number with decimal comma")

    def test_an_entry_has_a_mark_of_its_own(self, export: Make) -> None:
        """Where nothing is declared, a clear mark of an entry counts, whatever the cells have."""
        export_ = export("Area: 14,6 cm2\n\na;b\n1.5;2.5\n")
        table = only_table(export_, {"a": ("a",), "b": ("b",)})
        assert table.entry_number(("Area",), "cm**2") == 14.6
        assert table.numbers("a", "") == [1.5]
        assert export_.faults == []

    def test_between_commas_the_decimal_mark_is_a_point(self, export: Make) -> None:
        """Unless cells are quoted and then say otherwise, or leave it open."""
        assert self.read(export("a,b\n1.250,2\n")) == [1.25]
        assert self.read(export('a,b\n"1,25",2\n')) == [1.25]
        export_ = export('a,b\n"1,250",2\n')
        assert math.isnan(self.read(export_)[0])
        assert reasons(export_) == [(Reason.AMBIGUOUS_NUMBER, 2)]

    def test_cells_against_the_rest_of_the_column_are_told(self, export: Make) -> None:
        """Two marks in one column: the fewer are at fault."""
        export_ = export("a;b\n1,5;x\n2,5;x\n3.5;x\n")
        assert self.read(export_)[:2] == [1.5, 2.5]
        assert reasons(export_) == [(Reason.NOT_A_NUMBER, 4)]

    def test_as_many_against_as_for_are_all_left_to_the_user(self, export: Make) -> None:
        """1,5 beside 1.5: neither is turned into 15."""
        export_ = export("a;b\n1,5;x\n3.5;x\n")
        self.read(export_)
        assert reasons(export_) in ([(Reason.NOT_A_NUMBER, 2)], [(Reason.NOT_A_NUMBER, 3)])


def test_a_unit_that_does_not_fit_holds_the_column(export: Make) -> None:
    """Unknown, of another quantity, or none where one is needed."""
    export_ = export("a [g/kcm];b [N];c\n1,5;2;3\n")
    table = only_table(export_, {key: (key,) for key in "abc"})
    assert all(math.isnan(value) for key in "abc" for value in table.numbers(key, "g/cm**3"))
    assert [fault.found for fault in export_.faults] == [
        "the unit 'g/kcm'",
        "the unit 'N'",
        "no unit",
    ]
    assert table.numbers("c", "g/cm**3", unit="kg/m**3") == [0.003]


def test_times_that_cannot_be_are_told(export: Make) -> None:
    """A skipped hour, a doubled hour, an open order of day and month."""
    export_ = export("t;n\n29.03.2026 02:30;1\n25.10.2026 02:30;2\n03/04/2026;3\n25.10.2026;4\n")
    table = only_table(export_, {"t": ("t",), "n": ("n",)})
    assert table.times("t")[:3] == [None, None, None]
    assert reasons(export_) == [
        (Reason.SKIPPED_TIME, 2),
        (Reason.DOUBLED_TIME, 3),
        (Reason.NOT_A_TIME, 4),
    ]
    american = Habits(zone=ZoneInfo("UTC"), time_formats=("%m/%d/%Y",))
    table = only_table(export("t;n\n03/04/2026;1\n", american), {"t": ("t",)})
    assert table.times("t") == [datetime(2026, 3, 4, tzinfo=UTC)]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\r\r\n"])
def test_line_ends_of_every_system_are_understood(export: Make, end: str) -> None:
    """Also the doubled return that some export libraries write."""
    table = only_table(export(f"a;b{end}1;2{end}3;4{end}".encode()), {"a": ("a",), "b": ("b",)})
    assert table.rows == [2, 3]
