"""Records of a salt spray chamber against the limits of ISO 9227.

Limits of the neutral salt spray test as printed in published summaries of the edition of 2017: 35
+- 2 degC; collected on 80 cm2 1.5 +- 0.5 ml an hour, with 50 +- 5 g/l sodium chloride and a pH of
6.5 to 7.2 at 25 degC. The figures of the edition of 2022 were not seen.
Whether a test counts is for the person who answers for it to say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.contract.choices import Choices
from tiecoat.contract.standards import ISO_9227
from tiecoat.evaluate.grouping import RowGroups, Whole, groups_of, numbered
from tiecoat.evaluate.result import results, together


@dataclass(frozen=True)
class ChamberLimits:
    """What a reading must lie within, its ends included."""

    column: str
    words: str
    unit: str
    low: float
    high: float

    def keeps(self, values: pd.Series[float]) -> pd.Series[bool]:
        """Return which readings lie within."""
        return (values >= self.low) & (values <= self.high)

    def __str__(self) -> str:
        """Such as `33 to 37 degC`."""
        return f"{self.low:g} to {self.high:g} {self.unit}".rstrip()


ISO_9227_NEUTRAL = (
    ChamberLimits("temperature_c", "temperature", "degC", 33.0, 37.0),
    ChamberLimits("collected_ml_h", "collected spray", "ml/h", 1.0, 2.0),
    ChamberLimits("ph", "pH", "", 6.5, 7.2),
    ChamberLimits("salt_g_l", "salt", "g/l", 45.0, 55.0),
)


def broken_limits(rows: pd.DataFrame) -> pd.Series[str]:
    """Return for each row which limits of ISO 9227 it breaks, in words; "" for none.

    Parameters
    ----------
    rows
        Rows of the kind `chamber_record`; what was not read breaks no limit.

    Examples
    --------
    >>> row = {"temperature_c": [35.0], "collected_ml_h": [2.3], "ph": [6.4], "salt_g_l": [50.0]}
    >>> broken_limits(pd.DataFrame(row)).iloc[0]
    'collected spray 2.3 ml/h, limits 1 to 2 ml/h; pH 6.4, limits 6.5 to 7.2'
    """
    told: list[list[str]] = [[] for _ in range(len(rows))]
    for limits in ISO_9227_NEUTRAL:
        values = rows[limits.column]
        for place in (values.notna() & ~limits.keeps(values)).to_numpy().nonzero()[0].tolist():
            found = f"{limits.words} {values.iloc[place]:g} {limits.unit}".rstrip()
            told[place].append(f"{found}, limits {limits}")
    return pd.Series(["; ".join(one) for one in told], index=rows.index, dtype="str")


def days_outside(rows: pd.DataFrame, groups: RowGroups) -> tuple[Whole, Whole]:
    """Return on how many days a limit was broken, and on how many anything was read (UTC).

    Parameters
    ----------
    rows
        Rows of the kind `chamber_record`.
    groups
        The records that are asked for, each apart.
    """
    days = numbered(rows["measured_at"].dt.floor("D"))[0]
    is_outside = (broken_limits(rows) != "").to_numpy(dtype=bool)
    return groups.distinct(np.where(is_outside, days, -1)), groups.distinct(days)


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the results of chamber records, for each batch that was in the chamber.

    Quantities: limits_broken of each reading; chamber_temperature, chamber_collected_spray,
    chamber_ph and chamber_salt, the means; within_limits in % of the readings, of each limit and of
    all together; days_outside.

    Parameters
    ----------
    frames
        `chamber_record`, as the archive gives it.
    choices
        None is used: the limits are those of the standard.
    """
    rows = frames["chamber_record"].sort_values("measured_at", kind="stable", ignore_index=True)
    rows = rows[rows["batch"].notna()].assign(broken=broken_limits(rows))
    groups, keys = groups_of(rows, ["batch"])
    return together([_of_readings(rows), *_of_limits(rows, groups, keys)])


def _of_readings(rows: pd.DataFrame) -> pd.DataFrame:
    broken = rows["broken"].tolist()
    return results(
        "limits_broken",
        rows[["batch", "measurement"]],
        [len(one.split("; ")) if one else 0 for one in broken],
        "",
        condition=rows["measured_at"].dt.strftime("%Y-%m-%d %H:%M UTC").to_numpy(),
        method=f"{ISO_9227}, neutral salt spray",
        flags=broken,
    )


def _of_limits(rows: pd.DataFrame, groups: RowGroups, keys: pd.DataFrame) -> Iterator[pd.DataFrame]:
    for limits in ISO_9227_NEUTRAL:
        values = rows[limits.column]
        known = values.notna().to_numpy(dtype=bool)
        read = RowGroups(np.where(known, groups.of_row, -1), groups.count)
        some = read.sizes > 0
        name = f"chamber_{limits.words.lower().replace(' ', '_')}"
        method = "plain mean; no interval: readings follow each other in time"
        means, n = read.mean(values)[some], read.sizes[some]
        yield results(name, keys[some], means, limits.unit, n=n, method=method)
        yield _shares(keys, f"{limits.words} {limits}", limits.keeps(values), read)
    yield _shares(keys, "all limits", rows["broken"] == "", groups)
    outside, days = days_outside(rows, groups)
    of_days = [f"of {read} days with readings (UTC)" for read in days.tolist()]
    yield results("days_outside", keys, outside, "", n=days, method=of_days)


def _shares(
    keys: pd.DataFrame, condition: str, within: pd.Series[bool], groups: RowGroups
) -> pd.DataFrame:
    some = groups.sizes > 0
    return results(
        "within_limits",
        keys[some],
        100 * groups.mean(within)[some],
        "%",
        n=groups.sizes[some],
        condition=condition,
        method=f"share of the readings within {ISO_9227}, neutral salt spray",
    )
