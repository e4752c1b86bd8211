"""Sheets as a workbook."""

from __future__ import annotations

import io
from random import Random
from typing import Any

from openpyxl import Workbook
from openpyxl.worksheet.worksheet import Worksheet

from .cells import Cell, Moment, Number
from .lines import Blank, Entry, Paper, Sentence, Table
from .style import Style
from .text import written

DATE_FORMATS = {
    "both": ("yyyy-mm-dd hh:mm", "dd.mm.yyyy hh:mm", "dd/mm/yyyy hh:mm"),
    "date": ("yyyy-mm-dd", "dd.mm.yyyy", "dd/mm/yyyy"),
    "clock": ("hh:mm",),
}


def book_of(paper: Paper, style: Style, dice: Random) -> bytes:
    """Return the bytes of an .xlsx."""
    book = Workbook()
    book.remove(book.active)
    writer = _Writer(style, dice.randrange(3), dice.random() < 0.1, dice.random() < 0.05)
    for sheet in paper.sheets:
        writer.write(book.create_sheet(sheet.name[:31]), sheet.lines)
    kept = io.BytesIO()
    book.save(kept)
    return kept.getvalue()


class _Writer:
    """Writes lines into worksheets; dates and numbers are such, or texts."""

    def __init__(
        self, style: Style, date_format: int, text_dates: bool, text_numbers: bool
    ) -> None:
        self._style = style
        self._date_format = date_format
        self._text_dates = text_dates
        self._text_numbers = text_numbers

    def write(self, sheet: Worksheet, lines: list[Any]) -> None:
        row = 1
        for line in lines:
            if isinstance(line, Blank):
                row += 1
            elif isinstance(line, Sentence):
                sheet.cell(row, 1, line.text).data_type = "s"  # a text, also with an equals sign
                row += 1
            elif isinstance(line, Entry):
                sheet.cell(row, 1, line.title)
                self._put(sheet, row, 2, line.cell, line.percent)
                if line.unit and not (line.percent and isinstance(line.cell, Number)):
                    sheet.cell(row, 3, line.unit)
                row += 1
            else:
                row = self._table(sheet, row, line)

    def _table(self, sheet: Worksheet, row: int, table: Table) -> int:
        for head in table.head:
            for n, title in enumerate(head, 1):
                if title:
                    sheet.cell(row, n, title)
            row += 1
        first = row
        for cells in [*table.rows, *table.footer]:
            for n, cell in enumerate(cells, 1):
                self._put(sheet, row, n, cell, len(table.percents) >= n and table.percents[n - 1])
            row += 1
        for column in table.merge:
            start = 0
            for n in range(1, len(table.rows) + 1):
                if n == len(table.rows) or table.groups[n] != table.groups[start]:
                    if n - start > 1:
                        sheet.merge_cells(
                            start_row=first + start,
                            end_row=first + n - 1,
                            start_column=column + 1,
                            end_column=column + 1,
                        )
                    start = n
        return row

    def _put(self, sheet: Worksheet, row: int, column: int, cell: Cell, percent: bool) -> None:
        if cell is None:
            return
        if isinstance(cell, Moment) and not self._text_dates and not self._has_offset(cell):
            self._moment(sheet, row, column, cell)
        elif isinstance(cell, Number) and percent:
            decimals = len(cell.text.partition(".")[2])
            target = sheet.cell(row, column, round(cell.value / 100, decimals + 4))
            target.number_format = f"0.{'0' * decimals}%" if decimals else "0%"
        elif isinstance(cell, Number) and not cell.unit and not self._text_numbers:
            target = sheet.cell(row, column, _native(cell))
            target.number_format = _format(cell)
        else:
            sheet.cell(row, column, written(cell, self._style))

    def _has_offset(self, cell: Moment) -> bool:
        return self._style.dates in {"iso_offset", "iso_z"} and cell.part == "both"

    def _moment(self, sheet: Worksheet, row: int, column: int, cell: Moment) -> None:
        value: Any = cell.at
        if cell.part == "date":
            value = cell.at.replace(hour=0, minute=0, second=0)
        elif cell.part == "clock":
            value = cell.at.time()
        formats = DATE_FORMATS[cell.part]
        sheet.cell(row, column, value).number_format = formats[self._date_format % len(formats)]


def _native(cell: Number) -> float | int:
    return int(cell.text) if cell.text.lstrip("-").isdigit() else cell.value


def _format(cell: Number) -> str:
    if "e" in cell.text.lower():
        return "0.000E+00"
    decimals = len(cell.text.partition(".")[2])
    return f"0.{'0' * decimals}" if decimals else "0"
