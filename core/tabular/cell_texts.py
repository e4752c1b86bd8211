"""Cells as texts: for a table, for a person to see, as the one above where cells are merged."""

from __future__ import annotations

from collections.abc import Sequence

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.facts import is_empty

_SHOWN = 60
LEAST_MERGED, _MERGED = 2, 0.4  # and share of the rows that are empty where cells are merged


def text_of(cell: Cell) -> str | None:
    """Return a cell as a text; None where it says nothing."""
    if isinstance(cell, str):
        return None if is_empty(cell) else cell
    if isinstance(cell, float) and cell.is_integer() and abs(cell) < 1e15:
        return str(int(cell))
    return str(cell)


def shown(cell: Cell) -> str:
    """Return a cell for a person to see, shortened."""
    text = (text_of(cell) or "")[: _SHOWN + 1]
    text = text if text.isprintable() else text.encode("unicode_escape").decode()
    return f"'{text if len(text) <= _SHOWN else text[: _SHOWN - 1] + '…'}'"


def are_merged(empty: Sequence[bool], used: Sequence[bool]) -> bool:
    """Tell whether empty cells are those below a merged one: many are; a single one was forgotten."""
    rows = sum(used)
    count = sum(1 for none, use in zip(empty, used, strict=True) if use and none)
    return count >= max(LEAST_MERGED, _MERGED * rows) and not empty[0]


def filled_down(texts: list[str | None], used: Sequence[bool]) -> list[str | None]:
    """Return texts with empty ones as the one above, as merged cells and hand-kept sheets mean it."""
    if not are_merged([text is None for text in texts], used):
        return texts
    above: str | None = None
    filled = []
    for text, use in zip(texts, used, strict=True):
        above = text if text is not None else above
        filled.append(above if use else text)
    return filled
