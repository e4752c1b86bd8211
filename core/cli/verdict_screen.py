"""Verdicts on the screen: all candidates at a glance, what it comes to, then what needs a look."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, assert_never

from rich.markup import escape
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from tiecoat.wording import capital, listed

if TYPE_CHECKING:
    from rich.console import Console

    from tiecoat.compare.comparison import Comparison
    from tiecoat.compare.recommendation import Recommendation
    from tiecoat.compare.verdict import Verdict, VerdictWord

NAMED = 3  # properties up to which each is named
WIDEST = 120  # columns of a table of verdicts, however wide the terminal is


def show_verdicts(
    comparison: Comparison,
    console: Console,
    recommended: Sequence[Recommendation] = (),
    *,
    everything: bool = False,
) -> None:
    """Print the overview, the summary, and what is open or worse in detail; or every verdict."""
    from tiecoat.report.labels import left_out_words

    show_overview(comparison, console)
    for line in summary(comparison, recommended):
        console.print(line, markup=False, highlight=False)
    for line in read_with(comparison):
        console.print(line, markup=False, highlight=False)
    _show_list(console, "What so many panels can show at all:", comparison.out_of_reach)
    left_out = [left_out_words(one) for one in comparison.left_out]
    _show_list(console, "Left out by the study:", left_out)
    _show_list(console, "Filed for these batches, and not compared:", comparison.not_compared)
    for problem in comparison.problems:
        console.print(problem, style="yellow", markup=False, highlight=False)
    _show_details(comparison, console, everything=everything)
    _show_pairs(comparison, console, everything=everything)
    for caution in comparison.cautions:
        console.print(caution, style="dim", markup=False, highlight=False)


def _show_list(console: Console, heading: str, listed: Sequence[object]) -> None:
    if listed:
        console.print(heading)
    for one in listed:
        words = escape(getattr(one, "words", str(one)))
        console.print(Padding(words, (0, 0, 0, 2)), highlight=False)


def show_overview(comparison: Comparison, console: Console) -> None:
    """Print signs for each candidate and property, and what the signs and columns mean."""
    from tiecoat.compare.strength import steps_rule
    from tiecoat.compare.verdict import VerdictWord
    from tiecoat.report.labels import HOLLOW, conditions_words, margin_words, presets_words

    if not comparison.verdicts:
        return
    console.print(overview_table(comparison))
    looks = map(_look, VerdictWord)
    *signs, empty = (f"[{style}]{sign or 'empty:'}[/] {words}" for sign, words, style in looks)
    console.print("   ".join(signs))
    console.print(empty)
    if any(_is_hollow(one) for one in comparison.verdicts):
        hollow = " ".join(HOLLOW.values())
        console.print(f"{hollow}   the same, only {conditions_words(comparison.verdicts)}")
    for line in steps_rule(comparison.properties):
        console.print(line, style="dim", markup=False, highlight=False)
    for place, wanted in enumerate(comparison.properties, 1):
        is_preset = comparison.has_preset_margin(wanted)
        harm = margin_words(wanted, comparison.unit_of(wanted), is_preset=is_preset)
        console.print(f"{place} {wanted.label}", style="dim", markup=False, highlight=False)
        console.print(Padding(Text(f"harm: {harm}", style="dim"), (0, 0, 0, 2)))
    if any(map(comparison.has_preset_margin, comparison.properties)):
        console.print(presets_words(), style="dim", markup=False, highlight=False)
    console.print()


def overview_table(comparison: Comparison) -> Table:
    """Return the signs of all verdicts: a row a candidate and dose, a column a property.

    One to three of a sign tell the step; nothing stands where nothing was tested.
    """
    from tiecoat.report.labels import by_dose, step_sign

    table = Table(box=None, pad_edge=False)
    table.add_column(f"against {_against(comparison)}", overflow="fold")
    for place, _ in enumerate(comparison.properties, 1):
        table.add_column(str(place), justify="center", no_wrap=True)
    by_key = {(one.batch, one.property): one for one in comparison.verdicts}
    for of in by_dose(comparison.batches, comparison.candidates).values():
        for batch in of:
            signs = []
            for wanted in comparison.properties:
                one = by_key.get((batch, wanted.label))
                style = _look(one.outcome)[2] if one else "dim"
                signs.append(f"[{style}]{step_sign(one, wanted) if one else ''}[/]")
            table.add_row(escape(_name(comparison, batch)), *signs)
    return table


def summary(comparison: Comparison, recommended: Sequence[Recommendation]) -> Iterator[str]:
    """Return in sentences what is shown of each candidate, and what is recommended."""
    batches = comparison.candidates
    if not batches:
        others = [one for one in comparison.batches.index if one != comparison.control]
        if others:
            yield f"Not compared: {'; '.join(_name(comparison, one) for one in others)}."
        return
    count = len(comparison.properties)
    on = listed([one.label for one in comparison.properties])
    on = on if count <= NAMED else f"all {count} properties"
    safe = [one for one in batches if comparison.does_no_harm(one)[0]]
    names = "; ".join(_name(comparison, one) for one in safe) or "no candidate"
    yield f"Shown to do no harm on {on}: {names}."
    would = [one for one in batches if one not in safe and comparison.would_do_no_harm(one)[0]]
    for conditions in dict.fromkeys(comparison.harm(one).safe_only for one in would):
        mine = [one for one in would if comparison.harm(one).safe_only == conditions]
        names = "; ".join(_name(comparison, one) for one in mine)
        yield f"Only {' and '.join(conditions)}: {names}."
    for batch in batches:
        if told := comparison.harm(batch).told:
            yield f"{_name(comparison, batch)}: {'; '.join(told)}."
    if comparison.joint_error:
        yield comparison.joint_error
    yield from _recommended(recommended)


def read_with(comparison: Comparison) -> Iterator[str]:
    """Return what the verdicts are read with, and what was not tested, in sentences."""
    from tiecoat.report.noted import noted_words

    yield from noted_words(comparison)
    if comparison.never_measured:
        yield f"Never measured on these batches: {listed(comparison.never_measured)}."
    if comparison.without_results:
        yield f"Registered, without any result yet: {', '.join(comparison.without_results)}."


def _recommended(recommended: Sequence[Recommendation]) -> Iterator[str]:
    """Return the recommendation of each application, and what scatter the draws do not know."""
    from tiecoat.report.recommended import recommendation_words

    yield from map(recommendation_words, recommended)
    rankings = (one.ranking for one in recommended if one.ranking is not None)
    for unknown in dict.fromkeys(one.no_batches for one in rankings if one.no_batches):
        yield f"{capital(unknown)}."


def _show_details(comparison: Comparison, console: Console, *, everything: bool) -> None:
    for wanted in comparison.properties:
        mine = [one for one in comparison.verdicts if one.property == wanted.label]
        shown = mine if everything else [one for one in mine if _needs_a_look(one)]
        if not shown:
            continue
        console.print()
        console.print(_details(comparison, wanted.label, shown, console.width))
        for line in _below(shown, comparison):
            console.print(line, style="dim", markup=False, highlight=False)
    if comparison.verdicts:
        rest = "" if everything else " The other verdicts: --all."
        console.print(f"\n{comparison.adjusted}{rest}\n", style="dim", highlight=False)


def _show_pairs(comparison: Comparison, console: Console, *, everything: bool) -> None:
    """Print candidates against candidates: the signs, and the numbers where one was asked for."""
    from tiecoat.compare.against import PAIRS_APART

    if not comparison.references:
        return
    console.print("Candidate against candidate", style="bold")
    console.print(PAIRS_APART, style="dim", markup=False, highlight=False)
    listed_before: list[str] = []
    for reference in comparison.references:
        of_pair = comparison.against(reference)
        console.print()
        if not of_pair.verdicts:
            console.print(f"Nothing to compare with {reference}.", markup=False, highlight=False)
            continue
        console.print(overview_table(of_pair))
        labels = [f"{place} {one.label}" for place, one in enumerate(of_pair.properties, 1)]
        if labels != listed_before:
            console.print("\n".join(labels), style="dim", markup=False, highlight=False)
        listed_before = labels
        if everything or len(comparison.references) == 1:
            _show_details(of_pair, console, everything=True)
    console.print()


def _needs_a_look(one: Verdict) -> bool:
    """Whether a verdict is open or worse."""
    from tiecoat.compare.verdict import VerdictWord

    match one.outcome:
        case VerdictWord.WORSE | VerdictWord.SIGNS_OF_HARM | VerdictWord.CANNOT_TELL:
            return True
        case VerdictWord.BETTER | VerdictWord.NOT_WORSE | VerdictWord.NOT_TESTED:
            return False
        case _:
            assert_never(one.outcome)


def _details(comparison: Comparison, label: str, verdicts: Sequence[Verdict], width: int) -> Table:
    """Return the verdicts on one property: name, numbers, verdict and reason in columns."""
    from tiecoat.report.labels import effect_text, ends_text, p_text

    table = Table(
        box=None,
        pad_edge=False,
        title=escape(label),
        title_justify="left",
        width=min(width, WIDEST),
    )
    table.add_column("candidate", overflow="fold", ratio=5)
    table.add_column("effect", overflow="fold", min_width=15)
    table.add_column("verdict", overflow="fold", ratio=4)
    table.add_column("why", overflow="fold", ratio=7)
    for one in verdicts:
        _, words, style = _look(one.outcome)
        condition = f" {escape(one.condition)}" if one.condition and not one.if_alike else ""
        numbers = [effect_text(one, 3), ends_text(one, 3)]
        p = "" if math.isnan(one.p) else f", p {p_text(one.p)}"
        numbers.append(f"n {one.n}{p}" if one.n else "")
        table.add_row(
            escape(_name(comparison, one.batch)),
            "\n".join(escape(part) for part in numbers if part),
            f"[{style}]{words}[/]{condition}",
            escape(one.because),
        )
    return table


def _below(verdicts: Sequence[Verdict], comparison: Comparison) -> Iterator[str]:
    """Return what the verdicts on one property rest on: the control, methods, and cautions."""
    from tiecoat.report.labels import middle_as_known, number, unit_text

    found = next((one for one in verdicts if not math.isnan(one.value_control)), None)
    if found is None:
        return
    ends = found.value_control_low, found.value_control_high
    middle = middle_as_known(found.value_control, found.side_control, ends, number)
    control = f"{middle} {unit_text(found.unit)}".strip()
    who = "against" if found.control in comparison.references else "control"
    yield f"{who} {found.control}: {control}, n {found.n_control}"
    yield from dict.fromkeys(one.method for one in verdicts if one.method)
    batches: dict[str, list[str]] = {}
    for one in verdicts:
        for caution in one.cautions:
            batches.setdefault(caution, []).append(one.batch)
    told = sum(not math.isnan(one.value_control) for one in verdicts)
    for caution, of in batches.items():
        yield caution if len(of) == told else f"{', '.join(of)}: {caution}"


def _name(comparison: Comparison, batch: str) -> str:
    """Return dose and candidate with the batch."""
    from tiecoat.report.labels import recipe_words

    return f"{recipe_words(comparison.batches, batch)} ({batch})"


def _against(comparison: Comparison) -> str:
    """Return with whom is compared: the control by its batch, another candidate by its name too."""
    if comparison.control in comparison.references:
        return escape(_name(comparison, comparison.control))
    return comparison.control


def _is_hollow(one: Verdict) -> bool:
    """Whether a claim stands only on a condition, or another one would."""
    from tiecoat.compare.verdict import Firmness

    if one.if_alike is not None:
        return True
    match one.standing:
        case Firmness.CONDITIONAL:
            return True
        case Firmness.FIRM | Firmness.STATED:
            return False
        case _:
            assert_never(one.standing)


def _look(outcome: VerdictWord) -> tuple[str, str, str]:
    """Return sign, words and style of an outcome."""
    from tiecoat.compare.verdict import VerdictWord
    from tiecoat.report.labels import OUTCOME_WORDS

    match outcome:
        case VerdictWord.BETTER:
            style = "bold blue"
        case VerdictWord.NOT_WORSE:
            style = "default"
        case VerdictWord.WORSE:
            style = "bold red"
        case VerdictWord.SIGNS_OF_HARM:
            style = "bold yellow"
        case VerdictWord.CANNOT_TELL | VerdictWord.NOT_TESTED:
            style = "dim"
        case _:
            assert_never(outcome)
    return (*OUTCOME_WORDS[outcome], style)
