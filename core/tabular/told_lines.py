"""Tables of lines and cells whose form a person has told, where no titles say what stands in them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from tiecoat.dialect.delimited import Cell, Grid, lines_of
from tiecoat.dialect.export import Export
from tiecoat.reasons import Fault, Reason
from tiecoat.tabular.column_places import call_by_place
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.forms import Form, Looks
from tiecoat.tabular.id_looks import IdLooks
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.seen import Line, Seen, SeenColumn, Sight
from tiecoat.tabular.teaching import Teaching

_HEADS = {"panel", "batch", "date", "moment"}  # of which a line may tell all rows below it
_BY_FORMS = "\0\0\0"  # the delimiter of lines of a form, which have none
_DIGIT = re.compile(r"\d")


def looks_of(lexicon: Lexicon, ids: IdLooks) -> Looks:
    """Return what the forms of a kind must know."""
    names = {
        name: role
        for name, role in lexicon.roles.items()
        if role.sort in ("column", "source") and role.type == "float"
    }
    kind = lexicon.kind
    shown = {*kind.shown_by, *(source.name for source in kind.sources)}
    results = shown if kind.shown_by else names.keys() - {*kind.identity}
    return Looks(ids, frozenset(names), frozenset(results))


def begins_with(text: str, words: Sequence[str]) -> bool:
    """Tell whether a text begins with one of some words, as a word of its own.

    Examples
    --------
    >>> begins_with("Mw. 3,3", ["mw"]), begins_with("Mwaba 3,3", ["mw"])
    (True, False)
    """
    plain = text.casefold().lstrip()
    for word in (each.casefold().strip() for each in words):
        behind = plain[len(word) :][:1]
        if word and plain.startswith(word) and not (word[-1].isalnum() and behind.isalnum()):
            return True
    return False


def passed_over(row: Sequence[Cell], words: Sequence[str]) -> bool:
    """Tell whether a row begins with one of some words, or has one of them as a cell of its own."""
    cells = [str(cell).strip() for cell in row if cell != ""]
    if not cells or not words:
        return False
    own = {word.casefold().strip() for word in words}
    return begins_with(cells[0], words) or any(cell.casefold() in own for cell in cells)


def without_passed(grid: Grid, words: Sequence[str]) -> Grid:
    """Return a grid without the rows that a person has said to pass over."""
    kept = [n for n, row in enumerate(grid.rows) if not passed_over(row, words)]
    if len(kept) == len(grid.rows):
        return grid
    return Grid(
        [grid.rows[n] for n in kept],
        [grid.numbers[n] for n in kept],
        delimiter=grid.delimiter,
        sheet=grid.sheet,
        broken=grid.broken,
        whole_lines=["" if begins_with(line, words) else line for line in grid.whole_lines],
    )


def knows(lexicon: Lexicon, taught: Teaching) -> bool:
    """Tell whether a kind has every field that was taught: one that lacks it is not the one."""
    fields = {take.role for take in taught.takes if take.role is not None}
    keys = {take.given[0] for take in taught.takes if take.given is not None}
    return {*fields, *taught.told, *taught.words} <= lexicon.roles.keys() and (
        keys <= lexicon.infos.keys()
    )


class ToldLayout:
    """What a person has said of the lines and cells of a file, as they are looked at.

    Parameters
    ----------
    taught
        What was said.
    looks
        What its forms must know.
    """

    def __init__(self, taught: Teaching, looks: Looks) -> None:
        self._taught, self._looks = taught, looks
        self.faults: list[Fault] = []

    def sights(self, export: Export) -> list[Sight] | None:
        """Return what lines of the forms make of a file; None where no form of a line was told."""
        if not self._taught.lines:
            return None
        found = []
        for lines, sheet in lines_of_export(export):
            sight, faults = seen_by_forms(lines, sheet, self._taught, self._looks)
            self.faults += faults
            found += [sight] if sight.tables or sight.below else []
        return found

    def kept(self, grid: Grid) -> Grid:
        """Return a grid without the rows that are passed over."""
        return without_passed(grid, self._taught.pass_over)

    def part(self, seen: Seen) -> None:
        """Tell columns apart that were named by their place, and part those that hold several things."""
        call_by_place(seen, self._taught.take)
        self.faults += with_parts(seen, self._taught, self._looks)


def lines_of_export(export: Export) -> Iterator[tuple[list[tuple[int, str]], str | None]]:
    """Yield the lines of a text, or those of each sheet: its cells with a semicolon between."""
    if not export.is_workbook:
        yield list(enumerate(lines_of(export.text()), 1)), None
        return
    for grid in export._sheet_grids():
        rows = [
            (number, "; ".join(_written(cell) for cell in row).strip("; "))
            for number, row in zip(grid.numbers, grid.rows, strict=True)
        ]
        yield rows, grid.sheet


def _written(cell: Cell) -> str:
    return str(int(cell)) if isinstance(cell, float) and cell.is_integer() else str(cell)


@dataclass
class _LineByLine:
    """Reads lines one by one: what the last of each form told holds for the rows below it."""

    forms: Sequence[Form]
    patterns: Sequence[re.Pattern[str]]
    looks: Looks
    sheet: str | None
    told: list[tuple[str, ...] | None] = field(default_factory=list)
    rows: list[tuple[int, list[str]]] = field(default_factory=list)
    above: list[Line] = field(default_factory=list)
    below: list[Line] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def take(self, text: str, number: int) -> None:
        matching = [
            (self.forms[n].letters, n, match.groups())
            for n, pattern in enumerate(self.patterns)
            if (match := pattern.fullmatch(text))
        ]
        if not matching:
            self._free(text, number)
            return
        _, n, values = max(matching)
        self.told[n] = values
        self.told[n + 1 :] = [None] * (len(self.forms) - n - 1)
        if n < len(self.forms) - 1:
            return
        missing = [form.text for form, one in zip(self.forms, self.told, strict=True) if not one]
        if missing:
            self._fault(number, text, f"a line '{missing[0]}' above it, of its own")
        self.rows.append((number, [value for one in self.told if one for value in one]))
        for m, form in enumerate(self.forms[:-1]):
            if self._is_of_one_row(form):
                self.told[m] = None

    def _is_of_one_row(self, form: Form) -> bool:
        """Tell whether a line counts for the next row alone: it holds a result, or numbers of no id."""
        roles = {place.take.role for place in form.places if place.take.role}
        return bool(roles & self.looks.results) or not (
            roles & _HEADS or not roles & self.looks.numbers
        )

    def _free(self, text: str, number: int) -> None:
        begun = self.rows or any(self.told)
        (self.below if begun else self.above).append(Line((text,), number))
        if begun and _DIGIT.search(text):
            self._fault(
                number,
                text,
                "a line of a form that was told, or one that begins with a word of pass_over",
            )

    def _fault(self, row: int, text: str, expected: str) -> None:
        self.faults.append(
            Fault(Reason.UNREAD_ROWS, row, None, f"'{text[:60]}'", expected, self.sheet)
        )


def seen_by_forms(
    lines: Sequence[tuple[int, str]], sheet: str | None, taught: Teaching, looks: Looks
) -> tuple[Sight, list[Fault]]:
    """Return the table that lines of some forms make; the last form of all makes a row.

    Parameters
    ----------
    lines
        Number and text of each line; in a workbook its cells with a semicolon between.
    """
    forms = taught.lines
    patterns = [form.pattern(looks) for form in forms]
    reading = _LineByLine(forms, patterns, looks, sheet, [None] * len(forms))
    for number, text in lines:
        if text.strip() and not begins_with(text, taught.pass_over):
            reading.take(text.strip(), number)
    whole = [text for _, text in lines]
    grid = Grid(
        [[text.strip()] for text in whole],
        [number for number, _ in lines],
        delimiter=_BY_FORMS,
        sheet=sheet,
        whole_lines=whole,
    )
    if not reading.rows:
        return Sight(grid, [], reading.above + reading.below, []), []
    places = [place for form in forms for place in form.places]
    full = [(number, values) for number, values in reading.rows if len(values) == len(places)]
    columns = [
        SeenColumn(place.raw, place.unit, [values[n] for _, values in full])
        for n, place in enumerate(places)
        if place.take.role is not None
    ]
    rows = [number for number, _ in full]
    table = Seen(grid, columns, reading.rows[0][0], reading.above, rows)
    return Sight(grid, [table], reading.below, []), reading.faults


def with_parts(seen: Seen, taught: Teaching, looks: Looks) -> list[Fault]:
    """Part the columns whose cells hold several things; return what does not have the form."""
    faults: list[Fault] = []
    columns: list[SeenColumn] = []
    for column in seen.columns:
        columns.append(column)  # by whose title the layout is known
        form = taught.form_of(column.title)
        if form is None:
            continue
        pattern = form.pattern(looks)
        found: list[Sequence[str]] = []
        for row, cell in zip(seen.rows, column.cells, strict=True):
            match = pattern.fullmatch(str(cell))
            if match is None and not is_empty(cell):
                expected = f"something of the form {form.text}"
                faults.append(
                    Fault(Reason.UNREAD_ROWS, row, column.title, f"'{cell}'", expected, seen.sheet)
                )
            found.append(match.groups() if match else [""] * len(form.places))
        columns += [
            SeenColumn(place.raw, place.unit, [values[n] for values in found])
            for n, place in enumerate(form.places)
            if place.take.role is not None
        ]
    seen.columns = columns
    return faults
