"""Workbooks: cells as they are, and no workbook that could take the machine down."""

from __future__ import annotations

import math
import random
import zipfile
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from io import BytesIO
from typing import Any

import openpyxl
import pytest

from tiecoat.dialect import sheets
from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Layout
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

Make = Callable[..., Export]
TITLES = {"panel": ("Panel",), "strength": ("Strength",)}


def workbook(**content: list[list[Any]]) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in content.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    out = BytesIO()
    book.save(out)
    return out.getvalue()


def xlsx(sheet: str, **others: str) -> bytes:
    """A workbook with one handmade sheet."""
    out = BytesIO()
    base = zipfile.ZipFile(BytesIO(workbook(one=[["x"]])))
    with base, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name in base.namelist():
            made.writestr(name, sheet if name.endswith("sheet1.xml") else base.read(name))
        for name, text in others.items():
            made.writestr(name, text)
    return out.getvalue()


def refused(export: Export) -> str:
    with pytest.raises(FileHeld) as caught:
        export.sheets()
    assert caught.value.reason is Reason.DAMAGED_SHEET
    return caught.value.faults[0].sentence


def test_numbers_texts_and_times_come_as_the_cells_are(export: Make) -> None:
    """Numbers need no decimal mark; times are local; whole numbers as text have no .0."""
    rows = [
        ["Area", 14.6, "cm2"],
        ["Started", datetime(2026, 9, 14, 8, 12)],  # noqa: DTZ001 (a workbook has no zones)
        [],
        ["Panel", "Strength [MPa]", "Dose (%)", "On", "At", "No."],
        ["RB-014-3", 5.25, "1,5", date(2026, 9, 14), time(8, 12), 1],
        ["RB-014-4", None, None, datetime(2026, 9, 14, 8, 30), None, 2.5],  # noqa: DTZ001
    ]
    export_ = export(workbook(Results=rows), name="looks like.csv")
    assert export_.is_workbook
    titles = {**TITLES, "dose": ("Dose",), "on": ("On",), "at": ("At",), "no": ("No",)}
    (table,) = export_.tables(titles)
    assert (table.sheet, table.header_row, table.rows) == ("Results", 4, [5, 6])
    assert table.numbers("strength", "psi")[0] == pytest.approx(5.25 * 145.0377377)
    assert math.isnan(table.numbers("strength", "MPa")[1])
    assert table.numbers("dose", "percent")[0] == 1.5
    assert table.texts("no") == ["1", "2.5"]
    assert table.times("on", "at") == [
        datetime(2026, 9, 14, 6, 12, tzinfo=UTC),
        datetime(2026, 9, 14, 6, 30, tzinfo=UTC),
    ]
    assert table.entry_number(("Area",), "cm**2") == 14.6
    assert table.entry_time(("Started",)) == datetime(2026, 9, 14, 6, 12, tzinfo=UTC)
    assert export_.faults == []


def test_tables_are_found_in_every_visible_sheet_or_the_one_declared(export: Make) -> None:
    """A hidden sheet is not what the technician sees."""
    header = ["Panel", "Strength [MPa]"]
    book = openpyxl.load_workbook(
        BytesIO(
            workbook(A=[header, ["RB-014-1", 5.0]], B=[[], header, ["RB-014-2", 6.0]], C=[header])
        )
    )
    book["C"].sheet_state = "hidden"
    out = BytesIO()
    book.save(out)
    export_ = export(out.getvalue())
    assert [(t.sheet, t.rows) for t in export_.tables(TITLES)] == [("A", [2]), ("B", [3])]
    assert [t.sheet for t in export_.tables(TITLES, layout=Layout(sheet="B"))] == ["B"]
    assert export_.missing(TITLES, layout=Layout(sheet="D")) != ""


def test_faults_name_the_sheet(export: Make) -> None:
    """Truth values and dates are no numbers."""
    header = ["Panel", "Strength [MPa]"]
    export_ = export(workbook(Results=[header, ["RB-014-1", True], ["RB-014-2", date(2026, 9, 1)]]))
    export_.tables(TITLES)[0].numbers("strength", "MPa")
    assert [(f.reason, f.sheet, f.row) for f in export_.faults] == [
        (Reason.NOT_A_NUMBER, "Results", 2),
        (Reason.NOT_A_NUMBER, "Results", 3),
    ]


def test_free_cells_beside_and_below_a_table_are_no_rows(export: Make) -> None:
    """Cells to the right of the last title do not matter; `Name: value` below is no row."""
    rows = [
        ["Panel", "Strength [MPa]"],
        ["RB-014-1", 5.0, None, "a remark"],
        ["Checked: M. Keller"],
    ]
    export_ = export(workbook(A=rows))
    assert export_.tables(TITLES)[0].rows == [2]
    assert export_.faults == []


@pytest.mark.parametrize(
    "cells",
    [
        '<row r="1"><c r="A1"/></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>',
        '<row r="1048576"><c><v>1</v></c><c r="F1048576"><v>1</v></c></row>',
        "<row>" + "<c><v>1</v></c>" * 600 + "</row><row r='9999'><c r='A9999'/></row>",
        "<x:row r='2000000'><x:c r=\"CV2000000\"/></x:row>",
    ],
)
def test_a_far_cell_is_refused_before_the_sheet_is_parsed(export: Make, cells: str) -> None:
    """A workbook of 5 KiB could otherwise end the process."""
    sheet = (
        '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
        f"<sheetData>{cells}</sheetData></worksheet>"
    )
    assert "at most 5000000 cells" in refused(export(xlsx(sheet)))


FAR = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    '<row r="1"><c r="A1"/></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
    "</sheetData></worksheet>"
)


@pytest.mark.parametrize(
    ("part", "before"),
    [
        ("xl/worksheets/mystyles.xml", ""),
        ("xl/worksheets/sharedstrings.xml", ""),
        ("xl/worksheets/sheet1.bin", ""),
        ("xl/media/image1.png", ""),
        ("xl/worksheets/sheet1.xml", "no mark-up before it"),
        ("xl/worksheets/sheet1.xml", "x" * 9_000_000),
    ],
)
def test_a_far_cell_is_found_by_what_it_is(export: Make, part: str, before: str) -> None:
    """A sheet is what the workbook refers to as one; the name of its part may be any."""
    out = BytesIO()
    base = zipfile.ZipFile(BytesIO(workbook(one=[["x"]])))
    with base, zipfile.ZipFile(out, "w") as made:
        for name in base.namelist():
            if name == "xl/worksheets/sheet1.xml":
                made.writestr(part, before + FAR)
            else:
                target = part.removeprefix("xl/").encode()
                made.writestr(name, base.read(name).replace(b"worksheets/sheet1.xml", target))
    assert "at most 5000000 cells" in refused(export(out.getvalue()))


@pytest.mark.parametrize("other", ["content.xml", "xl/workbook.bin", "XL\\Workbook.bin"])
@pytest.mark.parametrize("name", ["day 1.xlsx", "day 1.ods", "day 1.xlsb"])
def test_two_workbooks_in_one_file_are_refused(export: Make, other: str, name: str) -> None:
    """What opens a file may go by its name: it must not find another workbook than was checked."""
    assert "more than one workbook" in refused(export(xlsx("<worksheet/>", **{other: ""}), name))


def test_pictures_in_a_workbook_do_no_harm(export: Make) -> None:
    """A sheet with a photograph on it is read, however its bytes look."""
    flat = "BM<" + "\0" * 1_000_000 + "<c>>" + "\0" * 9_000_000
    noise = "".join(map(chr, random.Random(1).choices(range(128), k=2**20)))
    cells = '<row r="1"><c r="A1"><v>5</v></c></row>'
    sheet = FAR.replace(FAR[FAR.index("<row") : FAR.index("</sheetData")], cells)
    pictures = {"xl/media/image1.bmp": flat, "xl/media/image2.bmp": noise}
    (grid,) = export(xlsx(sheet, **pictures)).sheets()
    assert [list(row) for row in grid.rows] == [[5.0]]


def test_what_unpacks_to_too_much_is_refused(export: Make) -> None:
    """By the sum of its parts, by how tight they are packed, by their number."""
    blown = "<worksheet>" + " " * 3_000_000 + "</worksheet>"
    assert "to 1" in refused(export(xlsx(blown)))
    many = {f"xl/part{n}.txt": "x" for n in range(sheets.MAX_MEMBERS)}
    assert "parts in it" in refused(export(xlsx("<worksheet/>", **many)))


def test_what_claims_to_unpack_to_too_much_is_refused(
    export: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The limit is 200 MB; the test lowers it."""
    monkeypatch.setattr(sheets, "MAX_UNPACKED", 1000)
    assert "MB unpacked" in refused(export(workbook(A=[["x"]])))


@pytest.mark.parametrize("part", [slice(0, 200), slice(0, -30), slice(0, 3000)])
def test_a_damaged_workbook_is_told_so(export: Make, part: slice) -> None:
    """Cut anywhere."""
    assert refused(export(workbook(A=[["x"] * 5] * 50)[part]))


def test_an_ole_container_that_is_no_workbook_is_told_so(export: Make) -> None:
    """Such as a workbook under a password, or an old text document."""
    assert refused(export(sheets.OLE_MAGIC + b"\0" * 2000))


def test_a_zip_without_sheets_is_no_workbook(export: Make) -> None:
    """A zip of exports is to be unpacked first."""
    out = BytesIO()
    with zipfile.ZipFile(out, "w") as made:
        made.writestr("a.csv", "a;b")
    with pytest.raises(FileHeld) as caught:
        export(out.getvalue()).sheets()
    assert caught.value.reason is Reason.NOT_TEXT


def test_a_workbook_has_no_text(export: Make) -> None:
    """A reader that asks for the text of one is told so."""
    with pytest.raises(FileHeld) as caught:
        export(workbook(A=[["x"]])).text()
    assert caught.value.reason is Reason.NOT_TEXT
    assert export(workbook(A=[["x", 1]])).first_lines() == ["sheet 'A':", "x | 1.0"]


@pytest.mark.parametrize(
    ("shown", "value", "expected"),
    [
        ('0" h"', 240, "240 h"),
        ('0.0" MPa"', 7.25, "7.25 MPa"),
        ('0.0,," MΩ"', 5.2e6, "5.2 MΩ"),
        ("0%", 0.3, "30 %"),
        ('0"%"', 30, "30 %"),
        ('"RB-"000', 7, "RB-007"),
        ('"Ri "0', 2, "Ri 2"),
        ("0.00", 7.25, 7.25),
        ('0" pieces"', 3, 3.0),
        ("# ?/?", 0.5, 0.5),
    ],
)
def test_a_cell_says_what_its_number_format_shows(
    export: Make, shown: str, value: float, expected: object
) -> None:
    """A unit or a text that only the format of a number shows belongs to the cell."""
    book = openpyxl.Workbook()
    book.active.append(["title"])
    book.active.append([value])
    book.active["A2"].number_format = shown
    out = BytesIO()
    book.save(out)

    assert export(out.getvalue(), name="formats.xlsx").sheets()[0].rows[1][0] == expected
