"""In which way a text or a sheet is meant: how it is parted, upright, on its side, as records or a note."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from tiecoat.dialect.delimited import (
    DELIMITERS,
    Cell,
    Grid,
    declared_delimiter,
    split,
)
from tiecoat.dialect.export import Export
from tiecoat.dialect.units import scale
from tiecoat.tabular.aligned import aligned
from tiecoat.tabular.aside import seen_as_records, seen_aside
from tiecoat.tabular.beside import parts_beside
from tiecoat.tabular.cell_looks import ONE_BLANK, valuelike
from tiecoat.tabular.entry_lines import told_in_line
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.marked_lines import without_marks
from tiecoat.tabular.note_amounts import counts_determinations
from tiecoat.tabular.outline import KnownLayout
from tiecoat.tabular.pair_lines import seen_as_pairs
from tiecoat.tabular.seen import Allows, Known, Line, Seen, Sight
from tiecoat.tabular.sight import look
from tiecoat.tabular.stacked import with_blocks_joined, without_statistics
from tiecoat.tabular.title_parts import is_unit_title, parted
from tiecoat.tabular.told_entries import in_list
from tiecoat.tabular.typed import seen_as_note

if TYPE_CHECKING:
    from tiecoat.tabular.told_lines import ToldLayout

_CLEAN = 0.95  # share of cells and rows that fit where a delimiter is the right one
_SIDE_BY_SIDE = re.compile(  # several numbers by blanks or commas
    r"[-+]?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?(?: [-+]?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?){2,}"
    r"|[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?(?:,[-+]?\d+(?:\.\d+)?(?:[eE][-+]?\d+)?){2,}"
)
_JOINED_BY = re.compile(r"[^\W_];[-+]?\d")  # s;4 and 45;5 of s;4,45;5,86
_THOUSANDS = re.compile(r"[-+]?\d{1,3}(?: \d{3})+(?:[.,]\d+)?")
_BLANKS = re.compile(r"[ \u00a0]{2,}|\t+")
_SMALL_WORDS = frozenset(
    "by at of for with bei mit am von für par de à avec du con di da del na w z przy met op van bij při"  # noqa: SIM905 - it reads
    " and und et y e i oraz en a the".split()
)
_ONE_BLANK = re.compile(r"\s+")


class WaysOfSeeing:
    """Sees a text or workbook in each way that may be meant, and keeps the best.

    Parameters
    ----------
    known
        Tells whether a text is a word of any kind.
    summary
        Tells whether a text begins the row of a summary.
    allows
        Tells whether a text is a closed word of what a title names.
    ids
        How the ids of panels and batches look.
    told
        What a person has said of lines and cells.
    """

    def __init__(
        self,
        known: Known,
        summary: Known,
        allows: Allows,
        ids: Sequence[re.Pattern[str]],
        told: ToldLayout | None,
    ) -> None:
        self._known, self._summary, self._allows, self._ids = known, summary, allows, ids
        self._told = told

    def seen(self, export: Export, layout: KnownLayout | None) -> list[Sight]:
        """Return what is seen in an export: in one way alone where its layout is known."""
        if self._told is None:
            return self._seen(export, layout)
        sights = self._told.sights(export)
        sights = self._seen(export, layout) if sights is None else sights
        for table in (table for sight in sights for table in sight.tables):
            self._told.part(table)
        return sights

    def _kept(self, grid: Grid) -> Grid:
        return self._told.kept(grid) if self._told else grid

    def _seen(self, export: Export, layout: KnownLayout | None) -> list[Sight]:
        if export.is_workbook:
            sheets = [
                self._kept(grid)
                for grid in export._sheet_grids()
                if self._told is None or self._told.wants(grid.sheet)
            ]
            grids = [
                part for grid in sheets for part in parts_beside(grid, self._known, self._identity)
            ]
            sights = [self._best(grid) for grid in grids]
            return [sight for sight in sights if sight.tables or sight.below]
        text = export.text()
        lines = without_marks(export._text_lines())
        if (pairs := seen_as_pairs(lines, self._summary)) is not None:
            return [pairs]
        before = layout.delimiter if layout else None
        parted_ways = _grids(lines, text, before)
        grids = [self._kept(one) for one in parted_ways if before in (None, one.delimiter)]
        if not grids:
            return []
        if layout and layout.upright:
            return [self._upright(grids[0])]
        found = [self._best(grid) for grid in grids]
        best = max(found, key=self._worth) if len(found) > 1 else found[0]
        if not self._titled(best) and not (self._told and self._told.names_titles):
            note = seen_as_note(lines, self._known, self._identity, self._allows)
            if note is not None and not (best.records and self._leaves_entries(note)):
                return [note]
        if not best.tables and not any(self._is_entry(line) for line in best.lines):
            best = next((one for one in found if _has_clean_rows(one)), best)
        parts = parts_beside(best.grid, self._known, self._identity)
        return [best] if len(parts) == 1 else [self._best(part) for part in parts]

    def _best(self, grid: Grid) -> Sight:
        """Return the best of the ways to see a grid: as it stands, on its side, or as records."""
        if (
            records := seen_as_records(grid, self._known, self._identity, self._allows)
        ) is not None:
            return records
        upright = without_statistics(self._upright(grid), self._summary)
        direct = with_blocks_joined(upright, self._known, self._identity)
        if any(table.rows and _grouped(table) for table in direct.tables):
            return direct  # titles in two rows stand upright
        turned = seen_aside(grid, self._known, self._summary, self._identity)
        known = self._known_titles(turned) if turned else 0
        if turned and self._merely_counts(direct) and _in_several_units(turned):
            return turned  # Test 1, Test 2 over rows of a temperature, of masses, of a density
        return turned if turned and known > max(1, self._known_titles(direct)) else direct

    def _merely_counts(self, sight: Sight) -> bool:
        """Tell whether the titles of a sight number determinations, and nothing says of what."""
        titles = [title for each in _titles(sight) for title in each if title]
        counted = [title for title in titles if counts_determinations(title)]
        return len(counted) > 1 and all(t in counted or self._summary(t) for t in titles)

    def _upright(self, grid: Grid) -> Sight:
        return look(grid, self._known, self._summary, self._identity, self._allows)

    def _identity(self, text: str) -> bool:
        """Tell whether a text is an id by its look, or a list of ids."""
        parts = in_list(text)
        return bool(parts) and all(any(ids.fullmatch(part) for ids in self._ids) for part in parts)

    def _known_titles(self, sight: Sight) -> int:
        return max(
            (len({t for t in titles if self._names(t)}) for titles in _titles(sight)), default=0
        )

    def _ids_as_titles(self, sight: Sight) -> int:
        """Return how many titles of a table are ids, where no title is a word of the trade."""
        return max((sum(map(self._identity, titles)) for titles in _titles(sight)), default=0)

    def _titled(self, sight: Sight) -> bool:
        """Tell whether a table has titles that are words of the trade, and not of a sentence.

        A number in one, such as that of a standard, is of a title where ids stand in a row below.
        """
        by_blank = sight.grid.delimiter == ONE_BLANK
        numbered = not by_blank and self._lists_ids(sight)
        return any(
            not (by_blank and _is_sentence(titles))
            and sum(
                self._names(title)
                and (numbered or not any(map(str.isdigit, parted(title).name)))
                and not (by_blank and is_unit_title(title))
                for title in titles
            )
            > 1
            for titles in _titles(sight)
        )

    def _lists_ids(self, sight: Sight) -> bool:
        """Tell whether the first column of each table holds nothing but ids."""
        firsts = [table.columns[0].cells for table in sight.tables if table.rows]
        return bool(firsts) and all(self._identity(str(cell)) for cells in firsts for cell in cells)

    def _names(self, title: str) -> bool:
        group, _, own = title.partition(" ")
        share = group.endswith("%")  # 60% B
        below = own if own and valuelike(group) and not share else ""  # 20° reading 1
        told = re.search("[:=]", title) is not None  # dolly 1: 9.5 MPa
        counted = not told and counts_determinations(parted(title).name)  # 1st go (kg/L)
        return not valuelike(title) and (counted or self._known(title) or self._known(below))

    def _worth(self, sight: Sight) -> tuple[float, ...]:
        """Rank a way to see a text: known titles with values under them, few cells that are none."""
        known = self._known_titles(sight) or self._ids_as_titles(sight)
        if sight.records:
            known = len(self._entry_names(sight))
        cells = clean = 0
        for table in sight.tables:
            for column in table.columns:
                texts = [cell for cell in column.cells[:50] if not is_empty(cell)]
                cells += len(texts)
                clean += sum(1 for cell in texts if not _still_joined(cell))
        entries = sum(1 for line in sight.lines if self._is_entry(line))
        share = clean / cells if cells else 0.0
        uneven = sum(len(table.short) for table in sight.tables) + len(sight.orphans)
        rows = sum(len(table.rows) for table in sight.tables)
        even = 1 - min(1.0, uneven / rows) if rows else 0.0
        by_blanks = (sight.grid.delimiter or "").isspace() and sight.grid.delimiter != "\t"
        if sight.records:
            share = even = 1.0
        good = known > 0 and share * even > _CLEAN
        return (
            good and not by_blanks,
            round(known * share * even, 3),
            not by_blanks,
            clean * share * even,
            entries,
            rows,
        )

    def _leaves_entries(self, note: Sight) -> bool:
        """Tell whether a note leaves entries amid its rows: it is a card that has one after the other."""
        first = min((row for table in note.tables for row in table.rows), default=0)
        parts = (line.text.partition(":") for line in note.below if line.row > first)
        return any(value.strip() and self._known(name.strip()) for name, _, value in parts)

    def _is_entry(self, line: Line) -> bool:
        return any(True for _ in told_in_line(line, self._known))

    def _entry_names(self, sight: Sight) -> set[str]:
        """Return the words of the trade that name entries of a grid without tables."""
        pairs = (
            pair for line in sight.below for pair in told_in_line(line, self._known, sight.grid)
        )
        return {name for name, _, _ in pairs if self._known(name)}


def _titles(sight: Sight) -> Iterator[list[str]]:
    """Yield the titles of each table, of groups also those below them: Immersion 48 h over |Z|."""
    for table in (table for table in sight.tables if table.rows):
        yield [column.title for column in table.columns]
        if any(len(column.parts) > 1 for column in table.columns):
            yield [(column.parts or (column.title,))[-1] for column in table.columns]


def _in_several_units(sight: Sight) -> bool:
    """Tell whether titles have units of several dimensions."""
    units = {parted(title).unit for titles in _titles(sight) for title in titles} - {None}
    first, *others = units or {None}
    return any(scale(str(first), str(other)) is None for other in others)


def _is_sentence(titles: Sequence[str]) -> bool:
    """Tell whether words are those of a sentence: `Pull-off, 9 July 2026. Dollies 20 mm, two-pack glue.`"""
    if any(title.casefold() in _SMALL_WORDS for title in titles):
        return True
    ends = sum(title.endswith((",", ".", ":", ";")) for title in titles)
    return ends > 1 or (ends > 0 and any(title.isdigit() for title in titles))


def _grouped(seen: Seen) -> bool:
    """Tell whether titles of a table stand below others that span several of them, no two the same."""
    parts = [column.parts for column in seen.columns if len(column.parts) > 1]
    return len({each[0] for each in parts}) < len(parts) == len(set(parts))


def _has_clean_rows(sight: Sight) -> bool:
    """Tell whether a way to see a text gives a table, though no title of it is a word of the trade."""
    return any(
        table.rows
        and not table.short
        and not any(_still_joined(cell) for column in table.columns for cell in column.cells)
        for table in sight.tables
    )


def _still_joined(cell: Cell) -> bool:
    """Tell whether a cell holds several numbers that another delimiter would part."""
    if not isinstance(cell, str):
        return False
    if re.search(r"\d\s{2,}[-+]?\d", cell):
        return True
    if _JOINED_BY.search(cell):
        return True
    if _SIDE_BY_SIDE.fullmatch(cell) and not _THOUSANDS.fullmatch(cell):
        return True
    return (
        len(re.findall(r"\d[\d.,eE+-]*", cell)) > 2
        and re.search(r"[;|\t]|\d, ?-?\d+[.,]\d", cell) is not None
    )


def _grids(lines: Sequence[str], text: str, known: str | None = None) -> Iterator[Grid]:
    """Return a text parted in each way that may be meant; in one alone where that is known."""
    declared = declared_delimiter(lines)
    if declared:
        yield split(lines, declared, 1)
        return
    if known in DELIMITERS:
        yield split(lines, known)
        return
    for mark in DELIMITERS:
        if mark in text:
            yield split(lines, mark)
    if not any(mark in text for mark in DELIMITERS[:2]):
        yield Grid(
            [[line.strip()] for line in lines],
            range(1, len(lines) + 1),
            delimiter="\0",
            whole_lines=lines,
        )
    ways: tuple[tuple[str, Sequence[Sequence[str]]], ...] = (
        (ONE_BLANK * 2, _by_blanks(lines)),
        (ONE_BLANK, [_ONE_BLANK.split(line.strip()) for line in lines]),
    )
    for mark, rows in ways:
        if sum(len(row) > 1 for row in rows) > 1:
            cells: list[list[Cell]] = [list(row) for row in rows]
            yield Grid(cells, range(1, len(lines) + 1), delimiter=mark, whole_lines=lines)
            return


def _by_blanks(lines: Sequence[str]) -> list[list[str]]:
    """Return lines parted by several blanks or tabs, their cells under their columns."""
    if any("\t" in line for line in lines):
        return [_BLANKS.split(line.strip()) for line in lines]
    return aligned(lines)
