"""What to do next: panels that would settle what is open, the cheapest first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.labels import label_words
from tiecoat.report.words import joined, say, translated

TOLD = 5  # steps on the first page


@dataclass(frozen=True)
class NextStep:
    """Further panels or determinations of some batches, and the verdicts that they would settle."""

    label: str
    batches: tuple[str, ...]
    control: str
    needed: int
    units: str
    further: int

    @property
    def sentence(self) -> str:
        """The step in words."""
        return say(
            "{property}, {batches}: {needed} {units} of each and of the control {control} would do"
            " ({further} more in all).",
            property=label_words(self.label),
            batches=joined(list(self.batches)),
            needed=self.needed,
            units=translated(self.units),
            control=self.control,
            further=self.further,
        )


def next_steps(comparison: Comparison) -> list[NextStep]:
    """Return the steps that a number of panels can be named for, the cheapest first.

    Verdicts on one property that need the same number are one step: the control's panels count
    once.
    """
    open_: dict[tuple[str, int], list[Verdict]] = {}
    for one in comparison.verdicts:
        if is_open(one) and _helps(one) and one.needed is not None:
            open_.setdefault((one.property, one.needed), []).append(one)
    steps = []
    for (label, needed), verdicts in open_.items():
        further = sum(max(0, needed - one.n) for one in verdicts)
        further += max(0, needed - verdicts[0].n_control)
        batches = tuple(one.batch for one in verdicts)
        first = verdicts[0]
        steps.append(NextStep(label, batches, first.control, needed, first.units, further))
    return sorted(steps, key=lambda one: (one.further, one.label))


def is_open(one: Verdict) -> bool:
    """Whether nothing is settled by a verdict."""
    return one.outcome is VerdictWord.CANNOT_TELL


def _helps(one: Verdict) -> bool:
    return one.needed is not None and one.needed > min(one.n, one.n_control)


def next_words(comparison: Comparison) -> list[str]:
    """Return what to do next, in sentences."""
    steps = next_steps(comparison)
    told = [one.sentence for one in steps[:TOLD]]
    if more := steps[TOLD:]:
        listed = joined(list(dict.fromkeys(label_words(one.label) for one in more)))
        told.append(say("More panels still: {properties}.", properties=listed))
    told += _without_a_number(comparison)
    if not comparison.verdicts:
        return told
    recipes = comparison.batches["recipe"]
    if recipes.is_unique:
        told.append(
            say(
                "To speak of a recipe and not of one batch of it: a further batch of the control"
                " and of the candidate that is chosen."
            )
        )
    return told


def _without_a_number(comparison: Comparison) -> Iterator[str]:
    """Tell what more panels do not settle, and why."""
    by_reason: dict[str, list[str]] = {}
    for one in comparison.verdicts:
        if is_open(one) and not _helps(one):
            by_reason.setdefault(translated(one.because), []).append(
                f"{one.property} ({one.batch})"
            )
    for reason, whose in by_reason.items():
        yield say("{properties}: {reason}.", properties=joined(whose), reason=reason)
