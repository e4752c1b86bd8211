"""Workbooks (.xlsx, .xls, .ods) as grids of cells, guarded before anything unpacks them.

A workbook of 5 KiB can ask for more memory than the machine has. What a zip says of its members
is checked first, then the cells' own addresses; only then is the workbook parsed. Names say
nothing: a sheet may lie in a part of any name, and what opens it may go by the name of the file.
"""

from __future__ import annotations

import re
import zipfile
import zlib
from pathlib import Path
from typing import NoReturn

from tiecoat.dialect.delimited import Cell, Grid
from tiecoat.dialect.number_formats import NumberFormat, cell_formats
from tiecoat.dialect.sheet_tags import CELL_AT, XLSX_TAG, column_of, refuse, tags
from tiecoat.errors import FileHeld, is_of_disk
from tiecoat.reasons import Fault, Reason

ZIP_MAGIC = b"PK\x03\x04"
OLE_MAGIC = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
MAX_UNPACKED = 200_000_000
MAX_RATIO = 100
MAX_MEMBERS = 1000
MAX_CELLS = 5_000_000
_XLSX, _ODS, _BINARY = "xl/workbook.xml", "content.xml", "xl/workbook.bin"
_MAIN_PARTS = (_XLSX, _ODS, _BINARY)
_RATIO_FROM = 1_000_000  # small members of repeated text may be packed tighter

_DAMAGE = (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, OSError)

_ODS_TAG = re.compile(rb"<table:(table-row|table-cell|covered-table-cell|table)((?:\s[^<>]*)?)>")
_ROW_AT = re.compile(rb"\sr=[\"'](\d{1,9})[\"']")
_ROWS_REPEATED = re.compile(rb"number-rows-repeated=[\"'](\d{1,9})[\"']")
_COLUMNS_REPEATED = re.compile(rb"number-columns-repeated=[\"'](\d{1,9})[\"']")


def is_workbook(head: bytes) -> bool:
    """Tell by the first bytes whether this is a zip or OLE container."""
    return head.startswith((ZIP_MAGIC, OLE_MAGIC))


def read_sheets(path: Path, head: bytes) -> list[Grid]:
    """Return the visible sheets of a workbook.

    Raises
    ------
    FileHeld
        DAMAGED_SHEET, if it is damaged, encrypted or larger than a laboratory sheet can be;
        NOT_TEXT, if the container is no workbook.
    """
    import python_calamine as calamine

    if head.startswith(ZIP_MAGIC):
        _guard(path)
    try:
        with calamine.CalamineWorkbook.from_path(str(path)) as book:
            shown = [
                sheet.name
                for sheet in book.sheets_metadata
                if sheet.typ == calamine.SheetTypeEnum.WorkSheet
                and sheet.visible == calamine.SheetVisibleEnum.Visible
            ]
            formats = cell_formats(path) if head.startswith(ZIP_MAGIC) else {}
            return [_grid(book.get_sheet_by_name(name), formats.get(name, {})) for name in shown]
    except calamine.PasswordError:
        refuse("a workbook under a password", "a workbook without one")
    except (calamine.CalamineError, OSError, ValueError) as error:
        _raise_of_disk(error)
        refuse(_first_line(error), "a workbook that opens")


def _grid(sheet: object, formats: dict[tuple[int, int], NumberFormat]) -> Grid:
    from python_calamine import CalamineSheet

    assert isinstance(sheet, CalamineSheet)
    if sheet.total_height * sheet.total_width > MAX_CELLS:
        _too_wide(sheet.total_height, sheet.total_width)
    rows: list[list[Cell]] = [
        [cell.strip() if isinstance(cell, str) else cell for cell in row]
        for row in sheet.to_python(skip_empty_area=False)
    ]
    for (row, column), shown in formats.items():
        if row < len(rows) and column < len(rows[row]):
            rows[row][column] = shown.of(rows[row][column])
    merged: dict[int, list[tuple[int, int]]] = {}
    for (top, left), (bottom, right) in sheet.merged_cell_ranges or ():
        _fill(rows, top, left, bottom, right)
        if right > left:
            merged.setdefault(top + 1, []).append((left, right))
    return Grid(rows, range(1, len(rows) + 1), sheet=sheet.name, merged=merged)


def _fill(rows: list[list[Cell]], top: int, left: int, bottom: int, right: int) -> None:
    """Write what a merged range shows into the first cell of each of its rows."""
    if top >= len(rows) or left >= len(rows[top]) or right - left > 0:
        return
    for row in rows[top + 1 : bottom + 1]:
        if left < len(row) and row[left] == "":
            row[left] = rows[top][left]


def _guard(path: Path) -> None:
    try:
        with zipfile.ZipFile(path) as container:
            members = container.infolist()
            if len(members) > MAX_MEMBERS:
                refuse(f"{len(members)} parts in it", f"at most {MAX_MEMBERS}")
            unpacked = sum(member.file_size for member in members)
            if unpacked > MAX_UNPACKED:
                refuse(f"{unpacked / 1e6:.0f} MB unpacked", f"at most {MAX_UNPACKED / 1e6:.0f} MB")
            packed = max(1, sum(member.compress_size for member in members))
            if unpacked > _RATIO_FROM and unpacked / packed > MAX_RATIO:
                refuse(f"parts packed {unpacked / packed:.0f} to 1", f"at most {MAX_RATIO} to 1")
            _guard_cells(container, members)
    except _DAMAGE as error:
        _raise_of_disk(error)
        refuse(_first_line(error), "a workbook that opens")


def _guard_cells(container: zipfile.ZipFile, members: list[zipfile.ZipInfo]) -> None:
    # calamine finds these whatever their case, and with either slash
    named = [(member.filename.replace("\\", "/").lower(), member) for member in members]
    main = [(name, member) for name, member in named if name in _MAIN_PARTS]
    if len(main) > 1:
        said = " and ".join(sorted(name for name, _ in main))
        refuse(f"more than one workbook in one file: {said}", "a workbook that opens")
    if not main or main[0][0] == _BINARY:
        raise FileHeld(
            Reason.NOT_TEXT, (Fault(Reason.NOT_TEXT, found="a zip file without sheets in it"),)
        )
    name, member = main[0]
    if name == _ODS:
        _guard_ods(container, member)
    else:
        _guard_xlsx(container, members)


def _guard_xlsx(container: zipfile.ZipFile, members: list[zipfile.ZipInfo]) -> None:
    for member in members:
        row = column = cells = rows = columns = 0
        for tag, rest in tags(container, member, XLSX_TAG):
            if tag == b"row":
                at = _ROW_AT.search(rest)
                row, column = (int(at[1]) if at else row + 1), 0
            else:
                cells += 1
                if place := CELL_AT.search(rest):
                    column, row = column_of(place[1]), int(place[2])
                else:
                    column += 1
            rows, columns = max(rows, row), max(columns, column)
            if rows * columns > MAX_CELLS or cells > MAX_CELLS:
                _too_wide(rows, columns)


def _guard_ods(container: zipfile.ZipFile, member: zipfile.ZipInfo) -> None:
    row = column = rows = columns = repeated = 0
    for tag, rest in tags(container, member, _ODS_TAG):
        if tag == b"table":
            row = rows = columns = 0
        elif tag == b"table-row":
            found = _ROWS_REPEATED.search(rest)
            row, column, repeated = row + repeated, 0, int(found[1]) if found else 1
        else:
            found = _COLUMNS_REPEATED.search(rest)
            column += int(found[1]) if found else 1
            if b"value" in rest:
                rows, columns = max(rows, row + repeated), max(columns, column)
                if rows * columns > MAX_CELLS:
                    _too_wide(rows, columns)


def _too_wide(rows: int, columns: int) -> NoReturn:
    refuse(f"a sheet of {rows} rows and {columns} columns", f"at most {MAX_CELLS} cells")


def _first_line(error: BaseException) -> str:
    return (str(error) or type(error).__name__).splitlines()[0][:200]


def _raise_of_disk(error: BaseException) -> None:
    """Raise what the disk refuses: nothing ails the file."""
    if is_of_disk(error):
        raise error
