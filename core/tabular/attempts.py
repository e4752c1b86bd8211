"""A table read as a kind: which column or entry gives what, and how sure that is."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any

from tiecoat.dialect.complexes import is_complex
from tiecoat.dialect.delimited import Cell, are_plain
from tiecoat.dialect.numbers import DecimalMark
from tiecoat.plugin import Custom, Spread
from tiecoat.reasons import Reason
from tiecoat.tabular.facts import (
    Numbers,
    is_empty,
    numbers_of,
    says_hours,
    seconds_of,
    span_in_hours,
    span_of,
)
from tiecoat.tabular.file import File
from tiecoat.tabular.id_looks import IdLooks, may_be_in
from tiecoat.tabular.lexicon import Lexicon, Role
from tiecoat.tabular.moments import is_clock, is_day
from tiecoat.tabular.seen import Line
from tiecoat.tabular.teaching import NOTHING, Teaching
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.told_entries import FileTable, ToldEntry

TAUGHT, BY_LOOK, BY_UNIT = 5, 4, 1  # levels above and below those of words
NEARLY_ALL = 0.8  # share of the filled cells of a column that must be of one sort
_MOST = 0.5  # share of the cells that hold numbers of a column that must not be left out
_LIKE_NUMBERS = re.compile(
    r"[<>≤≥~≈=]{1,2}\s?\d[\d.,]*\s?\S{0,4}|\d[\d.,]*(?:\s?[;/|–±]\s?\d[\d.,]*)+"
)
SERIAL_DAYS = (30_000.0, 70_000.0)


def _like_hours(cell: Cell) -> bool:
    return is_clock(cell) or seconds_of(cell) is not None


class ColumnLook:
    """The cells of one column, by their look."""

    def __init__(
        self, cells: Sequence[Cell], mark: DecimalMark | None, ids: IdLooks, title: str = ""
    ) -> None:
        self.cells = cells
        self._mark, self._ids, self._title = mark, ids, title
        self.filled = (
            list(cells) if are_plain(cells) else [cell for cell in cells if not is_empty(cell)]
        )

    def of(self, cells: Sequence[Cell]) -> ColumnLook:
        """Return a look at other cells in its place."""
        return ColumnLook(cells, self._mark, self._ids, self._title)

    @property
    def ids(self) -> tuple[re.Pattern[str], ...]:
        """How the ids of panels and batches look."""
        return self._ids.panel, self._ids.batch

    def _share(self, count: int) -> float:
        return count / len(self.filled) if self.filled else 0.0

    @cached_property
    def numbers(self) -> Numbers:
        return numbers_of(self.cells, self._mark)

    @cached_property
    def told_numbers(self) -> list[float]:
        """The numbers of the cells that hold one."""
        return [value for value in self.numbers.values if not math.isnan(value)]

    @cached_property
    def is_numeric(self) -> bool:
        return bool(self.filled) and len(self.numbers.odd) <= (1 - NEARLY_ALL) * len(self.filled)

    @cached_property
    def is_mostly_numbers(self) -> bool:
        """Whether most cells hold a number, or several, or one beyond which it was not measured."""
        if self.is_numeric:
            return True
        if self.is_days or self.is_clocks:
            return False
        odd = [self.cells[at] for at in self.numbers.odd]
        like = sum(
            isinstance(cell, str) and _LIKE_NUMBERS.fullmatch(cell) is not None for cell in odd
        )
        return self._share(len(self.filled) - len(odd) + like) > _MOST

    @cached_property
    def is_complex(self) -> bool:
        return self._share(sum(1 for cell in self.filled if is_complex(cell))) > NEARLY_ALL

    @cached_property
    def in_hours(self) -> bool:
        """Whether the title says that times are of hours and minutes."""
        return says_hours(self._title)

    def span(self, cell: Cell) -> float | None:
        """Return the duration that a cell is, in seconds."""
        return span_in_hours(cell) if self.in_hours else span_of(cell)

    @cached_property
    def is_duration(self) -> bool:
        if self.is_numeric:
            return False
        if self.in_hours and self._share(sum(map(_like_hours, self.filled))) >= NEARLY_ALL:
            return True
        told = [seconds_of(cell) for cell in self.filled]
        spans = sum(1 for cell in self.filled if span_of(cell) is not None)
        if told.count(None) == len(told) or self._share(spans) <= NEARLY_ALL:
            return False
        # 1:24 typed for minutes and seconds is an hour and 24 minutes in a workbook
        typed = any(isinstance(cell, str) for cell in self.filled)
        return typed or any(seconds is not None and seconds % 60 for seconds in told)

    @cached_property
    def is_days(self) -> bool:
        return not self.is_numeric and self._share(sum(map(is_day, self.filled))) >= NEARLY_ALL

    @cached_property
    def is_serial_days(self) -> bool:
        low, high = SERIAL_DAYS
        return self.is_numeric and all(low <= value <= high for value in self.told_numbers)

    @cached_property
    def clocks(self) -> float:
        return 0.0 if self.is_numeric else self._share(sum(map(is_clock, self.filled)))

    @property
    def is_clocks(self) -> bool:
        return self.clocks >= NEARLY_ALL

    @cached_property
    def panels(self) -> float:
        return self._share_of(self._ids.panel)

    @cached_property
    def batches(self) -> float:
        return self._share_of(self._ids.batch)

    def _share_of(self, ids: re.Pattern[str]) -> float:
        texts = [cell.strip() for cell in self.filled if isinstance(cell, str)]
        return self._share(sum(map(bool, map(ids.fullmatch, texts))))

    @cached_property
    def batch_lists(self) -> float:
        """Share of the cells that hold a batch or list several."""
        lists = 0 if self.is_numeric else sum(map(self._ids.are_batches, self.filled))
        return self.batches + self._share(lists) if lists else 0.0

    @cached_property
    def counts(self) -> bool:
        """Whether it is 1, 2, 3 ... from any start, or from 0 or 1 again and again."""
        if not self.is_numeric or len(self.filled) < 2:
            return False
        values = self.told_numbers
        if not all(v.is_integer() for v in values) or len(set(values)) < 2:
            return False
        pairs = list(itertools.pairwise(values))
        if all(after - before in (0.0, 1.0) for before, after in pairs):
            return True
        anew = values[0] if values[0] in (0.0, 1.0) else None
        return all(after - before in (0.0, 1.0) or after == anew for before, after in pairs)


def may_hold_ids(contents: Sequence[ColumnLook]) -> bool:
    """Tell whether a cell of columns of plain numbers may be the id of a panel or batch."""
    texts = "\n".join(cell for content in contents for cell in map(str, content.cells))
    return any(may_be_in(pattern, texts) for pattern in contents[0].ids)


@dataclass(frozen=True)
class Given:
    """What a role is read from: the place of a column, or an entry."""

    role: Role
    level: int
    place: int | None = None
    told: ToldEntry | None = None
    number: float | None = None
    hint: str | None = None  # the unit that the word itself says
    more: tuple[tuple[str, float | str], ...] = ()  # keys that a wide title tells beside its spread

    @property
    def keys(self) -> tuple[tuple[str, float | str | None], ...]:
        """What the title of a wide layout tells, by the names of the keys."""
        spread = spread_of(self)
        own = spread.value if spread.value is not None else self.number
        return ((spread.key, own), *self.more)


@dataclass
class Attempt:
    """A table read as a kind: what is given, what is lacking, what nobody took."""

    lexicon: Lexicon
    file: File
    table: FileTable
    contents: list[ColumnLook]
    mark: DecimalMark | None
    titles: list[Title]
    taught: Teaching = NOTHING
    given: dict[str, Given] = field(default_factory=dict)
    by_titles: dict[str, Given] = field(default_factory=dict)  # before anything around was asked
    spreads: list[Given] = field(default_factory=list)
    untaken: list[int] = field(default_factory=list)
    passed: set[int] = field(default_factory=set)  # columns that stand beside the values, or count
    aside: dict[int, str] = field(default_factory=dict)  # of columns, what was left out and why
    lacking: list[str] = field(default_factory=list)
    rivals: list[tuple[Role, int, int]] = field(default_factory=list)
    shown: bool = False
    score: float = 0.0
    customs: list[Custom] = field(default_factory=list)  # taken, as the file does not say
    contradicting: list[tuple[Role, ToldEntry, ToldEntry]] = field(default_factory=list)
    headed: bool = False  # a heading or the sheet names what the kind is about
    rival: str | None = None  # another kind that reads the table as well
    equal: str | None = None  # another kind that reads it exactly as well
    preamble: str | None = None  # another kind, whose results its one row stands above
    export_faults: bool = False
    read: Mapping[str, Sequence[Any]] = field(default_factory=dict)  # the columns made of it

    @property
    def kind_name(self) -> str:
        return self.lexicon.kind.name

    @property
    def lines_around(self) -> list[Line]:
        """The free lines above the table, and those below the tables of its grid."""
        below = (line for sight in self.file.sheets_with(self.table) for line in sight.below)
        return [*self.table.seen.above, *below]

    def tell_contradiction(
        self, what: str, expected: str, column: str | None = None, row: int | None = None
    ) -> None:
        """Note what of the table contradicts itself, or what is around it.

        Parameters
        ----------
        column
            The title that it is about; None where it is about no single one.
        row
            Where it shows; None for the row of the titles.
        """
        seen = self.table.seen
        where = seen.header_row if row is None else row
        self.file.export.fault(Reason.INCONSISTENT, where, column, what, expected, sheet=seen.sheet)

    def word(self, column: str, text: str | None) -> str | None:
        """Return the kind's own word for a text, as it was taught or as the trade says it."""
        return self.lexicon.in_words_of_kind(column, self.taught.in_words(column, text))


def spread_of(given: Given) -> Spread:
    """Return the spread of what was given by one."""
    assert given.role.spread is not None
    return given.role.spread


def counted_on(given: Given) -> Given:
    """Return a reading of a wide layout without its number."""
    spread = spread_of(given)
    return replace(
        given, role=replace(given.role, spread=replace(spread, value=float("nan"))), number=None
    )
