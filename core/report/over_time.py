"""What is known over time: air and foam of wet paint, modulus, ratings, creep and gloss of panels.

Each is a frame of points in one form, so that one way of drawing does for all.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from enum import Enum

import numpy as np
import pandas as pd

from tiecoat.ask.study_data import StudyData
from tiecoat.evaluate.impedance.kramers_kronig import FAILS
from tiecoat.evaluate.wet_paint.air import in_words
from tiecoat.evaluate.wet_paint.foam import curves_of
from tiecoat.report.alike import by_line
from tiecoat.report.words import say, translated

POINTS = ("batch", "unit", "time_h", "value", "low", "high", "failed")
MODULUS = "0.1 Hz"  # the condition of the modulus that is drawn where none is compared
GRADES = 5  # the worst of ISO 4628


class Clock(Enum):
    """From when time is counted."""

    EXPOSURE = "exposure"
    CHAMBER = "chamber"  # exposure that is told in hours, however long
    REST = "rest"
    FOAM = "foam"
    FIRST = "first reading"


@dataclass(frozen=True)
class OverTime:
    """A quantity over time, of what may be drawn in one frame.

    Parameters
    ----------
    name, kind
        Of the figure and of its file: `modulus`, `foam`, `rust`, ...; and what it was made of.
    axis
        What the value is, with its unit, in the language of the report.
    points
        A row a reading: batch; unit (a panel, or a determination of wet paint); time in h; value;
        low and high of its interval, or of grades that are left open, else NaN; failed: drawn with
        a cross.
    title
        What tells it from other figures of the same quantity: coat system, condition.
    is_log, is_graded
        Whether the axis is logarithmic, or has the grades 0 to 5 of ISO 4628.
    compared_h
        The times at which it is compared.
    """

    name: str
    kind: str
    axis: str
    points: pd.DataFrame
    clock: Clock
    title: str = ""
    is_log: bool = False
    is_graded: bool = False
    compared_h: tuple[float, ...] = ()

    @property
    def is_course(self) -> bool:
        """Whether anything was read at two times."""
        times = self.points.groupby(["batch", "unit"])["time_h"].nunique()
        return bool((times > 1).any())


@dataclass(frozen=True)
class ResultOverTime:
    """A result of panels that has an exposure time.

    `axis` makes of a condition what the value is called; where that does not tell the condition, it
    becomes a part of the title.
    """

    name: str
    kind: str
    quantity: str
    axis: Callable[[str], str]
    clock: Clock = Clock.CHAMBER
    is_log: bool = False
    is_graded: bool = False
    tells_condition: bool = False


# fmt: off
OF_PANELS = (
    ResultOverTime("modulus", "impedance", "modulus",
                   lambda at: say("|Z| × area at {frequency} (Ω cm²)", frequency=at),
                   Clock.EXPOSURE, is_log=True, tells_condition=True),
    ResultOverTime("rust", "exposure_rating", "rust_grade",
                   lambda _: say("degree of rusting Ri"), is_graded=True),
    ResultOverTime("blisters", "exposure_rating", "blister_density",
                   lambda _: say("quantity of blisters"), is_graded=True),
    ResultOverTime("cracking", "exposure_rating", "cracking_quantity",
                   lambda _: say("quantity of cracks"), is_graded=True),
    ResultOverTime("flaking", "exposure_rating", "flaking_quantity",
                   lambda _: say("quantity of flakes"), is_graded=True),
    ResultOverTime("delamination", "exposure_rating", "scribe_delamination",
                   lambda _: say("delamination from the scribe (mm)")),
    ResultOverTime("corrosion", "exposure_rating", "scribe_corrosion",
                   lambda _: say("corrosion from the scribe (mm)")),
)
# fmt: on
NAMES = ("air", "foam", *(one.name for one in OF_PANELS), "gloss")


def over_time(data: StudyData) -> list[OverTime]:
    """Return everything that is known at more than one time, in the order of the report."""
    found = [*_air(data), *_foam(data)]
    for one in OF_PANELS:
        found += _of_panels(data, one)
    return [one for one in [*found, *_gloss(data)] if one.is_course]


def modulus_condition(data: StudyData) -> str:
    """Return the condition of the modulus that is drawn: the first compared, else a usual one."""
    properties = data.comparison.properties
    compared = [one.condition for one in properties if one.quantity == "modulus"]
    return compared[0] if compared else MODULUS


def _of_panels(data: StudyData, wanted: ResultOverTime) -> Iterator[OverTime]:
    """Return a result of panels under each condition, of panels that are alike."""
    table = data.results.get(wanted.kind)
    if table is None:
        return
    at = (table["quantity"] == wanted.quantity) & (table["panel"] != "")
    if wanted.quantity == "modulus":
        at &= (table["condition"] == modulus_condition(data)) & (table["value"] > 0)
    rows = table[at & table["exposure_h"].notna()]
    properties = data.comparison.properties
    compared = {one.exposure_h for one in properties if one.quantity == wanted.quantity}
    for condition, mine in rows.groupby("condition", sort=True):
        told = translated(str(condition))
        aside = "" if wanted.tells_condition else told
        for line, part in by_line(data, wanted.kind, mine):
            yield OverTime(
                wanted.name,
                wanted.kind,
                wanted.axis(told),
                points_of_results(part),
                wanted.clock,
                ", ".join(filter(None, (aside, line))),
                wanted.is_log,
                wanted.is_graded,
                tuple(sorted(compared)),
            )


def points_of_results(rows: pd.DataFrame) -> pd.DataFrame:
    """Return result rows with an exposure time as points; grades left open in their middle."""
    middle = (rows["low"] + rows["high"]) / 2
    is_open = rows["value"].isna()
    found = pd.DataFrame(
        {
            "batch": rows["batch"],
            "unit": rows["panel"],
            "time_h": rows["exposure_h"],
            "value": rows["value"].where(~is_open, middle),
            "low": rows["low"].where(is_open),
            "high": rows["high"].where(is_open),
            "failed": rows["flags"].str.contains(FAILS, regex=False),
        }
    )
    return _sorted(found)


def _air(data: StudyData) -> Iterator[OverTime]:
    """Return the entrapped air of each batch while it rests, with its interval."""
    table, rows = data.results.get("density"), data.rows.get("density")
    if table is None or rows is None or not len(table):
        return
    known = rows[["batch", "state", "elapsed_s"]].drop_duplicates()
    hours = {
        (batch, in_words(state, elapsed_s)): elapsed_s / 3600
        for batch, state, elapsed_s in known.itertuples(index=False, name=None)
    }
    air = table[(table["quantity"] == "entrapped_air") & table["value"].notna()]
    keys = list(zip(air["batch"], air["condition"], strict=True))
    found = air.assign(unit="", time_h=[hours.get(one, np.nan) for one in keys], failed=False)
    points = _sorted(found[found["time_h"].notna()])
    yield OverTime("air", "density", say("entrapped air (% by volume)"), points, Clock.REST)


def _foam(data: StudyData) -> Iterator[OverTime]:
    """Return the foam of each determination, by how it was made and what was read."""
    rows = data.rows.get("foam")
    if rows is None:
        return
    by_condition: dict[str, list[pd.DataFrame]] = {}
    axes = {}
    for one in curves_of(rows):
        axes[one.condition] = (
            say("volume of foam (ml)") if one.amount == "volume" else say("height of foam (mm)")
        )
        by_condition.setdefault(one.condition, []).append(
            pd.DataFrame(
                {
                    "batch": one.batch,
                    "unit": one.measurement,
                    "time_h": one.minutes / 60,
                    "value": one.foam,
                    "low": np.nan,
                    "high": np.nan,
                    "failed": False,
                }
            )
        )
    for condition, curves in sorted(by_condition.items()):
        points = _sorted(pd.concat(curves, ignore_index=True))
        yield OverTime("foam", "foam", axes[condition], points, Clock.FOAM, translated(condition))


def _gloss(data: StudyData) -> Iterator[OverTime]:
    """Return the mean gloss of each panel at each time, counted from its first reading."""
    rows = data.rows.get("gloss")
    if rows is None:
        return
    dated = rows[rows["measured_at"].notna()]
    for angle, mine in dated.groupby("angle_deg", sort=True):
        keys = ["batch", "panel", "measured_at"]
        means = mine.groupby(keys, observed=True)[["gloss_gu"]].mean().reset_index()
        first = means.groupby("panel", observed=True)["measured_at"].transform("min")
        means["time_h"] = (means["measured_at"] - first).dt.total_seconds() / 3600
        for line, part in by_line(data, "gloss", means):
            points = part.rename(columns={"panel": "unit", "gloss_gu": "value"})
            points = points.assign(low=np.nan, high=np.nan, failed=False)
            axis = say("gloss at {angle}° (GU)", angle=f"{angle:g}")
            yield OverTime("gloss", "gloss", axis, _sorted(points), Clock.FIRST, line)


def _sorted(points: pd.DataFrame) -> pd.DataFrame:
    found = points[list(POINTS)].astype({"batch": str, "unit": str})
    return found.sort_values(["batch", "unit", "time_h"], kind="stable", ignore_index=True)
