"""Sheets as a text file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from random import Random

from .cells import Cell, Complex, Moment, Text
from .lines import Blank, Entry, Line, Paper, Sentence, Table
from .style import Style
from .words import word

ENDINGS = {";": ("csv", "txt"), ",": ("csv",), "\t": ("txt", "tsv", "dat"), "|": ("txt",)}


def written(cell: Cell, style: Style) -> str:
    """Return a cell as this file writes it."""
    if cell is None:
        return ""
    if isinstance(cell, Text):
        return cell.text
    if isinstance(cell, Moment):
        return style.moment(cell)
    if isinstance(cell, Complex):
        imag = written(cell.imag, style)
        sign = "" if imag.startswith("-") else "+"
        return f"{written(cell.real, style)}{sign}{imag}{cell.letter}"
    number = _marked(cell.text, style)
    return f"{number} {cell.unit}" if cell.unit else number


def _marked(text: str, style: Style) -> str:
    """Write a number with the marks of the file."""
    mantissa, letter, exponent = re.fullmatch(r"([^eE]+)([eE]?)(.*)", text).groups()  # type: ignore[union-attr]
    integer, point, decimals = mantissa.partition(".")
    if style.thousands and not letter:
        sign, digits = ("-", integer[1:]) if integer.startswith("-") else ("", integer)
        integer = sign + f"{int(digits):,}".replace(",", style.thousands)
    return integer + point.replace(".", style.decimal) + decimals + letter + exponent


def text_of(paper: Paper, style: Style, dice: Random) -> bytes:
    """Return the bytes of a text file."""
    lines: list[str] = []
    for sheet in paper.sheets:
        tables = any(isinstance(line, Table) for line in sheet.lines)
        for line in sheet.lines:
            comment = style.comment if tables and not isinstance(line, Table) else ""
            lines += [comment + one if one else one for one in _line(line, style)]
    if dice.random() < 0.12:
        end = word(dice, "text.end", style.language)
        lines += ["", end] if dice.random() < 0.5 else [end]
    text = style.newline.join(lines) + style.newline * dice.choice((1, 1, 1, 2, 0))
    return _encoded(text, style)


def _encoded(text: str, style: Style) -> bytes:
    if style.encoding == "cp1252":
        try:
            return text.encode("cp1252")
        except UnicodeEncodeError:
            return text.encode()
    return text.encode(style.encoding)


def _line(line: Line, style: Style) -> Iterator[str]:
    if isinstance(line, Blank):
        yield ""
    elif isinstance(line, Sentence):
        yield line.text
    elif isinstance(line, Entry):
        yield _entry(line, style)
    else:
        yield from _table(line, style)


def _entry(entry: Entry, style: Style) -> str:
    value = written(entry.cell, style)
    way = style.entries
    if way == "cells":
        parts = [entry.title, value] + ([entry.unit] if entry.unit else [])
        if style.separator == "aligned":
            return "  ".join((parts[0].ljust(24), *parts[1:]))
        return _joined(parts, style)
    if entry.unit:
        value = f"{value} {entry.unit}"
    if way == "equals":
        return f"{entry.title} = {value}"
    if way == "dots":
        return f"{(entry.title + ' ').ljust(26, '.')} {value}"
    return f"{entry.title}: {value}"


def _table(table: Table, style: Style) -> Iterator[str]:
    rows = [[written(cell, style) for cell in row] for row in table.rows]
    for column in table.merge:
        for n in range(len(rows) - 1, 0, -1):
            if table.groups[n] == table.groups[n - 1]:
                rows[n][column] = ""
    footer = [[written(cell, style) for cell in row] for row in table.footer]
    grid = [*table.head, *rows, *footer]
    if style.separator == "aligned":
        printed = _aligned(grid)
    else:
        printed = [_joined(row, style) for row in grid]
        if style.trailing:
            printed = [line + style.separator for line in printed]
    first = len(table.head)
    width = max(len(line) for line in printed)
    for n, line in enumerate(printed):
        if style.ruler and n == first and first:
            yield style.ruler * width
        if (said := table.amid.get(n - first)) is not None:
            yield f"{style.comment.strip() or '#'} {said}" if said else ""
        yield line


def _aligned(grid: Sequence[Sequence[str]]) -> list[str]:
    widths = [max(len(row[n]) for row in grid) for n in range(len(grid[0]))]
    return [
        "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in grid
    ]


def _joined(row: Sequence[str], style: Style) -> str:
    separator = style.separator
    if separator == "|":
        return " | ".join(row)
    cells = []
    for cell in row:
        quoted = style.quote_all or separator in cell or '"' in cell
        cells.append('"' + cell.replace('"', '""') + '"' if quoted else cell)
    return separator.join(cells)
