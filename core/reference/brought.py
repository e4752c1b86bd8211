"""What else plugins bring: figures and pages of reports, and commands."""

from __future__ import annotations

from collections.abc import Iterator

from tiecoat.extend.loading import BroughtCommands, ReportParts
from tiecoat.reference.docstring import markdown_of
from tiecoat.reference.entry import ReferenceEntry
from tiecoat.wording import capital

FIGURES, PAGES, COMMANDS = "Figures of reports", "Pages of reports", "Commands of plugins"


def report_entries(parts: ReportParts) -> Iterator[ReferenceEntry]:
    """Return the entries of the figures and pages that reports have by plugins."""
    for name, figure in sorted(parts.figures.items()):
        facts = _facts(figure.kind, parts.sources["figure", name])
        yield ReferenceEntry(FIGURES, name, figure.title, f"{facts}\n\n{figure.caption}")
    for name, page in sorted(parts.pages.items()):
        facts = _facts(page.kind, parts.sources["page", name])
        told = markdown_of(page.tell.__doc__)
        yield ReferenceEntry(PAGES, name, page.title, f"{facts}\n\n{told}".strip())


def _facts(kind: str, source: str) -> str:
    of = f"`{kind}`" if kind else "any kind"
    return f"- of studies with: {of}\n- comes from: {source}"


def command_entries(found: BroughtCommands) -> Iterator[ReferenceEntry]:
    """Return the entries of the commands that plugins bring."""
    for name, one in sorted(found.commands.items()):
        facts = (
            f"- `tiecoat {name} --help` tells what it takes\n- comes from: {found.sources[name]}"
        )
        fields = "\n".join(
            f"- `{path}` ({sort}): {said}" for path, (sort, said) in one.answers.items()
        )
        told = [facts, f"{capital(one.words)}.", "**`--json` prints**", fields]
        text = "\n\n".join(told if fields else told[:2])
        yield ReferenceEntry(COMMANDS, name, one.words, text)
