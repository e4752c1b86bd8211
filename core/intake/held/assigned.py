"""The ids that a person gives to a file, and the command that does so anew."""

from __future__ import annotations

from dataclasses import dataclass

LISTED = ", "  # between batches of which a file is at once


@dataclass(frozen=True)
class Assigned:
    """Ids that a person has given to a file; they win over everything the file says.

    `batch` may list several, for what is of several at once, such as the record of a chamber. Where
    `of` says it, they take the place of that batch or panel only, and all else of the file stays as
    it is.
    """

    batch: str | None = None
    panel: str | None = None
    of: str | None = None

    @property
    def batches(self) -> list[str]:
        """The batches, each by itself."""
        return self.batch.split(LISTED) if self.batch else []

    def as_record(self) -> dict[str, str | None]:
        """Return plain values; what they take the place of only where it is said."""
        return {"batch": self.batch, "panel": self.panel, **({"of": self.of} if self.of else {})}


def refile_command(original: str) -> str:
    """Return the command that files anew what was retracted, and how to give it another id."""
    return f"tiecoat refile {original} (for another id with --batch BATCH or --panel PANEL)"
