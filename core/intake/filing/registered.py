"""Batches by what the register calls them: their candidate and its dose."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from tiecoat.archive.index.cache import Index, TableState, batch_of_panel, registered_batch
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.tables.storage import storage_of
from tiecoat.intake.filing.keying import Keyer
from tiecoat.lab.settings import Lab
from tiecoat.tabular.plain_words import tokens

_DOSE = re.compile(
    r"(?<![\d.,])(?P<number>\d+(?:[.,]\d+)?)[\s_]?(?:%|(?:percent|pct|prozent)\b)", re.IGNORECASE
)


@dataclass(frozen=True)
class _CalledSo:
    """What the register says of a batch: the words of its candidate, the dose, all its words."""

    candidate: tuple[str, ...]
    dose: float
    words: frozenset[str]


class RegisteredNames:
    """What the register calls its batches; a table is read again only where it was replaced."""

    def __init__(self, lab: Lab, index: Index) -> None:
        self._tables, self._index = storage_of(lab), index
        self._read: dict[Place, tuple[TableState, _CalledSo | None]] = {}

    def batches(self, text: str) -> set[str]:
        """Return the batches whose candidate and dose a text names; of two candidates the longer.

        The register is looked through only for a text that names a share in per cent.
        """
        doses = [float(match["number"].replace(",", ".")) for match in _DOSE.finditer(text)]
        said = tokens(text)
        named = [
            (len(called.candidate), batch)
            for batch, called in (self._all() if doses else ())
            if _within(called.candidate, said) and any(map(called.dose.__eq__, doses))
        ]
        longest = max((count for count, _ in named), default=0)
        return {batch for count, batch in named if count == longest}

    def describes(self, batch: str, text: str) -> bool:
        """Tell whether a text says nothing of a batch but what the register says of it."""
        called = self._called(batch)
        said = {*tokens(text)} - {"%"}
        return called is not None and bool(said) and said <= called.words

    def _all(self) -> Iterator[tuple[str, _CalledSo]]:
        for batch in sorted(self._index.registered("batch")):
            called = self._called(batch)
            if called is not None and called.candidate and not math.isnan(called.dose):
                yield batch, called

    def _called(self, batch: str) -> _CalledSo | None:
        found = registered_batch(self._index, batch)
        if found is None:
            return None
        place = (found.kind, found.batch)
        state = self._index.tables(*place).get(place)
        if state is None:
            return None
        known = self._read.get(place)
        if known is None or known[0] != state:
            known = self._read[place] = (state, self._of_table(place, batch))
        return known[1]

    def _of_table(self, place: Place, batch: str) -> _CalledSo | None:
        for row in self._tables.read(place).to_pylist():
            if row["withdrawn"] is None and row["batch"] == batch and row["panel"] is None:
                texts = [str(row.get(name) or "") for name in ("candidate", "recipe", "role")]
                dose = row.get("dose_percent")
                dose = float(dose) if isinstance(dose, float | int) else math.nan
                words = {*tokens(" ".join([*texts, f"{dose:g}"]))}
                return _CalledSo(tokens(texts[0]), dose, frozenset(words))
        return None


def _within(words: tuple[str, ...], said: tuple[str, ...]) -> bool:
    """Tell whether words stand in a text one behind the other."""
    count = len(words)
    return any(said[at : at + count] == words for at in range(len(said) - count + 1))


def keyer_of(lab: Lab, index: Index) -> Keyer:
    """Return what finds batch and panel by the lab's patterns and the register."""
    return Keyer(lab.settings.ids, partial(batch_of_panel, index), RegisteredNames(lab, index))
