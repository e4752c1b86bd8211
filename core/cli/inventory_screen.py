"""What `tiecoat readers` lists: all that plugins bring, and what was left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from rich.console import Console
from rich.markup import escape
from rich.table import Table

from tiecoat.compare.offered import Offered, with_offered
from tiecoat.contract.columns import told_of
from tiecoat.extend.loading import (
    BroughtCommands,
    Evaluations,
    ReportParts,
    load_commands,
    load_evaluations,
    load_report_parts,
)
from tiecoat.wording import unit_told

if TYPE_CHECKING:
    from tiecoat.intake.workers.pool import Inventory
    from tiecoat.plugin import StudyCourse, StudyFigure, StudyPage


class PluginParts(NamedTuple):
    """What plugins bring beside readers and kinds, which the workers load."""

    evaluations: Evaluations
    offered: Offered
    parts: ReportParts
    commands: BroughtCommands

    @property
    def problems(self) -> tuple[str, ...]:
        """What was left out, and why."""
        lists = (self.evaluations, self.offered, self.parts, self.commands)
        return tuple(problem for one in lists for problem in one.problems)

    def properties(self) -> Iterator[tuple[str, str, str]]:
        """Yield name, quantity and evaluation of each property that studies know by a plugin."""
        known = {**self.offered.catalogue.usual, **self.offered.catalogue.by_name}
        for evaluation in self.evaluations.evaluations.values():
            for one in evaluation.properties:
                if one.name in known and known[one.name].quantity == one.quantity:
                    yield one.name, one.quantity, evaluation.name

    def on_reports(self, sort: str) -> Iterator[tuple[str, str, str, str]]:
        """Yield name, kind, title and origin of each figure, or page, of reports."""
        found: Mapping[str, StudyFigure | StudyCourse | StudyPage] = self.parts.pages
        if sort == "figure":
            found = self.parts.figures
        for name, one in sorted(found.items()):
            yield name, one.kind, one.title, self.parts.sources[sort, name]

    def asked(self) -> Iterator[tuple[str, str, str]]:
        """Yield name, words and origin of each command."""
        for name, one in sorted(self.commands.commands.items()):
            yield name, one.words, self.commands.sources[name]


def brought_to(own_readers: Path | None) -> PluginParts:
    """Load what plugins bring beside readers and kinds, those of a lab's readers folder too."""
    evaluations = load_evaluations(own_readers)
    return PluginParts(
        evaluations,
        with_offered(evaluations.evaluations.values()),
        load_report_parts(own_readers),
        load_commands(own_readers),
    )


def show_inventory(inventory: Inventory, brought: PluginParts, console: Console) -> None:
    """Print readers, kinds with columns and units, all else that plugins bring, what was left out.

    What there is none of has no table.
    """
    sources = sorted(brought.evaluations.sources.items())
    for table in (
        _readers_table(inventory),
        _kinds_table(inventory),
        _table(("evaluation", "from"), sources),
        _table(("property", "quantity", "of evaluation"), brought.properties()),
        _table(("figure", "kind", "title", "from"), brought.on_reports("figure")),
        _table(("page", "kind", "title", "from"), brought.on_reports("page")),
        _table(("command", "does", "from"), brought.asked()),
    ):
        if table.row_count:
            console.print(table)
            console.print()
    for problem in (*inventory.problems, *brought.problems):
        console.print(f"left out: {problem}", markup=False, style="yellow")


def _readers_table(inventory: Inventory) -> Table:
    rows = []
    for name, source in sorted(inventory.readers.items()):
        told = inventory.told[name]
        by = f", by {told.author}" if told.author else ""
        before = ", ".join(told.goes_before)
        rows.append((f"{name} {told.version}", told.kind, before, f"{source}{by}"))
    return _table(("reader", "kind", "goes before", "from"), rows)


def _kinds_table(inventory: Inventory) -> Table:
    table = Table("kind", "per", box=None, pad_edge=False)
    table.add_column("columns, with their units", overflow="fold", ratio=1)
    table.add_column("from", overflow="fold")
    for name, source in sorted(inventory.kinds.items()):
        kind = inventory.loaded[name]
        fields = [(field.name, told_of(field)) for field in kind.schema]
        columns = [
            f"{column} ({unit_told(said.unit)})" if said.unit else column
            for column, said in fields
            if said.role == "value"
        ]
        table.add_row(name, kind.per, escape(", ".join(columns)), escape(source))
    return table


def _table(titles: tuple[str, ...], rows: Iterable[tuple[str, ...]]) -> Table:
    table = Table(titles[0], box=None, pad_edge=False)
    for title in titles[1:]:
        table.add_column(title, overflow="fold")
    for row in rows:
        table.add_row(*map(escape, row))
    return table
