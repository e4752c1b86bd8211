"""Rows and cells of a text or a sheet, each with the number a person would call it by."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from functools import cached_property

from tiecoat.dialect.titles import Header

Cell = str | float | bool | datetime | date | time | timedelta

DELIMITERS = (";", "\t", ",", "|")
_LINE_END = re.compile(r"\r*\n|\r")
_DECLARED = re.compile(r'"?sep=(.)"?\s*', re.IGNORECASE)
# A cell that no title looks like. Whole numbers of one or two digits may number determinations.
_COMMA = re.compile(r",(?! )")  # that parts cells where sentences stand among rows
_LETTER = re.compile(r"[^\W\d_]")
PLAIN = r"[-+]?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?"  # a number with one mark at most
_PLAIN = re.compile(PLAIN)
_PLAIN_ROW = re.compile(rf"{PLAIN}(?:\0{PLAIN})*")
_NUMBERLIKE = re.compile(r"[-+−–(<>=~ ]*[.,]?\d[\d.,:/ ’'\u00a0eE+−-]*%?")


def lines_of(text: str) -> list[str]:
    """Return the lines as an editor counts them; a line end at the very end adds none."""
    lines = _LINE_END.split(text) if "\r" in text else text.split("\n")
    if lines and not lines[-1]:
        lines.pop()
    return lines


def declared_delimiter(lines: Sequence[str]) -> str | None:
    """Return the delimiter of a first line such as `sep=;`, which spreadsheets write."""
    match = _DECLARED.fullmatch(lines[0]) if lines else None
    return match[1] if match else None


def is_plain(cell: Cell) -> bool:
    """Tell whether a text is a number with one mark at most: no day and no clock time."""
    return isinstance(cell, str) and _PLAIN.fullmatch(cell) is not None


class PlainNumbers(list[Cell]):
    """The cells of a column that are known to be plain, and not to be quoted."""


def are_plain(cells: Sequence[Cell]) -> bool:
    """Tell whether each of some cells is plain."""
    return isinstance(cells, PlainNumbers) or bool(_all_plain(cells))


def are_numbers(row: Sequence[Cell]) -> bool:
    """Tell whether a row is full of plain numbers, not all of them whole: it numbers no columns."""
    joined = _all_plain(row)
    return bool(joined) and not joined.replace("\0", "").isdecimal()


def _all_plain(cells: Sequence[Cell]) -> str:
    """Return plain cells as one text, as looking at them at once is quicker; else none."""
    try:
        joined = "\0".join(cells)  # type: ignore[arg-type]
    except TypeError:
        return ""
    return joined if _PLAIN_ROW.fullmatch(joined) else ""


def numberlike(cell: Cell) -> bool:
    """Tell whether a cell is a number, a date or a time by its look."""
    return not isinstance(cell, str) or _NUMBERLIKE.fullmatch(cell) is not None


class Grid:
    """The rows of one sheet, or of a text file under one delimiter.

    Parameters
    ----------
    rows
        Cells without blanks around them; an empty cell is "".
    numbers
        Line or sheet row of each row, counted from 1.
    delimiter
        None in a workbook.
    sheet
        Name of the sheet in a workbook.
    broken
        Row and words of a quotation mark that is never closed; the rows after it are left out.
    whole_lines
        The lines of a text file, for entries whose value holds the delimiter.
    merged
        By row, counted from 1: the first and the last place of each of its cells that are merged.
    """

    def __init__(
        self,
        rows: list[list[Cell]],
        numbers: Sequence[int],
        *,
        delimiter: str | None = None,
        sheet: str | None = None,
        broken: tuple[int, str] | None = None,
        whole_lines: Sequence[str] = (),
        merged: Mapping[int, Sequence[tuple[int, int]]] | None = None,
    ) -> None:
        self.rows = rows
        self.numbers = numbers
        self.delimiter = delimiter
        self.sheet = sheet
        self.broken = broken
        self.whole_lines = whole_lines
        self.merged = merged or {}

    def line(self, number: int) -> str | None:
        """Return a line of a text as it stands, counted from 1; None where there is no text."""
        return self.whole_lines[number - 1] if number <= len(self.whole_lines) else None

    @cached_property
    def headers(self) -> list[Header]:
        """Every row that may be a header, by its looks alone."""
        return [
            Header(index, [cell if isinstance(cell, str) else str(cell) for cell in row])
            for index, row in enumerate(self.rows)
            if _titular(row)
        ]

    @cached_property
    def last(self) -> int:
        """Index of the last row that is not blank."""
        return next((n for n in range(len(self.rows) - 1, -1, -1) if not blank(self.rows[n])), -1)


def blank(row: Sequence[Cell]) -> bool:
    """Tell whether a row has no cell that is not empty."""
    return row.count("") == len(row)


def _titular(row: list[Cell]) -> bool:
    """Tell whether no cell looks like a value and one at least holds a letter."""
    seen = False
    for cell in row:
        if not isinstance(cell, str):
            if not isinstance(cell, float) or abs(cell) >= 100:
                return False
        elif cell:
            if cell[-1] in "0123456789%" and len(cell) > 2 and _NUMBERLIKE.fullmatch(cell):
                return False
            seen = seen or _LETTER.search(cell) is not None
    return seen


def split(lines: Sequence[str], delimiter: str, skip: int = 0) -> Grid:
    """Split lines at a delimiter, quoted cells being one even where they hold it.

    Parameters
    ----------
    skip
        Lines at the start that are no rows (`sep=;`).
    """
    body = lines[skip:] if skip else lines
    if not any('"' in line for line in body):
        rows: list[list[Cell]] = [[cell.strip() for cell in line.split(delimiter)] for line in body]
        if delimiter == ",":
            rows = _with_sentences(rows, body)
        return Grid(rows, range(1 + skip, len(lines) + 1), delimiter=delimiter, whole_lines=lines)
    rows, numbers, broken = _quoted(body, delimiter, skip)
    return Grid(rows, numbers, delimiter=delimiter, broken=broken, whole_lines=lines)


def _with_sentences(rows: list[list[Cell]], lines: Sequence[str]) -> list[list[Cell]]:
    """Return rows of a text of commas, those whole that are sentences: a blank behind each comma.

    A row that has as many cells as most have is one of the table, blanks or not.
    """
    if not any(", " in line for line in lines):
        return rows
    usual = Counter(len(row) for row in rows if len(row) > 1).most_common(1)
    return [
        [cell.strip() for cell in _COMMA.split(line)]
        if ", " in line and len(row) != usual[0][0]
        else row
        for row, line in zip(rows, lines, strict=True)
    ]


def _quoted(
    lines: Sequence[str], delimiter: str, skip: int
) -> tuple[list[list[Cell]], list[int], tuple[int, str] | None]:
    rows: list[list[Cell]] = []
    numbers: list[int] = []
    start = 0
    while start < len(lines):
        reader = csv.reader(
            _ended(lines, start), delimiter=delimiter, strict=True, skipinitialspace=True
        )
        done = 0
        try:
            for record in reader:
                rows.append([cell.strip() for cell in record] or [""])
                numbers.append(skip + start + done + 1)
                done = reader.line_num
            return rows, numbers, None
        except csv.Error:
            at = start + done
            if reader.line_num - done > 1 or lines[at].count('"') % 2:
                words = "a quotation mark that is opened and not closed"
                return rows, numbers, (skip + at + 1, words)
            # Text after a closing quote in one cell: the line as it stands, quotes and all
            rows.append([cell.strip() for cell in lines[at].split(delimiter)])
            numbers.append(skip + at + 1)
            start = at + 1
    return rows, numbers, None


def _ended(lines: Sequence[str], start: int) -> Iterator[str]:
    return (lines[index] + "\n" for index in range(start, len(lines)))
