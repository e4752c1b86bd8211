"""All entries of the reference, made anew from the code and from the plugins that are loaded."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

from tiecoat.contract.choices import Choices
from tiecoat.extend.loading import (
    Evaluations,
    Plugins,
    load_commands,
    load_evaluations,
    load_plugins,
    load_report_parts,
)
from tiecoat.reference.brought import command_entries, report_entries
from tiecoat.reference.entry import ReferenceEntry
from tiecoat.reference.evaluations import evaluation_entries
from tiecoat.reference.held import reason_entries, remark_entries
from tiecoat.reference.kinds import kind_entries, reader_entries
from tiecoat.reference.names import face_entries, hook_entries
from tiecoat.reference.settings import setting_entries


class Reference(NamedTuple):
    """The entries, chapter by chapter, and sentences about plugins that were left out."""

    entries: tuple[ReferenceEntry, ...]
    problems: tuple[str, ...]

    @property
    def chapters(self) -> dict[str, list[ReferenceEntry]]:
        """The entries by the titles of their chapters, in their order."""
        chapters: dict[str, list[ReferenceEntry]] = {}
        for entry in self.entries:
            chapters.setdefault(entry.chapter, []).append(entry)
        return chapters


def reference(readers_folder: Path | None = None) -> Reference:
    """Put the reference together.

    Parameters
    ----------
    readers_folder
        That of a lab, of which all that it brings is told too; None: of none.
    """
    plugins, evaluations = load_plugins(readers_folder), load_evaluations(readers_folder)
    parts, commands = load_report_parts(readers_folder), load_commands(readers_folder)
    told = (
        *kind_entries(plugins),
        *evaluation_entries(evaluations.evaluations, evaluations.sources),
        *report_entries(parts),
        *command_entries(commands),
        *reader_entries(plugins),
        *_entries(plugins, evaluations),
    )
    lists = (plugins, evaluations, parts, commands)
    return Reference(told, tuple(problem for one in lists for problem in one.problems))


def _entries(plugins: Plugins, evaluations: Evaluations) -> Iterator[ReferenceEntry]:
    yield from setting_entries(dict(_choices(plugins, evaluations)))
    yield from reason_entries()
    yield from remark_entries()
    yield from hook_entries()
    yield from face_entries()


def _choices(plugins: Plugins, evaluations: Evaluations) -> Iterator[tuple[str, type[Any]]]:
    """Return the sections of the settings that evaluations and readers have of their own."""
    for name, evaluation in sorted(evaluations.evaluations.items()):
        if evaluation.choices is not Choices:
            yield f"evaluate.{name}", evaluation.choices
    for name, reader in sorted(plugins.readers.items()):
        if choices := getattr(reader, "choices", None):
            yield f"read.{name}", choices
