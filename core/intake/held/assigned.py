"""The ids that a person gives to a held file."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Assigned:
    """Ids that a person has given to a held file; they win over everything the file says."""

    batch: str | None = None
    panel: str | None = None
