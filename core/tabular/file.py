"""A whole export as a person sees it: its tables, entries, the marks of its numbers and dates."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from tiecoat.dialect.export import Export
from tiecoat.dialect.numbers import DecimalMark
from tiecoat.dialect.units import plain_unit, scale
from tiecoat.tabular.cell_looks import is_ruler
from tiecoat.tabular.channel_ids import channels_told, name_channels
from tiecoat.tabular.day_order import DatesTold
from tiecoat.tabular.facts import told_mark
from tiecoat.tabular.gathering import gathered
from tiecoat.tabular.id_cells import part_ids_from_words
from tiecoat.tabular.known_table import KnownTable
from tiecoat.tabular.moments import DayOrder
from tiecoat.tabular.other_days import tells_other_day
from tiecoat.tabular.outline import KnownLayout
from tiecoat.tabular.plain_words import bare
from tiecoat.tabular.seen import Allows, Known, Line, Sight
from tiecoat.tabular.title_parts import Title, parted
from tiecoat.tabular.told_entries import FileTable, ToldEntry
from tiecoat.tabular.unit_entries import (
    units_in,
    units_of_symbols,
    with_units_beside,
)
from tiecoat.tabular.ways_of_seeing import WaysOfSeeing

if TYPE_CHECKING:
    from tiecoat.tabular.told_lines import ToldLayout

_PART = re.compile(r"[;,]|:\s")
_PHRASE_ENDS = re.compile(r"[;|]|,\s")
_LEGEND = re.compile(r"(?P<letters>[^\W\d]{1,3})\s*[=:–]\s*(?P<meaning>[^\W\d][^=]{4,60})")
_CHANNEL = re.compile(r"[^\W\d]{1,8}[\s_.]?\d{1,2}")
_CODE = re.compile(r"[^\W\d]\w{1,11}")  # of a title: W_corr, dRust
_MARKED = re.compile(r"\s*[=:–]\s*|\s{2,}|\t")
_MEANS = re.compile(r"[^\W\d][^=]{4,60}")
_MEANING = re.compile(r"\s*[\s:=–-]\s*[^\W\d].{1,60}")
_UNIT_WORD = re.compile(r"[^\s,;:=()\[\]]+(?:[ ·][^\s,;:=()\[\]\d]++(?!\d))?")
_NOUN_IN = re.compile(r"(?P<noun>[^\W\d_]{4,})\s(?:in|en|em|w|v|ve)\s(?P<unit>[^\s,;:()]+)")
_NOUN_FROM = 3  # letters of it without its ending
SpokenIn = Callable[[Iterable[str], Iterable[str]], str]


class File:
    """An export, looked at.

    Parameters
    ----------
    export
        A text or a workbook.
    known
        Tells whether a text is a word of any kind.
    summary
        Tells whether a text begins the row of a summary.
    allows
        Tells whether a text is a closed word of what a title names.
    layout
        How a text of this outline was read before: nothing else is looked at.
    table
        The table of numbers that stands in it.
    closed
        Tells whether a text is a closed word of some kind, such as `degassed`.
    language
        Returns the language of titles and sentences if it is surely not English, else "".
    told
        What a person has said of its lines and cells.
    """

    def __init__(
        self,
        export: Export,
        known: Known,
        summary: Known,
        allows: Allows | None = None,
        layout: KnownLayout | None = None,
        *,
        table: KnownTable | None = None,
        language: SpokenIn = lambda titles, sentences: "",
        closed: Known = lambda text: False,
        told: ToldLayout | None = None,
    ) -> None:
        self.export, self.told = export, told
        self._language, self._known = language, known
        habits = export.habits
        ids = [re.compile(each, re.IGNORECASE) for each in (habits.panel_ids, habits.batch_ids)]
        ways = WaysOfSeeing(known, summary, allows or (lambda title, text: False), ids, told)
        known_table = table.sight(export._text_lines()) if table else None
        self.sights = [known_table] if known_table else ways.seen(export, layout)
        self.upright = len(self.sights) == 1 and not any(map(_turned, self.sights))
        for seen in (table for sight in self.sights for table in sight.tables):
            seen.columns = with_units_beside(seen.columns)
            if known_table is None and told is None:
                part_ids_from_words(seen, ids, closed)
        self.tables, self.stray = gathered(self.sights, known)
        self.on_channels: set[str] = set()  # the ids that lines give to channels
        if known_table is None and told is None:
            self._name_channels(ids)
        if told is not None:
            self._part_entries(told)

    def _name_channels(self, ids: Sequence[re.Pattern[str]]) -> None:
        """Read the ids that lines give to channels in the place of these; then no entry gives one."""
        channels = channels_told((line for sight in self.sights for line in sight.lines), ids)
        self.on_channels = {one for of_word in channels.values() for one in of_word.values()}
        named = [name_channels(table.seen, channels) for table in self.tables if channels]
        of_channels = {one for each in named for one in each}
        for table in self.tables if of_channels else ():
            table.entries = [e for e in table.entries if str(e.value).strip() not in of_channels]
        self.stray = [e for e in self.stray if str(e.value).strip() not in of_channels]

    def _part_entries(self, told: ToldLayout) -> None:
        """Part entries that hold several things, and the tables that entries make."""
        seen = {id(table) for sight in self.sights for table in sight.tables}
        for table in self.tables:
            table.entries = told.entries(table.entries)
            if id(table.seen) not in seen:
                told.part(table.seen)
        self.stray = told.entries(self.stray)

    def entries_for(self, table: FileTable) -> Iterator[ToldEntry]:
        """Return what counts for a table: its own entries, then those of the file's top, then stray.

        What stands above the first table counts for all of a text or a sheet that have no such
        entry of their own.
        """
        yield from table.entries
        earlier = table.seen.before
        while earlier is not None:
            known = next((one for one in self.tables if one.seen is earlier), None)
            yield from known.entries if known else ()
            earlier = earlier.before
        first = next((one for one in self.tables if one.seen.grid is table.seen.grid), None)
        if first is not None and first is not table:
            yield from _of_the_top(first, table, self._known)
        yield from self.stray
        if self.export.is_workbook:
            for other in self.tables:
                if (
                    other.seen.grid is not table.seen.grid
                    and len(self.sheets_with(other)) == 1
                    and not other.seen.rows
                ):
                    yield from other.entries

    def sheets_with(self, table: FileTable) -> list[Sight]:
        return [sight for sight in self.sights if sight.grid is table.seen.grid]

    @cached_property
    def order(self) -> DayOrder:
        """Whether dates begin with the day or with the month."""
        cells = [cell for sight in self.sights for row in sight.grid.rows for cell in row]
        names = [re.sub(r"\.\w{2,4}$", "", self.export.name), self.export.folder]
        formats = self.export.habits.time_formats
        lines = (line for sight in self.sights for line in sight.lines)
        others = [cell for line in lines if tells_other_day(line.text) for cell in line.cells]
        return DatesTold(cells, others, names, formats, self._spoken).order()

    def texts(self) -> Iterator[str]:
        """Yield every text of the file: its name, free lines, titles, entries and cells."""
        yield self.export.name
        for sight in self.sights:
            yield from (line.text for line in sight.lines)
            yield from (cell for row in sight.grid.rows for cell in row if isinstance(cell, str))

    def _spoken(self) -> str:
        """Return the language that the file is written in, where that is surely not English."""
        titles = [title.raw for table in self.tables for title in table.titles]
        titles += [told.title.raw for table in self.tables for told in table.entries]
        titles += [told.title.raw for told in self.stray]
        lines = [line.text for sight in self.sights for line in sight.lines]
        return self._language(titles, lines)

    @cached_property
    def mark(self) -> DecimalMark | None:
        """The decimal mark that the file as a whole speaks for."""
        for delimiter in dict.fromkeys(table.seen.grid.delimiter for table in self.tables):
            cells = [
                c.cells
                for t in self.tables
                if t.seen.grid.delimiter == delimiter
                for c in t.seen.columns
            ]
            if (mark := told_mark(cells, delimiter)) is not None:
                return mark
        if (habit := self.export.habits.decimal) != "auto":
            return habit
        return None

    @cached_property
    def listed_units(self) -> dict[str, set[str]]:
        """The units that lines such as `Units: T in °C; D in 1/s` give, by the bare title."""
        found: dict[str, set[str]] = {}
        for title, unit in self._told_units:
            if title:
                found.setdefault(bare(title), set()).add(unit)
        for sight in self.sights:
            for cell in (cell for line in sight.lines for cell in line.cells):
                for part in _PART.split(cell) if isinstance(cell, str) else ():
                    said = parted(part.strip())
                    if said.unit and said.name:
                        found.setdefault(bare(said.name), set()).add(said.unit)
        return found

    @cached_property
    def units_of_symbols(self) -> dict[str, str]:
        """The units that lines such as `units t:s H:mm T:degC` give symbols, before an underscore too."""
        found: dict[str, set[str]] = {}
        for line in (line for sight in self.sights for line in sight.lines):
            for symbol, unit in units_of_symbols(line.text).items():
                found.setdefault(symbol, set()).add(unit)
        return {symbol: min(units) for symbol, units in found.items() if len(units) == 1}

    @cached_property
    def _units_of_nouns(self) -> dict[str, set[str]]:
        """The units that lines such as `heights in mm, time in min after mixing` give, by the bare noun."""
        found: dict[str, set[str]] = {}
        for line in (line for sight in self.sights for line in sight.lines):
            told = [match for part in _PART.split(line.text) for match in _NOUN_IN.finditer(part)]
            for match in told if len(told) > 1 else ():
                noun = re.sub("(?:e?s|en|e|n)$", "", bare(match["noun"]))
                if len(noun) >= _NOUN_FROM and plain_unit(match["unit"]) not in (None, ""):
                    found.setdefault(noun, set()).add(match["unit"])
        return found

    @cached_property
    def _told_units(self) -> set[tuple[str, str]]:
        lines = [line for sight in self.sights for line in sight.lines]
        texts = [line.text for line in lines]
        texts += [cell for line in lines for cell in line.cells if isinstance(cell, str)]
        return {told for text in texts for told in units_in(text)}

    @cached_property
    def unit_of_all(self) -> str | None:
        """The unit that lines such as `Units: psi` give for the values, if it is one."""
        units = {unit for title, unit in self._told_units if not title}
        return min(units) if len({plain_unit(unit) for unit in units}) == 1 else None

    @cached_property
    def legend(self) -> dict[str, str]:
        """What lines such as `d = width of the damage, w = width of the scribe` say of letters.

        Or of channels: `CH1 cabinet temperature, degF`; or of titles that are no word of any kind:
        `W_corr: overall width of corrosion`.
        """
        return (
            self._channels
            | self._titles_told
            | {
                match["letters"]: match["meaning"].strip()
                for sight in self.sights
                for line in sight.lines
                for part in _PHRASE_ENDS.split(line.text)
                if (match := _LEGEND.fullmatch(part.strip()))
            }
        )

    @cached_property
    def _channels(self) -> dict[str, str]:
        """What lines that begin with the title of a channel say of it."""
        titles = {title.raw.strip() for table in self.tables for title in table.titles}
        channels = [title for title in titles if _CHANNEL.fullmatch(title)]
        found: dict[str, str] = {}
        for line in (line for sight in self.sights for line in sight.lines):
            for title in channels:
                rest = line.text.strip().removeprefix(title)
                if rest != line.text.strip() and _MEANING.fullmatch(rest):
                    found[title] = rest.strip(" :=-–\t")
        return found

    @cached_property
    def _titles_told(self) -> dict[str, str]:
        """What lines of two cells, or with a colon, say of a title that is no word of any kind."""
        titles = {title.name.strip() for table in self.tables for title in table.titles}
        unknown = {name for name in titles if _CODE.fullmatch(name) and not self._known(name)}
        lines = [line for sight in self.sights for line in sight.lines] if unknown else []
        found: dict[str, str] = {}
        for line in lines:
            name, *said = [str(cell).strip() for cell in line.cells]
            if not said:
                name, *said = [part.strip() for part in _MARKED.split(name, maxsplit=1)]
            if name in unknown and len(said) == 1 and _MEANS.fullmatch(said[0]):
                found[name] = said[0]
        return found

    def with_listed_unit(self, title: Title) -> Title:
        """Return a title with the unit that a line of the file lists for it, if it has none."""
        name, symbol = bare(title.name), title.name.partition("_")[0]
        if title.unit is None and symbol in self.units_of_symbols:
            return replace(title, unit=self.units_of_symbols[symbol])
        units = self.listed_units.get(name, set()) or {
            unit
            for noun, several in self._units_of_nouns.items()
            if noun in name
            for unit in several
        }
        return replace(title, unit=min(units)) if title.unit is None and len(units) == 1 else title

    def mentions(self, unit: str) -> dict[str, list[Line]]:
        """Return the other units of a dimension that the free lines, titles and entries speak of."""
        found: dict[str, list[Line]] = {}
        lines = [line for sight in self.sights for line in sight.lines]
        for line in lines:
            for cell in line.cells:
                if not isinstance(cell, str):
                    continue
                for word in _unit_words(cell):
                    if _another(word, unit):
                        found.setdefault(word, []).append(line)
        for table in self.tables:
            for said in (title.unit for title in table.titles):
                if said and _another(said, unit):
                    found.setdefault(said, []).append(Line((said,), table.seen.header_row))
        return found


def _of_the_top(first: FileTable, table: FileTable, known: Known) -> Iterator[ToldEntry]:
    """Return what the lines above the first table tell of all: of no paragraph that comes again.

    Where a later table has a block of entries of its own that repeats some of them, what is left
    out of it is missing there: the date or the dolly of another panel is none of its own.
    """
    own = {told.title.name for told in table.entries if known(told.title.name)}
    grid = first.seen.grid
    filled = {
        n
        for n, cells in zip(grid.numbers, grid.rows, strict=True)
        if (said := [c for c in cells if c != ""]) and not is_ruler(said)
    }
    paragraph = 0
    before: int | None = None
    paragraphs: dict[int, list[ToldEntry]] = {}
    for told in sorted(first.entries, key=lambda told: told.row or 0):
        row = told.row or 0
        if before is not None and any(n not in filled for n in range(before, row)):
            paragraph += 1
        before = row
        paragraphs.setdefault(paragraph, []).append(told)
    again = [
        told
        for entries in paragraphs.values()
        if own & {told.title.name for told in entries}
        for told in entries
    ]
    yield from (told for told in first.entries if not any(told is each for each in again))


def _another(word: str, unit: str) -> bool:
    way = scale(word, unit)
    return way is not None and (way.factor != 1 or bool(way.offset))


def _unit_words(text: str) -> Iterator[str]:
    for match in _UNIT_WORD.finditer(text):
        for word in {match[0], match[0].split(" ")[0]}:
            bare = word.strip(".,;:!?'\"").lstrip("0123456789.,+-")
            if (
                bare
                and bare != "in"  # a word of sentences
                and not bare.isdigit()
                and (len(bare) > 1 or bare in "Ω%°")
                and plain_unit(bare) not in (None, "")
            ):
                yield bare


def _turned(sight: Sight) -> bool:
    """Tell whether a grid is read otherwise than from above down: on its side, or as records."""
    return sight.records or any(table.grid is not sight.grid for table in sight.tables)
