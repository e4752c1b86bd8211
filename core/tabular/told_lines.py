"""Tables of lines and cells whose form a person has told, where no titles say what stands in them."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from tiecoat.dialect.delimited import Cell, Grid
from tiecoat.dialect.export import Export
from tiecoat.reasons import Fault, Reason
from tiecoat.tabular.column_places import call_by_place
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.forms import Looks, listed_numbers
from tiecoat.tabular.id_looks import IdLooks
from tiecoat.tabular.lexicon import Lexicon
from tiecoat.tabular.line_forms import LineByLine, seen_by_forms
from tiecoat.tabular.seen import Seen, SeenColumn, Sight
from tiecoat.tabular.teaching import Teaching
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.told_entries import ToldEntry

_BRACES = re.compile(r"\{[^{}]*\}")


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
    times = {name for name, role in lexicon.roles.items() if role.type == "time"}
    heads = {"panel", "batch", "date", "moment", *kind.identity} - {kind.counted or ""}
    return Looks(ids, *map(frozenset, (names, times, heads, results)))


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
    keys = {key for take in taught.takes for key, _ in take.keys}
    return {*fields, *taught.told, *taught.words} <= lexicon.roles.keys() and (
        keys - {lexicon.kind.per} <= lexicon.infos.keys()
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

    def _passed(self, line: str) -> bool:
        return begins_with(line, self._taught.pass_over)

    def sights(self, export: Export) -> list[Sight] | None:
        """Return what lines of the forms make of a file; None where no form of a line was told."""
        if not self._taught.lines:
            return None
        found = []
        for lines, sheet in lines_of_export(export):
            if not self.wants(sheet):
                continue
            reading = LineByLine(self._taught.lines, self._looks, sheet)
            sight = seen_by_forms(lines, reading, self._passed)
            self.faults += reading.faults if sight.tables else []
            found += [sight] if sight.tables or sight.below else []
        return found

    @property
    def names_titles(self) -> bool:
        """Whether a person has said what some titles are: then the file has some."""
        return bool(self._taught.take)

    def wants(self, sheet: str | None) -> bool:
        """Tell whether a sheet is read."""
        return self._taught.wants(sheet)

    def named(self, export: Export, sheet: str | None, row: int) -> list[ToldEntry]:
        """Return what the names of a sheet and of the file tell, by the forms that were told of them."""
        found: list[ToldEntry] = []
        of_file = self._taught.file
        called = name_told(of_file.text, export.name, export.folder) if of_file else None
        for form, text in ((self._taught.sheet, sheet), (of_file, called)):
            if form is None:
                continue
            match = form.pattern(self._looks).fullmatch((text or "").strip())
            if match is None:
                expected = f"a name of the form {form.text}"
                fault = Fault(Reason.INCONSISTENT, None, None, f"'{text}'", expected, sheet)
                self.faults += [] if fault in self.faults else [fault]
                continue
            found += [
                ToldEntry(
                    Title(place.take.role, place.take.role, place.take.unit or place.unit),
                    value,
                    None,
                    row,
                    None,
                    sheet,
                )
                for place, value in zip(form.places, match.groups(), strict=True)
                if place.take.role is not None
            ]
        return found

    def kept(self, grid: Grid) -> Grid:
        """Return a grid without the rows that are passed over."""
        return without_passed(grid, self._taught.pass_over)

    def entries(self, entries: Sequence[ToldEntry]) -> list[ToldEntry]:
        """Return entries, and what the texts of those hold that hold several things."""
        found: list[ToldEntry] = []
        for told in entries:
            found.append(told)
            form = self._taught.form_of(told.title.raw)
            if form is None:
                continue
            text = f"{_written(told.value)} {told.unit or ''}".strip()
            match = form.pattern(self._looks).fullmatch(text)
            if match is None:
                expected = f"something of the form {form.text}"
                self.faults.append(
                    Fault(
                        Reason.UNREAD_ROWS,
                        told.row,
                        told.title.raw,
                        f"'{text}'",
                        expected,
                        told.sheet,
                    )
                )
                continue
            found += [
                replace(told, title=Title(place.raw, place.raw), value=value, unit=place.unit)
                for place, value in zip(form.places, match.groups(), strict=True)
                if place.take.role is not None
            ]
        return found

    def part(self, seen: Seen) -> None:
        """Tell columns apart that were named by their place, and part those that hold several things."""
        call_by_place(seen, self._taught.take)
        self.faults += with_parts(seen, self._taught, self._looks)


def stem_of(name: str) -> str:
    """Return a file's name without its ending."""
    return re.sub(r"\.\w{1,5}$", "", name)


def name_told(form: str, name: str, folder: str) -> str:
    """Return a file's name without its ending, below as many folders as a form of names has slashes.

    Examples
    --------
    >>> name_told("{exposure_h in h} h/{}", "rack 2.csv", "chamber/480 h")
    '480 h/rack 2'
    >>> name_told("{panel} {}", "K7-04 b.csv", "chamber")
    'K7-04 b'
    """
    depth = _BRACES.sub("", form).count("/")
    folders = [each for each in folder.replace("\\", "/").split("/") if each]
    return "/".join([*(folders[-depth:] if depth else []), stem_of(name)])


def lines_of_export(export: Export) -> Iterator[tuple[list[tuple[int, str]], str | None]]:
    """Yield the lines of a text, or those of each sheet: its cells with a semicolon between."""
    if not export.is_workbook:
        yield list(enumerate(export._text_lines(), 1)), None
        return
    for grid in export._sheet_grids():
        rows = [
            (number, "; ".join(_written(cell) for cell in row).strip("; "))
            for number, row in zip(grid.numbers, grid.rows, strict=True)
        ]
        yield rows, grid.sheet


def _written(cell: Cell) -> str:
    return str(int(cell)) if isinstance(cell, float) and cell.is_integer() else str(cell)


def with_parts(seen: Seen, taught: Teaching, looks: Looks) -> list[Fault]:
    """Part the columns whose cells hold several things; return what does not have the form."""
    faults: list[Fault] = []
    columns: list[SeenColumn] = []
    listed: list[SeenColumn] = []  # of which each cell holds numbers side by side
    for column in seen.columns:
        columns.append(column)  # by whose title the layout is known
        form = taught.form_of(column.title)
        if form is None:
            continue
        pattern = form.pattern(looks)
        found: list[Sequence[str]] = []
        for row, cell in zip(seen.rows, column.cells, strict=True):
            match = pattern.fullmatch(_written(cell))
            if match is None and not is_empty(cell):
                expected = f"something of the form {form.text}"
                faults.append(
                    Fault(Reason.UNREAD_ROWS, row, column.title, f"'{cell}'", expected, seen.sheet)
                )
            found.append(match.groups() if match else [""] * len(form.places))
        for n, place in enumerate(form.places):
            if place.take.role is not None:
                made = SeenColumn(place.raw, place.unit, [values[n] for values in found])
                columns.append(made)
                listed += [made] if place.take.several else []
    seen.columns = columns
    if listed:
        _part_rows(seen, listed)
    return faults


def _part_rows(seen: Seen, listed: Sequence[SeenColumn]) -> None:
    """Make a row of each number that stands beside others in a cell."""
    parts = {id(one): [listed_numbers(str(cell)) or [""] for cell in one.cells] for one in listed}
    times = [max(len(cells[at]) for cells in parts.values()) for at in range(len(seen.rows))]
    for column in seen.columns:
        cells: list[Cell] = []
        for at, (cell, often) in enumerate(zip(column.cells, times, strict=True)):
            own = parts[id(column)][at] if id(column) in parts else [cell] * often
            cells += [*own, *[""] * (often - len(own))]
        column.cells = cells
    seen.rows = [row for row, often in zip(seen.rows, times, strict=True) for _ in range(often)]
