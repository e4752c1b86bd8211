"""What goes together: two results against each other, over panels and batches."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from tiecoat.compare.links import Correlation, Link
from tiecoat.compare.properties import Property
from tiecoat.evaluate.statistics.rank_correlation import RankCorrelation
from tiecoat.report.labels import at_place, interval, label_words, title_of, unit_text
from tiecoat.report.looks import INK, SOFT, SpokenTicks, log_axis, new_figure
from tiecoat.report.words import joined, say, translated

ACROSS, DOWN = 2, 3
PLACE = -2  # power of ten of the last digit of a correlation
TICKS = 5
HEIGHT = 2.75  # inches of a line
SMALL = 6.0  # points of the names of batches
WRAPPED, UPRIGHT = 48, 36  # characters in a line of a label or a title; of an upright one
NAMED = 2  # pairs in a title, above which they are counted


def link_figures(links: Sequence[Link], down: int = DOWN) -> Iterator[Figure]:
    """Draw each link that has a correlation, so many lines of them in a figure.

    Panels are small, means of batches large; results that are compared by ratio are drawn by
    their logarithms.
    """
    shown = [one for one in links if any(isinstance(of, RankCorrelation) for _, of in _levels(one))]
    each = ACROSS * down
    for start in range(0, len(shown), each):
        part = shown[start : start + each]
        deep = math.ceil(len(part) / ACROSS)
        figure = new_figure(HEIGHT * deep)
        grid = figure.subplots(deep, ACROSS, squeeze=False)
        for axes in grid.flat[len(part) :]:
            axes.set_axis_off()
        for axes, one in zip(grid.flat, part, strict=False):
            _draw(axes, one)
        yield figure


def _draw(axes: Axes, one: Link) -> None:
    if one.panels:
        of = one.points["first"], one.points["second"]
        axes.plot(*of, "o", color=SOFT, mfc="white", mew=0.6, ms=3, zorder=2)
    axes.plot(one.means["first"], one.means["second"], "o", color=INK, mfc="#8fa3b5", ms=5.5)
    for batch, x, y in one.means[["batch", "first", "second"]].itertuples(index=False):
        axes.annotate(
            str(batch), (x, y), (3.5, 2.5), textcoords="offset points", fontsize=SMALL, color=SOFT
        )
    for axis, wanted, unit in (
        ("x", one.first, one.units[0]),
        ("y", one.second, one.units[1]),
    ):
        _axis(axes, axis, wanted, unit, one)
    told = [f"{words}: {correlation_words(of)}" for words, of in _levels(one)]
    axes.set_title("\n".join(textwrap.fill(line, WRAPPED) for line in told), fontsize=7)


def _axis(axes: Axes, which: str, wanted: Property, unit: str, one: Link) -> None:
    axis = axes.xaxis if which == "x" else axes.yaxis
    name = "first" if which == "x" else "second"
    values = one.points[name]
    if wanted.scale == "ratio" and (values > 0).all():
        low, high = float(values.min()) / 1.4, float(values.max()) * 1.4
        if which == "x":
            axes.set_xscale("log")
            axes.set_xlim(low, high)
        else:
            axes.set_yscale("log")
            axes.set_ylim(low, high)
        log_axis(axis, low, high)
    else:
        axis.set_major_locator(MaxNLocator(TICKS))
        axis.set_major_formatter(SpokenTicks())
    told = unit_text(unit)
    words = f"{title_of(wanted)} ({told})" if told else title_of(wanted)
    axis.set_label_text(textwrap.fill(words, WRAPPED if which == "x" else UPRIGHT))


def _levels(one: Link) -> list[tuple[str, Correlation]]:
    between = (say("between batches"), one.between)
    return [between, (say("within batches"), one.within)] if one.panels else [between]


def correlation_words(of: Correlation) -> str:
    """Return a rank correlation with its interval and n, or why there is none.

    Examples
    --------
    >>> correlation_words(RankCorrelation(-0.8333, -0.9649, -0.2043, 9))
    '−0.83 (−0.96 to −0.20), n 9'
    """
    if not isinstance(of, RankCorrelation):
        return translated(str(of))
    ends = interval(of.low, of.high, place=PLACE)
    return f"{at_place(of.value, PLACE)} ({ends}), n {of.n}"


def links_title(links: Sequence[Link]) -> str:
    """Return what came out of all pairs in one line: which are shown to go together."""
    shown = [
        say(
            "{first} and {second} ({correlation})",
            first=label_words(one.first.label),
            second=label_words(one.second.label),
            correlation=at_place(one.between.value, PLACE),
        )
        for one in links
        if isinstance(one.between, RankCorrelation)
        and (one.between.low > 0 or one.between.high < 0)
    ]
    if not shown:
        return say("No two results are shown to go together between batches")
    if len(shown) > NAMED:
        return say(
            "{count} of {all} pairs of results go together between batches",
            count=len(shown),
            all=len(links),
        )
    return say("Together between batches: {pairs}", pairs=joined(shown))


def link_words(one: Link) -> str:
    """Return in a sentence whether two results go together."""
    told = "; ".join(f"{words} {correlation_words(of)}" for words, of in _levels(one))
    return say(
        "{first} and {second}: {correlations}.",
        first=label_words(one.first.label),
        second=label_words(one.second.label),
        correlations=told,
    )
