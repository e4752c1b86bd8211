"""Records of a salt spray chamber against the limits of ISO 9227.

Limits of the neutral salt spray test as printed in published summaries of the edition of 2017: 35
+- 2 degC; collected on 80 cm2 1.5 +- 0.5 ml an hour, with 50 +- 5 g/l sodium chloride and a pH of
6.5 to 7.2 at 25 degC. The figures of the edition of 2022 were not seen.
Whether a test counts is for the person who answers for it to say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import pandas as pd

from tiecoat.contract.choices import Choices
from tiecoat.contract.standards import ISO_9227
from tiecoat.evaluate.estimate import Estimate
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics.replicates import NO_INTERVAL


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


def days_outside(rows: pd.DataFrame) -> tuple[int, int]:
    """Return on how many days a limit was broken, and on how many anything was read (UTC)."""
    days = rows["measured_at"].dt.floor("D")
    outside = days[broken_limits(rows) != ""]
    return int(outside.nunique()), int(days.nunique())


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
    ledger = Ledger()
    rows = frames["chamber_record"]
    rows = rows.assign(broken=broken_limits(rows))
    for batch, part in rows.sort_values("measured_at").groupby("batch", sort=True):
        _tell_readings(ledger, str(batch), part)
        _tell_limits(ledger, str(batch), part)
    return ledger.table()


def _tell_readings(ledger: Ledger, batch: str, rows: pd.DataFrame) -> None:
    for measurement, at, broken in zip(
        rows["measurement"], rows["measured_at"], rows["broken"], strict=True
    ):
        number = len(broken.split("; ")) if broken else 0
        ledger.add(
            "limits_broken",
            "",
            {"batch": batch, "measurement": measurement},
            Estimate(number),
            condition=f"{at:%Y-%m-%d %H:%M} UTC",
            method=f"{ISO_9227}, neutral salt spray",
            flags=broken,
            interval=NO_INTERVAL,
        )


def _tell_limits(ledger: Ledger, batch: str, rows: pd.DataFrame) -> None:
    keys = {"batch": batch}
    for limits, values in _read(rows):
        name = f"chamber_{limits.words.lower().replace(' ', '_')}"
        mean, within = Estimate(float(values.mean()), n=len(values)), limits.keeps(values)
        method = "plain mean; no interval: readings follow each other in time"
        ledger.add(name, limits.unit, keys, mean, method=method, interval=NO_INTERVAL)
        _tell_share(ledger, keys, f"{limits.words} {limits}", within)
    _tell_share(ledger, keys, "all limits", rows["broken"] == "")
    outside, days = days_outside(rows)
    method, found = f"of {days} days with readings (UTC)", Estimate(outside)
    ledger.add("days_outside", "", keys, found, method=method, interval=NO_INTERVAL, n=days)


def _read(rows: pd.DataFrame) -> Iterator[tuple[ChamberLimits, pd.Series[float]]]:
    for limits in ISO_9227_NEUTRAL:
        values = rows[limits.column].dropna()
        if len(values):
            yield limits, values


def _tell_share(
    ledger: Ledger, keys: Mapping[str, str], condition: str, within: pd.Series[bool]
) -> None:
    ledger.add(
        "within_limits",
        "%",
        keys,
        Estimate(100 * float(within.mean()), n=len(within)),
        condition=condition,
        method=f"share of the readings within {ISO_9227}, neutral salt spray",
        interval=NO_INTERVAL,
    )
