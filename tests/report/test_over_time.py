"""What has a time is drawn over it: a candidate in each frame, with its doses and the control."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pandas as pd
import pytest
from example_study import EXPOSURE_STUDY, example_data
from made_up_studies import compared, panel_rows
from shared_work import SharedWork

from tiecoat.compare.comparison import Comparison
from tiecoat.extend.loading import load_report_parts
from tiecoat.plugin import Clock, StudyCourse, TimeCourse
from tiecoat.report.looks import looks
from tiecoat.report.over_time import OverTime, of_course, over_time
from tiecoat.report.over_time_figures import (
    caption,
    onset,
    over_time_figures,
    over_time_words,
    time_axis,
)


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    """A control and a candidate."""
    return compared(panel_rows("gloss", {"RB-010": [80, 82], "RB-011": [70, 71]}), "")


def points(batch: str, unit: str, times_h: Any, values: Any, **more: Any) -> pd.DataFrame:
    """The readings of one panel or determination."""
    given = {"low": math.nan, "high": math.nan, "failed": False, **more}
    return pd.DataFrame({"batch": batch, "unit": unit, "time_h": times_h, "value": values, **given})


def data(comparison: Comparison, **rows: pd.DataFrame) -> Any:
    """What `over_time` asks of a study without panels."""
    lab = SimpleNamespace(own_readers=None)
    return SimpleNamespace(comparison=comparison, results={}, rows=rows, lab=lab)


@pytest.mark.parametrize(
    ("clock", "longest_h", "axis"),
    [
        (Clock.REST, 1.0, (1 / 60, "minutes at rest")),
        (Clock.REST, 24.0, (1.0, "hours at rest")),
        (Clock.FOAM, 1.0, (1 / 60, "minutes since foaming")),
        (Clock.FOAM, 5.0, (1.0, "hours since foaming")),
        (Clock.EXPOSURE, 72.0, (1.0, "hours of exposure")),
        (Clock.EXPOSURE, 240.0, (24.0, "days of exposure")),
        (Clock.CHAMBER, 1440.0, (1.0, "hours of exposure")),
        (Clock.FIRST, 1440.0, (24.0, "days since the first reading")),
    ],
)
def test_times_are_told_as_the_trade_tells_them(
    clock: Clock, longest_h: float, axis: tuple[float, str]
) -> None:
    """Paint in minutes, a film in water in days, a chamber in hours, however long."""
    assert time_axis(clock, longest_h) == axis


def test_foam_is_drawn_as_it_was_read(comparison: Comparison) -> None:
    """Each determination is a line of its batch in minutes; how it was made is the title."""
    rows = pd.DataFrame(
        {
            "batch": ["RB-010"] * 3 + ["RB-011"] * 3,
            "measurement": ["a"] * 3 + ["b"] * 3,
            "method": "shaken",
            "elapsed_s": [0.0, 60.0, 300.0] * 2,
            "foam_height_mm": [40.0, 30.0, 10.0, 60.0, 50.0, 30.0],
            "foam_volume_ml": math.nan,
        }
    )
    (one,) = over_time(data(comparison, foam=rows))
    assert (one.name, one.title, one.axis) == ("foam", "shaken, height", "height of foam (mm)")
    with looks():
        (figure,) = over_time_figures(comparison, one)
        axes = figure.axes[0]
        drawn = [line.get_xydata().tolist() for line in axes.lines if len(line.get_xdata())]
    assert [[0.0, 60.0], [1.0, 50.0], [5.0, 30.0]] in drawn
    assert [[0.0, 40.0], [1.0, 30.0], [5.0, 10.0]] in drawn
    assert axes.get_xlabel() == "minutes since foaming"
    assert [text.get_text() for text in axes.get_legend().get_texts()] == [
        "RB-011, 5 %",
        "RB-010, control",
    ]
    assert over_time_words(comparison, one) == (
        "shaken, height: height of foam (mm) when last read, after 5 minutes since foaming at the"
        " latest, means: RB-010 10 and RB-011 30."
    )


def read_twice(results: pd.DataFrame, rows: pd.DataFrame) -> list[TimeCourse]:
    """What a plugin may give."""
    points = rows.assign(time_h=rows["hour"], value=rows["mass_mg"])
    return [TimeCourse("mass lost (mg)", points, "9.81 N", "at 9.81 N")]


ROWS = pd.DataFrame(
    {
        "batch": ["RB-010"] * 2 + ["RB-011"] * 2,
        "measurement": ["a"] * 2 + ["b"] * 2,
        "hour": [0.0, 2.0] * 2,
        "mass_mg": [0.0, 5.0, 0.0, 9.0],
    }
)


def test_what_a_plugin_has_over_time_is_drawn_as_ours_is(comparison: Comparison) -> None:
    """Its lines, its axis and its words; its files have a name that none of ours has."""
    wear = StudyCourse("wear", "abrasion", read_twice, line="measurement", caption="Dry wheels.")
    (one,) = of_course(data(comparison, abrasion=ROWS), wear)
    assert (one.name, one.title, one.compared_h) == ("figure wear", "at 9.81 N", ())
    assert caption(one) == "A line is a determination. Dry wheels."
    with looks():
        (figure,) = over_time_figures(comparison, one)
        axes = figure.axes[0]
        drawn = [line.get_xydata().tolist() for line in axes.lines if len(line.get_xdata())]
    assert [[0.0, 0.0], [2.0, 5.0]] in drawn
    assert [[0.0, 0.0], [2.0, 9.0]] in drawn
    assert over_time_words(comparison, one).endswith("means: RB-010 5 and RB-011 9.")
    named = replace(wear, condition="19.6 N")
    assert list(of_course(data(comparison, abrasion=ROWS), named)) == []


@pytest.mark.parametrize(
    ("courses", "line", "said"),
    [
        (read_twice, "panel", "TypeError: the points have no column 'panel'; expected batch, tim"),
        (lambda results, rows: [rows["no_such"]], "measurement", "KeyError: 'no_such' (test_over"),
    ],
)
def test_what_breaks_down_says_so_in_its_place(
    comparison: Comparison, courses: Any, line: Any, said: str
) -> None:
    """In the figure and in its words."""
    wear = StudyCourse("wear", "abrasion", courses, line=line)
    (one,) = of_course(data(comparison, abrasion=ROWS), wear)
    assert one.is_course
    with looks():
        (figure,) = over_time_figures(comparison, one)
    assert said in figure.texts[0].get_text()
    assert said in over_time_words(comparison, one)


def test_what_was_read_once_is_no_course(comparison: Comparison) -> None:
    """A single time makes no figure."""
    rows = pd.DataFrame(
        {
            "batch": ["RB-010"],
            "measurement": ["a"],
            "method": "shaken",
            "elapsed_s": [0.0],
            "foam_height_mm": [40.0],
            "foam_volume_ml": math.nan,
        }
    )
    assert over_time(data(comparison, foam=rows)) == []


@pytest.mark.parametrize(
    ("values", "low", "high", "between"),
    [
        ([0, 0, 2], None, None, (96.0, 240.0)),
        ([1, 2, 3], None, None, (0.0, 24.0)),
        ([0, 0, 0], None, None, (240.0, math.inf)),
        ([0, 0.5, 2], [0, 0, 2], [0, 1, 2], (24.0, 240.0)),  # at 96 h it may have been 0 or 1
    ],
)
def test_the_onset_lies_between_two_inspections(
    values: list[float], low: Any, high: Any, between: tuple[float, float]
) -> None:
    """From the last that surely showed nothing to the first that surely showed something."""
    course = points("RB-010", "a", [24.0, 96.0, 240.0], values)
    course = course.assign(
        time=course["time_h"],
        low=np.nan if low is None else low,
        high=np.nan if high is None else high,
    )
    assert onset(course) == between


def test_a_candidate_without_readings_says_so(comparison: Comparison) -> None:
    """Its frame shows the control, and the words for it."""
    read = points("RB-010", "a", [0.0, 24.0], [80.0, 75.0])
    gloss = load_report_parts(None).figures["gloss"]
    assert isinstance(gloss, StudyCourse)
    one = OverTime("gloss", gloss, "gloss at 60° (GU)", read)
    with looks():
        (figure,) = over_time_figures(comparison, one)
    assert [text.get_text() for text in figure.axes[0].texts] == ["no readings"]


def test_ratings_of_the_example_are_drawn_with_their_onset(shared_work: SharedWork) -> None:
    """Rust, blisters and both creeps of the salt spray test, in hours, with grades 0 to 5."""
    study = example_data(shared_work, EXPOSURE_STUDY)
    found = {one.name: one for one in over_time(study)}
    assert {"rust", "blisters", "delamination", "corrosion"} <= found.keys()
    rust = found["rust"]
    assert rust.title == "neutral salt spray"
    assert "from the last inspection without a grade" in caption(rust)
    with looks():
        (figure,) = over_time_figures(study.comparison, rust)
    axes = figure.axes[0]
    assert [one.get_text() for one in axes.get_yticklabels()] == ["onset", *"012345"]
    assert axes.get_xlabel() == "hours of exposure"
    assert rust.compared_h == (480,)
