"""From ratings to grades at each inspection, and between which inspections a grade was reached.

Rust that was rated by an area or by another scale than the pictures of ISO 4628-3 has a band of
degrees, `least` to `worst`.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise

import pandas as pd

from tiecoat.contract.notations.rated_properties import DEFECTS
from tiecoat.contract.notations.rust_scales import Band, ri_of_band, rust_band
from tiecoat.contract.standards import ISO_4628_3
from tiecoat.evaluate.estimate import NotDeterminable

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


def rating_of(row: Mapping[Hashable, object]) -> Rating:
    """Return the grade of a row of ratings.

    Rust has the degree that was rated; else the degrees of the pictures that the area lies between;
    else those that the areas of its grade of ASTM D610 do. An area is a rating of its own by the
    newer edition of ISO 4628-3; the degrees that it is given here are those of the older pictures.
    """
    grade, d610, area = (_number(row[name]) for name in ("grade", "d610_grade", "area_percent"))
    if row["property"] != "rust":
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


def _number(value: object) -> float | None:
    number = float(str(value))
    return None if math.isnan(number) else number


def courses(rows: pd.DataFrame, ratings: Sequence[Rating]) -> list[Course]:
    """Return the course of each property of each panel, sorted by batch, exposure, property, panel.

    Parameters
    ----------
    rows
        Rows of the kind `exposure_rating` that are graded.
    ratings
        One for each row.
    """
    seen: dict[tuple[str, ...], list[tuple[float, datetime, Rating]]] = defaultdict(list)
    names = ("batch", "exposure", "property", "panel", "exposure_h", "measured_at")
    for *keys, hour, at, rating in zip(*(rows[name] for name in names), ratings, strict=True):
        seen[tuple(keys)].append((hour, at, rating))
    return [_course(keys, listed) for keys, listed in sorted(seen.items(), key=lambda one: one[0])]


def _course(keys: tuple[str, ...], seen: Sequence[tuple[float, datetime, Rating]]) -> Course:
    batch, exposure, rated, panel = keys
    at: dict[float, list[Rating]] = defaultdict(list)
    for hour, _, rating in seen:
        at[hour].append(rating)
    hours = tuple(sorted(at))
    least = tuple(max(rating.least for rating in at[hour]) for hour in hours)
    worst = tuple(max(rating.worst for rating in at[hour]) for hour in hours)
    flags = [*backward((hour, day) for hour, day, _ in seen), *_improving(hours, least, worst)]
    if again := ", ".join(f"{hour:g}" for hour in hours if len(at[hour]) > 1):
        flags.append(f"rated more than once at {again} h: the worse counts")
    return Course(batch, panel, exposure, rated, hours, least, worst, tuple(flags))


def backward(inspected: Iterable[tuple[float, datetime]]) -> Iterator[str]:
    """Tell where hours fall with the date, which only sheets of several files can do.

    Parameters
    ----------
    inspected
        Hours and date of each inspection of a panel in one exposure; NaT where none is known.
    """
    dated = sorted((at, hour) for hour, at in inspected if not pd.isna(at))
    for (_, before), (at, hour) in pairwise(dated):
        if hour < before:
            when = f"{at:%Y-%m-%d %H:%M} UTC"
            yield f"the inspection of {when} has {hour:g} h, an earlier one {before:g} h"


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
