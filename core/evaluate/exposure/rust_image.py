"""Rusted area from photographs over exposure, and the degree of rusting that it would be.

An aid to the inspector; the rating is the inspector's. What was taken for rust can be seen on the
picture (`tiecoat overlay`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.contract.notations.rust_scales import Band, ri_of_band
from tiecoat.contract.standards import ISO_4628_3
from tiecoat.evaluate.estimate import Estimate, mean_of
from tiecoat.evaluate.result import results, together
from tiecoat.wording import counted

AID = "aid to the inspector; the rating is the inspector's"
NO_HOURS = "hours of exposure unknown"
AREA, LOW, HIGH = "rusted_area_percent", "rusted_area_low_percent", "rusted_area_high_percent"
DIFFERENT = "photographs read with different limits together"
BY_LIMITS = "bounds by the limits of colour moved and a pixel along outlines"
DEGREE = f"low and high: the pictures of {ISO_4628_3} that the bounds of the area lie between"
OPEN = "the area and its bounds lie between pictures: they belong to no one degree"


def compute(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    """Return the results of photographs of exposed panels.

    Quantities at each exposure: rusted_area_photographed in %, of panels with the bounds that the
    limits of colour give, of batches with the interval over panels; rust_grade_photographed, the
    degrees Ri of the pictures of ISO 4628-3 that the bounds of the area lie between, of panels: a
    value where that is one.

    Parameters
    ----------
    frames
        `rust_image`, as the archive gives it.
    choices
        Not used: limits are set for the reader.
    """
    rows = frames["rust_image"]
    if rows.empty:
        return together([])
    panels = _of_panels(rows)
    return together([*_areas(panels), *_degrees(panels), *_of_batches(panels)])


def _of_panels(rows: pd.DataFrame) -> pd.DataFrame:
    """Return a row for each panel and exposure: the means over its photographs."""
    groups = rows.groupby(["batch", "panel", "exposure_h"], dropna=False, sort=True)
    means = groups[[AREA, LOW, HIGH]].mean()
    means["n"] = groups.size()
    means["limits"] = groups["parameters"].unique()
    means["remarks"] = groups["remarks"].agg(lambda texts: "; ".join(sorted(set(texts.dropna()))))
    return means.reset_index()


def _flags(panels: pd.DataFrame) -> list[str]:
    return ["; ".join(flag for flag in _flags_of(row) if flag) for row in panels.to_dict("records")]


def _flags_of(row: Mapping[Any, Any]) -> Iterator[str]:
    yield AID
    yield NO_HOURS if pd.isna(row["exposure_h"]) else ""
    yield DIFFERENT if len(row["limits"]) > 1 else ""
    yield row["remarks"]


def _areas(panels: pd.DataFrame) -> Iterator[pd.DataFrame]:
    yield results(
        "rusted_area_photographed",
        panels,
        panels[AREA],
        "%",
        low=panels[LOW],
        high=panels[HIGH],
        n=panels["n"],
        method=[f"mean of {counted(n, 'photograph')}; {BY_LIMITS}" for n in panels["n"]],
        flags=_flags(panels),
    )


def _degrees(panels: pd.DataFrame) -> Iterator[pd.DataFrame]:
    bands = (Band(low, high) for low, high in zip(panels[LOW], panels[HIGH], strict=True))
    low, high = np.array([ri_of_band(band) for band in bands], dtype=float).T
    yield results(
        "rust_grade_photographed",
        panels,
        np.where(low == high, high, np.nan),
        "",
        low=low,
        high=high,
        n=panels["n"],
        method=DEGREE,
        reason=np.where(low == high, "", OPEN),
        flags=_flags(panels),
    )


def _of_batches(panels: pd.DataFrame) -> Iterator[pd.DataFrame]:
    for _, part in panels.groupby(["batch", "exposure_h"], dropna=False, sort=True):
        batch, exposure_h = str(part["batch"].iloc[0]), float(part["exposure_h"].iloc[0])
        found = mean_of(part[AREA])
        low, high = _within(found)
        by_limits = f"{part[LOW].mean():.3g} to {part[HIGH].mean():.3g} % by colour and outlines"
        flags = [AID, by_limits]
        flags += [NO_HOURS] if math.isnan(exposure_h) else []
        flags += [DIFFERENT] if len(frozenset().union(*part["limits"])) > 1 else []
        why = "one panel" if found.n == 1 else "no spread"
        flags += [f"no interval over panels: {why}"] if math.isnan(low) else []
        yield results(
            "rusted_area_photographed",
            {"batch": batch, "exposure_h": exposure_h},
            found.value,
            "%",
            standard_error=found.standard_error,
            low=low,
            high=high,
            n=found.n,
            method=f"mean of {counted(found.n, 'panel')}; interval by t, panels as unit, cut at 0",
            flags="; ".join(flags),
        )


def _within(found: Estimate) -> tuple[float, float]:
    """Return the interval of a share: nothing below 0 nor above 100 %."""
    low, high = found.interval
    return (low, high) if math.isnan(low) else (max(low, 0.0), min(high, 100.0))
