"""A row a candidate and dose, a column a property: the grid in which figures compare all of them.

The doses of a candidate stand below one another and are joined, so that it shows where more of it
is too much.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Protocol

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Verdict
from tiecoat.report.labels import WIDE, by_dose, in_lines, label_words, recipe_names, recipe_words
from tiecoat.report.looks import MOST_HEIGHT, SOFT, WIDTH, new_figure
from tiecoat.report.words import translated

ROW = 0.17  # inches a batch
HEADING = 0.14  # inches a line of a heading beyond two
JOINS = 1.2  # where lines that join doses lie: below the marks
LETTER = 0.058  # inches across a letter of a name or heading, in the mean
BETWEEN = 0.1  # inches between headings
REST_LINES = 4  # for what tells a property from others of its name


class DrawsColumn(Protocol):
    """Draws one property: a verdict a row, None where there is none."""

    def __call__(self, axes: Axes, wanted: Property, column: Sequence[Verdict | None]) -> None:
        """Draw it, without heading and names."""


class DrawsLegend(Protocol):
    """Draws the legend below a figure."""

    def __call__(self, figure: Figure, axes: Axes) -> None:
        """Draw it; the axes are any of the figure."""


@dataclass(frozen=True)
class GridLayout:
    """How a grid is laid out.

    Parameters
    ----------
    across
        Most properties side by side; fewer where their headings would run into each other.
    besides, legend
        Inches that a line of them needs beside its rows, and that the legend does.
    wrapped
        Characters in a line of a heading.
    with_batches
        Whether the batch stands before each name.
    """

    across: int
    besides: float
    legend: float
    wrapped: int
    with_batches: bool = True


def candidate_grids(
    comparison: Comparison,
    grid: GridLayout,
    draw: DrawsColumn,
    legend: DrawsLegend,
    most_height: float,
) -> Iterator[Figure]:
    """Draw all verdicts of a comparison, as many properties a figure as that height holds."""
    properties, register = comparison.properties, comparison.batches
    groups = list(by_dose(register, comparison.candidates).values())
    batches = [one for of in groups for one in of]
    names = recipe_names(register, batches)
    if grid.with_batches:
        names = {one: f"{one} · {recipe_words(register, one)}" for one in batches}
    shown = [in_lines(names[one]) for one in batches]
    row = ROW if max(map(len, shown)) <= WIDE else 1.5 * ROW
    headings = [_heading(one, grid.wrapped) for one in properties]
    tallest = max((one.count("\n") for one in headings), default=0)
    line = grid.besides + HEADING * max(0, tallest - 1) + row * len(batches)
    fit = max(1, math.floor((most_height - grid.legend) / line))
    room = WIDTH - _width(shown)
    beside = math.floor(room / (_width(headings) + BETWEEN))
    across, counts = shared_out(len(properties), min(grid.across, max(1, beside)), fit)
    by_key = {(one.property, one.batch): one for one in comparison.verdicts}
    left = iter(properties)
    for count in counts:
        part = list(islice(left, count))
        deep = math.ceil(len(part) / across)
        figure = new_figure(min(MOST_HEIGHT, grid.legend + line * deep))
        all_axes = figure.subplots(deep, across, sharey=True, squeeze=False)
        for axes in all_axes.flat[len(part) :]:
            axes.set_axis_off()
        for axes, wanted in zip(all_axes.flat, part, strict=False):
            _lay_out(axes, groups)
            draw(axes, wanted, [by_key.get((wanted.label, one)) for one in batches])
            axes.set_title(_heading(wanted, grid.wrapped), fontsize=7.5)
        for axes in all_axes[:, 0]:
            axes.set_yticks(range(len(batches)), shown)
            axes.set_ylim(len(batches) - 0.5, -0.5)
        legend(figure, all_axes[0, 0])
        yield figure


def shared_out(count: int, across: int, deep: int) -> tuple[int, list[int]]:
    """Return how many properties stand side by side, and how many on each figure, about as many.

    Examples
    --------
    >>> shared_out(17, 4, 2), shared_out(17, 4, 1), shared_out(3, 4, 2), shared_out(0, 4, 2)
    ((3, [6, 6, 5]), (4, [4, 4, 3, 3, 3]), (3, [3]), (1, []))
    """
    if not count:
        return 1, []
    figures = math.ceil(count / (across * deep))
    each, more = divmod(count, figures)
    counts = [each + (place < more) for place in range(figures)]
    return math.ceil(counts[0] / math.ceil(counts[0] / across)), counts


def _width(texts: Sequence[str]) -> float:
    """Return about how many inches the longest line of some texts is wide."""
    return LETTER * max((len(line) for one in texts for line in one.split("\n")), default=0)


def _lay_out(axes: Axes, groups: Sequence[Sequence[str]]) -> None:
    """Shade every second candidate."""
    start = 0
    for place, of in enumerate(groups):
        if place % 2 == 0:
            ends = start - 0.5, start + len(of) - 0.5
            axes.axhspan(*ends, color="#000000", alpha=0.03, lw=0, zorder=0.5)
        start += len(of)
    axes.tick_params(axis="y", length=0)


def join_doses(axes: Axes, column: Sequence[Verdict | None], places: Sequence[float]) -> None:
    """Join the marks of one candidate's doses; NaN has no mark."""
    rows: dict[str, list[int]] = {}
    for row, one in enumerate(column):
        if one is not None and not math.isnan(places[row]):
            rows.setdefault(one.candidate, []).append(row)
    for of in rows.values():
        axes.plot([places[row] for row in of], of, color=SOFT, lw=0.8, alpha=0.7, zorder=JOINS)


def _heading(wanted: Property, wrapped: int) -> str:
    label = label_words(wanted.label)
    if len(label) <= wrapped:
        return label
    name = translated(wanted.name)
    rest = label.removeprefix(name).lstrip(", ")
    lines = [in_lines(name, wrapped)] + ([in_lines(rest, wrapped, REST_LINES)] if rest else [])
    return "\n".join(lines)
