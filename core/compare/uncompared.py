"""What is filed for the batches of a study and not compared: harm may hide there."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from tiecoat.compare.cautions import reasons
from tiecoat.compare.circumstances import differing
from tiecoat.compare.properties import Catalogue, Property
from tiecoat.compare.result_rows import exposures_of, hours_words, is_near
from tiecoat.compare.tables import FROM_ROWS, StudyTables, found_in, of_line
from tiecoat.compare.times import NotReached
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.compare.study import Study

REGISTERS = ("batches", "panels")
TOLD_BATCHES = 3
UNNAMED = "the study does not name it"
NO_VALUE = "not determinable"  # though it was measured


@dataclass(frozen=True)
class NotCompared:
    """One thing that is filed and not compared.

    Parameters
    ----------
    what
        Kind or property, with coat system or exposure times where these are what is left out.
    kind, batches
        Which kind it is of, and for which batches of the study there is some.
    why
        Why it is not compared.
    """

    what: str
    kind: str
    batches: tuple[str, ...]
    why: str

    @property
    def words(self) -> str:
        """It in a sentence.

        Examples
        --------
        >>> NotCompared("gloss", "gloss", ("RB-010", "RB-011"), UNNAMED).words
        'gloss (RB-010, RB-011): the study does not name it'
        """
        few = len(self.batches) <= TOLD_BATCHES
        whose = ", ".join(self.batches) if few else f"{len(self.batches)} batches"
        return f"{self.what} ({whose}): {self.why}"


def not_compared(
    tables: StudyTables,
    compared: Sequence[Property],
    filed: pd.DataFrame,
    order: Sequence[str],
    catalogue: Catalogue,
) -> Iterator[NotCompared]:
    """Return what is filed for these batches and not compared.

    Kinds that no property is of; properties that tiecoat knows, of kinds that others are of; coat
    systems, substrates, dollies and conditions; and exposure times.

    Parameters
    ----------
    compared
        The properties, each line at each of its times.
    filed
        Every measurement, as `archive.measurements()` lists it.
    order
        The control, then the candidates.
    catalogue
        The properties that there are.
    """
    kinds = {one.kind for one in compared}
    yield from _kinds(filed[filed["batch"].isin(order)], kinds)
    quantities = {(one.kind, one.quantity) for one in compared}
    for known in catalogue.usual.values():
        if known.kind in kinds and (known.kind, known.quantity) not in quantities:
            yield from _property(tables, known, order)
    for name in dict.fromkeys(one.name for one in compared):
        yield from _lines(tables, [one for one in compared if one.name == name], order)


def not_reached(
    unreached: Sequence[tuple[Property, str, NotReached]], order: Sequence[str]
) -> Iterator[NotCompared]:
    """Return times to what neither the control nor some candidates have reached, by property.

    They are times that all of their panels were followed for without it: nothing is missing, and
    nothing says which is better.
    """
    for wanted in dict.fromkeys(one for one, _, _ in unreached):
        mine = [(batch, why.hours) for one, batch, why in unreached if one == wanted]
        hours, batches = min(at for _, at in mine), (order[0], *(batch for batch, _ in mine))
        why = f"no panel has reached it by {hours:g} h"
        if len(batches) < len(order):
            why = f"no panel of {', '.join(batches)} has reached it by {hours:g} h"
        yield NotCompared(wanted.label, wanted.kind, batches, why)


def never_measured(
    tables: StudyTables, filed: pd.DataFrame, order: Sequence[str], study: Study
) -> Iterator[str]:
    """Return which properties that tiecoat knows were never measured on these batches.

    What was measured and has no value is none of them: `not_compared` says why. Nor is one that the
    study asks for by a quantity that its kind does not give: that is a problem of the study.
    """
    asked = {one.name for one in study.property}
    there = set(filed.loc[filed["batch"].isin(order), "kind"])
    for known in study.catalogue.usual.values():
        table = tables.results.get(known.kind)
        if table is None:
            if known.kind not in there:
                yield known.name
            continue
        of_these = table["batch"].isin(order)
        given = table["quantity"] == known.quantity
        not_given = known.name in asked and of_these.any() and not given.any()
        if not not_given and not (given & of_these).any():
            yield known.name


def without_results(
    tables: StudyTables, filed: pd.DataFrame, order: Sequence[str]
) -> Iterator[str]:
    """Return the batches of which nothing is filed but what the registers say."""
    measured = set(filed.loc[~filed["kind"].isin(REGISTERS), "batch"])
    measured |= {batch for table in tables.by_kind().values() for batch in table["batch"]}
    return (one for one in order if one not in measured)


def _kinds(filed: pd.DataFrame, kinds: set[str]) -> Iterator[NotCompared]:
    for kind, part in filed.groupby("kind", sort=True):
        if kind not in kinds and kind not in REGISTERS:
            batches = tuple(sorted(part["batch"].unique()))
            measured = counted(len(part), "measurement")
            words = str(kind).replace("_", " ")
            yield NotCompared(f"{words}, {measured}", str(kind), batches, UNNAMED)


def _property(tables: StudyTables, known: Property, order: Sequence[str]) -> Iterator[NotCompared]:
    try:
        rows = tables.rows_of(known)
    except NotDeterminable:
        return
    if batches := _measured(rows, order):
        yield NotCompared(known.name, known.kind, batches, UNNAMED)
    elif len(mine := rows[rows["batch"].isin(order)]):
        measured = tuple(batch for batch in order if (mine["batch"] == batch).any())
        why = f"{NO_VALUE}: {reasons(mine)}"
        yield NotCompared(known.name, known.kind, measured, why)


def _lines(
    tables: StudyTables, compared: Sequence[Property], order: Sequence[str]
) -> Iterator[NotCompared]:
    """Return circumstances and times of a property that none of its lines is of."""
    first = compared[0]
    try:
        rows = tables.rows_of(first) if first.circumstances is None else tables.rows_at_all(first)
    except NotDeterminable:
        return
    rows = rows[rows["batch"].isin(order)]
    taken = {one.circumstances for one in compared}
    if None not in taken:
        everywhere = found_in(rows)
        parts = differing(everywhere)
        for other in everywhere:
            line = first.line(other, other.words(parts))
            batches = _measured(of_line(rows, line), order)
            if other not in taken and batches:
                has_it = order[0] in batches
                why = UNNAMED if has_it else f"the control {order[0]} has none of it"
                yield NotCompared(line.line_label, first.kind, batches, why)
    if first.method in FROM_ROWS or "exposure_h" not in rows:
        return
    for line in {one.circumstances: one for one in compared}.values():
        mine = of_line(rows, line)
        hours = [one.exposure_h for one in compared if one.circumstances == line.circumstances]
        others = [
            time
            for time in sorted({time for batch in order for time in exposures_of(mine, batch)})
            if not any(is_near(np.array([time]), at).any() for at in hours)
        ]
        if others:
            batches = _measured(mine[mine["exposure_h"].isin(others)], order)
            told = f"{line.line_label} after {hours_words(others)}"
            yield NotCompared(told, line.kind, batches, "compared at other times only")


def _measured(rows: pd.DataFrame, order: Sequence[str]) -> tuple[str, ...]:
    known = rows[rows["value"].notna()] if "value" in rows else rows
    return tuple(batch for batch in order if (known["batch"] == batch).any())
