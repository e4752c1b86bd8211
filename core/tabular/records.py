"""The rows of a table as records: of which batch and panel, when, and what each wide column tells."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, time
from functools import cached_property
from typing import Any

from tiecoat.reasons import Reason
from tiecoat.remarks import Remark
from tiecoat.tabular.attempts import BY_LOOK, Attempt, Given, spread_of
from tiecoat.tabular.cell_texts import filled_down
from tiecoat.tabular.days_told import day_told
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.id_looks import ids_listed
from tiecoat.tabular.left_out import clocks_left_out, days_left_out
from tiecoat.tabular.merged_cells import MergedCells, as_above
from tiecoat.tabular.moments import tells_clock
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.told_entries import ToldEntry
from tiecoat.tabular.values import ValueReader


@dataclass(slots=True)
class Record:
    """What one row, or one cell of a wide row, gives."""

    at: int  # place of the row in the table
    batch: str | None
    panel: str | None
    moment: Any
    instrument: str | None
    called: str | None = None  # candidate and dose beside the id of the batch
    own: dict[str, Any] = field(default_factory=dict)  # by spread or matrix


class RecordReader:
    """Reads the rows of one table as records.

    Parameters
    ----------
    values
        What reads the table; it notes faults and remarks.
    merged
        Its merged cells; they know which of its rows hold values.
    """

    def __init__(self, found: Attempt, values: ValueReader, merged: MergedCells) -> None:
        self.found, self.values, self.merged = found, values, merged
        self.used, self.length = merged.used, len(merged.used)
        self.kind, self.infos = found.lexicon.kind, found.lexicon.infos

    def _texts(self, name: str) -> list[str | None]:
        given = self.found.given.get(name)
        if given is None:
            return [None] * self.length
        texts = self.values.texts(given)
        if given.told:
            return texts
        if self.merged.is_merged(given):
            return as_above(texts)
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
        parts = self._parts_of_time()
        if not parts:
            self.values.remarks += () if self.kind.replaces else days_left_out(self.found)
            return [None] * self.length
        if not any(map(self._has_clock, parts)):
            self.values.remarks += clocks_left_out(self.found)
        moments = self.values.times(parts)
        places = [part.place for part in parts if part.place is not None]
        merged = [
            self.found.contents[place].cells for place in places if self.merged.are_merged_at(place)
        ]
        own = [
            None if any(is_empty(cells[at]) for cells in merged) else moment
            for at, moment in enumerate(moments)
        ]
        return as_above(own) if merged else moments

    def _parts_of_time(self) -> list[Given]:
        """Return what tells the time of the rows: a day and a clock time, or one that is both."""
        given = self.found.given
        clock = given.get("clock")
        if "moment" in given and ("date" not in given or given["moment"].place is not None):
            day = given["moment"]
            if clock is not None and clock.place is None and "date" in given:
                clock = None
        elif "date" in given:
            day = given["date"]
        else:
            return self._day_of_lines()
        return [day, clock] if clock is not None and not self._has_clock(day) else [day]

    def _day_of_lines(self) -> list[Given]:
        """Return the one day that free lines tell, with the clock times of the rows; a remark says so."""
        told_day = None if self.kind.replaces else day_told(self.found)
        clock = self.found.given.get("clock")
        if told_day is None:
            if clock is not None:
                title = (
                    clock.told.title.raw if clock.told else self.values.title(clock.place or 0).raw
                )
                said = f"the time of day under '{title}' is left out, as nothing tells the day"
                self.values.remarks.append(Remark.ASSUMED.said(said))
            return []
        written, remark = told_day
        self.values.remarks.append(remark)
        name = Title(written, "date")
        entry = ToldEntry(name, written, None, self.values.rows[0], None, self.values.seen.sheet)
        day = Given(self.found.lexicon.roles["date"], BY_LOOK, told=entry)
        return [day, clock] if clock is not None and not self._has_clock(day) else [day]

    def _tell_untimed(self, moments: Sequence[Any]) -> None:
        told = {fault.row for fault in self.values.export.faults}
        for at, moment in enumerate(moments):
            row = self.values.rows[at]
            if moment is None and self.used[at] and row not in told:
                self.values.fault(
                    Reason.MISSING_VALUE, row, None, "no date", "the date of the determination"
                )

    def _has_clock(self, given: Given) -> bool:
        cells = (
            [given.told.value]
            if given.told
            else [c for c in self.found.contents[given.place or 0].cells if not is_empty(c)]
        )
        return any(
            (isinstance(cell, str) and tells_clock(cell))
            or isinstance(cell, time)
            or (isinstance(cell, datetime) and cell.time() != time())
            for cell in cells
        )

    def _called(self) -> list[str | None]:
        """Return candidate and dose of each row, as `talc 10 %`, where the table tells them."""
        named = zip(self._texts("candidate"), self._texts("dose"), strict=True)
        return [
            " ".join([name, dose if "%" in dose else f"{dose} %"] if dose else [name])
            if name
            else None
            for name, dose in named
        ]

    def records(self) -> list[Record]:
        batches, panels = self._texts("batch"), self._texts("panel")
        moments, instruments = self._moments(), self._texts("instrument")
        if self.kind.timed:
            self._tell_untimed(moments)
        variants, called = self._variants(), self._called()
        found = []
        for at in range(self.length):
            if not self.used[at]:
                continue
            for own in variants[at]:
                batch, panel = own.pop("batch", batches[at]), own.pop("panel", panels[at])
                for each in self._batches(batch):
                    found.append(
                        Record(at, each, panel, moments[at], instruments[at], called[at], own)
                    )
        told = {name for names in self._told_wide for name in names}
        spans = [name for name in self.kind.identity if self.infos[name].unit == "h"]
        if self.kind.unique and told & {"batch", "panel", *spans}:
            found.sort(
                key=lambda record: (
                    str(record.batch),
                    str(record.panel),
                    *(record.own.get(name, 0.0) for name in spans),
                )
            )
        elif self.kind.counted in told and self.found.given.keys() & {*self.kind.unique}:
            runs = self.kind.counted or ""
            found.sort(key=lambda record: record.own.get(runs, 0.0))  # sweep by sweep
        return found

    @cached_property
    def _told_wide(self) -> list[set[str]]:
        """Return the keys that the title of each wide column tells."""
        return [{name for name, _ in given.keys} for given in self.found.spreads]

    def _batches(self, cell: str | None) -> list[str | None]:
        """Return the batches that a row is of: several where the kind may be shared."""
        if not (cell and self.kind.shared):
            return [cell]
        habits = self.found.file.export.habits
        several = ids_listed(re.compile(habits.batch_ids, re.IGNORECASE), cell)
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
                    if column in own and given.place is not None:
                        self._tell_lost(given, at)
                        return [[{}] for _ in range(self.length)]
                    own.setdefault(column, value)
        return [list(row.values()) for row in rows]

    def _tell_lost(self, given: Given, at: int) -> None:
        """Note a column whose value another one gives already."""
        title = self.found.titles[given.place or 0].raw
        what = "a second value for what another column tells"
        expected = "titles that tell the columns apart"
        self.values.fault(Reason.INCONSISTENT, self.values.rows[at], title, what, expected)

    def _key(self, name: str, value: Any) -> Any:
        """Return a key as its column writes it: a number as a text where it is one of texts."""
        text = name in self.infos and self.infos[name].type == "str" and isinstance(value, float)
        return f"{value:g}" if text else value

    def _cells(self, given: Given) -> Sequence[Any]:
        if given.role.type == "float":
            return self.values.numbers(given)
        return self.values.texts(given)


def _missing(value: Any) -> bool:
    return value is None or (isinstance(value, float) and math.isnan(value))


def _as_they_stand(given: Given) -> tuple[bool, int, int]:
    """Order what a wide layout gives as its columns stand; what completes several of them, last."""
    return given.place is None, -len(given.keys), given.place or 0
