"""Specular gloss of panels and batches at each angle (ISO 2813).

| quantity | unit | of |
| --- | --- | --- |
| gloss_readings | 1 | a panel at an angle, and a batch |
| gloss_mean | GU | a panel at an angle, and a batch over its panels |
| gloss_sd | GU | a panel at an angle, and a batch |

The angle of incidence stands as condition. A mean at another angle than the gloss at 60 degrees
advises says so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np
import pandas as pd

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.grouping import Floats, RowGroups, groups_of, numbered
from tiecoat.evaluate.ledger import table_of
from tiecoat.evaluate.result import results, together
from tiecoat.evaluate.statistics import replicates
from tiecoat.wording import counted, unlike

GENERAL_DEG = 60.0
HIGH_GU, LOW_GU = 70.0, 10.0  # at 60 degrees; ISO 2813 and ASTM D523, see below


def advised_angle_deg(gloss_at_60: float) -> float:
    """Return the angle of incidence that tells films of this gloss best apart.

    20 degrees above 70 units at 60 degrees, 85 degrees below 10 units, else 60 degrees.

    Parameters
    ----------
    gloss_at_60
        Gloss units at 60 degrees, at least 0.

    Raises
    ------
    ValueError
        If it is negative or no number.

    References
    ----------
    ISO 2813 and ASTM D523, both as printed in published summaries, one of which puts 70 units
    themselves with 20 degrees; here they stay with 60.

    Examples
    --------
    >>> advised_angle_deg(92.0), advised_angle_deg(70.0), advised_angle_deg(4.5)
    (20.0, 60.0, 85.0)
    """
    if not gloss_at_60 >= 0:
        raise ValueError(f"expected at least 0 gloss units, found {gloss_at_60:g}")
    if gloss_at_60 > HIGH_GU:
        return 20.0
    return 85.0 if gloss_at_60 < LOW_GU else GENERAL_DEG


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the results of gloss readings.

    Parameters
    ----------
    frames
        `gloss`, as the archive gives it.
    choices
        Nothing is set for gloss.
    """
    rows = frames["gloss"]
    return together([*_results(rows, ["batch", "panel"]), *_results(rows, ["batch"])])


def _results(rows: pd.DataFrame, by: list[str]) -> Iterator[pd.DataFrame]:
    """Return the results at each angle, of the panels or of the batches."""
    groups, keys = groups_of(rows, [*by, "angle_deg"])
    gloss, panels = rows["gloss_gu"].to_numpy(dtype=float), numbered(rows["panel"])[0]
    angles, n = keys.pop("angle_deg").to_numpy(dtype=float), groups.sizes
    at = {"condition": [f"{angle:g} deg" for angle in angles.tolist()], "n": n}
    on = [f"on {counted(number, 'panel')}" for number in groups.distinct(panels).tolist()]
    yield results("gloss_readings", keys, n, "", method=on, **at)
    mean = replicates.means(gloss, panels, groups, "reading")
    again = groups.sum(rows.duplicated(["batch", "panel", "angle_deg", "spot"]))
    at_60 = _at_60(mean.value, angles, groups_of(keys, by)[0])
    cautions = map(_cautions, again.tolist(), angles.tolist(), at_60.tolist())
    flags = [
        "; ".join(filter(None, (flag, *more)))
        for flag, more in zip(mean.flags, cautions, strict=True)
    ]
    yield table_of(replace(mean, flags=flags), "gloss_mean", "GU", keys, **at)
    spread = replicates.spreads(gloss, panels, groups, "reading")
    yield table_of(spread, "gloss_sd", "GU", keys, **at)


def _at_60(means: Floats, angles: Floats, films: RowGroups) -> Floats:
    """Return for each mean the one of its panel or batch at 60 degrees, NaN where there is none."""
    found = np.full(films.count, np.nan)
    found[films.of_row[angles == GENERAL_DEG]] = means[angles == GENERAL_DEG]
    return found[films.of_row]


def _cautions(again: float, angle_deg: float, at_60: float) -> Iterator[str]:
    """Say what weakens the mean, or for what another angle would be better."""
    if again:
        yield f"{counted(int(again), 'reading')} of spots that were read before: each counts"
    if math.isnan(at_60):
        yield "nothing at 60 degrees: which angle ISO 2813 advises is not known"
        return
    advised = advised_angle_deg(at_60)
    if advised != angle_deg:
        limit = LOW_GU if advised == 85 else HIGH_GU
        yield (
            f"{advised:g} degrees is advised at {unlike(at_60, limit, 3)} units at 60 degrees"
            " (ISO 2813)"
        )
