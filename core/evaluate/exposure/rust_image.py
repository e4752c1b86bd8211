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
from tiecoat.evaluate.estimate import CERTAIN, t_factors
from tiecoat.evaluate.grouping import distinct_values, groups_of, members_of, numbered
from tiecoat.evaluate.result import results, together
from tiecoat.evaluate.statistics.replicates import mean_over
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
    at = rows["exposure_h"].fillna(math.inf)  # unknown hours belong together
    rows = rows.assign(exposure_h=at, panel=rows["panel"].fillna(""))
    panels = _of_panels(rows)
    return together([*_areas(panels), *_degrees(panels), _of_batches(rows, panels)])


def _of_panels(rows: pd.DataFrame) -> pd.DataFrame:
    """Return a row for each panel and exposure: the means over its photographs."""
    groups, keys = groups_of(rows, ["batch", "panel", "exposure_h"])
    means = {name: groups.mean(rows[name]) for name in (AREA, LOW, HIGH)}
    hours = keys["exposure_h"].replace(math.inf, math.nan)
    limits = groups.distinct(numbered(rows["parameters"])[0])
    odd = map("; ".join, distinct_values(groups, rows["remarks"]))
    told = zip(hours.isna().tolist(), (limits > 1).tolist(), odd, strict=True)
    flags = ["; ".join(filter(None, _flags(*one))) for one in told]
    return keys.assign(exposure_h=hours, **means, n=groups.sizes, flags=flags)


def _flags(no_hours: bool, differ: bool, remarks: str) -> Iterator[str]:
    yield AID
    yield NO_HOURS if no_hours else ""
    yield DIFFERENT if differ else ""
    yield remarks


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
        flags=panels["flags"].tolist(),
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
        flags=panels["flags"].tolist(),
    )


def _of_batches(rows: pd.DataFrame, panels: pd.DataFrame) -> pd.DataFrame:
    hours = panels["exposure_h"].fillna(math.inf)
    groups, keys = groups_of(panels.assign(exposure_h=hours), ["batch", "exposure_h"])
    limits = members_of(keys, rows).distinct(numbered(rows["parameters"])[0])
    keys["exposure_h"] = keys["exposure_h"].replace(math.inf, math.nan)
    value, error, n = mean_over(panels[AREA].to_numpy(dtype=float), groups)
    half = t_factors(np.where(np.isnan(error), CERTAIN, n - 1)) * error
    flags = []
    for no_hours, least, most, differ, unknown, count in zip(
        keys["exposure_h"].isna().tolist(),
        groups.mean(panels[LOW]).tolist(),
        groups.mean(panels[HIGH]).tolist(),
        (limits > 1).tolist(),
        np.isnan(error).tolist(),
        n.tolist(),
        strict=True,
    ):
        said = [AID, f"{least:.3g} to {most:.3g} % by colour and outlines"]
        said += [NO_HOURS] if no_hours else []
        said += [DIFFERENT] if differ else []
        why = "one panel" if count == 1 else "no spread"
        said += [f"no interval over panels: {why}"] if unknown else []
        flags.append("; ".join(said))
    return results(
        "rusted_area_photographed",
        keys,
        value,
        "%",
        standard_error=error,
        low=np.maximum(value - half, 0.0),  # nothing is below 0 nor above 100 %
        high=np.minimum(value + half, 100.0),
        n=n,
        method=[
            f"mean of {counted(count, 'panel')}; interval by t, panels as unit, cut at 0"
            for count in n.tolist()
        ],
        flags=flags,
    )
