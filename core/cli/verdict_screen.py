"""Verdicts on the screen: one property after the other, and all candidates at a glance."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, assert_never

from rich.markup import escape
from rich.table import Table

if TYPE_CHECKING:
    from rich.console import Console

    from tiecoat.compare.comparison import Comparison
    from tiecoat.compare.verdict import Verdict, VerdictWord


def show_verdicts(comparison: Comparison, console: Console) -> None:
    """Print every verdict with its n, effect, interval, p, reason and method, then the overview."""
    from tiecoat.compare.verdict import Firmness
    from tiecoat.report.labels import effect_text, interval, p_text

    for wanted in comparison.properties:
        mine = [one for one in comparison.verdicts if one.property == wanted.label]
        table = Table(box=None, pad_edge=False, title=escape(wanted.label), title_justify="left")
        table.add_column("batch", no_wrap=True)
        table.add_column("n", justify="right")
        for name in ("effect", "95 % interval", "p"):
            table.add_column(name, justify="right", no_wrap=True)
        table.add_column("verdict", overflow="fold")
        for one in mine:
            _, words, style = _look(one.outcome)
            claim = words if one.standing is Firmness.FIRM else f"{words} {one.condition}"
            verdict = f"[{style}]{escape(claim)}[/]: {escape(one.because)}"
            ends = interval(one.low, one.high, 3)
            effect = escape(effect_text(one, 3))
            table.add_row(one.batch, str(one.n), effect, ends, p_text(one.p_holm), verdict)
        console.print(table)
        for line in _below(mine):
            console.print(line, style="dim", markup=False, highlight=False)
        console.print()
    if comparison.verdicts:
        console.print("p is adjusted over candidates and properties.\n", style="dim")
    show_overview(comparison, console)


def _below(verdicts: Sequence[Verdict]) -> Iterator[str]:
    """Return what the verdicts on one property rest on: the control, methods, and cautions."""
    from tiecoat.report.labels import number, unit_text

    found = next((one for one in verdicts if one.n_control), None)
    if found is None:
        return
    control = f"{number(found.value_control)} {unit_text(found.unit)}".strip()
    yield f"control {found.control}: {control}, n {found.n_control}"
    yield from dict.fromkeys(one.method for one in verdicts if one.method)
    batches: dict[str, list[str]] = {}
    for one in verdicts:
        for caution in one.cautions:
            batches.setdefault(caution, []).append(one.batch)
    told = sum(bool(one.n) for one in verdicts)
    for caution, of in batches.items():
        yield caution if len(of) == told else f"{', '.join(of)}: {caution}"


def show_overview(comparison: Comparison, console: Console) -> None:
    """Print a sign for each candidate and property, what is shut out, and what must be known."""
    from tiecoat.compare.verdict import VerdictWord

    if comparison.verdicts:
        console.print(overview_table(comparison))
        signs = map(_look, VerdictWord)
        console.print("   ".join(f"[{style}]{sign}[/] {words}" for sign, words, style in signs))
        for place, wanted in enumerate(comparison.properties, 1):
            console.print(f"{place} {wanted.label}", style="dim", markup=False, highlight=False)
    for problem in comparison.problems:
        console.print(problem, style="yellow", markup=False, highlight=False)
    for caution in comparison.cautions:
        console.print(caution, style="dim", markup=False, highlight=False)


def overview_table(comparison: Comparison) -> Table:
    """Return the signs of all verdicts: a row a candidate, a column a property."""
    from tiecoat.report.labels import recipe_words

    table = Table(box=None, pad_edge=False)
    table.add_column(f"against {comparison.control}", overflow="fold")
    for place, _ in enumerate(comparison.properties, 1):
        table.add_column(str(place), justify="center", no_wrap=True)
    table.add_column("no harm shown", justify="center")
    by_key = {(one.batch, one.property): one for one in comparison.verdicts}
    for batch in dict.fromkeys(one.batch for one in comparison.verdicts):
        signs = []
        for wanted in comparison.properties:
            one = by_key.get((batch, wanted.label))
            sign, _, style = _look(one.outcome) if one else ("", "", "dim")
            signs.append(f"[{style}]{sign}[/]")
        shown = "[bold]yes[/]" if comparison.does_no_harm(batch)[0] else "no"
        name = f"{batch} {escape(recipe_words(comparison.batches, batch))}"
        table.add_row(name, *signs, shown)
    return table


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
            style = "red"
        case VerdictWord.CANNOT_TELL:
            style = "dim"
        case _:
            assert_never(outcome)
    return (*OUTCOME_WORDS[outcome], style)
