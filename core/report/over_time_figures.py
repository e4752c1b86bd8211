"""Curves over time: a candidate in each frame, with all of its doses and the control."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tiecoat.compare.comparison import Comparison
from tiecoat.plugin import Clock
from tiecoat.report.labels import number
from tiecoat.report.looks import INK, SOFT, SpokenTicks, fault_figure, log_axis, new_figure
from tiecoat.report.over_time import GRADES, OverTime
from tiecoat.report.small_multiples import (
    ACROSS,
    BatchGroup,
    LineLook,
    groups_of,
    legend,
    more_legend,
    parts,
    small_multiples,
)
from tiecoat.report.words import joined, say, translated

MINUTES_TO_H, HOURS_TO_H = 3.0, 72.0  # longer times are told in hours, and in days
HEIGHT, LEGEND_BELOW = 2.75, -0.24
ROOM = 1.6  # factor of a logarithmic axis beyond its values
ROOM_SHARE = 0.06  # of a linear one
EDGE = 0.05  # of the longest time, beyond both ends
APART = 0.07  # grades between batches of the same grade, so that none hides another
ONSET_ROW, ONSET_FIRST = 0.17, -0.55  # grades a panel, and where the first stands


def time_axis(clock: Clock, longest_h: float) -> tuple[float, str]:
    """Return by what hours are divided, and what the axis of time is called."""
    if clock is Clock.CHAMBER:
        return 1.0, say("hours of exposure")
    in_days = longest_h > HOURS_TO_H
    if clock is Clock.EXPOSURE:
        return (24.0, say("days of exposure")) if in_days else (1.0, say("hours of exposure"))
    if clock is Clock.FIRST:
        return 24.0, say("days since the first reading")
    in_hours = longest_h > MINUTES_TO_H
    if clock is Clock.REST:
        return (1.0, say("hours at rest")) if in_hours else (1 / 60, say("minutes at rest"))
    told = say("hours since foaming") if in_hours else say("minutes since foaming")
    return (1.0 if in_hours else 1 / 60), told


def over_time_figures(comparison: Comparison, one: OverTime) -> Iterator[Figure]:
    """Draw a quantity over time, a line a panel or determination; at most four candidates each."""
    if one.fault:
        yield fault_figure(say("The figure could not be drawn: {why}", why=one.fault))
    points, groups = one.points, groups_of(comparison)
    if not len(points) or not groups:
        return
    by, words = time_axis(one.course.clock, float(points["time_h"].max()))
    points = points.assign(time=points["time_h"] / by)
    for part in parts(groups):
        rows = _onset_rows(points, part) if one.course.is_graded else 0
        low, high = _ends(one, rows)
        figure = new_figure(HEIGHT + more_legend(part) + 0.5 * one.course.is_graded, one.title)
        grid = figure.subplots(1, ACROSS, sharex=True, sharey=True)
        order = {batch: place for group in part for place, batch in enumerate(group.looks)}

        def draw(axes: Axes, batch: str, look: LineLook, order: dict[str, int] = order) -> None:
            mine = points[points["batch"] == batch]
            aside = APART * order[batch] if one.course.is_graded else 0.0
            _lines(axes, mine, look, aside)

        small_multiples(list(grid), part, draw)
        for axes, group in zip(grid, part, strict=False):
            if one.course.is_log:
                axes.set_yscale("log")
            axes.set_ylim(low, high)
            axes.set_xlim(*_times_shown(points))
            for hour in one.compared_h:
                axes.axvline(hour / by, color=SOFT, lw=0.6, linestyle=(0, (1, 2)))
            axes.set_xlabel(words)
            axes.xaxis.set_major_formatter(SpokenTicks())
            if one.course.is_graded:
                _onsets(axes, points, group)
            if not {*points["batch"]} & ({*group.looks} - {comparison.control}):
                axes.text(0.5, 0.9, say("no readings"), transform=axes.transAxes, ha="center")
        _value_axis(grid[0], one, low, high, rows)
        legend(grid[: len(part)], LEGEND_BELOW)
        yield figure


def _lines(axes: Axes, mine: pd.DataFrame, look: LineLook, aside: float) -> None:
    """Draw the panels or determinations of one batch."""
    for _, course in mine.groupby("unit", sort=True):
        times, values = course["time"].to_numpy(), course["value"].to_numpy() + aside
        ends = course[["low", "high"]].to_numpy(dtype=float) + aside
        known = np.isfinite(ends).all(axis=1)
        axes.vlines(times[known], *ends[known].T, color=look["color"], lw=0.8)
        axes.plot(times, values, lw=0.9, ms=3.4, mew=0.5, mec="white", **look)
        failed = course["failed"].to_numpy(dtype=bool)
        axes.plot(times[failed], values[failed], "x", color="black", ms=6, mew=1.1)


def _ends(one: OverTime, rows: int) -> tuple[float, float]:
    """Return the ends of the axis of values, the same in all figures of a quantity."""
    if one.course.is_graded:
        return ONSET_FIRST - ONSET_ROW * rows - 0.1, GRADES + 0.4
    values = one.points[["value", "low", "high"]].to_numpy(dtype=float)
    low, high = float(np.nanmin(values)), float(np.nanmax(values))
    if one.course.is_log:
        return low / ROOM, high * ROOM
    low = min(low, 0.0)
    room = ROOM_SHARE * ((high - low) or 1.0)
    return low - room, high + room


def _times_shown(points: pd.DataFrame) -> tuple[float, float]:
    """Return the ends of the axis of time, which begins with 0."""
    last = float(points["time"].max()) or 1.0
    return -EDGE * last, (1 + EDGE) * last


def _value_axis(axes: Axes, one: OverTime, low: float, high: float, rows: int) -> None:
    axes.set_ylabel(one.axis)
    if one.course.is_log:
        log_axis(axes.yaxis, low, high)
    elif one.course.is_graded:
        middle = ONSET_FIRST - ONSET_ROW * (rows - 1) / 2
        grades = range(GRADES + 1)
        axes.set_yticks([middle, *grades], [say("onset"), *map(str, grades)])
    else:
        axes.yaxis.set_major_formatter(SpokenTicks())


def _onset_rows(points: pd.DataFrame, part: Sequence[BatchGroup]) -> int:
    """Return how many rows the frame with most panels needs."""
    known = points.groupby("batch")["unit"].nunique()
    return max(sum(int(known.get(batch, 0)) for batch in group.looks) for group in part)


def onset(course: pd.DataFrame) -> tuple[float, float]:
    """Return between which times a panel first had a grade above 0; infinite if it never had.

    Examples
    --------
    >>> seen = {"time": [24.0, 96.0, 240.0], "value": [0.0, 0.0, 2.0]}
    >>> onset(pd.DataFrame({**seen, "low": math.nan, "high": math.nan}))
    (96.0, 240.0)
    """
    rising = course.sort_values("time", kind="stable")
    least = rising["low"].fillna(rising["value"])
    worst = rising["high"].fillna(rising["value"])
    first = float(rising.loc[least > 0, "time"].min()) if (least > 0).any() else math.inf
    none = rising.loc[(worst <= 0) & (rising["time"] < first), "time"]
    return (float(none.max()) if len(none) else 0.0), first


def _onsets(axes: Axes, points: pd.DataFrame, group: BatchGroup) -> None:
    """Draw below 0, a row a panel, between which inspections each first showed something."""
    last, place = float(points["time"].max()), 0
    axes.axhline(-0.3, color=SOFT, lw=0.5)
    for batch, look in group.looks.items():
        for _, course in points[points["batch"] == batch].groupby("unit", sort=True):
            begin, end = onset(course)
            height = ONSET_FIRST - ONSET_ROW * place
            place += 1
            if math.isinf(end):  # not by its last inspection
                axes.plot([begin, last], [height] * 2, color=look["color"], lw=0.5)
                axes.plot([begin], [height], ">", color=look["color"], ms=3)
                continue
            axes.plot([begin, end], [height] * 2, color=look["color"], lw=1.6)
            axes.plot([begin], [height], "|", color=INK, ms=3, mew=0.5)
            axes.plot([end], [height], look["marker"], color=look["color"], ms=2.6)


def over_time_words(comparison: Comparison, one: OverTime) -> str:
    """Return what such a figure shows: where the panels or determinations of each batch end."""
    if one.fault:
        return one.fault
    last = one.points.dropna(subset=["value"]).groupby(["batch", "unit"]).last()
    if not len(last):
        return ""
    values = np.log(last["value"]) if one.course.is_log else last["value"]
    means = values.groupby(level="batch").mean()
    ends = np.exp(means) if one.course.is_log else means
    batches = [
        f"{batch} {number(ends[batch], 2)}"
        for batch in comparison.batches.index
        if batch in ends.index
    ]
    by, clock = time_axis(one.course.clock, float(one.points["time_h"].max()))
    told = say(
        "{what} when last read, after {time} {clock} at the latest, {mean}: {batches}.",
        what=one.axis,
        time=number(float(last["time_h"].max()) / by, 3),
        clock=clock,
        mean=say("geometric means") if one.course.is_log else say("means"),
        batches=joined(batches),
    )
    return f"{one.title}: {told}" if one.title else told


def caption(one: OverTime) -> str:
    """Return how the figure of a quantity is read."""
    lines = {
        "batch": say("A line is a batch, an upright bar its 95 % interval."),
        "measurement": say("A line is a determination."),
        "panel": say("A line is a panel."),
    }
    told = [lines[one.course.line]]
    if one.compared_h:
        told.append(say("Upright dotted lines: times at which it is compared."))
    if one.course.caption:
        told.append(translated(one.course.caption))
    if one.course.is_graded:
        told.append(
            say(
                "Lines of one grade are drawn a little apart. Below 0, a bar a panel: from the last"
                " inspection without a grade to the first with one; an arrow: not by the last."
            )
        )
    return " ".join(told)
