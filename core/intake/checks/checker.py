"""What stands between keying and filing: each measurement held against what the lab knows.

What contradicts the register or the clock holds its file or is remarked, as the lab has set.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

import pyarrow as pa
import pyarrow.compute as pc

from tiecoat.archive.index.cache import Index, TableState
from tiecoat.archive.plan import Incoming
from tiecoat.archive.tables.describe import Rule, first_rows, one_array
from tiecoat.archive.tables.parquet import Place, are_valid
from tiecoat.archive.tables.storage import storage_of
from tiecoat.errors import FileHeld
from tiecoat.intake.checks.oddities import UNIT_BY, Stated, judged, oddities, thickness_off
from tiecoat.intake.checks.register import KEPT, Lines, Register, Row, lines_of, odd_lines, twice
from tiecoat.intake.checks.spread import (
    Groups,
    Level,
    add,
    beside_siblings,
    levels,
    odd_ones,
)
from tiecoat.lab.settings import Lab
from tiecoat.reasons import FAULTS_KEPT, Fault, Reason
from tiecoat.remarks import Remark, parts_of, together

ALWAYS = ("source_sha256", "measurement", "batch", "panel", "measured_at", "source_sheet")
STATED = {  # where it is
    "exposure_h": pa.float64(),
    "exposure": pa.string(),
    "coat": pa.string(),
    "state": pa.string(),
}
THICKNESS = "thickness_um"


@dataclass(frozen=True)
class _MeasurementSeen:
    """A measurement that is about to be filed: what it says of itself, and how large it is."""

    measurement: str
    kind: str
    stated: Stated
    levels: list[Level]


def _siblings(tables: Mapping[str, pa.Table]) -> Iterator[tuple[str, str]]:
    """Yield lines of a register whose amounts are off those of their siblings in it, with remarks.

    Panels of one batch are alike; doses of one candidate are steps as often, so that of these only
    a slip by a power of ten is told, where the others agree.
    """
    for rows in tables.values():
        if not Rule.of(rows.schema).replaces:
            continue
        groups: Groups = defaultdict(list)
        of_file = list(beside_siblings(rows))
        add(groups, of_file)
        for measurement, remark in odd_ones(of_file, groups):
            if rows["panel"].null_count == 0 or Remark.of(remark) is Remark.FACTOR_TEN:
                yield measurement, remark


class Checker:
    """Checks what is about to be filed. `index` must be in step with the register's tables."""

    def __init__(self, lab: Lab, index: Index) -> None:
        self._lab = lab
        self._tables = storage_of(lab)
        self._index = index
        self._register = Register(lab, index)
        self._groups: dict[Place, tuple[TableState | None, Groups]] = {}

    def checked(self, incoming: Sequence[Incoming]) -> list[Incoming | FileHeld]:
        """Return the rows of each export with its remarks, or why it is held.

        That is where something contradicts the register or the clock, and the lab has that held.

        Parameters
        ----------
        incoming
            What is filed together, in its order: each is compared with those before it.
        """
        of_export = _seen(incoming, levelled=self._lab.settings.checks.spread != "off")
        compared: set[Place] = set()
        lines: dict[tuple[str, str], Row] = {}
        found = [self._remarks(one, of_export[one.sha256], compared, lines) for one in incoming]
        for place in compared:  # it may be replaced now, or some of it not be filed
            self._groups.pop(place, None)
        said = {name: odd for each in found if isinstance(each, dict) for name, odd in each.items()}
        remarked = _all_with_remarks(incoming, said)
        return [
            each if isinstance(each, FileHeld) else one
            for each, one in zip(found, remarked, strict=True)
        ]

    def _remarks(
        self,
        incoming: Incoming,
        every: Sequence[_MeasurementSeen],
        compared: set[Place],
        lines: dict[tuple[str, str], Row],
    ) -> dict[str, list[str]] | FileHeld:
        """Return what is remarked of the measurements of an export, or why it is held."""
        now = incoming.at or datetime.now(UTC)
        faults = list(twice(incoming.tables))
        remarks: dict[str, list[str]] = defaultdict(list)
        for one in every:
            wrong, odd = self._judged(one.stated, now)
            faults += wrong
            remarks[one.measurement] += odd
        faults += self._off_thickness(every, remarks)
        faults += self._odd_lines(incoming, lines, remarks)
        if faults:
            return FileHeld(faults[0].reason, tuple(faults[:FAULTS_KEPT]), len(faults))
        lines |= lines_of(incoming.tables)
        new: dict[Place, list[Level]] = defaultdict(list)
        for one in every:
            new[one.kind, one.stated.batch] += one.levels
        for place, of_file in new.items():
            groups = self._filed(place, again=place in compared)
            compared.add(place)
            add(groups, of_file)
            for measurement, remark in odd_ones(of_file, groups):
                remarks[measurement].append(remark)
        if self._lab.settings.checks.spread != "off":
            for measurement, remark in _siblings(incoming.tables):
                remarks[measurement].append(remark)
        return {measurement: odd for measurement, odd in remarks.items() if odd}

    def _odd_lines(
        self, incoming: Incoming, together: Lines, remarks: dict[str, list[str]]
    ) -> Iterator[Fault]:
        """Remark what lines of a register contradict in it, or tell it, as the lab has set."""
        lines = odd_lines(incoming.tables, self._register, together, self._lab.zone)
        for measurement, stated, one in lines:
            faults, odd = judged(stated, [one], self._lab.settings.checks)
            yield from faults
            remarks[measurement] += odd

    def _off_thickness(
        self, every: Sequence[_MeasurementSeen], remarks: dict[str, list[str]]
    ) -> Iterator[Fault]:
        """Remark films far from what the register says; tell those that must be of another unit."""
        of_panel: dict[str, list[tuple[_MeasurementSeen, float, float | None]]] = defaultdict(list)
        for one in every:
            for level in one.levels:
                if level.column == THICKNESS and one.stated.panel:
                    um = float(10**level.mean)
                    panel = self._register.panel(one.stated.panel)
                    of_panel[one.stated.panel].append(
                        (one, um, thickness_off(one.stated, um, panel))
                    )
        for name, read in of_panel.items():
            known = self._register.panel(name)
            if known is None or known.thickness_um is None:
                continue
            said = f"{known.thickness_um:g} um in the register"
            for one, um, factor in read:
                if factor is not None:
                    words = f"{THICKNESS} {um:.3g} um beside {said}"
                    remarks[one.measurement].append(Remark.SPREAD.said(words))
            first, um, _ = read[0]
            if all(factor is not None and factor > UNIT_BY for *_, factor in read):
                yield Fault(
                    Reason.AGAINST_REGISTER,
                    first.stated.row,
                    THICKNESS,
                    f"{um:.3g} um of {name}, and {said}",
                    "a unit with which the two are of one size",
                    sheet=first.stated.sheet,
                )

    def _filed(self, place: Place, *, again: bool) -> Groups:
        """Return the levels of a table as it is now, and of what was checked since.

        Parameters
        ----------
        again
            Whether they were asked for in this round: nothing is filed meanwhile.
        """
        known = self._groups.get(place)
        if again and known is not None:
            return known[1]
        state = self._index.tables(*place).get(place)
        if known is None or known[0] != state:
            if len(self._groups) >= KEPT:
                self._groups.clear()
            rows = self._tables.read(place, are_valid()) if state else None
            known = self._groups[place] = (state, defaultdict(list))
            if rows is not None:
                add(known[1], levels(rows))
        return known[1]

    def _judged(self, stated: Stated, now: datetime) -> tuple[list[Fault], list[str]]:
        panel = self._register.panel(stated.panel) if stated.panel else None
        batch = self._register.batch(stated.batch)
        found = oddities(stated, panel, batch, now, self._lab.zone)
        return judged(stated, found, self._lab.settings.checks)


def checked_alone(lab: Lab, index: Index, incoming: Incoming) -> Incoming:
    """Return the rows of one export with their remarks.

    Raises
    ------
    FileHeld
        If it is to be held.
    """
    (found,) = Checker(lab, index).checked([incoming])
    if isinstance(found, FileHeld):
        raise found
    return found


def _seen(incoming: Sequence[Incoming], *, levelled: bool) -> dict[str, list[_MeasurementSeen]]:
    """Return the measurements of each export by its SHA-256, those of all exports at once."""
    found: dict[str, list[_MeasurementSeen]] = {one.sha256: [] for one in incoming}
    for kind in dict.fromkeys(kind for one in incoming for kind in one.tables):
        rows = pa.concat_tables([one.tables[kind] for one in incoming if kind in one.tables])
        if Rule.of(rows.schema).replaces:  # other rows are checked by the register, not it
            continue
        of_measurement: dict[str, list[Level]] = defaultdict(list)
        for level in levels(rows) if levelled else []:
            of_measurement[level.measurement].append(level)
        for sha256, measurement, stated in _measurements(rows):
            one = _MeasurementSeen(measurement, kind, stated, of_measurement[measurement])
            found[sha256].append(one)
    return found


def _measurements(rows: pa.Table) -> Iterator[tuple[str, str, Stated]]:
    """Yield SHA-256 and id of each measurement, and what it says of itself in its first row."""
    ends = pc.run_end_encode(one_array(rows, "measurement")).run_ends.to_pylist()
    stated = [field.name for field in rows.schema if STATED.get(field.name) == field.type]
    starts = [0, *ends[:-1]]
    of_measurement = rows.select([*ALWAYS, *stated]).take(starts).to_pylist()
    for row, first in zip(of_measurement, first_rows(rows, starts), strict=True):
        sha256, measurement = row.pop("source_sha256"), row.pop("measurement")
        sheet = row.pop("source_sheet")
        yield sha256, measurement, Stated(**row, row=first, sheet=sheet)


def remarks_in(
    tables: Mapping[str, pa.Table], measurements: Collection[str] | None = None
) -> list[str]:
    """Return the remarks that rows are filed with, one text a measurement.

    Parameters
    ----------
    tables
        Rows by kind.
    measurements
        Only of these.
    """
    found: dict[str, str] = {}
    for rows in tables.values():
        if rows["remark"].null_count < len(rows):
            each = rows.select(["measurement", "remark"]).to_pydict()
            found |= dict(zip(each["measurement"], each["remark"], strict=True))
    wanted = found if measurements is None else measurements
    return [text for measurement, text in found.items() if text and measurement in wanted]


def _all_with_remarks(
    incoming: Sequence[Incoming], remarks: Mapping[str, Sequence[str]]
) -> list[Incoming]:
    """Return exports with further remarks on some measurements, the rows of a kind all at once."""
    if not remarks:
        return list(incoming)
    tables = [dict(one.tables) for one in incoming]
    for kind in dict.fromkeys(kind for own in tables for kind in own):
        having = [own for own in tables if kind in own]
        rows = with_remarks(pa.concat_tables([own[kind] for own in having]), remarks)
        start = 0
        for own in having:
            own[kind] = rows.slice(start, len(own[kind]))
            start += len(own[kind])
    return [replace(one, tables=own) for one, own in zip(incoming, tables, strict=True)]


def with_remarks(rows: pa.Table, remarks: Mapping[str, Sequence[str]]) -> pa.Table:
    """Return rows with further remarks on some measurements, after those that they have."""
    place = rows.schema.get_field_index("remark")
    measurements = one_array(rows, "measurement")
    coded = measurements.dictionary_encode()
    names = coded.dictionary.to_pylist()
    before = one_array(rows, "remark").take(pc.index_in(coded.dictionary, measurements)).to_pylist()
    said = [
        together([*parts_of(text), *remarks.get(name, ())])
        for name, text in zip(names, before, strict=True)
    ]
    field: Any = rows.schema.field(place)
    return rows.set_column(place, field, pa.array(said, field.type).take(coded.indices))
