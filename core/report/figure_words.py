"""What each figure shows, in words: for who cannot see it, and for who wants it at once."""

from __future__ import annotations

from collections.abc import Sequence

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.alike import by_line
from tiecoat.report.labels import OUTCOME_WORDS, effect_text, middle_words, unbroken
from tiecoat.report.words import joined, say, say_counted, translated


def property_caption(wanted: Property) -> str:
    """Return how the figure of a property is read."""
    if wanted.method == "strengths":
        marks = say(
            "Left: each large mark is a panel, each small one a single test, an open triangle a"
            " test whose glue failed, so that the strength lies above it; the upright line is the"
            " {middle}.",
            middle=middle_words(wanted),
        )
    else:
        marks = say(
            "Left: every value that is compared; a bar through a single mark is its own 95 %"
            " interval; the upright line is the {middle}.",
            middle=middle_words(wanted),
        )
    return f"{marks} " + say(
        "Right: effect with its simultaneous 95 % interval; hatched is harm by the margin."
    )


def property_words(comparison: Comparison, wanted: Property) -> str:
    """Return what the figure of a property shows: which candidate came out how, and by how much."""
    mine = [one for one in comparison.verdicts if one.property == wanted.label]
    return " ".join(f"{one}." for one in _by_outcome(mine))


def _by_outcome(verdicts: Sequence[Verdict]) -> list[str]:
    told = []
    for outcome in VerdictWord:
        for condition in dict.fromkeys(_condition(one) for one in verdicts):
            mine = [
                _with_effect(one)
                for one in verdicts
                if one.outcome is outcome and _condition(one) == condition
            ]
            if mine:
                words = ", ".join(filter(None, [translated(OUTCOME_WORDS[outcome][1]), condition]))
                told.append(f"{words[:1].upper()}{words[1:]}: {joined(mine)}")
    return told


def _condition(one: Verdict) -> str:
    return translated(one.condition) if one.standing is Firmness.CONDITIONAL else ""


def _with_effect(one: Verdict) -> str:
    effect = unbroken(effect_text(one))
    return one.batch if effect == "–" else f"{one.batch} ({effect})"


def figure_words(data: StudyData) -> dict[str, str]:
    """Return what the other figures show, by their names; see `draw_all`."""
    comparison = data.comparison
    return {
        "line_up": _line_up(comparison),
        "modulus": _of_panels(data, "impedance", say("the modulus over time")),
        "bode": _of_panels(data, "impedance", say("the spectra")),
        "failure": _of_panels(data, "pull_off", say("the shares of the places of failure")),
    }


def _line_up(comparison: Comparison) -> str:
    counts = [
        f"{translated(OUTCOME_WORDS[outcome][1])} {count}"
        for outcome in VerdictWord
        if (count := sum(one.outcome is outcome for one in comparison.verdicts))
    ]
    total = say_counted(len(comparison.verdicts), "verdict")
    return say("{verdicts}: {counts}.", verdicts=total, counts=", ".join(counts))


def _of_panels(data: StudyData, kind: str, what: str) -> str:
    rows = data.rows.get(kind)
    if rows is None or not len(rows):
        return ""
    told = []
    for line, part in by_line(data, kind, rows):
        panels = say_counted(int(part["panel"].nunique()), "panel")
        batches = ", ".join(sorted(part["batch"].unique()))
        words = say(
            "{what} of {panels} of the batches {batches}.",
            what=what,
            panels=panels,
            batches=batches,
        )
        told.append(f"{line}: {words}" if line else words)
    return " ".join(told)
