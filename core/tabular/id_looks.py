"""How the ids of panels and batches look in a lab, alone, in lists and amid other words."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache, lru_cache

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.told_entries import in_list

_LOOSE_SIGN = re.compile(r"\s*([-_./#])\s*")
_ANCHORED = re.compile(r"\\[AZbB]|[$^]|\(\?[<=!]")  # asks what stands around, or may
_RUNS = re.compile(r"[^\W\d_]+|\d+")  # of letters or digits
_MOST_RUNS = 5
SIGNS = ("-", "_", ".", "/", "#", "")


@dataclass(frozen=True)
class IdLooks:
    """How ids look in the lab."""

    panel: re.Pattern[str]
    batch: re.Pattern[str]

    def is_panel(self, cell: Cell) -> bool:
        return isinstance(cell, str) and self.panel.fullmatch(cell.strip()) is not None

    def as_panel(self, cell: Cell) -> str | None:
        """Return the id of a panel that a cell is, also where its signs are lacking."""
        if not isinstance(cell, str):
            return None
        return cell if self.is_panel(cell) else without_signs(self.panel, cell.strip())

    def are_batches(self, cell: Cell) -> bool:
        """Tell whether a cell lists several batches."""
        return isinstance(cell, str) and bool(ids_listed(self.batch, cell))

    def is_batch(self, cell: Cell) -> bool:
        return isinstance(cell, str) and self.batch.fullmatch(cell.strip()) is not None


def as_typed(pattern: re.Pattern[str], text: str) -> str | None:
    """Return the one id that a text is, its signs typed with blanks around or in place of them.

    Examples
    --------
    >>> as_typed(re.compile("K7-[0-9]+"), "K7 - 04"), as_typed(re.compile("K7-[0-9]+"), "K7 04")
    ('K7-04', 'K7-04')
    """
    if pattern.fullmatch(text):
        return text
    if " " not in text or not any(map(str.isdigit, text)):
        return None
    close = _LOOSE_SIGN.sub(r"\1", text.strip())
    typed = {close} | {sign.join(close.split()) for sign in SIGNS}
    found = {one for one in typed if pattern.fullmatch(one)}
    return found.pop() if len(found) == 1 else None


@lru_cache(maxsize=4096)
def without_signs(pattern: re.Pattern[str], text: str) -> str | None:
    """Return the one id that a text is, its signs left out or others, as gauges do that have none.

    Examples
    --------
    >>> without_signs(re.compile("NS-[0-9]{4}[A-F]"), "NS2602D")
    'NS-2602D'
    >>> without_signs(re.compile("NS-[0-9]{4}[A-F]"), "FN2")
    """
    runs = _RUNS.findall(text)
    if not 1 < len(runs) <= _MOST_RUNS or _RUNS.sub("", text).strip("-_./#"):
        return None
    typed = {runs[0]}
    for run in runs[1:]:
        typed = {f"{one}{sign}{run}" for one in typed for sign in SIGNS}
    found = {one for one in typed if pattern.fullmatch(one)}
    return found.pop() if len(found) == 1 else None


def ids_listed(pattern: re.Pattern[str], text: str) -> list[str]:
    """Return the ids that a text lists, if it lists several and holds nothing else."""
    parts = in_list(text)
    return parts if len(parts) > 1 and all(map(pattern.fullmatch, parts)) else []


def in_texts(pattern: re.Pattern[str]) -> re.Pattern[str]:
    """Return a pattern of ids as it finds them amid other words."""
    return re.compile(rf"(?<![A-Z0-9])(?:{pattern.pattern})(?![A-Z0-9])", re.IGNORECASE)


@cache
def _as_line(pattern: re.Pattern[str]) -> re.Pattern[str] | None:
    """Return a pattern of ids as it finds one that is a whole line; None if it asks what is around."""
    if _ANCHORED.search(pattern.pattern):
        return None
    return re.compile(rf"^(?:{pattern.pattern})$", re.IGNORECASE | re.MULTILINE)


def may_be_in(pattern: re.Pattern[str], lines: str) -> bool:
    """Tell whether a line of a text may be an id: at once, where the pattern allows it.

    Examples
    --------
    >>> may_be_in(re.compile("[0-9]{4}"), "1.5\\n1026"), may_be_in(re.compile("RB-[0-9]"), "1.5\\n2")
    (True, False)
    """
    as_line = _as_line(pattern)
    return as_line is None or as_line.search(lines) is not None


def one_id(pattern: re.Pattern[str], text: str) -> str | None:
    """Return the one id of this look in a text, if there is just one."""
    found = {match[0].upper() for match in in_texts(pattern).finditer(text)}
    return found.pop() if len(found) == 1 else None
