"""A property in one picture: every panel's value, and each effect with its interval and margin."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.samples import Sample
from tiecoat.compare.shares import WHOLE, is_share
from tiecoat.compare.verdict import Verdict
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.censored_normal import Floats
from tiecoat.report.effect_axis import (
    NEUTRAL,
    draw_effect,
    is_turned,
    lay_out,
    no_effect_words,
    range_of,
)
from tiecoat.report.labels import batch_words, effect_heading, in_lines, title_of, unit_text
from tiecoat.report.looks import (
    INK,
    MOST_HEIGHT,
    SOFT,
    log_axis,
    new_figure,
    plain_grid,
)
from tiecoat.report.words import say, translated

ROW = 0.29  # inches a batch
WRAPPED = 46  # characters in a line of a label
EFFECT_WRAPPED = 40  # the same below the effects, whose half is the narrower one
AXIS_ROOM, AXIS_EDGE = 0.05, 0.015  # of what an axis shows, beyond values and beyond 0 or 100 %
SPREAD = 0.22  # of a row, over which the values of a batch are spread


def property_figure(
    comparison: Comparison, wanted: Property, determinations: pd.DataFrame | None = None
) -> Figure:
    """Draw one property: at the left what was measured, at the right what it means.

    Parameters
    ----------
    determinations
        Pull-off tests with batch, strength_mpa and is_bound, drawn faintly behind the panels.
    """
    verdicts = [one for one in comparison.verdicts if one.property == wanted.label]
    order = [comparison.control, *(one.batch for one in verdicts)]
    figure = new_figure(min(MOST_HEIGHT, 0.95 + ROW * len(order)))
    measured, effects = figure.subplots(1, 2, sharey=True, width_ratios=[1.15, 1])
    found = comparison.samples.get(wanted.label, {})
    _measured(measured, wanted, [found.get(one) for one in order])
    if determinations is not None:
        measured.autoscale(enable=True, axis="x")  # single tests lie farther out than panels
        for row, batch in enumerate(order):
            _tests(measured, row, determinations[determinations["batch"] == batch])
    _effects(effects, wanted, verdicts)
    if is_turned(wanted):
        for axes in (measured, effects):
            axes.invert_xaxis()
    names = (batch_words(comparison.batches, one, comparison.control) for one in order)
    words = [in_lines(one) for one in names]
    measured.set_yticks(range(len(order)), words)
    measured.set_ylim(len(order) - 0.5, -0.5)
    measured.tick_params(axis="y", length=0)
    return figure


def _measured(
    axes: Axes, wanted: Property, column: Sequence[Sample | NotDeterminable | None]
) -> None:
    samples = {row: one for row, one in enumerate(column) if isinstance(one, Sample)}
    for row in range(0, len(column), 2):
        axes.axhspan(row - 0.5, row + 0.5, color="#f6f7f8", lw=0)
    for row, sample in samples.items():
        _values(axes, row, sample, wanted)
    shown = np.concatenate([np.empty(0), *map(_extent, samples.values())])
    log = wanted.by_ratio
    if log and len(shown) and (shown > 0).all():
        axes.set_xscale("log")
        low, high = float(shown.min()) / 1.3, float(shown.max()) * 1.3
        axes.set_xlim(low, high)
        log_axis(axes.xaxis, low, high)
    elif len(shown):
        axes.set_xlim(*_ends(shown, wanted))
    plain_grid(axes)
    first = next(iter(samples.values()), None)
    unit = unit_text(first.unit) if first else ""
    words = f"{title_of(wanted)} ({unit})" if unit else title_of(wanted)
    axes.set_xlabel(textwrap.fill(words, WRAPPED))
    if first is not None and all(one.reported is None for one in samples.values()):
        axes.set_title(say("measured: each mark a {unit}", unit=translated(first.counted_as)))
    else:
        axes.set_title(say("measured"))


def _ends(shown: Floats, wanted: Property) -> tuple[float, float]:
    """Return the ends of an axis of values: a little beyond them, of shares no more than all.

    Where all values are equal it reaches two margins to both sides, or a tenth of the value.
    """
    low, high = float(shown.min()), float(shown.max())
    room = AXIS_ROOM * (high - low)
    if not room > 1e-9 * abs(high):
        share = None if wanted.margin_percent is None else wanted.margin_percent / 100 * abs(high)
        room = 2 * (wanted.margin or share or 0.0) or 0.1 * abs(high) or 1.0
    low, high = low - room, high + room
    if is_share(wanted) and shown.min() >= 0 and shown.max() <= WHOLE:
        beyond = AXIS_EDGE * (min(high, WHOLE) - max(low, 0.0))
        return max(low, -beyond), min(high, WHOLE + beyond)
    return low, high


def _shown(sample: Sample) -> Floats:
    return sample.values if sample.areas is None else sample.values / sample.areas


def _extent(sample: Sample) -> Floats:
    """Return what the axis must hold of a sample: its values, and their interval."""
    ends = np.array(sample.reported.interval if sample.reported else ())
    return np.concatenate([_shown(sample), ends[np.isfinite(ends)]])


def _markers(sample: Sample, wanted: Property) -> list[str]:
    """Return what each value is drawn as: one that is a bound points to where the true one lies."""
    if wanted.method != "times" or sample.ends is None:
        return [">" if sample.is_floor else "o"] * len(sample.values)
    return [
        ">" if math.isinf(high) else "<" if low == 0 else "o"
        for low, high in zip(*sample.ends, strict=True)
    ]


def _finite_ends(ends: tuple[Floats, Floats]) -> tuple[Floats, Floats]:
    """Return the ends of times that are known as intervals; NaN of those that are open."""
    low, high = ends
    known = (low > 0) & np.isfinite(high)
    return np.where(known, low, math.nan), np.where(known, high, math.nan)


def _values(axes: Axes, row: int, sample: Sample, wanted: Property) -> None:
    """Draw the values of one batch: panels spread over the row, or a result with its interval."""
    order = np.argsort(_shown(sample), kind="stable")
    shown = _shown(sample)[order]
    low, high = sample.reported.interval if sample.reported else (math.nan, math.nan)
    if math.isfinite(low) and math.isfinite(high):
        axes.plot([low, high], [row, row], color=INK, lw=1.1, solid_capstyle="butt")
        axes.plot(shown, [row], "o", color=INK, ms=4)
        return
    places = row + np.linspace(-SPREAD, SPREAD, len(shown)) if len(shown) > 1 else [row]
    if sample.ends is not None and wanted.method == "times":
        begins, ends = _finite_ends(sample.ends)
        axes.hlines(places, begins[order], ends[order], color=SOFT, lw=0.8)
    middles = sample.between(wanted.method)
    if math.isnan(middles[0]):
        middles = (sample.middle(wanted.scale, wanted.method),) * 2
    for middle in dict.fromkeys(middles):
        axes.plot([middle, middle], [row - 0.36, row + 0.36], color=INK, lw=1.0)
    marks = np.array(_markers(sample, wanted))[order]
    for mark in dict.fromkeys(marks.tolist()):
        some = np.flatnonzero(marks == mark)
        each = [places[n] for n in some]
        axes.plot(shown[some], each, mark, color=INK, mfc="#8fa3b5", mew=0.7, ms=4.2)


def _tests(axes: Axes, row: int, tests: pd.DataFrame) -> None:
    """Draw single pull-off tests; an open triangle is one whose glue failed: it lies above."""
    for bound, marker in ((False, "."), (True, ">")):
        some = tests.loc[tests["is_bound"] == bound, "strength_mpa"].to_numpy(dtype=float)
        places = row + np.linspace(-0.34, 0.34, len(some)) if len(some) > 1 else [row] * len(some)
        face = "white" if bound else "#b3bcc4"
        size = 4.5 if bound else 3.5
        edge = "#B8480A" if bound else "#b3bcc4"
        axes.plot(some, places, marker, color=edge, mfc=face, ms=size, mew=0.7, zorder=1.5)


def _effects(axes: Axes, wanted: Property, verdicts: Sequence[Verdict]) -> None:
    """Draw each effect with its simultaneous interval, and where harm begins."""
    known = [one for one in verdicts if not math.isnan(one.effect)]
    first = known[0] if known else verdicts[0]
    neutral = NEUTRAL[first.effect_is]
    low, high = range_of(known or [first])
    lay_out(axes, first, (low, high))
    if first.effect_is == "ratio":
        log_axis(axes.xaxis, low, high)
    axes.text(neutral, 0, f" {say('control')}", va="center", fontsize=7, color=SOFT)
    for row, one in enumerate(verdicts, 1):
        if math.isnan(one.effect):
            words = f" {no_effect_words(one)}"
            axes.text(neutral, row, words, va="center", fontsize=7, color=SOFT)
        else:
            draw_effect(axes, row, one, (low, high), turned=is_turned(wanted))
    plain_grid(axes)
    axes.tick_params(axis="y", length=0)
    axes.set_xlabel(textwrap.fill(effect_heading(first), EFFECT_WRAPPED))
    way = "" if wanted.direction == "target" else f" · {say('better →')}"
    axes.set_title(say("against the control") + way)
