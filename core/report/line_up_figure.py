"""All candidates over all properties in one picture, each property on its own scale."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from matplotlib.ticker import FuncFormatter, LogLocator, MaxNLocator, NullLocator

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.candidate_grid import GridLayout, candidate_grids, join_doses
from tiecoat.report.effect_axis import (
    NEUTRAL,
    draw_effect,
    is_turned,
    lay_out,
    no_effect_words,
    range_of,
)
from tiecoat.report.labels import OUTCOME_WORDS, effect_heading, in_lines
from tiecoat.report.looks import (
    FAINT,
    HARM,
    MOST_HEIGHT,
    OUTCOME_LOOKS,
    SOFT,
    SpokenTicks,
    tick,
)
from tiecoat.report.words import say, translated

GRID = GridLayout(across=4, besides=1.05, legend=0.5, wrapped=18)
BEYOND = 0.6  # how far intervals reach beyond effects and limits, in multiples of what these take
FEW_DECADES = 30.0  # ratio of the ends below which ticks are 1, 2, 5 and 10
TICKS = 3
LABEL = 22  # characters in a line below a column


def line_up_figures(comparison: Comparison, most_height: float = MOST_HEIGHT) -> Iterator[Figure]:
    """Draw a column a property and a row a candidate; as many properties as that height holds.

    Each column has the scale of its property, so that it shows how large an effect is, and is
    turned so that better is at the right; ratios are drawn by their logarithms. The hatched side
    is harm by the margin. A property with a target has no better side.
    """
    yield from candidate_grids(comparison, GRID, _column, _legend, most_height)


def _column(axes: Axes, wanted: Property, column: Sequence[Verdict | None]) -> None:
    known = [one for one in column if one is not None and not math.isnan(one.effect)]
    told = known or [one for one in column if one is not None]
    if not told:
        return
    ends = range_of(told, BEYOND)
    lay_out(axes, told[0], ends)
    if is_turned(wanted):
        axes.invert_xaxis()
    join_doses(axes, column, [math.nan if one is None else _place(one, ends) for one in column])
    for row, one in enumerate(column):
        if one is None or math.isnan(one.effect):
            neutral = NEUTRAL[told[0].effect_is]
            words = f" {no_effect_words(one)}"
            axes.text(neutral, row, words, fontsize=6, color=SOFT, va="center")
        else:
            draw_effect(axes, row, one, ends, turned=is_turned(wanted), size=4.8)
    _ticks(axes, ends, is_log=told[0].effect_is == "ratio")
    words = in_lines(effect_heading(told[0]), LABEL)
    if wanted.direction != "target":
        words = f"{words}\n{say('better →')}"
    axes.set_xlabel(words, fontsize=6.5, labelpad=1.5)


def _place(one: Verdict, ends: tuple[float, float]) -> float:
    return min(max(one.effect, ends[0]), ends[1])  # NaN stays


def _ticks(axes: Axes, ends: tuple[float, float], *, is_log: bool) -> None:
    """Set few ticks: a column is narrow."""
    axis = axes.xaxis
    if is_log:
        few = ends[1] / ends[0] < FEW_DECADES
        axis.set_major_locator(
            LogLocator(subs=(1, 2, 5)) if few else LogLocator(numticks=TICKS + 1)
        )
        axis.set_minor_locator(NullLocator())
        axis.set_major_formatter(FuncFormatter(lambda value, _: f"×{tick(value)}"))
    else:
        axis.set_major_locator(MaxNLocator(TICKS))
        axis.set_major_formatter(SpokenTicks())
    axes.tick_params(axis="x", length=2, labelsize=6.5)


def _legend(figure: Figure, axes: Axes) -> None:
    handles: list[object] = [
        axes.plot(
            [], [], linestyle="none", ms=5, label=translated(OUTCOME_WORDS[outcome][1]), **look
        )[0]
        for outcome in VerdictWord
        if outcome is not VerdictWord.NOT_TESTED  # that is written in its place
        for look in [OUTCOME_LOOKS[outcome]]
    ]
    words = say("hollow: only on a condition")
    handles += axes.plot([], [], "o", ms=5, color=SOFT, markerfacecolor="white", label=words)
    handles.append(Patch(facecolor=HARM, edgecolor=FAINT, hatch="////", label=say("harm")))
    figure.legend(handles=handles, loc="outside lower center", ncols=4)
