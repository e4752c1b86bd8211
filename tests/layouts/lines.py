"""The lines of a sheet, common to text and workbooks."""

from __future__ import annotations

from dataclasses import dataclass, field

from .cells import Cell


@dataclass
class Entry:
    """A title and a value; the unit stands behind the value, "" for none or in the title."""

    title: str
    cell: Cell
    unit: str = ""
    percent: bool = False


@dataclass
class Sentence:
    """Words on a line of their own."""

    text: str


@dataclass
class Blank:
    """An empty line."""


@dataclass
class Table:
    """Header rows and rows; `merge` are the columns whose repeated cells stand once."""

    head: list[list[str]]
    rows: list[list[Cell]]
    percents: list[bool]
    footer: list[list[Cell]] = field(default_factory=list)
    merge: list[int] = field(default_factory=list)
    groups: list[int] = field(default_factory=list)  # number of the group of each row
    amid: dict[int, str] = field(default_factory=dict)  # before which row a comment stands


Line = Entry | Sentence | Blank | Table


@dataclass
class Sheet:
    """A sheet of a workbook, or a text."""

    name: str
    lines: list[Line]


@dataclass
class Paper:
    """All sheets, and where the file lies."""

    sheets: list[Sheet]
    name: str  # without its ending
    folder: str
    traits: list[str]
