"""What each figure shows, in words: for who cannot see it, and for who wants it at once."""

from __future__ import annotations

from collections.abc import Sequence

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.links import NO_PROOF
from tiecoat.compare.properties import Property
from tiecoat.compare.shares import is_share
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.alike import by_line
from tiecoat.report.brought_pages import MadePage
from tiecoat.report.labels import OUTCOME_WORDS, effect_text, ends_text, middle_words
from tiecoat.report.link_figure import link_words
from tiecoat.report.over_time import courses_of, over_time
from tiecoat.report.over_time_figures import caption, over_time_words
from tiecoat.report.strength_figure import strength_words
from tiecoat.report.words import joined, say, say_counted, translated
from tiecoat.wording import capital


def property_caption(wanted: Property) -> str:
    """Return how the figure of a property is read."""
    if wanted.method == "strengths":
        marks = say(
            "Left: each large mark is a panel, each small one a single test, an open triangle a"
            " test whose glue failed, so that the strength lies above it; the upright line is the"
            " {middle}.",
            middle=middle_words(wanted),
        )
    elif wanted.method == "times":
        marks = say(
            "Left: every time that is compared, as a bar where it is known between two inspections"
            " only; the upright line is the median, two of them are the inspections between which"
            " it lies."
        )
    else:
        marks = say(
            "Left: every value that is compared; a bar through a single mark is its own 95 %"
            " interval; the upright line is the {middle}.",
            middle=middle_words(wanted),
        )
    right = say("Right: effect with its simultaneous 95 % interval; hatched is harm by the margin.")
    told = [marks, right]
    if is_share(wanted):
        told.append(say("An interval ends where the share would leave 0 to 100 %."))
    return " ".join(told)


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
                told.append(f"{capital(words)}: {joined(mine)}")
    return told


def _condition(one: Verdict) -> str:
    return translated(one.condition) if one.standing is Firmness.CONDITIONAL else ""


def _with_effect(one: Verdict) -> str:
    effect = effect_text(one)
    told = [ends_text(one) if effect == "–" else effect]
    if one.if_alike is not None:
        told.append(say("{verdict}, if", verdict=translated(OUTCOME_WORDS[one.if_alike][1])))
    words = "; ".join(filter(None, told))
    return f"{one.batch} ({words})" if words else one.batch


def figure_words(data: StudyData, pages: Sequence[MadePage]) -> dict[str, list[str]]:
    """Return what the other figures show, by their names; see `draw_all`.

    It is one text for all figures of a name, or one for each.
    """
    comparison = data.comparison
    return {
        "strength": [strength_words(comparison)],
        "line_up": [all_verdicts_words(comparison)],
        **_over_time(data),
        "bode": [_of_panels(data, "impedance", say("the spectra"))],
        **{
            one.key: [*one.words] or [f"{one.title}. {one.caption}"]
            for page in pages
            for one in page.figures
        },
        "links": [" ".join([*map(link_words, data.links), translated(NO_PROOF)])],
    }


def _over_time(data: StudyData) -> dict[str, list[str]]:
    told: dict[str, list[str]] = {name: [] for name in courses_of(data)}
    for one in over_time(data):
        told[one.name].append(over_time_words(data.comparison, one))
    return {name: [" ".join(filter(None, texts))] for name, texts in told.items()}


def over_time_captions(data: StudyData) -> list[tuple[str, str]]:
    """Return the name of each quantity that is drawn over time, and how its figures are read."""
    return list({one.name: caption(one) for one in over_time(data)}.items())


def all_verdicts_words(comparison: Comparison) -> str:
    """Return how many verdicts there are of each word, and how many of them on a condition."""
    counts = []
    for outcome in VerdictWord:
        mine = [one for one in comparison.verdicts if one.outcome is outcome]
        if mine:
            hollow = sum(one.standing is Firmness.CONDITIONAL for one in mine)
            some = say(" ({count} of them on a condition)", count=hollow) if hollow else ""
            counts.append(f"{translated(OUTCOME_WORDS[outcome][1])} {len(mine)}{some}")
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
