"""Ids that differ by leading zeros only: who writes RB-1 on one can and RB-01 on the next errs."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator

from tiecoat.archive.index.cache import Index

LEADING_ZEROS = re.compile("(?<![0-9])0+(?=[0-9])")
CHECK = "both are kept as they are: check whether they are two"


class LookAlikes:
    """Knows the ids of the archive, and says of a new one which other it may be confused with.

    Both stay what they are, as they may be two things; it is for a person to know.

    Parameters
    ----------
    index
        Asked once, when the first id comes: what it costs does not grow with the files.
    """

    def __init__(self, index: Index) -> None:
        self._index = index
        self._known: dict[tuple[str, str], set[str]] | None = None

    def look(self) -> None:
        """Learn which ids there are; to be called before new ones are filed."""
        if self._known is not None:
            return
        every = {"batch": self._index.distinct("batch"), "panel": self._index.distinct("panel")}
        self._known = {}
        for what, ids in every.items():
            for identity in ids:
                self._of(what, identity).add(identity)

    def met(self, ids: Collection[tuple[str, str | None]]) -> Iterator[str]:
        """Yield a sentence for each batch or panel that is new and looks like another one."""
        named = [("batch", batch) for batch, _ in ids]
        named += [("panel", panel) for _, panel in ids if panel is not None]
        for what, identity in named:
            alike = self._of(what, identity)
            if alike and identity not in alike:
                others = ", ".join(sorted(alike))
                yield f"{what} {identity} differs from {others} by leading zeros only; {CHECK}"
            alike.add(identity)

    def _of(self, what: str, identity: str) -> set[str]:
        assert self._known is not None
        return self._known.setdefault((what, LEADING_ZEROS.sub("", identity)), set())
