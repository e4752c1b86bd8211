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

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import pandas as pd

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.grouping import grouped
from tiecoat.evaluate.ledger import Ledger
from tiecoat.evaluate.statistics import replicates
from tiecoat.wording import counted, unlike

USED = ["batch", "panel", "angle_deg", "gloss_gu", "again"]
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


@dataclass(frozen=True)
class _GlossGroup:
    """Readings at all angles, of one panel or of all of a batch."""

    keys: Mapping[str, str]
    rows: pd.DataFrame


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the results of gloss readings.

    Parameters
    ----------
    frames
        `gloss`, as the archive gives it.
    choices
        Nothing is set for gloss.
    """
    ledger, rows = Ledger(), frames["gloss"]
    again = rows.duplicated(["batch", "panel", "angle_deg", "spot"])
    for group in _groups(rows.assign(again=again)[USED]):
        at_60 = _at_60(group)
        for angle, part in group.rows.groupby("angle_deg", sort=True):
            _tell(ledger, group.keys, float(str(angle)), part, at_60)
    return ledger.table()


def _groups(rows: pd.DataFrame) -> Iterator[_GlossGroup]:
    """Return the panels and then the batches."""
    for (batch, panel), positions in grouped(rows, ["batch", "panel"]):
        yield _GlossGroup({"batch": batch, "panel": panel}, rows.iloc[positions])
    for (batch,), positions in grouped(rows, ["batch"]):
        yield _GlossGroup({"batch": batch}, rows.iloc[positions])


def _at_60(group: _GlossGroup) -> float | None:
    """Return the mean at 60 degrees, or None where it was not measured."""
    found = group.rows[group.rows["angle_deg"] == GENERAL_DEG]
    if not len(found):
        return None
    return replicates.mean(found["gloss_gu"], found["panel"], "reading").estimate.value


def _tell(
    ledger: Ledger,
    keys: Mapping[str, str],
    angle_deg: float,
    rows: pd.DataFrame,
    at_60: float | None,
) -> None:
    gloss, panels = rows["gloss_gu"], rows["panel"]
    mean = replicates.mean(gloss, panels, "reading")
    flags = (*mean.flags, *_cautions(rows, angle_deg, at_60))
    on = f"on {counted(panels.nunique(), 'panel')}"
    condition, n = f"{angle_deg:g} deg", len(rows)
    ledger.add("gloss_readings", "", keys, Estimate(n), condition=condition, method=on, n=n)
    ledger.add(
        "gloss_mean",
        "GU",
        keys,
        mean.estimate,
        condition=condition,
        method=mean.method,
        flags="; ".join(flags),
        interval=mean.interval,
        n=n,
    )
    try:
        spread = replicates.spread(gloss, panels, "reading")
    except NotDeterminable as why:
        ledger.add("gloss_sd", "GU", keys, why, condition=condition, n=n)
        return
    ledger.add(
        "gloss_sd",
        "GU",
        keys,
        spread.estimate,
        condition=condition,
        method=spread.method,
        interval=spread.interval,
        n=n,
    )


def _cautions(rows: pd.DataFrame, angle_deg: float, at_60: float | None) -> Iterator[str]:
    """Say what weakens the mean, or for what another angle would be better."""
    if again := int(rows["again"].sum()):
        yield f"{counted(again, 'reading')} of spots that were read before: each counts"
    if at_60 is None:
        yield "nothing at 60 degrees: which angle ISO 2813 advises is not known"
        return
    advised = advised_angle_deg(at_60)
    if advised != angle_deg:
        limit = LOW_GU if advised == 85 else HIGH_GU
        yield (
            f"{advised:g} degrees is advised at {unlike(at_60, limit, 3)} units at 60 degrees"
            " (ISO 2813, from memory)"
        )
