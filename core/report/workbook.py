"""Every table of a study in one workbook: a sheet each, numbers as numbers, no text a formula."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pandas as pd

from tiecoat.ask.result_files import FORMULA, made_whole
from tiecoat.ask.study_data import StudyData
from tiecoat.errors import QueryInvalid
from tiecoat.report.origin_words import archive_words, study_words
from tiecoat.report.words import say, translated

CONTENTS = "contents"
NAME = re.compile(r"[\[\]:*?/\\']")
LONGEST_NAME = 31  # characters of a sheet's name
MOST_ROWS = 1_048_575  # of a sheet, without its titles
LONGEST_TEXT = 32_767  # characters of a cell
WIDEST = 48  # characters of a column, as it is shown


def write_workbook(
    tables: Mapping[str, pd.DataFrame], data: StudyData, on: date, path: Path
) -> None:
    """Write tables into a workbook, after a sheet that says what they are and of which archive.

    A text that begins like a formula is kept as a text, and is shown as it is: each cell says of
    which type it is, and such cells are marked as quoted too, so that they stay texts when somebody
    edits them. Times are texts by ISO 8601 in UTC, for a sheet knows no time zones.

    Parameters
    ----------
    tables
        By name; their numbers get 16 digits.
    on
        The date on the report.
    path
        A file there is replaced, once the new one is whole.

    Raises
    ------
    QueryInvalid
        If a table has more rows than a sheet.
    """
    import xlsxwriter

    for name, table in tables.items():
        if len(table) > MOST_ROWS:
            raise QueryInvalid(
                f"{name} has {len(table):,} rows, and a sheet holds {MOST_ROWS:,}; leave out"
                " --workbook: the tables stand beside the report as .csv"
            )
    names = _sheet_names(tables)
    listed = pd.DataFrame(
        [
            {"sheet": names[name], "table": name, "rows": len(table), "columns": table.shape[1]}
            for name, table in tables.items()
        ]
    )
    above = [data.comparison.study.name, study_words(data, on), archive_words(data)]
    above.append(translated(data.comparison.adjusted))
    above.append(say("Numbers have 16 digits; measurements are named by their ids."))
    with made_whole(path) as half_made:
        as_they_are = {"strings_to_formulas": False, "strings_to_urls": False}
        book = xlsxwriter.Workbook(half_made, as_they_are)
        book.set_properties({"title": data.comparison.study.name, "created": _midnight(on)})
        sheets = _Sheets(book)
        sheets.add(CONTENTS, listed, [one for one in above if one])
        for name, table in tables.items():
            sheets.add(names[name], table)
        book.close()


def _midnight(on: date) -> datetime:
    return datetime(on.year, on.month, on.day)  # noqa: DTZ001 - the format knows no zones


def _sheet_names(tables: Mapping[str, pd.DataFrame]) -> dict[str, str]:
    """Return a name for the sheet of each table: short enough, of signs that are allowed, its own.

    Examples
    --------
    >>> found = _sheet_names({"results_of_a_kind_with_a_very_long_name": pd.DataFrame()})
    >>> list(found.values())
    ['results_of_a_kind_with_a_very_l']
    """
    found: dict[str, str] = {}
    taken = {CONTENTS}
    for name in tables:
        short = NAME.sub("_", name)[:LONGEST_NAME]
        number = 1
        while short.lower() in taken:
            number += 1
            short = f"{NAME.sub('_', name)[: LONGEST_NAME - 4]} {number}"
        taken.add(short.lower())
        found[name] = short
    return found


class _Sheets:
    """Adds sheets to a workbook."""

    def __init__(self, book: Any) -> None:
        self._book = book
        self._title = book.add_format({"bold": True, "bottom": 1})
        self._heading = book.add_format({"bold": True})
        self._quoted = book.add_format({"quote_prefix": True})

    def add(self, name: str, table: pd.DataFrame, above: list[str] | None = None) -> None:
        """Add a sheet with a table, and lines above it."""
        sheet = self._book.add_worksheet(name)
        top = 0
        for line in above or []:
            self._write(sheet, top, 0, line, self._heading if top == 0 else None)
            top += 1
        top += bool(above)
        for column, title in enumerate(table.columns):
            self._write(sheet, top, column, str(title), self._title)
            values = table.iloc[:, column].tolist()
            for row, value in enumerate(values, top + 1):
                self._write(sheet, row, column, value)
            texts = [str(title), *map(str, values[:200])]
            sheet.set_column(column, column, min(WIDEST, max(map(len, texts)) + 2))
        sheet.freeze_panes(top + 1, 0)
        if len(table):
            sheet.autofilter(top, 0, top + len(table), table.shape[1] - 1)

    def _write(self, sheet: Any, row: int, column: int, value: object, look: Any = None) -> None:
        if isinstance(value, bool):
            sheet.write_boolean(row, column, value, look)
        elif isinstance(value, int | float):
            if math.isfinite(value):
                sheet.write_number(row, column, value, look)
            elif not math.isnan(value):
                sheet.write_string(row, column, "inf" if value > 0 else "-inf", self._quoted)
        elif value is not None and value is not pd.NaT and value is not pd.NA:
            text = _text(value)
            look = self._quoted if text.startswith(FORMULA) else look
            sheet.write_string(row, column, text[:LONGEST_TEXT], look)


def _text(value: object) -> str:
    if isinstance(value, pd.Timestamp):
        return value.isoformat()
    return str(value)
