"""Rows of results that belong to no table that was read are told; free lines are none."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from typing import Any

import openpyxl
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Layout
from tiecoat.reasons import Fault, Reason

Make = Callable[..., Export]
SPECTRA = {"f": ("f",), "z": ("|Z|",), "phase": ("Phase",)}
WEEK = """Film impedance, all spectra of the week
Panel;RB-014-3
Area;14,6 cm²
Instrument;bath 2;left

Spectrum;1
Immersion;48,0 h
f;|Z|;Phase
Hz;kOhm;deg
10000;18,8258;-88,774
100;1791,35;-88,041

Spectrum;2
Immersion;72,0 h
Range;10000;100;Hz
f;|Z|;Phase
Hz;kOhm;deg
10000;18,1043;-88,6
100;1702,2;-87,25
"""


def unread(export: Export, titles: dict[str, tuple[str, ...]], **how: Any) -> list[Fault]:
    """Return what is told of rows outside the tables with these titles."""
    export.tables(titles, **how)
    export.tell_unread()
    return [fault for fault in export.faults if fault.reason is Reason.UNREAD_ROWS]


def test_nothing_is_told_of_free_lines(export: Make) -> None:
    """Names with one value, with a unit, with two; lines of prose and lone dates."""
    assert unread(export(WEEK), SPECTRA) == []
    text = (
        "Spots, coats and films, 3 of each\n2026-09-14,08:12\nBath,2,°C\nLimits,5,10\n\n"
        "Spot,Coat,Reading\n1,all,180.5\nMean: 180.5\n\nChecked by M. Keller, 15.09.2026\n"
    )
    assert unread(export(text), {"spot": ("Spot",), "reading": ("Reading",)}) == []


SUMMARIES = [
    "Mean;85.2;84.9;86.0\nStd. dev.;0.4;0.3;0.5\nn;3;3;3\n",
    "Statistics;20°;60°;85°\nAverage [GU];85.2;84.9;86.0\nRange;0.4;0.3;0.5\n",
    "Mittelwert;85.2;84.9;86.0\nStandardabweichung;0.4;0.3;0.5\n",
]


@pytest.mark.parametrize("summary", SUMMARIES)
def test_a_summary_below_the_table_is_not_told(summary: str, export: Make) -> None:
    """Means and standard deviations of several columns stand below many an instrument's table."""
    text = "Spot;Coat;Reading;At\n1;all;180.5;08:12\n2;all;181.5;08:13\n\n" + summary
    assert unread(export(text), {"spot": ("Spot",), "reading": ("Reading",)}) == []


@pytest.mark.parametrize("block", [1, 2])
@pytest.mark.parametrize(
    "titles",
    ["f;|Z|;Phse", "f;|Z;Phase", "f;|Z|;", "f|Z|;Phase", "g;|Z|;Phase", "f;|Z|", "", "10;1,5;2"],
)
def test_a_block_with_damaged_titles_is_told_by_its_rows(
    export: Make, titles: str, block: int
) -> None:
    """A letter, a cell, a delimiter or the whole row lost: first or second block alike."""
    first, last = ((10, 11), (18, 19))[block - 1]
    parts = WEEK.split("f;|Z|;Phase")
    whole = [f"{part}f;|Z|;Phase" for part in parts[:-1]]
    whole[block - 1] = parts[block - 1] + titles
    *_, fault = unread(export("".join([*whole, parts[-1]])), SPECTRA)
    assert fault.row == first
    assert f"up to row {last}" in fault.sentence
    assert "f, |Z|, Phase" in fault.sentence


def test_a_table_unlike_those_that_were_read_is_told(export: Make) -> None:
    """Rows of another length, most of them text, under titles that nobody asked for."""
    text = (
        "Batch,Recipe,Dose\nRB-013,E-40,1.5\n\n"
        "Panel,Batsch,Substrate,Film,Coated\nRB-013-1,RB-013,steel,180,2026-09-14\n"
        "RB-013-2,RB-013,steel,,2026-09-14\n"
    )
    (fault,) = unread(export(text), {"batch": ("Batch",), "dose": ("Dose",)})
    assert (fault.row, "2 rows, up to row 6" in fault.sentence) == (5, True)
    assert "Panel, Batsch, Substrate" in fault.sentence


def test_rows_of_two_cells_are_told_where_the_titles_are_nearly_right(export: Make) -> None:
    """RB-015 and 1,41 may be a name and a value; below `Batch;Dnsity` they are results."""
    titles = {"batch": ("Batch",), "rho": ("Density",)}
    text = "Batch;Density\nRB-014;1,39\n\nBatch;Dnsity\nRB-015;1,41\n\nBatch;Density\nRB-016;1,4\n"
    assert [fault.row for fault in unread(export(text), titles)] == [5]
    free = "Drum;7\n\nBatch;Density\nRB-014;1,39\n\nOperator;M. Keller\nDrum;8\n"
    assert unread(export(free), titles) == []


def test_text_rows_below_nearly_the_same_titles_are_told(export: Make) -> None:
    """Rows without a number count too, where half of the titles are those of a table."""
    text = "Panel;Ri;Note\nRB-1;Ri 3;a\n\nPanel;Ro;Note\nRB-2;Ri 4;b\nRB-3;Ri 4;b\n"
    (fault,) = unread(export(text), {"panel": ("Panel",), "ri": ("Ri",)})
    assert (fault.row, "up to row 6" in fault.sentence) == (5, True)


def test_a_file_that_ends_within_titles_was_cut_off(export: Make) -> None:
    """The last row shows most titles of the table before, and nothing stands below it."""
    for end in ("f;|Z|;Ph", "f;|Z|;Ph\n\n", "f;|Z|;"):
        export_ = export(f"f;|Z|;Phase\n1;2,5;3\n\nSpectrum;2\n{end}")
        assert unread(export_, SPECTRA) == []
        assert [(fault.reason, fault.row) for fault in export_.faults] == [(Reason.CUT_OFF, 5)]


def test_tables_asked_for_one_after_the_other_are_all_read(export: Make) -> None:
    """A reader of two sorts of tables leaves nothing over."""
    export_ = export("a;b\n1;2\n\nc;d\n3;4\n")
    export_.tables({"a": ("a",)})
    assert [fault.row for fault in unread(export_, {"c": ("c",)})] == []
    assert [fault.row for fault in unread(export("a;b\n1;2\n\nc;d\n3;4\n"), {"a": ("a",)})] == [5]


def test_what_a_layout_passes_over_is_not_told(export: Make) -> None:
    """Below a declared end, in a table to be ignored, in another sheet than the one declared."""
    text = "Spot;Reading\n1;180\n2;182\n\nMean;Deviation\n181;1,4\n\nSpot;Reading\n3;183\n"
    titles = {"spot": ("Spot",), "reading": ("Reading",)}
    assert [fault.row for fault in unread(export(text), titles)] == [6]
    assert unread(export(text), titles, layout=Layout(ignore=(("Mean", "Deviation"),))) == []
    ended = text.replace("\n\nMean", "\nMean")
    assert unread(export(ended), titles, layout=Layout(end="Mean")) == []
    other = Layout(ignore=(("Mean", "Median"),))
    assert [fault.row for fault in unread(export(text), titles, layout=other)] == [6]


def test_a_sheet_whose_titles_are_damaged_is_told(export: Make) -> None:
    """The sheet is named; sheets of notes are passed over."""
    book = openpyxl.Workbook()
    for name, rows in {
        "A": [["Panel", "Strength [MPa]"], ["RB-014-1", 5.0]],
        "B": [["Panel", "Strenght"], ["RB-014-2", 6.0]],
        "Notes": [["ask for more steel"], ["Drums", 7]],
    }.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    out = BytesIO()
    book.save(out)
    titles = {"panel": ("Panel",), "strength": ("Strength",)}
    (fault,) = unread(export(out.getvalue()), titles)
    assert (fault.sheet, fault.row) == ("B", 2)
    assert "in row 1 of sheet 'A'" in fault.sentence
    assert unread(export(out.getvalue()), titles, layout=Layout(sheet="A")) == []


@given(
    st.lists(
        st.lists(
            st.sampled_from(["", "1", "2,5", "RB-1", "f", "Phase", "n/a", "10.10.2026", "Hz"]),
            max_size=4,
        ),
        max_size=12,
    )
)
@example([["f"], ["", ""]])
@example([["f"], []])
def test_every_row_of_numbers_is_read_or_told(tmp_path_factory: Any, rows: list[list[str]]) -> None:
    """Whatever surrounds it: `7777;1;8888;9` is in a table, or in what is told."""
    lines = ["f;|Z|;Phase;Spot", "1;2;3;4", "", *map(";".join, rows), "", "7777;1;8888;9"]
    path = tmp_path_factory.getbasetemp() / "any.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    export = Export(path, path.name)
    tables = export.tables({"f": ("f",)})
    export.tell_unread()
    last = len(lines)
    told = [fault for fault in export.faults if fault.row is not None and fault.row <= last]
    assert any(last in table.rows for table in tables) or any(
        fault.row == last or f"up to row {last}" in fault.sentence for fault in told
    )
