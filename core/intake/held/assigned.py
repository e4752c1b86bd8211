"""The ids that a person gives to a file, and the command that does so anew."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Assigned:
    """Ids that a person has given to a held file; they win over everything the file says."""

    batch: str | None = None
    panel: str | None = None


def refile_command(original: str) -> str:
    """Return the command that files anew what was retracted, and how to give it another id."""
    return f"tiecoat refile {original} (for another id with --batch BATCH or --panel PANEL)"
