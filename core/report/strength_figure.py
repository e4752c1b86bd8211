"""How strong, how weak: each candidate by dose, in steps, over all properties."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.strength import (
    BETTER,
    PLAIN,
    WORSE,
    StrengthStep,
    step_of,
    step_words,
)
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.candidate_grid import GridLayout, candidate_grids, join_doses
from tiecoat.report.labels import by_dose, label_words, recipe_names
from tiecoat.report.looks import FAINT, MOST_HEIGHT, OUTCOME_LOOKS, SOFT, look_of
from tiecoat.report.words import joined, say, translated
from tiecoat.wording import capital

GRID = GridLayout(across=6, besides=0.7, legend=0.65, wrapped=18, with_batches=False)
ENDS = 3.8  # of a column, in steps
SIZE = 5.0  # points of a mark
TOLD = {*BETTER, *WORSE, StrengthStep.SIGNS_OF_HARM}  # the others are as the table of verdicts
HOLLOW_LOOK = {"marker": "o", "color": SOFT, "markerfacecolor": "white"}


def strength_figures(comparison: Comparison, most_height: float = MOST_HEIGHT) -> Iterator[Figure]:
    """Draw a column a property and a row a candidate and dose, by name.

    Better candidates have one to three marks at the right of the control's line, worse ones at its
    left, by their step; see `step_of`.
    """
    yield from candidate_grids(comparison, GRID, _column, _legend, most_height)


def _column(axes: Axes, wanted: Property, column: Sequence[Verdict | None]) -> None:
    axes.set_xlim(-ENDS, ENDS)
    for at in (-3, -2, -1, 1, 2, 3):
        axes.axvline(at, color=FAINT, lw=0.4, zorder=0.6)
    axes.axvline(0, color=SOFT, lw=0.7, zorder=0.7)
    places = [_places(one, wanted) for one in column]
    join_doses(axes, column, [of[-1] if of else math.nan for of in places])
    for row, (one, of) in enumerate(zip(column, places, strict=True)):
        if one is None:
            continue
        if of:
            axes.plot(of, [row] * len(of), linestyle="none", ms=SIZE, mew=0.9, **look_of(one))
            if one.if_alike is not None:
                look = {**OUTCOME_LOOKS[one.if_alike], "markerfacecolor": "white"}
                there = _at(PLAIN[one.if_alike])
                axes.plot(there, [row] * len(there), linestyle="none", ms=SIZE, mew=0.9, **look)
        elif step_of(one, wanted) is StrengthStep.CANNOT_TELL:
            box = {"facecolor": "white", "lw": 0, "pad": 0.6}
            axes.text(
                0,
                row,
                "?",
                ha="center",
                va="center",
                fontsize=8,
                weight="bold",
                color=SOFT,
                bbox=box,
            )
    axes.set_xticks([-2, 2], [say("worse"), "" if _has_target(wanted) else say("better")])
    axes.tick_params(axis="x", length=0, labelsize=6.5)
    axes.spines["bottom"].set_visible(False)
    axes.spines["left"].set_color(FAINT)


def _has_target(wanted: Property) -> bool:
    return wanted.direction == "target"


def _places(one: Verdict | None, wanted: Property) -> list[int]:
    """Return where the marks of a verdict stand, the outermost last; none where nothing is told."""
    return [] if one is None else _at(step_of(one, wanted))


def _at(step: StrengthStep) -> list[int]:
    """Return where the marks of a step stand, the outermost last."""
    if step in BETTER:
        return list(range(1, 2 + BETTER.index(step)))
    if step in WORSE:
        return [-at for at in range(1, 2 + WORSE.index(step))]
    return {StrengthStep.NOT_WORSE: [0], StrengthStep.SIGNS_OF_HARM: [-1]}.get(step, [])


def _legend(figure: Figure, axes: Axes) -> None:
    def mark(words: str, look: dict[str, Any]) -> Any:
        return axes.plot([], [], linestyle="none", ms=SIZE, label=words, **look)[0]

    handles = [
        mark(say("better, clearly, strongly: one, two, three marks"), _look(VerdictWord.BETTER)),
        mark(translated(StrengthStep.NOT_WORSE.value), _look(VerdictWord.NOT_WORSE)),
        mark(say("worse, clearly, strongly: one, two, three marks"), _look(VerdictWord.WORSE)),
        mark(translated(StrengthStep.SIGNS_OF_HARM.value), _look(VerdictWord.SIGNS_OF_HARM)),
        mark(say("hollow: only on a condition"), HOLLOW_LOOK),
        mark(f"?  {translated(StrengthStep.CANNOT_TELL.value)}", {}),
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=2)


def _look(outcome: VerdictWord) -> dict[str, Any]:
    return OUTCOME_LOOKS[outcome]


def strength_words(comparison: Comparison) -> str:
    """Return the first and the last steps of the figure in words, with names and properties.

    What stands only on a condition is told with it, behind what is firm.
    """
    by_label = {one.label: one for one in comparison.properties}
    names = recipe_names(comparison.batches, comparison.candidates)
    told: dict[tuple[StrengthStep, str], list[str]] = {}
    for one in comparison.verdicts:
        label = label_words(one.property)
        who = say("{candidate} on {property}", candidate=names[one.batch], property=label)
        condition = "" if one.if_alike else translated(one.condition)
        steps = [(step_of(one, by_label[one.property]), condition)]
        if one.if_alike:
            steps.append((PLAIN[one.if_alike], translated(one.condition)))
        for step, condition in steps:
            told.setdefault((step, condition), []).append(who)
    order = [*StrengthStep]
    sentences = [
        f"{', '.join(filter(None, (translated(step.value), condition)))}: {joined(mine)}."
        for (step, condition), mine in sorted(
            told.items(), key=lambda one: (order.index(one[0][0]), one[0][1])
        )
        if step in TOLD
    ]
    return " ".join(map(capital, sentences))


def strengths_table(comparison: Comparison) -> pd.DataFrame:
    """Return the steps as a table: a row a candidate and dose, a column a property, in words.

    Each with the condition that it stands on, or that something else would be concluded on.
    """
    register = comparison.batches
    by_key = {(one.batch, one.property): one for one in comparison.verdicts}
    rows = []
    for name, of in by_dose(register, comparison.candidates).items():
        for batch in of:
            told = [(wanted, by_key.get((batch, wanted.label))) for wanted in comparison.properties]
            steps = {x.label: "" if one is None else step_words(one, x) for x, one in told}
            dose = register.loc[batch].to_dict()["dose_percent"]
            rows.append({"candidate": name, "dose_percent": dose, "batch": batch, **steps})
    columns = ["candidate", "dose_percent", "batch", *(one.label for one in comparison.properties)]
    return pd.DataFrame(rows, columns=columns)
