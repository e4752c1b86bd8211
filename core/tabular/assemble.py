"""From a table, read as a kind, to measurements: rows to records, records to what belongs together."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import groupby
from typing import Any

from tiecoat.contract.columns import ColumnType
from tiecoat.contract.words import truth_of
from tiecoat.plugin import Measurement
from tiecoat.reasons import Reason
from tiecoat.remarks import Remark
from tiecoat.tabular.assumed import remarks
from tiecoat.tabular.attempts import Attempt, Given, spread_of
from tiecoat.tabular.cell_texts import filled_down, shown
from tiecoat.tabular.counting import late_numbers
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.left_out import left_out
from tiecoat.tabular.lines_beside import TOLD_BESIDE
from tiecoat.tabular.merged_cells import MergedCells, as_above
from tiecoat.tabular.no_reading import no_readings_left_out
from tiecoat.tabular.objections import tell_what_is_wrong
from tiecoat.tabular.plus_minus import behind, plus_minus_passed, which_uncertainty
from tiecoat.tabular.records import Record, RecordReader
from tiecoat.tabular.relations import MEASURED, Relations
from tiecoat.tabular.spoken import called, told
from tiecoat.tabular.summaries import means_as_one, other_means
from tiecoat.tabular.values import ValueReader, as_array


def _whole(value: float) -> int | None:
    return int(value) if float(value).is_integer() else None


NARROWED: Mapping[ColumnType, tuple[Callable[[Any], Any], str]] = {
    "whole": (_whole, "a whole number"),
    "bool": (truth_of, "yes or no"),
}


def measurements(found: Attempt) -> Iterator[Measurement]:
    """Return the measurements of a table; what stands in the way is noted as faults."""
    tell_what_is_wrong(found)
    if found.export_faults:
        return
    table = _Assembly(found)
    yield from table.measurements()


class _Assembly:
    """One table of one kind."""

    def __init__(self, found: Attempt) -> None:
        self.found, self.values = found, ValueReader(found)
        self.kind, self.infos = found.lexicon.kind, found.lexicon.infos
        self.length = len(found.table.seen.rows)
        self.used = self._used()
        self.merged = MergedCells(found, self.used)
        self.records = RecordReader(found, self.values, self.merged)
        self.relations = Relations(found, self.values)

    def _used(self) -> list[bool]:
        """Return of which rows there is something, in any column of values."""
        values = [one for at, one in enumerate(self.found.contents) if self._is_value(at)]
        # a line of a register says that the panel or batch is there
        if self.kind.replaces or any(len(one.filled) == self.length for one in values):
            return [True] * self.length
        return [any(not is_empty(one.cells[at]) for one in values) for at in range(self.length)]

    def _is_value(self, place: int) -> bool:
        """Tell whether a column holds what a row is about: no key, and nothing passed over."""
        return place in self._values_at

    @cached_property
    def _values_at(self) -> set[int | None]:
        own = {given.place for given in self.found.given.values() if given.role.sort != "key"}
        return own | {given.place for given in self.found.spreads}

    def measurements(self) -> Iterator[Measurement]:
        records = self.records.records()
        if not records:
            return
        columns = self._columns(records)
        if self.values.export.fault_count:
            return
        self.found.read = columns
        self._count(records, columns)
        self.values.remarks += means_as_one(self.found)
        self.values.remarks += plus_minus_passed(self.found)
        self.values.remarks += late_numbers(self.found)
        self.values.remarks += no_readings_left_out(self.found)
        self.values.remarks += left_out(self.found)
        yield from self._grouped(records, columns)

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
        in_order = at == [*range(self.length)]  # each row is a record
        read: dict[str, Any] = {}
        for name, given in self.found.given.items():
            if given.role.sort in ("column", "source"):
                values = self._read(given)
                read[name] = values if in_order else [values[n] for n in at]
        for name, texts in self._shares().items():
            read.setdefault(name, [texts[n] for n in at])
        for name in {name for record in records for name in record.own}:
            blank = math.nan if self.found.lexicon.roles[name].type == "float" else None
            base = read.get(name, [blank] * len(records))
            read[name] = [
                record.own.get(name, before) for record, before in zip(records, base, strict=True)
            ]
        for name, values in self._behind_plus_minus().items():
            read.setdefault(name, [values[n] for n in at])
        moments = [record.moment for record in records]
        if any(moments) and any(MEASURED in relation.needs for relation in self.kind.relations):
            read[MEASURED] = moments
        self.relations.tell_other_span(read)
        self.relations.complete(read)
        self._told(read, len(records))
        defaults: dict[str, Any] = dict(self.kind.defaults)
        defaults |= {c.column: c.value for c in self.found.customs if c.value is not None}
        columns = {}
        for name, info in self.infos.items():
            blank = math.nan if info.type == "float" else None
            values = read.get(name, [blank] * len(records))
            if info.type == "str":
                words = {value: self.found.word(name, value) for value in set(values)}
                values = [words[value] for value in values]
            if name in defaults and name not in read and name != self.kind.counted:
                values = [defaults[name]] * len(records)
            columns[name] = list(values)
        for name, kept in self.found.lexicon.kept.items():
            columns[name] = self._narrowed(name, kept, columns[name], records)
        return columns

    def _narrowed(
        self, name: str, kept: ColumnType, values: Sequence[Any], records: Sequence[Record]
    ) -> list[Any]:
        """Return values that were read as numbers or words as what their column keeps."""
        narrow, expected = NARROWED[kept]
        given = self.found.given.get(name)
        title = name if given is None or given.place is None else self.values.title(given.place).raw
        found: list[Any] = []
        for value, record in zip(values, records, strict=True):
            read = narrow(value)
            if read is None and not (value is None or value != value):  # noqa: PLR0124 - NaN
                row = self.values.rows[record.at]
                self.values.fault(Reason.NOT_A_NUMBER, row, title, shown(value), expected)
            found.append(read)
        return found

    def _behind_plus_minus(self) -> dict[str, list[float]]:
        """Return the uncertainties that stand behind ± in a column, where the file says which."""
        found: dict[str, list[float]] = {}
        for name, given in self.found.given.items():
            if given.place is None or not self.found.contents[given.place].numbers.apart:
                continue
            to = which_uncertainty(self.found, name)
            said = self.found.contents[given.place].numbers.unit
            way = self.values.units.quietly(self.values.title(given.place), said, given.role)
            if to is not None and way is not None:
                found[to] = way.of_differences(behind(self.found, given))
        return found

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

    def _own_or_as_above(self, name: str, place: int, values: Sequence[float]) -> Sequence[float]:
        """Return amounts that tell determinations apart, each empty cell as the merged one above.

        Where others with the same words have an amount that may be left out, it was forgotten.
        """
        may_lack = self.infos[name].nullable and bool(self.infos[name].unit)
        words = self._words_of_identity() if may_lack else [()] * self.length
        read, forgotten = self.merged.own_or_as_above(place, values, words)
        if may_lack:  # what must be there is asked for anyway
            self._tell_forgotten(name, place, forgotten)
        return read

    def _tell_forgotten(self, name: str, place: int, forgotten: Iterable[int]) -> None:
        """Note the rows of a table in which an amount is lacking that others have."""
        for at in forgotten:
            title, row = self.values.title(place).raw, self.values.rows[at]
            expected = f"the {self.infos[name].meaning}, as in other rows"
            self.values.fault(Reason.MISSING_VALUE, row, title, "nothing", expected)

    def _words_of_identity(self) -> list[tuple[str | None, ...]]:
        """Return of each row the closed words that tell determinations apart, such as its state."""
        columns = []
        for name in self.found.lexicon.closed.keys() & set(self.kind.identity):
            given = self.found.given.get(name)
            if given is not None and given.place is not None:
                columns.append([self.found.word(name, text) for text in self._read(given)])
        return list(zip(*columns, strict=True)) if columns else [()] * self.length

    def _read(self, given: Given) -> Sequence[Any]:
        role = given.role
        if role.type == "float":
            values: Sequence[Any] = self.values.numbers(given)
            if given.place is None:
                return values
            if role.name in self._results:  # a value that was left out is missing, never as above
                return values
            if self.merged.are_merged_at(given.place):
                return self.merged.filled_down(values, [False] * self.length)
            if role.name in self.kind.identity:
                return self._own_or_as_above(role.name, given.place, values)
            if role.name in {custom.column for custom in self.kind.customs}:
                empty = (at for at, value in enumerate(values) if math.isnan(value))
                self._tell_forgotten(role.name, given.place, filter(self.used.__getitem__, empty))
            return values
        if role.type == "complex":
            return self.values.complexes(given)
        if role.type == "time":
            times = self.values.times([given])
            return as_above(times) if self.merged.is_merged(given) else times
        texts = self.values.texts(given)
        if self.merged.is_merged(given):
            return as_above(texts)
        if role.name not in self.kind.identity or given.place is None:
            return texts
        begins = self.merged.begins(given.place)
        filled = filled_down(texts, self.used)
        return [own if new else text for own, text, new in zip(texts, filled, begins, strict=True)]

    def _may_be_told(self, name: str) -> bool:
        """Tell whether a text may speak of a column that may be empty.

        Of words and amounts that tell determinations apart, and of a condition that one is made under,
        such as a temperature; never of what a row is there for. A thickness needs a surer word.
        """
        info, lexicon, kind = self.infos[name], self.found.lexicon, self.kind
        key = name in kind.identity and (name in lexicon.closed or bool(info.unit))
        if key or name in dict(kind.defaults):
            return True
        if info.type != "float" or not info.unit or info.unit in TOLD_BESIDE or kind.replaces:
            return False
        return name not in {*lexicon.results, *kind.unique, *kind.identity}

    def _told(self, read: dict[str, Any], length: int) -> None:
        """Take from headings, the sheet and the file's name what nothing else gives."""
        for name, info in self.infos.items():
            if name in read or (info.nullable and not self._may_be_told(name)):
                continue
            if (value := told(self.found, name)) is not None:
                read[name] = [value] * length
        for name in self.kind.unique:
            if name not in read and (word := called(self.found, name)) is not None:
                read[name] = [word] * length

    # what belongs together

    def _count(self, records: Sequence[Record], columns: dict[str, list[Any]]) -> None:
        """Number the determinations where the export does not; a sweep is one, of no number.

        Those of a batch are told apart by their time too, so that a list which grows from day to
        day numbers each as the list of its day did. Spots of a panel are others at each clock time.
        """
        name = self.kind.counted
        if not name or any(value == value for value in columns[name]):  # noqa: PLR0124
            return
        others = [other for other in self.kind.identity if other != name]
        seen: dict[Any, int] = {}
        swept = self._swept(columns)
        for at, record in enumerate(records):
            if swept[at]:
                continue
            if not self._may_be_several(columns, at):
                columns[name][at] = dict(self.kind.defaults).get(name, math.nan)
                continue
            moment = record.moment if self.kind.per == "batch" else None
            own = (columns[other][at] for other in others)
            key = (record.batch, record.panel, moment, *own)
            seen[key] = seen.get(key, 0) + 1
            columns[name][at] = float(seen[key])

    def _may_be_several(self, columns: dict[str, list[Any]], at: int) -> bool:
        """Tell whether several determinations of what a record is of are ordinary."""
        if self.kind.counted_where is None:
            return True
        column, words = self.kind.counted_where
        return columns[column][at] in words

    def _swept(self, columns: dict[str, list[Any]]) -> list[bool]:
        """Tell of each record whether it is a point of a sweep."""
        points = [columns[n] for n in self.kind.unique if self.infos[n].type == "float"]
        length = len(next(iter(columns.values())))
        swept = [False] * length
        for values in points:
            swept = [was or value == value for was, value in zip(swept, values, strict=True)]  # noqa: PLR0124
        return swept

    def _grouped(
        self, records: Sequence[Record], columns: dict[str, list[Any]]
    ) -> Iterator[Measurement]:
        """Return a measurement for each record, or of a sweep for all that belong together."""
        places = list(range(len(records)))
        if self.kind.unique:
            belongs = self._belonging(records, columns)
            groups = (
                [places]  # mostly a table is one sweep
                if belongs.count(belongs[0]) == len(belongs)
                else [list(group) for _, group in groupby(places, key=belongs.__getitem__)]
            )
        else:
            groups = [[at] for at in places]
        odd, cautions = self._odd(records, columns), self._cautions(columns)
        means = other_means(self.found)
        for group in groups:
            first = records[group[0]]
            yield Measurement(
                columns=columns
                if group is places
                else {name: [values[at] for at in group] for name, values in columns.items()},
                rows=[self.values.rows[records[at].at] for at in group],
                batch=first.batch,
                panel=first.panel,
                measured_at=first.moment,
                instrument=first.instrument,
                kind=self.kind.name,
                sheet=self.found.table.seen.sheet,
                called=first.called,
                remarks=(
                    *self.values.remarks,
                    *remarks(self.found),
                    *(odd[at] for at in group if at in odd),
                    *(why for of, why in cautions if group[0] in of),
                    *(means[records[at].at] for at in group if records[at].at in means),
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

    def _cautions(self, columns: dict[str, list[Any]]) -> list[tuple[set[int], str]]:
        """Return what the file names that makes values mean something else, and of which records."""
        found = []
        for caution in self.kind.cautions:
            named = re.compile(caution.named, re.IGNORECASE)
            if any(map(named.search, self.found.file.texts())):
                column, word = caution.of or ("", None)
                values = columns.get(column) or [None] * len(next(iter(columns.values())))
                places = {at for at, value in enumerate(values) if value == word}
                found.append((places, Remark.SELDOM.said(caution.why)))
        return found

    def _belonging(
        self, records: Sequence[Record], columns: dict[str, list[Any]]
    ) -> list[tuple[Any, ...]]:
        """Return what the records of one measurement share: the time too, of those in no sweep."""
        # as texts, because a missing number (NaN) is not equal to itself
        identity = [_as_texts(columns[name]) for name in self.kind.identity]
        moments = [
            None if swept else record.moment
            for swept, record in zip(self._swept(columns), records, strict=True)
        ]
        whose = ([record.batch for record in records], [record.panel for record in records])
        return list(zip(*whose, *identity, moments, strict=True))


def _as_texts(values: list[Any]) -> list[str]:
    """Return values as texts; mostly they are one and the same, told once for all rows."""
    if len(set(map(id, values))) == 1:
        return [str(values[0])] * len(values)
    return list(map(str, values))
