"""All candidates over all properties in one picture, each effect in units of its margin."""

from __future__ import annotations

import math
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Outcome, Verdict
from tiecoat.report.labels import OUTCOME_WORDS, recipe_words
from tiecoat.report.looks import FAINT, HARM, OUTCOME_LOOKS, SOFT, new_figure

ACROSS = 4  # properties side by side
REACH = 3.0  # margins; what lies beyond gets an arrow
ROW = 0.2  # inches
WRAPPED = 20  # characters in a line of a heading


def line_up_figure(comparison: Comparison) -> Figure:
    """Draw a column a property and a row a candidate.

    The scale of each column is its margin, turned so that better is at the right: 0 is the
    control, -1 is where harm begins. A property with a target has no better side and may leave its
    margin on both. Where there is no margin the largest distance of an interval's end is the unit.
    """
    properties = comparison.properties
    batches = list(dict.fromkeys(one.batch for one in comparison.verdicts))
    lines = math.ceil(len(properties) / ACROSS)
    across = math.ceil(len(properties) / lines)
    figure = new_figure(0.35 + lines * (0.72 + ROW * len(batches)))
    grid = figure.subplots(lines, across, sharey=True, squeeze=False)
    by_key = {(one.property, one.batch): one for one in comparison.verdicts}
    for place, axes in enumerate(grid.flat):
        if place >= len(properties):
            axes.set_axis_off()
            continue
        wanted = properties[place]
        column = [by_key.get((wanted.label, batch)) for batch in batches]
        _column(axes, wanted, column)
    names = [f"{batch} · {recipe_words(comparison.batches, batch)}" for batch in batches]
    for axes in grid[:, 0]:
        axes.set_yticks(range(len(batches)), names)
        axes.set_ylim(len(batches) - 0.5, -0.5)
    handles = [
        axes.plot([], [], linestyle="none", ms=5, label=OUTCOME_WORDS[outcome][1], **look)[0]
        for outcome, look in OUTCOME_LOOKS.items()
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=len(Outcome))
    return figure


def _column(axes: Axes, wanted: Property, column: Sequence[Verdict | None]) -> None:
    both = wanted.direction == "target"
    axes.set_xlim(-REACH - 0.25, REACH + 0.25)
    axes.axvspan(-REACH - 0.25, -1, facecolor=HARM, edgecolor=FAINT, hatch="////", lw=0, zorder=0)
    if both:
        axes.axvspan(1, REACH + 0.25, facecolor=HARM, edgecolor=FAINT, hatch="////", lw=0, zorder=0)
    axes.axvline(0, color=SOFT, lw=0.7)
    for row, one in enumerate(column):
        if row % 2 == 0:
            axes.axhspan(row - 0.5, row + 0.5, color="#000000", alpha=0.03, lw=0, zorder=0.5)
        if one is None or math.isnan(one.effect):
            axes.text(0, row, "no data", fontsize=6, color=SOFT, ha="center", va="center")
        else:
            _mark(axes, row, in_margins(one, wanted), one.outcome)
    axes.set_title(_wrapped(wanted.label), fontsize=7.5)
    axes.set_xticks([-2.1, 0, 2.1], ["harm", "control", "harm" if both else "better"], fontsize=6.5)
    axes.tick_params(length=0)


def _mark(axes: Axes, row: int, found: tuple[float, float, float], outcome: Outcome) -> None:
    effect, low, high = found
    look = OUTCOME_LOOKS[outcome]
    ends = [min(max(one, -REACH), REACH) for one in (low, high)]
    axes.plot(ends, [row, row], color=look["color"], lw=1.2, solid_capstyle="butt")
    for beyond, place, marker in ((low < -REACH, -REACH, 8), (high > REACH, REACH, 9)):
        if beyond:
            axes.plot([place], [row], marker=marker, color=look["color"], ms=4)
    shown = min(max(effect, -REACH), REACH)
    axes.plot([shown], [row], linestyle="none", ms=4.8, mew=0.9, **look)


def in_margins(one: Verdict, wanted: Property) -> tuple[float, float, float]:
    """Return effect and interval in units of the margin, better at the right.

    Examples
    --------
    >>> air = Property("air", "density", "entrapped_air", direction="lower", margin=0.5)
    >>> told = Verdict("air", "A", "", 1.0, "B", "difference", Outcome.WORSE, "", effect=1.0,
    ...     low=0.5, high=1.5, limit_low=-math.inf, limit_high=0.5)
    >>> in_margins(told, air)
    (-2.0, -3.0, -1.0)
    """
    numbers = [one.effect, one.low, one.high, one.limit_low, one.limit_high]
    if one.effect_is == "ratio":
        numbers = [math.log(x) if x > 0 else -math.inf if x == 0 else x for x in numbers]
    elif one.effect_is == "probability of superiority":
        numbers = [x - 0.5 for x in numbers]
    effect, low, high = numbers[:3]
    limits = [abs(x) for x in numbers[3:] if math.isfinite(x)]
    others = [abs(x) for x in (effect, low, high) if math.isfinite(x)]
    unit = min(limits) if limits else max(others, default=0.0)
    unit = unit if unit > 0 else 1.0
    if wanted.direction == "lower" and wanted.method != "ratings":
        return -effect / unit, -high / unit, -low / unit
    return effect / unit, low / unit, high / unit


def _wrapped(text: str) -> str:
    if len(text) <= WRAPPED:
        return text
    head, _, tail = text.partition(" after ")
    return f"{head}\nafter {tail}" if tail else text
