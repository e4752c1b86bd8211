"""Which properties studies of a lab know by name: those of compare, and of evaluations."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path

from tiecoat.compare.offered import Offered, with_offered
from tiecoat.contract.columns import conditions_of
from tiecoat.extend.loading import load_evaluations, load_kind


def offered_properties(readers_folder: Path | None = None) -> Offered:
    """Return the properties of installed packages, and of a lab's readers folder.

    Parameters
    ----------
    readers_folder
        As `load_evaluations` has it. None: no such folder.
    """
    loaded = load_evaluations(readers_folder)
    return with_offered(loaded.evaluations.values(), loaded.problems)


def conditions_of_kinds(
    names: Iterable[str], readers_folder: Path | None
) -> Mapping[str, dict[str, str]]:
    """Return by kind which columns say how a determination was made, each with its unit.

    A kind that no plugin brings is left out. For `tiecoat.compare.comparison.compare`, of those
    that `study.counted_kinds()` names.
    """
    found = {name: load_kind(name, readers_folder) for name in names}
    return {name: conditions_of(kind) for name, kind in found.items() if kind is not None}
