"""What the built-in kinds have over time; it comes in by the hook for figures.

Air and foam of wet paint, modulus, ratings, creep and gloss of panels.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial

import numpy as np
import pandas as pd

from tiecoat.evaluate.impedance.kramers_kronig import FAILS
from tiecoat.evaluate.wet_paint.air import in_words
from tiecoat.evaluate.wet_paint.foam import curves_of
from tiecoat.plugin import Clock, StudyCourse, TimeCourse, hookimpl
from tiecoat.report.words import say, translated

CROSSED = "A black cross: the spectrum fails the Kramers-Kronig test."
MODULUS = "0.1 Hz"  # the condition of the modulus that is drawn where none is compared


def of_results(
    results: pd.DataFrame, rows: pd.DataFrame, *, quantity: str, axis: Callable[[], str]
) -> Iterator[TimeCourse]:
    """Return a result of panels that has an exposure time, under each condition."""
    at = (results["quantity"] == quantity) & (results["panel"] != "")
    for condition, mine in results[at & results["exposure_h"].notna()].groupby("condition"):
        points = points_of_results(mine)
        yield TimeCourse(axis(), points, str(condition), translated(str(condition)))


def points_of_results(rows: pd.DataFrame) -> pd.DataFrame:
    """Return result rows with an exposure time as points; grades left open in their middle."""
    is_open = rows["value"].isna()
    return rows.assign(
        time_h=rows["exposure_h"],
        value=rows["value"].where(~is_open, (rows["low"] + rows["high"]) / 2),
        low=rows["low"].where(is_open),
        high=rows["high"].where(is_open),
        failed=rows["flags"].str.contains(FAILS, regex=False),
    )


def _modulus(results: pd.DataFrame, rows: pd.DataFrame) -> Iterator[TimeCourse]:
    """Return the modulus at each frequency, which the axis tells."""
    known = results[results["value"] > 0]
    for one in of_results(known, rows, quantity="modulus", axis=str):
        axis = say("|Z| × area at {frequency} (Ω cm²)", frequency=one.title)
        yield TimeCourse(axis, one.points, one.condition)


def _air(results: pd.DataFrame, rows: pd.DataFrame) -> Iterator[TimeCourse]:
    """Return the entrapped air of each batch while it rests, with its interval."""
    known = rows[["batch", "state", "elapsed_s"]].drop_duplicates()
    hours = {
        (batch, in_words(state, elapsed_s)): elapsed_s / 3600
        for batch, state, elapsed_s in known.itertuples(index=False, name=None)
    }
    air = results[(results["quantity"] == "entrapped_air") & results["value"].notna()]
    keys = zip(air["batch"], air["condition"], strict=True)
    points = air.assign(time_h=[hours.get(one, np.nan) for one in keys])
    yield TimeCourse(say("entrapped air (% by volume)"), points[points["time_h"].notna()])


def _foam(results: pd.DataFrame, rows: pd.DataFrame) -> Iterator[TimeCourse]:
    """Return the foam of each determination, by how it was made and what was read."""
    axes, by_condition = {}, dict[str, list[pd.DataFrame]]()
    for one in curves_of(rows):
        axes[one.condition] = (
            say("volume of foam (ml)") if one.amount == "volume" else say("height of foam (mm)")
        )
        curve = {"time_h": one.minutes / 60, "value": one.foam}
        points = pd.DataFrame({"batch": one.batch, "measurement": one.measurement, **curve})
        by_condition.setdefault(one.condition, []).append(points)
    for condition, curves in sorted(by_condition.items()):
        points = pd.concat(curves, ignore_index=True)
        yield TimeCourse(axes[condition], points, condition, translated(condition))


def _gloss(results: pd.DataFrame, rows: pd.DataFrame) -> Iterator[TimeCourse]:
    """Return the mean gloss of each panel at each time, counted from its first reading."""
    dated = rows[rows["measured_at"].notna()]
    for angle, mine in dated.groupby("angle_deg", sort=True):
        keys = ["batch", "panel", "measured_at"]
        means = mine.groupby(keys, observed=True)[["gloss_gu"]].mean().reset_index()
        first = means.groupby("panel", observed=True)["measured_at"].transform("min")
        hours = (means["measured_at"] - first).dt.total_seconds() / 3600
        axis = say("gloss at {angle}° (GU)", angle=f"{angle:g}")
        yield TimeCourse(axis, means.assign(time_h=hours, value=means["gloss_gu"]))


def _rating(
    name: str, quantity: str, axis: Callable[[], str], *, is_graded: bool = False
) -> StudyCourse:
    """Return a rating or creep of panels in a chamber."""
    courses = partial(of_results, quantity=quantity, axis=axis)
    kind, clock = "exposure_rating", Clock.CHAMBER
    return StudyCourse(name, kind, courses, clock, quantity=quantity, is_graded=is_graded)


@hookimpl
def tiecoat_figures() -> list[StudyCourse]:
    """Return what is drawn over time, in the order of the report."""
    graded = partial(_rating, is_graded=True)
    modulus = partial(StudyCourse, "modulus", "impedance", _modulus, is_log=True)
    return [
        StudyCourse("air", "density", _air, Clock.REST, line="batch"),
        StudyCourse("foam", "foam", _foam, Clock.FOAM, line="measurement"),
        modulus(quantity="modulus", condition=MODULUS, caption=CROSSED),
        graded("rust", "rust_grade", lambda: say("degree of rusting Ri")),
        graded("blisters", "blister_density", lambda: say("quantity of blisters")),
        graded("cracking", "cracking_quantity", lambda: say("quantity of cracks")),
        graded("flaking", "flaking_quantity", lambda: say("quantity of flakes")),
        _rating(
            "delamination",
            "scribe_delamination",
            lambda: say("delamination from the scribe (mm)"),
        ),
        _rating("corrosion", "scribe_corrosion", lambda: say("corrosion from the scribe (mm)")),
        StudyCourse("gloss", "gloss", _gloss, Clock.FIRST),
    ]
