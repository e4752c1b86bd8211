"""In which unit values are, as free lines or a column beside them say: `Units: psi`, `UNIT_D=µm`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from tiecoat.contract import words as shared
from tiecoat.dialect.delimited import Cell, numberlike
from tiecoat.dialect.units import plain_unit
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.seen import SeenColumn
from tiecoat.tabular.title_parts import parted
from tiecoat.tabular.words import WordIndex

_UNIT_WORDS: WordIndex[str] = WordIndex()
_UNIT_WORDS.add(listed(shared.UNIT), "unit")
_TOLD = re.compile(
    r"(?P<word>[^\W\d_]{3,})[_ .]?(?:(?<=[_ .])(?P<title>[^\W\d_]\w{0,11}))?\s*[:=,;]?\s*"
    r"(?<=[\s:=,;])[\[(]?(?P<unit>[^\s\[\]()=:,;]+)[\])]?"
)
_SYMBOL_IN = re.compile(r"([^\W\d_]{1,2})\s?[:=]\s?([^\s,;:=]+)")
_OF_SYMBOLS = re.compile(
    rf"(?P<word>[^\W\d_]{{3,}})[\s:,;=]+(?P<symbols>(?:{_SYMBOL_IN.pattern}[\s,;]*){{1,12}})"
)
_PARTS = re.compile(r"\s{2,}|\t|[;|]\s+|\s/\s")


def units_in(text: str) -> Iterator[tuple[str, str]]:
    """Yield the title, "" for all values, and the unit of each part of a line that tells one.

    Examples
    --------
    >>> list(units_in("PULL  LOG 07      UNIT kgf/cm2")), list(units_in("UNIT_D=µm"))
    ([('', 'kgf/cm2')], [('D', 'µm')])
    >>> list(units_in("Units: psi")), list(units_in("unit 3, psi"))
    ([('', 'psi')], [])
    """
    for part in _PARTS.split(text):
        match = _TOLD.fullmatch(part.strip(" #*%$"))
        if match is None or plain_unit(match["unit"]) in (None, "") or match["unit"].isdigit():
            continue
        if _UNIT_WORDS.knows(parted(match["word"])):
            yield match["title"] or "", match["unit"]


def units_of_symbols(text: str) -> dict[str, str]:
    """Return the units that a line gives symbols of one or two letters, by whose case they differ.

    Examples
    --------
    >>> units_of_symbols("# units t:s H:mm T:degC"), units_of_symbols("start t:s")
    ({'t': 's', 'H': 'mm', 'T': 'degC'}, {})
    """
    match = _OF_SYMBOLS.fullmatch(text.strip(" #*%$"))
    if match is None or not _UNIT_WORDS.knows(parted(match["word"])):
        return {}
    pairs = [(one[1], one[2]) for one in _SYMBOL_IN.finditer(match["symbols"])]
    known = all(plain_unit(unit) not in (None, "") for _, unit in pairs)
    return dict(pairs) if known and len(dict(pairs)) == len(pairs) else {}


def tells_unit_of_all(text: str) -> bool:
    """Tell whether a text says in which unit all values are."""
    return any(not title for title, _ in units_in(text))


def with_units_beside(columns: Sequence[SeenColumn]) -> list[SeenColumn]:
    """Return columns of which numbers have the units that a column behind them lists: `Val;Unit`.

    One unit in all rows is that of the column; of several each stands behind its number.
    """
    own = [*columns]
    for at, (column, beside) in enumerate(pairwise(columns)):
        if not _lists_units(beside) or column.unit or parted(column.title).unit:
            continue
        if not all(numberlike(cell) for cell in column.cells if cell != ""):
            continue
        units = {str(cell) for cell in beside.cells if cell != ""}
        if len(units) == 1 and "" not in beside.cells:
            own[at] = replace(column, unit=units.pop())
        else:
            pairs = zip(column.cells, beside.cells, strict=True)
            own[at] = replace(column, cells=[_behind(cell, unit) for cell, unit in pairs])
    return own


def _lists_units(column: SeenColumn) -> bool:
    cells = [cell for cell in column.cells if cell != ""]
    return (
        bool(cells)
        and _UNIT_WORDS.knows(parted(column.title))
        and all(isinstance(cell, str) and plain_unit(cell) not in (None, "") for cell in cells)
    )


def _behind(cell: Cell, unit: Cell) -> Cell:
    return f"{cell} {unit}" if cell != "" and unit != "" else cell
