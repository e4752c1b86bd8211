"""All candidates over all properties in one picture, each effect in units of its margin."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.labels import OUTCOME_WORDS, WIDE, in_lines, label_words, recipe_words
from tiecoat.report.looks import FAINT, HARM, MOST_HEIGHT, OUTCOME_LOOKS, SOFT, look_of, new_figure
from tiecoat.report.words import say, translated

ACROSS = 4  # properties side by side
REACH = 3.0  # margins; what lies beyond gets an arrow
ROW, BESIDES, LEGEND = 0.17, 0.72, 0.5  # inches: a batch; what else a line needs; the legend
HEADING = 0.14  # inches a line of a heading beyond two
WRAPPED = 20  # characters in a line of a heading
REST_LINES = 3  # for what tells a property from others of its name


def line_up_figures(comparison: Comparison) -> Iterator[Figure]:
    """Draw a column a property and a row a candidate; as many properties a figure as fit a page.

    The scale of each column is its margin, turned so that better is at the right: 0 is the
    control, -1 is where harm begins. A property with a target has no better side and may leave its
    margin on both. Where there is no margin the largest distance of an interval's end is the unit.
    """
    properties = comparison.properties
    batches = list(dict.fromkeys(one.batch for one in comparison.verdicts))
    names = [in_lines(f"{one} · {recipe_words(comparison.batches, one)}") for one in batches]
    row = ROW if max(map(len, names)) <= WIDE else 1.5 * ROW
    tallest = max((_heading(one).count("\n") for one in properties), default=0)
    line = BESIDES + HEADING * max(0, tallest - 1) + row * len(batches)
    fit = max(1, math.floor((MOST_HEIGHT - LEGEND) / line))
    lines = math.ceil(len(properties) / ACROSS)
    figures = math.ceil(lines / fit)
    across = math.ceil(len(properties) / lines)
    each = across * math.ceil(lines / figures)
    for start in range(0, len(properties), each):
        part = properties[start : start + each]
        figure = new_figure(min(MOST_HEIGHT, LEGEND + line * math.ceil(len(part) / across)))
        grid = figure.subplots(math.ceil(len(part) / across), across, sharey=True, squeeze=False)
        _columns(grid, comparison, part, batches)
        for axes in grid[:, 0]:
            axes.set_yticks(range(len(batches)), names)
            axes.set_ylim(len(batches) - 0.5, -0.5)
        _legend(figure, grid[0, 0])
        yield figure


def _columns(
    grid: Any, comparison: Comparison, properties: Sequence[Property], batches: Sequence[str]
) -> None:
    by_key = {(one.property, one.batch): one for one in comparison.verdicts}
    for axes in grid.flat[len(properties) :]:
        axes.set_axis_off()
    for axes, wanted in zip(grid.flat, properties, strict=False):
        _column(axes, wanted, [by_key.get((wanted.label, batch)) for batch in batches])


def _legend(figure: Figure, axes: Axes) -> None:
    handles = [
        axes.plot(
            [], [], linestyle="none", ms=5, label=translated(OUTCOME_WORDS[outcome][1]), **look
        )[0]
        for outcome in VerdictWord
        for look in [OUTCOME_LOOKS[outcome]]
    ]
    words = say("hollow: only if the panels of all batches scatter alike")
    handles += axes.plot([], [], "o", ms=5, color=SOFT, markerfacecolor="white", label=words)
    figure.legend(handles=handles, loc="outside lower center", ncols=ACROSS - 1)


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
            axes.text(0, row, f" {say('not compared')}", fontsize=6, color=SOFT, va="center")
        else:
            _mark(axes, row, in_margins(one, wanted), look_of(one))
    axes.set_title(_heading(wanted), fontsize=7.5)
    ends = [say("harm"), say("control"), say("harm") if both else say("better")]
    axes.set_xticks([-2.1, 0, 2.1], ends, fontsize=6.5)
    axes.tick_params(length=0)


def _mark(axes: Axes, row: int, found: tuple[float, float, float], look: dict[str, Any]) -> None:
    effect, low, high = found
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
    >>> told = Verdict("air", "A", "", 1.0, "B", "difference", VerdictWord.WORSE, "", effect=1.0,
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
    margins = [abs(x) for x in numbers[3:] if math.isfinite(x)]
    others = [abs(x) for x in (effect, low, high) if math.isfinite(x)]
    # of a ratio with a target the margins differ: 20 % less is farther off than 20 % more
    below, above = (margins[0], margins[-1]) if margins else (max(others, default=0.0),) * 2
    below, above = below or 1.0, above or 1.0
    effect, low, high = (x / (below if x < 0 else above) for x in (effect, low, high))
    if wanted.direction == "lower" and wanted.method != "ratings":
        return -effect, -high, -low
    return effect, low, high


def _heading(wanted: Property) -> str:
    label = label_words(wanted.label)
    if len(label) <= WRAPPED:
        return label
    name = translated(wanted.name)
    rest = label.removeprefix(name).lstrip(", ")
    lines = (
        [in_lines(name, WRAPPED), in_lines(rest, WRAPPED, REST_LINES)]
        if rest
        else [in_lines(name, WRAPPED)]
    )
    return "\n".join(lines)
