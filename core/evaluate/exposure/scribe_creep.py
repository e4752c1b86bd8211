"""Delamination and corrosion from a scribe: of each panel and of the batch, after each exposure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from operator import itemgetter
from typing import TypeAlias

import pandas as pd

from tiecoat.contract.notations.rated_properties import SCRIBE
from tiecoat.evaluate.exposure.inspections import backward
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.replicates import mean

_Readings: TypeAlias = list[tuple[float, datetime, float]]  # hours, date, creep

OF_WIDTHS = "ISO 4628-8: half of what the damage is wider than the scribe"


def tell_creep(
    ledger: Ledger, rows: pd.DataFrame, flags_of: Mapping[tuple[str, str], Sequence[str]]
) -> None:
    """Tell the creep of each panel and batch.

    That of a panel is the mean of its readings along the scribe; that of a batch the mean of its
    panels with the interval by t, panels as unit: readings of one panel have more in common.

    Parameters
    ----------
    rows
        Rows of the kind `exposure_rating` with a creep.
    flags_of
        What must be known of a batch in an exposure.
    """
    readings: dict[tuple[str, ...], _Readings] = defaultdict(list)
    names = ("batch", "exposure", "property", "panel", "exposure_h", "measured_at", "creep_mm")
    for *keys, hour, at, creep in zip(*(rows[name] for name in names), strict=True):
        readings[tuple(keys)].append((hour, at, creep))
    for group, panels in groupby(sorted(readings), key=lambda keys: keys[:3]):
        batch, exposure, rated = group
        telling = _CreepResults(ledger, rated.replace(" ", "_"), exposure)
        of_batch: dict[float, dict[str, list[float]]] = defaultdict(dict)
        for of_panel in panels:
            own, panel = readings[of_panel], of_panel[3]
            flags = (*backward((h, at) for h, at, _ in own), *flags_of[batch, exposure])
            for hour, listed in groupby(sorted(own, key=itemgetter(0)), key=itemgetter(0)):
                of_batch[hour][panel] = [creep for *_, creep in listed]
                where: dict[str, str | float] = {"batch": batch, "panel": panel, "exposure_h": hour}
                telling.add(where, {panel: of_batch[hour][panel]}, flags)
        for hour, creeps in sorted(of_batch.items()):
            where = {"batch": batch, "exposure_h": hour}
            telling.add(where, creeps, flags_of[batch, exposure])


@dataclass(frozen=True)
class _CreepResults:
    """Where the results of one property go."""

    ledger: Ledger
    quantity: str
    exposure: str

    def add(
        self,
        keys: Mapping[str, str | float],
        creeps: Mapping[str, Sequence[float]],
        flags: Sequence[str],
    ) -> None:
        """Tell the mean of the readings of each panel."""
        pairs = [(creep, panel) for panel, listed in creeps.items() for creep in listed]
        values, panels = (pd.Series(column) for column in zip(*pairs, strict=True))
        found = mean(values, panels, "reading")
        self.ledger.add(
            self.quantity,
            "mm",
            keys,
            found.estimate,
            condition=self.exposure,
            method=f"{OF_WIDTHS}; {found.method}",
            flags="; ".join((*flags, *found.flags)),
            interval=found.interval,
            n=len(pairs),
        )


def is_creep(rows: pd.DataFrame) -> pd.Series[bool]:
    """Return which rows tell of a scribe."""
    return rows["property"].isin(SCRIBE)
