"""From a table, read as a kind, to measurements: rows to records, records to what belongs together."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import time
from functools import cached_property
from itertools import groupby
from typing import Any, TypeVar

import numpy as np

from tiecoat.contract import words as shared
from tiecoat.dialect.units import scale
from tiecoat.plugin import Measurement, Relation
from tiecoat.reasons import Reason
from tiecoat.remarks import Remark
from tiecoat.tabular.assumed import remarks
from tiecoat.tabular.attempts import TAUGHT, Attempt, Given, ids_listed, spread_of
from tiecoat.tabular.days_told import day_told
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.file import ToldEntry
from tiecoat.tabular.lexicon import TIME_KEYS, Role
from tiecoat.tabular.other_ids import tell_other_panel
from tiecoat.tabular.spoken import told, told_amount, told_time, word_above
from tiecoat.tabular.values import (
    LEAST_MERGED,
    ValueReader,
    are_merged,
    as_array,
    filled_down,
    shown,
)
from tiecoat.tabular.words import EXACT, WordIndex, listed

MEANS: WordIndex[str] = WordIndex()
MEANS.add(listed(shared.MEANS), "mean")
EXTREMES: tuple[WordIndex[str], ...] = (WordIndex(), WordIndex())
for _index, _words in zip(EXTREMES, (shared.LEAST, shared.MOST), strict=True):
    _index.add(listed(_words), "extreme")

MEASURED = "moment"  # the time of measuring, as relations call it
LEEWAY_H, DAY_H = 2.0, 24.0
COUNTED_IN_DAYS = "hours of exposure are counted from dates without a clock time"
_SPAN_WITHIN = 0.1
_ROUNDED = 0.02  # that the same value may differ by where it is shown in two units
_AGREE_FLOOR = 1e-9
_ENOUGH = 3  # values that tell by their look that they count up


@dataclass
class Record:
    """What one row, or one cell of a wide row, gives."""

    at: int  # place of the row in the table
    batch: str | None
    panel: str | None
    moment: Any
    instrument: str | None
    own: dict[str, Any] = field(default_factory=dict)  # by spread or matrix


def measurements(found: Attempt) -> Iterator[Measurement]:
    """Return the measurements of a table; what stands in the way is noted as faults."""
    _tell(found)
    if found.export_faults:
        return
    table = _Assembly(found)
    yield from table.measurements()


def _tell(found: Attempt) -> None:
    """Note what nobody took, what is claimed twice, what is lacking."""
    export, table = found.file.export, found.table
    sheet, row = table.seen.sheet, table.seen.header_row
    before = export.fault_count
    for short, fields in table.seen.short:
        last = short == table.seen.rows[-1] and export.open_row == short
        export.fault(
            Reason.CUT_OFF if last else Reason.UNEVEN_ROW,
            short,
            None,
            f"{fields} fields",
            f"{len(table.seen.columns)} fields as in the header, row {row}",
            sheet=sheet,
        )
    for role, first, second in found.rivals:
        if _same_twice(found, role, first, second):
            found.untaken = [place for place in found.untaken if place != second]
            continue
        titles = f"'{found.titles[first].raw}' and '{found.titles[second].raw}'"
        export.fault(
            Reason.INCONSISTENT,
            row,
            None,
            f"two columns for {_called(found, role.name)}: {titles}",
            "one such column, or a profile that says which (tiecoat learn)",
            sheet=sheet,
        )
    for role, one, other in found.contradicting:
        export.fault(
            Reason.INCONSISTENT,
            other.row,
            other.title.raw,
            f"{other.value} {other.unit or ''}, and {one.value} {one.unit or ''} in row {one.row}",
            f"one value for {_called(found, role.name)}",
            sheet=sheet,
        )
    for place in found.untaken:
        export.fault(
            Reason.UNTAKEN_COLUMN,
            row,
            found.titles[place].raw,
            "numbers under a title that is no word of this kind",
            "a title of the trade, or a profile that says what it is or passes it over (tiecoat learn)",
            sheet=sheet,
        )
    for name in found.lacking:
        _tell_lacking(found, name)
    _tell_contradictions(found)
    found.export_faults = export.fault_count > before


def _same_twice(found: Attempt, role: Role, first: int, second: int) -> bool:
    """Tell whether two columns show the same values, each in the unit that its title says."""
    if list(found.contents[first].cells) == list(found.contents[second].cells):
        return True
    units = [found.titles[place].unit for place in (first, second)]
    ways = [scale(unit, role.unit) if unit and role.unit else None for unit in units]
    one, other = (found.contents[place].numbers for place in (first, second))
    if any(way is None for way in ways) or one.odd or other.odd or one.doubtful or other.doubtful:
        return False
    read = [
        way.apply(numbers.values) for way, numbers in zip(ways, (one, other), strict=True) if way
    ]
    pairs = [(a, b) for a, b in zip(*read, strict=True) if not (math.isnan(a) or math.isnan(b))]
    return units[0] != units[1] and all(math.isclose(a, b, rel_tol=_ROUNDED) for a, b in pairs)


def _tell_means(found: Attempt) -> None:
    """Note where what is read as single determinations is a mean of some, by its title."""
    kind = found.lexicon.kind
    if kind.counted is None:
        return
    for name in kind.shown_by:
        given = found.given.get(name)
        if given is None or given.place is None or given.level >= TAUGHT:
            continue
        title = found.titles[given.place]
        if MEANS.all_spoken_of(title.name) or _beside_extremes(found):
            found.file.export.fault(
                Reason.INCONSISTENT,
                found.table.seen.header_row,
                title.raw,
                "a mean or another summary of several determinations, by its title or those beside it",
                f"each determination by itself, told apart by {_called(found, kind.counted)}",
                sheet=found.table.seen.sheet,
            )


def _beside_extremes(found: Attempt) -> bool:
    """Tell whether every row shows its own least and most, and no row has a number of its own."""
    if found.lexicon.kind.counted in found.given:
        return False
    return all(
        any(
            index.knows(title) and len(content.filled) == len(content.cells)
            for title, content in zip(found.titles, found.contents, strict=True)
        )
        for index in EXTREMES
    )


def _tell_contradictions(found: Attempt) -> None:
    """Note where a heading, or another entry, says something else than what is read."""
    values = ValueReader(found)
    _tell_swapped(found)
    _tell_means(found)
    _tell_other_word(found)
    tell_other_panel(found)
    for name, given in found.given.items():
        entry = given.told
        if entry is None or not found.lexicon.allowed(name):
            continue
        spoken = told_amount(found, name)
        own = values.numbers(given)[:1]
        if spoken is not None and own and own != [spoken]:
            _tell_other(found, name, entry, f"{own[0]:g}, and {spoken:g} in the lines above")
    for name in found.lexicon.closed:
        spoken_word = word_above(found, name)
        if name not in found.given or name not in found.lexicon.kind.identity or not spoken_word:
            continue
        read = [found.lexicon.in_words_of_kind(name, v) for v in values.texts(found.given[name])]
        if other_word := next((word for word in read if word and word != spoken_word), None):
            _tell_other(found, name, None, f"{other_word}, and {spoken_word} in the lines above")


def _tell_other(found: Attempt, name: str, entry: ToldEntry | None, what: str) -> None:
    found.file.export.fault(
        Reason.INCONSISTENT,
        entry.row if entry else found.table.seen.header_row,
        entry.title.raw if entry else None,
        what,
        f"one value for {_called(found, name)}",
        sheet=found.table.seen.sheet,
    )


def _tell_lacking(found: Attempt, name: str) -> None:
    """Note what is lacking; where an entry has its name, what stands in that entry."""
    export, seen = found.file.export, found.table.seen
    info = found.lexicon.infos.get(name)
    entries = found.file.entries_for(found.table) if info and info.type == "float" else ()
    taken = [given.told for given in (*found.given.values(), *found.spreads)]
    for entry in entries:
        if entry in taken:
            continue  # its name is a word for something else too, which it tells
        if any(r.name == name and f.level == EXACT for r, f in found.lexicon.fits(entry.title)):
            export.fault(
                Reason.NOT_A_NUMBER,
                entry.row,
                entry.title.raw,
                shown(entry.value),
                f"a number: {info.meaning if info else name}",
                sheet=entry.sheet,
            )
            return
    export.fault(
        Reason.MISSING_COLUMN,
        seen.header_row,
        None,
        f"nothing for {_called(found, name)}",
        "a column or an entry for it, or an answer (tiecoat learn)",
        sheet=seen.sheet,
    )


def _called(found: Attempt, name: str) -> str:
    info = found.lexicon.infos.get(name)
    if name == "moment":
        return "the date of the determination"
    return f"{name} ({info.meaning})" if info else name


_V = TypeVar("_V")
_HEADS = ("panel", "batch", "moment", "date")


def _as_above(values: Sequence[_V | None]) -> list[_V | None]:
    """Return values with each that is missing as the one above."""
    filled: list[_V | None] = []
    for own in values:
        filled.append(filled[-1] if own is None and filled else own)
    return filled


def _tell_swapped(found: Attempt) -> None:
    """Note where the values count 1, 2, 3 ... and the numbers beside them do not."""
    kind, given = found.lexicon.kind, found.given
    count = given.get(kind.counted or "") or given.get("number")
    if count is None or count.place is None or found.contents[count.place].counts:
        return
    for name in kind.shown_by:
        place = given[name].place if name in given else None
        if (
            place is not None
            and found.contents[place].counts
            and len(found.contents[place].filled) >= _ENOUGH
        ):
            found.file.export.fault(
                Reason.INCONSISTENT,
                found.table.seen.rows[0],
                found.titles[place].raw,
                f"values that count up, and none under '{found.titles[count.place].raw}'",
                "numbers and values under their own titles: are the two swapped?",
                sheet=found.table.seen.sheet,
            )


def _tell_other_word(found: Attempt) -> None:
    """Note where the title of a value says one closed word, and a column or entry another.

    Such as wet film thickness beside a column that says dry.
    """
    lexicon = found.lexicon
    for value in found.given.values():
        if value.place is None or value.role.sort != "column":
            continue
        title = found.titles[value.place]
        said = [
            role.spread
            for role, fit in lexicon.fits(title)
            if role.spread and fit.level == EXACT and role.spread.column == value.role.name
        ]
        for spread in said:
            if sum(other.key == spread.key for other in said) > 1:
                continue
            given = found.given.get(spread.key)
            if given is None or not isinstance(spread.value, str):
                continue
            texts = ValueReader(found).texts(given)
            others = {lexicon.in_words_of_kind(spread.key, text) for text in texts}
            others -= {spread.value, None}
            if others:
                found.file.export.fault(
                    Reason.INCONSISTENT,
                    found.table.seen.header_row,
                    title.raw,
                    f"{spread.value} in the title, and {', '.join(map(str, others))} beside it",
                    f"one {spread.key}",
                    sheet=found.table.seen.sheet,
                )


class _Assembly:
    """One table of one kind."""

    def __init__(self, found: Attempt) -> None:
        self.found, self.values = found, ValueReader(found)
        self.kind, self.infos = found.lexicon.kind, found.lexicon.infos
        self.length = len(found.table.seen.rows)
        self.used = [
            any(
                not is_empty(content.cells[at])
                for place, content in enumerate(found.contents)
                if self._is_value(place)
            )
            for at in range(self.length)
        ]
        if self.kind.replaces:  # a line of a register says that the panel or batch is there
            self.used = [True] * self.length

    def _is_value(self, place: int) -> bool:
        """Tell whether a column holds what a row is about: no key, and nothing passed over."""
        return place in self._values_at

    @cached_property
    def _values_at(self) -> set[int | None]:
        own = {given.place for given in self.found.given.values() if given.role.sort != "key"}
        return own | {given.place for given in self.found.spreads}

    def measurements(self) -> Iterator[Measurement]:
        records = self._records()
        if not records:
            return
        columns = self._columns(records)
        if self.values.export.fault_count:
            return
        self._count(records, columns)
        yield from self._grouped(records, columns)

    # records

    def _texts(self, name: str) -> list[str | None]:
        given = self.found.given.get(name)
        if given is None:
            return [None] * self.length
        texts = self.values.texts(given)
        if given.told:
            return texts
        if self._is_merged(given):
            return _as_above(texts)
        texts = filled_down(texts, self.used)
        if name in (self.kind.per, "panel") and (name != "panel" or self.kind.per == "panel"):
            self._tell_missing(name, given, texts)
        return texts

    def _tell_missing(self, name: str, given: Given, texts: Sequence[str | None]) -> None:
        """Note rows without an id where others have one: the file's name would tell one for all."""
        if not any(texts) or given.place is None:
            return
        for at, text in enumerate(texts):
            if text is None and self.used[at]:
                title = self.found.titles[given.place].raw
                self.values.fault(
                    Reason.MISSING_VALUE,
                    self.values.rows[at],
                    title,
                    "nothing",
                    f"the {name} that the row is of",
                )

    def _moments(self) -> list[Any]:
        given = self.found.given
        if "moment" in given and ("date" not in given or given["moment"].place is not None):
            parts = [given["moment"]]
            clock = given.get("clock")
            beside = clock is not None and (clock.place is not None or "date" not in given)
            if clock is not None and beside and not self._has_clock(given["moment"]):
                parts.append(clock)
        elif "date" in given:
            parts = [given["date"]] + (
                [given["clock"]] if "clock" in given and not self._has_clock(given["date"]) else []
            )
        else:
            return self._day_of_lines()
        moments = self.values.times(parts)
        places = [part.place for part in parts if part.place is not None]
        merged = [self.found.contents[place].cells for place in places if self._merged(place)]
        own = [
            None if any(is_empty(cells[at]) for cells in merged) else moment
            for at, moment in enumerate(moments)
        ]
        return _as_above(own) if merged else moments

    def _day_of_lines(self) -> list[Any]:
        """Return the one day that free lines tell, for every row; the file remarks it."""
        told_day = None if self.kind.replaces else day_told(self.found)
        if told_day is None:
            return [None] * self.length
        self.values.remarks.append(told_day[1])
        return [told_day[0]] * self.length

    def _tell_untimed(self, moments: Sequence[Any]) -> None:
        told = {fault.row for fault in self.values.export.faults}
        for at, moment in enumerate(moments):
            row = self.values.rows[at]
            if moment is None and self.used[at] and row not in told:
                self.values.fault(
                    Reason.MISSING_VALUE, row, None, "no date", "the date of the determination"
                )

    def _has_clock(self, given: Given) -> bool:
        from datetime import datetime, time

        cells = (
            [given.told.value]
            if given.told
            else [c for c in self.found.contents[given.place or 0].cells if not is_empty(c)]
        )
        return any(
            (isinstance(cell, str) and ":" in cell)
            or (isinstance(cell, datetime) and cell.time() != time())
            for cell in cells
        )

    def _records(self) -> list[Record]:
        batches, panels = self._texts("batch"), self._texts("panel")
        moments, instruments = self._moments(), self._texts("instrument")
        if self.kind.timed:
            self._tell_untimed(moments)
        variants = self._variants()
        records = []
        for at in range(self.length):
            if not self.used[at]:
                continue
            for own in variants[at]:
                batch, panel = own.pop("batch", batches[at]), own.pop("panel", panels[at])
                for each in self._batches(batch):
                    records.append(Record(at, each, panel, moments[at], instruments[at], own))
        if self.kind.unique and any("batch" in one or "panel" in one for one in self._told_wide):
            records.sort(key=lambda record: (str(record.batch), str(record.panel)))
        return records

    @cached_property
    def _told_wide(self) -> list[set[str]]:
        """Return the keys that the title of each wide column tells."""
        return [{name for name, _ in given.keys} for given in self.found.spreads]

    def _batches(self, cell: str | None) -> list[str | None]:
        """Return the batches that a row is of: several where the kind may be shared."""
        habits = self.found.file.export.habits
        pattern = re.compile(habits.batch_ids, re.IGNORECASE)
        several = ids_listed(pattern, cell) if cell and self.kind.shared else []
        return [*dict.fromkeys(several)] or [cell]

    def _variants(self) -> list[list[dict[str, Any]]]:
        """Return for each row the records in it: one, or one for each cell of a wide layout."""
        spreads = [given for given in self.found.spreads if spread_of(given).key]
        spreads.sort(key=_as_they_stand)
        if not spreads:
            return [[{}] for _ in range(self.length)]
        rows: list[dict[Any, dict[str, Any]]] = [{} for _ in range(self.length)]
        for given in spreads:
            keys = tuple((name, self._key(name, value)) for name, value in given.keys)
            column = spread_of(given).column
            for at, value in enumerate(self._cells(given)):
                if _missing(value):
                    continue
                parts = [own for told, own in rows[at].items() if set(keys) <= set(told)]
                if not parts and given.told is not None:
                    continue  # an entry completes what columns show, and is no record alone
                for own in parts or [rows[at].setdefault(keys, dict(keys))]:
                    own.setdefault(column, value)
        return [list(row.values()) for row in rows]

    def _key(self, name: str, value: Any) -> Any:
        """Return a key as its column writes it: a number as a text where it is one of texts."""
        text = name in self.infos and self.infos[name].type == "str" and isinstance(value, float)
        return f"{value:g}" if text else value

    def _cells(self, given: Given) -> Sequence[Any]:
        if given.role.type == "float":
            return self.values.numbers(given)
        return self.values.texts(given)

    # columns

    @cached_property
    def _results(self) -> set[str]:
        """The columns that a row is there for, and what they are computed from."""
        kind = self.kind
        results = set(kind.shown_by) or {relation.gives for relation in kind.relations}
        feeding = {need for r in kind.relations if r.gives in results for need in r.needs}
        return results | (feeding & {source.name for source in kind.sources})

    def _columns(self, records: Sequence[Record]) -> dict[str, list[Any]]:
        at = [record.at for record in records]
        read: dict[str, Any] = {}
        for name, given in self.found.given.items():
            if given.role.sort in ("column", "source"):
                values = self._read(given)
                read[name] = [values[n] for n in at]
        for name, texts in self._shares().items():
            read.setdefault(name, [texts[n] for n in at])
        for name in {name for record in records for name in record.own}:
            blank = math.nan if self.infos[name].type == "float" else None
            base = read.get(name, [blank] * len(records))
            read[name] = [
                record.own.get(name, before) for record, before in zip(records, base, strict=True)
            ]
        if any(MEASURED in relation.needs for relation in self.kind.relations):
            read[MEASURED] = [record.moment for record in records]
        self._tell_other_span(read)
        self._related(read, len(records))
        self._told(read, len(records))
        defaults: dict[str, Any] = dict(self.kind.defaults)
        defaults |= {custom.column: custom.value for custom in self.found.customs}
        columns = {}
        for name, info in self.infos.items():
            blank = math.nan if info.type == "float" else None
            values = read.get(name, [blank] * len(records))
            if info.type == "str":
                taught = [self.found.taught.in_words(name, value) for value in values]
                values = [self.found.lexicon.in_words_of_kind(name, value) for value in taught]
            if name in defaults and name not in read:
                values = [defaults[name]] * len(records)
            columns[name] = list(values)
        return columns

    def _shares(self) -> dict[str, list[str | None]]:
        """Join shares that stand in columns of their own to one text: `60 % B, 40 % B/C`."""
        shares: dict[str, list[list[str]]] = {}
        for given in self.found.spreads:
            spread = spread_of(given)
            if spread.key:
                continue
            rows = shares.setdefault(spread.column, [[] for _ in range(self.length)])
            for at, value in enumerate(self.values.numbers(given)):
                if value > 0:
                    rows[at].append(f"{value:g} % {spread.value}")
        return {name: [", ".join(row) or None for row in rows] for name, rows in shares.items()}

    def _read(self, given: Given) -> Sequence[Any]:
        role = given.role
        if role.type == "float":
            values: Sequence[Any] = self.values.numbers(given)
            if given.place is None:
                return values
            if role.name in self._results:  # a value that was left out is missing, never as above
                return values
            if self._merged(given.place):
                return self._down(values, [False] * self.length)
            if role.name in self.kind.identity:
                empty = [math.isnan(value) for value in values]
                begins = self._begins(given.place)
                return self._down(values, begins) if are_merged(empty, self.used) else values
            return values
        if role.type == "complex":
            return self.values.complexes(given)
        if role.type == "time":
            times = self.values.times([given])
            return _as_above(times) if self._is_merged(given) else times
        texts = self.values.texts(given)
        if self._is_merged(given):
            return _as_above(texts)
        if role.name not in self.kind.identity or given.place is None:
            return texts
        begins = self._begins(given.place)
        filled = filled_down(texts, self.used)
        return [own if new else text for own, text, new in zip(texts, filled, begins, strict=True)]

    def _is_merged(self, given: Given) -> bool:
        return given.place is not None and self._merged(given.place)

    def _merged(self, place: int) -> bool:
        """Tell whether cells of a column are merged over rows, or left out as the same as above.

        They are if it is filled where others that a row cannot do without are, or where a batch
        begins.
        """
        filled = self._filled(place)
        if all(filled) or not filled[0]:
            return False
        times = [self.found.given[name].place for name in TIME_KEYS if name in self.found.given]
        needed = [
            given.place
            for name, given in self.found.given.items()
            if given.place not in (None, place)
            and (name in _HEADS or (name in self.infos and not self.infos[name].nullable))
            and not (place in times and given.place in times)  # a day and its clock are one
        ]
        patterns = [self._filled(other) for other in needed if other is not None]
        several = filled.count(False) >= LEAST_MERGED
        return filled in patterns or (several and filled == self._batch_begins)

    def _filled(self, place: int) -> list[bool]:
        return [not is_empty(cell) for cell in self.found.contents[place].cells]

    @cached_property
    def _batch_begins(self) -> list[bool] | None:
        """Where the panels of another batch begin, by their ids; None if these do not tell."""
        given = self.found.given.get("panel")
        if given is None or given.place is None:
            return None
        pattern = re.compile(self.found.file.export.habits.panel_ids, re.IGNORECASE)
        if "batch" not in pattern.groupindex:
            return None
        found = [pattern.fullmatch(str(c)) for c in self.found.contents[given.place].cells]
        batches = [match and match["batch"] for match in found]
        return [own != above for own, above in zip(batches, [None, *batches], strict=False)]

    def _begins(self, place: int) -> list[bool]:
        """Return where a panel or batch to the left is another one: no cell is merged beyond it."""
        outer = [
            given.place
            for name, given in self.found.given.items()
            if name in ("panel", "batch") and given.place is not None and given.place < place
        ]
        begins = [False] * self.length
        for each in outer:
            above: Any = None
            for at, cell in enumerate(self.found.contents[each].cells):
                if not is_empty(cell):
                    begins[at] |= above is not None and cell != above
                    above = cell
        return begins

    def _down(self, values: Sequence[float], begins: Sequence[bool]) -> list[float]:
        """Fill a number down where its first cell is there and later ones are empty: merged cells."""
        filled: list[float] = []
        for value, used, new in zip(values, self.used, begins, strict=True):
            empty = math.isnan(value) and used and filled and not new
            filled.append(filled[-1] if empty else value)
        return filled

    def _related(self, read: dict[str, Any], length: int) -> None:
        """Complete columns by the relations of the kind, and note where they contradict."""
        changed = True
        done: set[int] = set()
        while changed:
            changed = False
            for number, relation in enumerate(self.kind.relations):
                if number in done or not set(relation.needs) <= read.keys():
                    continue
                done.add(number)
                changed = True
                with np.errstate(all="ignore"):
                    gives = relation.by(*(self._array(read, name) for name in relation.needs))
                values = list(gives.tolist() if isinstance(gives, np.ndarray) else gives)
                if relation.gives not in read:
                    read[relation.gives] = [None if v == "" else v for v in values]
                    if (leeway := self._leeway(read, relation)) >= DAY_H:
                        self.values.remarks.append(COUNTED_IN_DAYS)
                    if leeway and (spoken := told_time(self.found, relation.gives)) is not None:
                        stated = [spoken] * len(values)
                        self._compare(stated, values, relation, (), leeway)
                elif self._type(relation.gives) == "float":
                    of = read.get(relation.of, ()) if relation.of else ()
                    leeway = self._leeway(read, relation)
                    self._compare(read[relation.gives], values, relation, of, leeway)
                    read[relation.gives] = [
                        v if math.isnan(own) else own
                        for own, v in zip(read[relation.gives], values, strict=True)
                    ]
                else:
                    read[relation.gives] = [
                        own or v for own, v in zip(read[relation.gives], values, strict=True)
                    ]

    def _array(self, read: dict[str, Any], name: str) -> Any:
        return as_array(read[name], self._type(name))

    def _type(self, name: str) -> str:
        return self.infos[name].type if name in self.infos else self.found.lexicon.roles[name].type

    def _tell_other_span(self, read: dict[str, Any]) -> None:
        """Remark a span in an entry where a heading or the file's name tells another.

        Of a file with several spans the name tells how long all of it took.
        """
        for name, given in self.found.given.items():
            if given.told is None or name not in self.infos or self.infos[name].unit != "h":
                continue
            alike = [
                entry.value
                for table in self.found.file.tables
                for entry in table.entries
                if entry.title == given.told.title
            ]
            if any(value != given.told.value for value in alike):
                continue
            own, spoken = read[name][0] if read.get(name) else math.nan, told_time(self.found, name)
            if spoken is not None and abs(own - spoken) > LEEWAY_H + _SPAN_WITHIN * spoken:
                words = f"{own:g} h in an entry and {spoken:g} h in a heading or the name"
                self.values.remarks.append(f"{words} for {self.infos[name].meaning}")

    def _leeway(self, read: dict[str, Any], relation: Relation) -> float:
        """Return by how many hours more times may differ: a day, where one stands without its clock."""
        if MEASURED not in relation.needs:
            return 0.0
        zone = self.found.file.export.habits.zone
        times = [at for name in relation.needs for at in set(read[name]) if at is not None]
        dates = any(at.astimezone(zone).time() == time() for at in times)
        return LEEWAY_H + (DAY_H if dates else 0.0)

    def _compare(
        self,
        own: Sequence[float],
        computed: Sequence[float],
        relation: Relation,
        of: Sequence[float],
        leeway: float = 0.0,
    ) -> None:
        for at, (one, other) in enumerate(zip(own, computed, strict=True)):
            if math.isnan(one) or math.isnan(other):
                continue
            whole = abs(of[at]) if of else max(abs(one), abs(other), _AGREE_FLOOR)
            if abs(one - other) > relation.within * whole + leeway:
                self.values.fault(
                    Reason.INCONSISTENT,
                    self.values.rows[min(at, self.length - 1)],
                    relation.gives,
                    f"{one:.4g}",
                    f"{other:.4g}, from the other columns",
                )

    @property
    def _closed_keys(self) -> set[str]:
        """Columns of closed words that tell determinations apart: a text may speak of them."""
        return {name for name in self.found.lexicon.closed if name in self.kind.identity}

    def _told(self, read: dict[str, Any], length: int) -> None:
        """Take from headings, the sheet and the file's name what nothing else gives."""
        for name, info in self.infos.items():
            if name in read or (
                info.nullable and name not in {*dict(self.kind.defaults), *self._closed_keys}
            ):
                continue
            if (value := told(self.found, name)) is not None:
                read[name] = [value] * length

    # what belongs together

    def _count(self, records: Sequence[Record], columns: dict[str, list[Any]]) -> None:
        """Number the determinations where the export does not; a sweep is one, of no number."""
        name = self.kind.counted
        if not name or any(value == value for value in columns[name]):  # noqa: PLR0124
            return
        others = [other for other in self.kind.identity if other != name]
        seen: dict[Any, int] = {}
        for at, record in enumerate(records):
            if self._is_swept(columns, at):
                continue
            key = (record.batch, record.panel, *(columns[other][at] for other in others))
            seen[key] = seen.get(key, 0) + 1
            columns[name][at] = float(seen[key])

    def _is_swept(self, columns: dict[str, list[Any]], at: int) -> bool:
        """Tell whether a record is a point of a sweep."""
        return any(
            self.infos[name].type == "float" and not math.isnan(columns[name][at])
            for name in self.kind.unique
        )

    def _grouped(
        self, records: Sequence[Record], columns: dict[str, list[Any]]
    ) -> Iterator[Measurement]:
        """Return a measurement for each record, or of a sweep for all that belong together."""
        places = list(range(len(records)))
        if self.kind.unique:
            groups = [
                list(group)
                for _, group in groupby(
                    places, key=lambda at: self._belongs(records[at], columns, at)
                )
            ]
        else:
            groups = [[at] for at in places]
        odd = self._odd(records, columns)
        for group in groups:
            first = records[group[0]]
            yield Measurement(
                columns={name: [values[at] for at in group] for name, values in columns.items()},
                rows=[self.values.rows[records[at].at] for at in group],
                batch=first.batch,
                panel=first.panel,
                measured_at=first.moment,
                instrument=first.instrument,
                kind=self.kind.name,
                sheet=self.found.table.seen.sheet,
                remarks=(
                    *self.values.remarks,
                    *remarks(self.found),
                    *(odd[at] for at in group if at in odd),
                ),
            )

    def _odd(self, records: Sequence[Record], columns: dict[str, list[Any]]) -> dict[int, str]:
        """Return what the kind finds odd about records, by their position."""
        if self.kind.odd is None:
            return {}
        arrays = {name: as_array(values, self.infos[name].type) for name, values in columns.items()}
        arrays["panel"] = as_array([record.panel for record in records], "str")
        arrays["batch"] = as_array([record.batch for record in records], "str")
        return {at: Remark.SELDOM.said(words) for at, words in self.kind.odd(arrays)}

    def _belongs(self, record: Record, columns: dict[str, list[Any]], at: int) -> tuple[Any, ...]:
        """Return what the records of one measurement share: the time too, of those in no sweep."""
        # as texts, because a missing number (NaN) is not equal to itself
        return (
            record.batch,
            record.panel,
            *(str(columns[name][at]) for name in self.kind.identity),
            None if self._is_swept(columns, at) else record.moment,
        )


def _missing(value: Any) -> bool:
    return value is None or (isinstance(value, float) and math.isnan(value))


def _as_they_stand(given: Given) -> tuple[bool, int, int]:
    """Order what a wide layout gives as its columns stand; what completes several of them, last."""
    return given.place is None, -len(given.keys), given.place or 0
