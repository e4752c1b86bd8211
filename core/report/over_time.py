"""What is known over time, as the figures for it are drawn: each a frame of points in one form.

What there is of each kind comes in by the hook for figures: of the built-in ones, `courses.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.ask.study_data import StudyData
from tiecoat.contract.study_page import OWN_SECTIONS
from tiecoat.evaluate.result import panels_as_results, together
from tiecoat.extend.blame import blame
from tiecoat.extend.loading import load_report_parts
from tiecoat.plugin import StudyCourse, TimeCourse
from tiecoat.report.alike import by_line
from tiecoat.report.words import translated

POINTS = ("batch", "unit", "time_h", "value", "low", "high", "failed")
NEEDED = ("batch", "time_h", "value")  # that the points of a plugin have, and what their lines are
GRADES = 5  # the worst of ISO 4628
OF_PLUGIN = "figure "  # before the names of figures that are not the report's own
NOTHING = pd.DataFrame(columns=[*POINTS])


@dataclass(frozen=True)
class OverTime:
    """A quantity over time, of what may be drawn in one frame.

    Parameters
    ----------
    name
        What it is called among the figures of a report, and its files: `modulus`, `foam`, ...
    course
        What it is drawn from.
    axis
        What the value is, with its unit, in the language of the report.
    points
        A row a reading: batch; unit (a panel, or a determination of wet paint); time in h; value;
        low and high of its interval, or of grades that are left open, else NaN; failed: drawn with
        a cross.
    title
        What tells it from other figures of the same quantity: coat system, condition.
    compared_h
        The times at which it is compared.
    fault
        Why there is nothing to draw, where its plugin broke down.
    """

    name: str
    course: StudyCourse
    axis: str
    points: pd.DataFrame
    title: str = ""
    compared_h: tuple[float, ...] = ()
    fault: str = ""

    @property
    def is_course(self) -> bool:
        """Whether anything was read at two times; what broke down is to be told, too."""
        times = self.points.groupby(["batch", "unit"])["time_h"].nunique()
        return bool((times > 1).any()) or bool(self.fault)


def courses_of(data: StudyData) -> dict[str, StudyCourse]:
    """Return what plugins have over time, ours first, by what it is called among the figures."""
    found = load_report_parts(data.lab.own_readers).figures.values()
    return {key_of(one): one for one in found if isinstance(one, StudyCourse)}


def key_of(course: StudyCourse) -> str:
    """Return what it is called among the figures of a report."""
    return course.name if course.name in OWN_SECTIONS else OF_PLUGIN + course.name


def over_time(data: StudyData) -> list[OverTime]:
    """Return everything that is known at more than one time, in the order of the report."""
    found = [one for wanted in courses_of(data).values() for one in of_course(data, wanted)]
    return [one for one in found if one.is_course]


def of_course(data: StudyData, wanted: StudyCourse) -> Iterator[OverTime]:
    """Return what a study has of one course, of panels that are alike."""
    rows = data.rows.get(wanted.kind)
    if rows is None or not len(rows):
        return
    results = data.results.get(wanted.kind, together(()))
    name = key_of(wanted)
    properties = [one for one in data.comparison.properties if one.quantity == wanted.quantity]
    hours = tuple(sorted({one.exposure_h for one in properties})) if wanted.quantity else ()
    conditions = [one.condition for one in properties] or [wanted.condition]
    try:
        courses = [*wanted.courses(results.copy(), panels_as_results(rows))]
        points = [points_of(wanted, one) for one in courses]
    except Exception as error:  # noqa: BLE001 - a stranger's code
        yield OverTime(name, wanted, "", NOTHING, fault=blame(error, wanted.courses))
        return
    for one, drawn in zip(courses, points, strict=True):
        if wanted.condition and one.condition != conditions[0]:
            continue
        for line, part in _by_line(data, wanted, drawn):
            title = ", ".join(filter(None, (translated(one.title), line)))
            yield OverTime(name, wanted, translated(one.axis), _sorted(part), title, hours)


def points_of(wanted: StudyCourse, course: TimeCourse) -> pd.DataFrame:
    """Return the points that a plugin gives, with all that is drawn of them.

    Raises
    ------
    TypeError
        If they are none.
    """
    points = course.points
    lines = () if wanted.line == "batch" else (wanted.line,)
    if lacking := [one for one in (*NEEDED, *lines) if one not in points]:
        expected = ", ".join((*NEEDED, *lines))
        raise TypeError(f"the points have no column {lacking[0]!r}; expected {expected}")
    usual = {"low": np.nan, "high": np.nan, "failed": False}
    missing = {name: value for name, value in usual.items() if name not in points}
    return points.assign(unit=points[lines[0]] if lines else "", **missing)


def _by_line(
    data: StudyData, wanted: StudyCourse, points: pd.DataFrame
) -> Sequence[tuple[str, pd.DataFrame]]:
    if wanted.line != "panel" or not len(points):
        return [("", points)]
    return by_line(data, wanted.kind, points)


def _sorted(points: pd.DataFrame) -> pd.DataFrame:
    found = points[list(POINTS)].astype({"batch": str, "unit": str})
    return found.sort_values(["batch", "unit", "time_h"], kind="stable", ignore_index=True)
