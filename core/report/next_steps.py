"""What to do next: panels that would settle what is not settled, the cheapest first."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pandas as pd

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.labels import label_words
from tiecoat.report.words import joined, say, translated


@dataclass(frozen=True)
class NextStep:
    """What would settle one verdict: so many units of the candidate, and of the control.

    `further` counts those of both that are still to be made.
    """

    verdict: Verdict
    needed: int
    further: int


def is_settled(one: Verdict) -> bool:
    """Whether a verdict claims something without a condition."""
    open_words = {VerdictWord.CANNOT_TELL, VerdictWord.SIGNS_OF_HARM, VerdictWord.NOT_TESTED}
    return one.outcome not in open_words and one.standing is not Firmness.CONDITIONAL


def next_steps(comparison: Comparison) -> list[NextStep]:
    """Return a step for each open verdict that a number of panels is known for, cheapest first."""
    steps = []
    for one in comparison.verdicts:
        if not is_settled(one) and _helps(one) and one.needed is not None:
            further = max(0, one.needed - one.n) + max(0, one.needed - one.n_control)
            steps.append(NextStep(one, one.needed, further))
    return sorted(steps, key=lambda one: (one.further, one.verdict.property, one.verdict.batch))


def _helps(one: Verdict) -> bool:
    return one.needed is not None and one.needed > min(one.n, one.n_control)


def next_words(comparison: Comparison) -> list[str]:
    """Return what to do next, in sentences: a line a property, the cheapest first."""
    steps = next_steps(comparison)
    labels = dict.fromkeys(one.verdict.property for one in steps)
    by_property = [[one for one in steps if one.verdict.property == label] for label in labels]
    by_property.sort(key=lambda mine: _further(mine, mine[0].needed))
    told = [_of_property(mine) for mine in by_property]
    told += _without_a_number(comparison)
    if comparison.verdicts and comparison.batches["recipe"].is_unique:
        told.append(
            say(
                "To speak of a recipe and not of one batch of it: a further batch of the control"
                " and of the candidate that is chosen."
            )
        )
    return told


def _of_property(steps: Sequence[NextStep]) -> str:
    """Tell the cheapest step on one property, and what it takes to settle all of it."""
    first = steps[0]
    cheapest = [one.verdict.batch for one in steps if one.needed == first.needed]
    most = max(one.needed for one in steps)
    fields = {
        "property": label_words(first.verdict.property),
        "needed": first.needed,
        "units": translated(first.verdict.units),
        "batches": joined(sorted(cheapest)),
        "further": _further(steps, first.needed),
    }
    if most == first.needed:
        return say(
            "{property}: {needed} {units} each of the control and of {batches} would do ({further}"
            " more in all).",
            **fields,
        )
    return say(
        "{property}: {needed} {units} each of the control and of {batches} would do ({further} more"
        " in all); up to {most} of each for all {count} that are open ({total} more).",
        **fields,
        most=most,
        count=len(steps),
        total=_further(steps, most),
    )


def _further(steps: Sequence[NextStep], up_to: int) -> int:
    """Return how many are still to be made to settle what so many of each settle."""
    mine = [one for one in steps if one.needed <= up_to]
    of_control = max(max(0, one.needed - one.verdict.n_control) for one in mine)
    return of_control + sum(max(0, one.needed - one.verdict.n) for one in mine)


def _without_a_number(comparison: Comparison) -> Iterator[str]:
    """Tell what no number of panels is known for: what lacks values, and what is too near."""
    lacking: dict[str, list[str]] = {}
    single: dict[str, list[str]] = {}
    by_reason: dict[str, list[str]] = {}
    unresolved: dict[str, list[str]] = {}
    for one in comparison.verdicts:
        label, sides = label_words(one.property), ((one.control, one.n_control), (one.batch, one.n))
        if _is_unresolved(one):
            unresolved.setdefault(label, []).append(one.batch)
        if one.outcome not in {VerdictWord.CANNOT_TELL, VerdictWord.NOT_TESTED} or _helps(one):
            continue
        if one.is_comparable and not min(one.n, one.n_control):
            lacking.setdefault(label, []).extend(batch for batch, n in sides if not n)
        elif one.is_comparable and math.isnan(one.effect) and min(one.n, one.n_control) == 1:
            single.setdefault(label, []).extend(batch for batch, n in sides if n == 1)
        else:
            by_reason.setdefault(translated(one.because), []).append(f"{label} ({one.batch})")
    for label, batches in lacking.items():
        yield say(
            "{property}: values are lacking of {batches}; its table says which.",
            property=label,
            batches=_each_once(batches),
        )
    for label, batches in single.items():
        yield say(
            "{property}: at least one more each of {batches}; a single one does not tell how they"
            " scatter.",
            property=label,
            batches=_each_once(batches),
        )
    for label, batches in unresolved.items():
        yield say(
            "{property}: more of the same will not make it firm for {batches}, for nothing"
            " scatters; the study can state that they scatter alike, with who says so and on what"
            " ground.",
            property=label,
            batches=_each_once(batches),
        )
    for reason, whose in by_reason.items():
        yield say("{properties}: {reason}.", properties=joined(whose), reason=reason)


def _each_once(batches: Sequence[str]) -> str:
    return joined(list(dict.fromkeys(batches)))


def _is_unresolved(one: Verdict) -> bool:
    """Whether a claim is conditional only because the values of neither batch scatter."""
    return one.standing is Firmness.CONDITIONAL and math.isnan(one.low) and math.isnan(one.high)


def steps_table(comparison: Comparison) -> pd.DataFrame:
    """Return what would settle each open verdict, the cheapest first."""
    rows = [
        {
            "property": one.verdict.property,
            "batch": one.verdict.batch,
            "outcome": one.verdict.outcome.value,
            "n": one.verdict.n,
            "n of the control": one.verdict.n_control,
            "needed of each": one.needed,
            "further in all": one.further,
            "units": one.verdict.units,
        }
        for one in next_steps(comparison)
    ]
    columns = ["property", "batch", "outcome", "n", "n of the control", "needed of each"]
    return pd.DataFrame(rows, columns=[*columns, "further in all", "units"])
