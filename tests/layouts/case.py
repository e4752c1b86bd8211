"""A generated export: its bytes, where it lies, and what it means."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class About:
    """A number that the file states twice, rounded differently: either is right."""

    value: float
    within: float


@dataclass(frozen=True)
class Case:
    """An export and its truth.

    Each of `rows` maps batch, panel, the columns of the kind in its units, and `measured_at` (UTC)
    where the file tells it. A column that is not named must be empty. A frozenset holds all that
    is right. `mistake` says what was done to the file, "" for nothing; `traits` how it is laid out.
    """

    seed: int
    flavour: str
    kind: str
    name: str
    folder: str
    content: bytes
    rows: tuple[dict[str, Any], ...]
    traits: tuple[str, ...]
    mistake: str = ""
