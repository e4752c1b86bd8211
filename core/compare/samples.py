"""What is known of one batch on one property: a value a panel, or what stands in its place."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal, TypeAlias

import numpy as np
import pandas as pd

from tiecoat.compare.begins import Begins
from tiecoat.evaluate.adhesion.pull_off import PanelNote
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.statistics.censored_normal import Floats
from tiecoat.evaluate.statistics.turnbull import turnbull
from tiecoat.wording import by_number

BoundSide: TypeAlias = Literal["above", "below", ""]
PANELS, DETERMINATIONS = "panels", "determinations"


class NotTested(NotDeterminable):
    """Nothing was measured on the batch that tells of the property."""


@dataclass(frozen=True)
class Sample:
    """What is known of one batch on one property.

    Parameters
    ----------
    names, values
        Panel or measurement, and its value in the unit of the property; (n,) both.
    units
        What they are: panels, or determinations.
    unit
        Of the values.
    reported
        For wet paint: one result with its uncertainty, in the place of values that scatter.
    areas
        For counts: the area that was looked at, (n,).
    ends
        For times: each lies after the first and by the second, (n,) both; 0 or infinite if open.
        For ratings that leave several grades open: from the least to the greatest, (n,) both.
    since_h
        The exposure from which the values count, where they count from the first measurement of
        their panel; else NaN.
    begins
        Of a fall: where it begins, if that is known.
    is_floor
        The values are lower bounds: the true ones lie above. Of times: half of them or more.
    bounds
        How many determinations behind the values are lower bounds.
    cautions
        What weakens it.
    notes
        Which of that must stand beside what is concluded: too few determinations, outliers.
    """

    batch: str
    names: tuple[str, ...]
    values: Floats
    units: str
    unit: str
    reported: Estimate | None = None
    areas: Floats | None = None
    ends: tuple[Floats, Floats] | None = None
    since_h: float = math.nan
    begins: Begins | None = None
    is_floor: bool = False
    bounds: int = 0
    cautions: tuple[str, ...] = ()
    notes: tuple[PanelNote, ...] = ()

    @property
    def n(self) -> int:
        """How many panels or determinations."""
        return len(self.values) if self.reported is None else self.reported.n

    @property
    def counted_as(self) -> str:
        """What one of them is called."""
        return self.units.removesuffix("s")

    def middle(self, scale: str, method: str) -> float:
        """Return the mean as it is told: of ratings and of times the median, or its bound."""
        if method == "times" and self.ends is not None:
            low, high = self._ends_of_median
            return {"above": low, "below": high}.get(self.side(method), (low + high) / 2)
        return float(np.median(self.values)) if method == "ratings" else self.mean(scale)

    def side(self, method: str) -> BoundSide:
        """Return on which side of that the true one lies, where only a bound is known."""
        if method != "times" or self.ends is None:
            return "above" if self.is_floor else ""
        low, high = self._ends_of_median
        if math.isinf(high):
            return "above"
        return "" if low > 0 else "below"

    def between(self, method: str) -> tuple[float, float]:
        """Return the ends between which the middle lies, of times known as intervals; else NaN."""
        if method == "times" and self.ends is not None and not self.side(method):
            low, high = self._ends_of_median
            if low < high:
                return low, high
        return math.nan, math.nan

    @cached_property
    def _ends_of_median(self) -> tuple[float, float]:
        """Between which the median of times lies: the same as the results of a batch tell."""
        assert self.ends is not None
        return turnbull(*self.ends).median

    def mean(self, scale: str) -> float:
        """Return the mean; the geometric one where ratios are compared; the rate of counts."""
        if self.areas is not None:
            return float(self.values.sum() / self.areas.sum())
        if self.reported is not None:
            return self.reported.value
        if scale == "ratio":
            return float(np.exp(np.log(self.values).mean()))
        return float(self.values.mean())


Samples: TypeAlias = dict[str, Sample | NotDeterminable]


def panel_values(found: Mapping[str, Samples]) -> pd.DataFrame:
    """Return what is compared, a row a panel or determination, for plots.

    Columns: property, batch, name (panel or measurement), value, unit, area (NaN but for counts),
    low and high (95 % interval of what is reported with its uncertainty, or the ends between which
    a time or a rating lies, NaN where open; else NaN), is_floor.
    """
    listed = []
    for label, of_batches in found.items():
        for one in of_batches.values():
            if isinstance(one, NotDeterminable):
                continue
            areas = one.areas if one.areas is not None else np.full(len(one.values), math.nan)
            low, high = _ends(one)
            order = sorted(range(len(one.names)), key=lambda place: by_number(one.names[place]))
            table = pd.DataFrame(
                {
                    "property": label,
                    "batch": one.batch,
                    "name": list(one.names),
                    "value": one.values,
                    "unit": one.unit,
                    "area": areas,
                    "low": low,
                    "high": high,
                    "is_floor": one.is_floor,
                }
            )
            listed.append(table.iloc[order])
    columns = ["property", "batch", "name", "value", "unit", "area", "low", "high", "is_floor"]
    return pd.concat(listed, ignore_index=True) if listed else pd.DataFrame(columns=columns)


def _ends(one: Sample) -> tuple[Floats, Floats] | tuple[float, float]:
    if one.ends is None:
        return one.reported.interval if one.reported else (math.nan, math.nan)
    low, high = one.ends
    return low, np.where(np.isfinite(high), high, math.nan)
