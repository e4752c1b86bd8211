"""The relations of a kind between its columns: what follows is completed, what contradicts is told."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import time
from typing import Any

import numpy as np

from tiecoat.plugin import Relation
from tiecoat.reasons import Reason
from tiecoat.tabular.attempts import TAUGHT, Attempt
from tiecoat.tabular.spoken import told_in_hours, told_time, told_times
from tiecoat.tabular.values import ValueReader, as_array

MEASURED = "moment"  # the time of measuring, as relations call it
_LEEWAY_H, _DAY_H = 2.0, 24.0
_DAYS_OF_A_MONTH = range(1, 32)
_COUNTED_IN_DAYS = "hours of exposure are counted from dates without a clock time"
_SPAN_WITHIN = 0.1
_AGREE_FLOOR = 1e-9


class Relations:
    """The relations between the columns of one table.

    Parameters
    ----------
    values
        What reads the table; it notes faults and remarks.
    """

    def __init__(self, found: Attempt, values: ValueReader) -> None:
        self.found, self.values = found, values
        self.kind, self.infos = found.lexicon.kind, found.lexicon.infos

    def complete(self, read: dict[str, Any]) -> None:
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
                    if (leeway := self._leeway(read, relation)) >= _DAY_H:
                        self.values.remarks.append(_COUNTED_IN_DAYS)
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

    def _leeway(self, read: dict[str, Any], relation: Relation) -> float:
        """Return by how many hours more times may differ: a day, where one stands without its clock."""
        if MEASURED not in relation.needs:
            return 0.0
        zone = self.found.file.export.habits.zone
        times = [at for name in relation.needs for at in set(read[name]) if at is not None]
        dates = any(at.astimezone(zone).time() == time() for at in times)
        return _LEEWAY_H + (_DAY_H if dates else 0.0)

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
                    self.values.rows[min(at, len(self.values.rows) - 1)],
                    relation.gives,
                    f"{one:.4g}",
                    f"{other:.4g}, from the other columns",
                )

    def tell_other_span(self, read: dict[str, Any]) -> None:
        """Hold a span in an entry where a heading or the file's name tells another, or remark it.

        Of a file with several spans the name tells how long all of it took.
        """
        for name, given in self.found.given.items():
            if (
                given.told is None
                or given.level >= TAUGHT
                or name not in self.infos
                or self.infos[name].unit != "h"
            ):
                continue
            alike = [
                entry.value
                for table in self.found.file.tables
                for entry in table.entries
                if entry.title == given.told.title
            ]
            if any(value != given.told.value for value in alike):
                continue
            own = read[name][0] if read.get(name) else math.nan
            others = [
                hours
                for hours in told_times(self.found, name)
                if not abs(own - hours) <= _LEEWAY_H + _SPAN_WITHIN * hours
            ]
            if len(others) != 1:  # of several nobody knows which is meant
                continue
            spoken = others[0]
            day = spoken / _DAY_H in _DAYS_OF_A_MONTH  # `day 22` may be that of the month
            if day and not told_in_hours(self.found, spoken):
                words = f"{own:g} h in an entry and {spoken:g} h in a heading or the name"
                self.values.remarks.append(f"{words} for {self.infos[name].meaning}")
                continue
            self.values.fault(
                Reason.INCONSISTENT,
                given.told.row,
                given.told.title.raw,
                f"{own:g} h, and {spoken:g} h in a heading or the name of the file",
                f"one value for {name} ({self.infos[name].meaning})",
            )
