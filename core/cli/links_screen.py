"""What goes together, on the screen."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.markup import escape
from rich.padding import Padding
from rich.table import Table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from tiecoat.compare.links import Link, PairableResult

CONDITIONS = 4  # of a result, that are listed


def show_links(links: Sequence[Link], console: Console) -> None:
    """Print each pair of results with its rank correlations, then how they are read."""
    from tiecoat.compare.links import NO_PROOF
    from tiecoat.evaluate.statistics.rank_correlation import METHOD
    from tiecoat.report.link_figure import correlation_words

    if not links:
        console.print("There are no two results to hold against each other.")
        return
    table = Table(box=None, pad_edge=False)
    for title in ("what", "against", "between batches", "within batches"):
        table.add_column(title, overflow="fold")
    for one in links:
        labels = (escape(one.first.label), escape(one.second.label))
        table.add_row(*labels, *(escape(correlation_words(of)) for of in (one.between, one.within)))
    console.print(table)
    for line in (f"{METHOD}; in brackets 95 % intervals.", *unit_words(links), NO_PROOF):
        console.print(Padding(escape(line), (0, 0)), style="dim", highlight=False)


def show_pairable(found: Sequence[PairableResult], console: Console) -> None:
    """Print what can be held against each other: names, with the conditions that may follow."""
    if not found:
        return
    table = Table(
        box=None,
        pad_edge=False,
        title="What --pair FIRST SECOND takes; after a name and a comma, one of its conditions",
        title_justify="left",
    )
    for title in ("kind", "name", "conditions"):
        table.add_column(title, overflow="fold")
    for title in ("batches", "panels"):
        table.add_column(title, justify="right", no_wrap=True)
    for one in found:
        words = (one.kind, one.name, _conditions(one.conditions))
        table.add_row(*map(escape, words), str(one.batches), str(one.panels or "–"))
    console.print()
    console.print(table)


def _conditions(conditions: Sequence[str]) -> str:
    told = " | ".join(conditions[:CONDITIONS])
    more = len(conditions) - CONDITIONS
    return f"{told} and {more} more" if more > 0 else told


def unit_words(links: Sequence[Link]) -> list[str]:
    """Say of which units the correlations are."""
    told = [
        (
            "Between batches each batch counts once, by the mean of its panels: panels of one batch"
            " share their paint and are no independent pairs."
        )
    ]
    if any(one.panels for one in links):
        told.append("Within batches: how far each panel lies from the mean of its batch.")
    return told
