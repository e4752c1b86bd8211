"""Which properties studies of a lab know by name: those of compare, and of evaluations."""

from __future__ import annotations

from pathlib import Path

from tiecoat.compare.offered import Offered, with_offered
from tiecoat.extend.loading import load_evaluations


def offered_properties(readers_folder: Path | None = None) -> Offered:
    """Return the properties of installed packages, and of a lab's readers folder.

    Parameters
    ----------
    readers_folder
        As `load_evaluations` has it. None: no such folder.
    """
    loaded = load_evaluations(readers_folder)
    return with_offered(loaded.evaluations.values(), loaded.problems)
