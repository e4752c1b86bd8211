"""From ratings to grades at each inspection, and between which inspections a grade was reached.

Rust that was rated by an area or by another scale than the pictures of ISO 4628-3 has a band of
degrees, `least` to `worst`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.contract.notations.rated_properties import DEFECTS
from tiecoat.contract.notations.rust_scales import Band, ri_of_band, rust_band
from tiecoat.contract.standards import ISO_4628_3
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.grouping import RowGroups, groups_of, numbered

COURSE = ["batch", "exposure", "property", "panel"]  # what a course is of
NAMES = {"rust": "rust_grade", "blisters": "blister_density"}
NAMES |= {defect: f"{defect}_quantity" for defect in DEFECTS if defect not in NAMES}
SIZES = {"blisters": "blister_size", "cracking": "cracking_size", "flaking": "flaking_size"}

BETWEEN_PICTURES = "the rusted area lies between two pictures: it belongs to neither degree"
SEVERAL_DEGREES = "the ASTM D610 grade allows several degrees Ri"


@dataclass(frozen=True)
class Rating:
    """A grade from `least` to `worst`, how it was found, and for rust the areas it allows.

    `reason` says why there is no one grade where the two differ.
    """

    least: float
    worst: float
    method: str
    area: Band | None = None
    reason: str = ""


@dataclass(frozen=True)
class Course:
    """The ratings of one property of one panel in one exposure, by rising hours.

    Parameters
    ----------
    hours
        Of the inspections, each once, shape (n,).
    least, worst
        Grades between which the rating lies, shape (n,); of two ratings at the same hours the
        worse counts.
    flags
        What must be known of it.
    """

    batch: str
    panel: str
    exposure: str
    rated: str
    hours: tuple[float, ...]
    least: tuple[float, ...]
    worst: tuple[float, ...]
    flags: tuple[str, ...] = ()

    @property
    def keys(self) -> dict[str, str]:
        """Batch and panel."""
        return {"batch": self.batch, "panel": self.panel}


def ratings_of(rows: pd.DataFrame) -> list[Rating]:
    """Return the grade of each row of ratings.

    Rust has the degree that was rated; else the degrees of the pictures that the area lies between;
    else those that the areas of its grade of ASTM D610 do. An area is a rating of its own by the
    newer edition of ISO 4628-3; the degrees that it is given here are those of the older pictures.
    """
    columns = [rows["property"].tolist()]
    for name in ("grade", "d610_grade", "area_percent"):
        numbers = rows[name].tolist()
        columns.append([None if math.isnan(number) else number for number in numbers])
    seen = list(zip(*columns, strict=True))
    found = {one: _rating(*one) for one in dict.fromkeys(seen)}
    return [found[one] for one in seen]


def _rating(rated: str, grade: float | None, d610: float | None, area: float | None) -> Rating:
    if rated != "rust":
        assert grade is not None
        return Rating(grade, grade, "as rated (ISO 4628)")
    band = rust_band(grade, d610, area)
    assert band is not None, "the kind lets no contradiction in"
    if grade is not None:
        return Rating(grade, grade, f"as rated ({ISO_4628_3})", band)
    least, worst = ri_of_band(band)
    if area is not None:
        method = f"of the rusted area, by the pictures of {ISO_4628_3}"
        return Rating(least, worst, method, band, BETWEEN_PICTURES if least < worst else "")
    method = f"of the areas of the ASTM D610 grade, by the pictures of {ISO_4628_3}"
    return Rating(least, worst, method, band, SEVERAL_DEGREES if least < worst else "")


def courses(rows: pd.DataFrame, ratings: Sequence[Rating]) -> list[Course]:
    """Return the course of each property of each panel, sorted by batch, exposure, property, panel.

    Parameters
    ----------
    rows
        Rows of the kind `exposure_rating` that are graded.
    ratings
        One for each row.
    """
    of_panels, keys = groups_of(rows, COURSE)
    hour, hours = numbered(rows["exposure_h"])
    inspections, owner = of_panels.parted(hour)
    least = inspections.most([one.least for one in ratings]).tolist()
    worst = inspections.most([one.worst for one in ratings]).tolist()
    at = hours[inspections.first(hour)].tolist()
    times = inspections.sizes.tolist()
    ends = np.cumsum(np.bincount(owner, minlength=of_panels.count)).tolist()
    fallen, found, start = backward(rows, of_panels), [], 0
    for key, odd, end in zip(keys.itertuples(index=False, name=None), fallen, ends, strict=True):
        own = slice(start, end)
        flags = [*odd, *_improving(at[own], least[own], worst[own])]
        seen = zip(at[own], times[own], strict=True)
        if again := ", ".join(f"{one:g}" for one, count in seen if count > 1):
            flags.append(f"rated more than once at {again} h: the worse counts")
        batch, exposure, rated, panel = key
        ratings_at = tuple(at[own]), tuple(least[own]), tuple(worst[own])
        found.append(Course(batch, panel, exposure, rated, *ratings_at, tuple(flags)))
        start = end
    return found


def backward(rows: pd.DataFrame, panels: RowGroups) -> list[list[str]]:
    """Tell of each panel where hours fall with the date, which only sheets of several files can do.

    Parameters
    ----------
    rows
        Inspections: exposure_h, and measured_at, NaT where it is not known.
    panels
        Those of each panel in one exposure.
    """
    hours, dates = rows["exposure_h"].to_numpy(dtype=float), rows["measured_at"]
    known = dates.notna().to_numpy(dtype=bool)
    order = np.lexsort((hours, dates.to_numpy(), panels.of_row))
    order = order[known[order] & (panels.of_row[order] >= 0)]
    before, after = order[:-1], order[1:]
    falls = (panels.of_row[before] == panels.of_row[after]) & (hours[after] < hours[before])
    told: list[list[str]] = [[] for _ in range(panels.count)]
    for first, then in zip(before[falls].tolist(), after[falls].tolist(), strict=True):
        when = f"{dates.iloc[then]:%Y-%m-%d %H:%M} UTC"
        said = f"the inspection of {when} has {hours[then]:g} h, an earlier one {hours[first]:g} h"
        told[panels.of_row[then]].append(said)
    return told


def _improving(
    hours: Sequence[float], least: Sequence[float], worst: Sequence[float]
) -> Iterator[str]:
    for place in range(1, len(hours)):
        if worst[place] < least[place - 1]:
            yield (
                f"the grade improves from {least[place - 1]:g} at {hours[place - 1]:g} h"
                f" to {worst[place]:g} at {hours[place]:g} h"
            )


def reached_between(course: Course, grade: int) -> tuple[float, float]:
    """Return the hours (low, high] in which a panel reached a grade; infinite if it never did.

    `low` is the last inspection at which it certainly had not, 0 if there is none; `high` the first
    at which it certainly had.

    Raises
    ------
    NotDeterminable
        If it had the grade before the exposure began.

    Examples
    --------
    >>> course = Course("", "", "", "rust", (250, 500, 750), (0, 2, 3), (1, 3, 3))
    >>> reached_between(course, 3), reached_between(course, 2), reached_between(course, 4)
    ((250.0, 750.0), (250.0, 500.0), (750.0, inf))
    """
    had = [h for h, least in zip(course.hours, course.least, strict=True) if least >= grade]
    high = float(min(had, default=math.inf))
    if high == 0:
        raise NotDeterminable(f"it had grade {grade} before the exposure began")
    seen = zip(course.hours, course.worst, strict=True)
    return float(max((h for h, worst in seen if h < high and worst < grade), default=0.0)), high
