"""Frames beside each other: a candidate in each, all of its doses and the control in one look."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

from matplotlib.axes import Axes

from tiecoat.compare.comparison import Comparison
from tiecoat.report.labels import by_dose, in_lines
from tiecoat.report.looks import CONTROL, dose_looks
from tiecoat.report.words import in_numbers, say

ACROSS = 4
TITLE = 26  # characters in a line of a title
LEGEND_LINE = 0.14  # inches

LineLook: TypeAlias = dict[str, Any]


@dataclass(frozen=True)
class BatchGroup:
    """Batches that are drawn together: the control, and one candidate at its doses."""

    name: str
    looks: dict[str, LineLook]  # by batch, the control last, so that it is drawn on top
    words: dict[str, str]


def groups_of(comparison: Comparison) -> list[BatchGroup]:
    """Return a group a candidate, in the order of the batches."""
    register = comparison.batches
    doses = {str(one): float(dose) for one, dose in register["dose_percent"].fillna(-1).items()}
    others = [str(one) for one in register.index if one != comparison.control]
    groups = []
    for name, rising in by_dose(register, others).items():
        words = {one: _with_dose(one, doses[one]) for one in rising}
        looks = dose_looks(rising)
        if comparison.control:
            looks[comparison.control] = CONTROL
            words[comparison.control] = f"{comparison.control}, {say('control')}"
        groups.append(BatchGroup(name, looks, words))
    return groups


def _with_dose(batch: str, dose: float) -> str:
    return f"{batch}, {in_numbers(f'{dose:g}')} %" if dose >= 0 else batch


def parts(groups: Sequence[BatchGroup]) -> Iterator[list[BatchGroup]]:
    """Return the groups of each figure: at most four."""
    for start in range(0, len(groups), ACROSS):
        yield list(groups[start : start + ACROSS])


def small_multiples(
    row: Sequence[Axes], groups: Sequence[BatchGroup], draw: Callable[[Axes, str, LineLook], None]
) -> None:
    """Draw a group in each frame of a row, and switch the other frames off.

    Parameters
    ----------
    draw
        Draws one batch in a frame, in its look.
    """
    for axes in row[len(groups) :]:
        axes.set_axis_off()
    for axes, group in zip(row, groups, strict=False):
        for batch, look in group.looks.items():
            draw(axes, batch, look)
            axes.plot([], [], label=group.words[batch], ms=3.4, **look)
        axes.set_title(in_lines(group.name, TITLE))
        axes.grid(visible=True, axis="both")
        axes.tick_params(length=2.5)


def more_legend(groups: Sequence[BatchGroup]) -> float:
    """Return the height in inches that legends of more than three batches take."""
    return LEGEND_LINE * max(0, max(len(one.words) for one in groups) - 3)


def legend(row: Sequence[Axes], below: float) -> None:
    """Put a legend under the axes of each candidate; `below` is in heights of the axes."""
    for axes in row:
        handles, words = axes.get_legend_handles_labels()
        axes.legend(
            handles, words, loc="upper center", bbox_to_anchor=(0.5, below), handlelength=2.6
        )
