"""Cells that hold an id and a word beside it, parted: `K701V stirred`, `K701V degassed`, `RB-014 no. 2`."""

from __future__ import annotations

import re
from collections.abc import Sequence

from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.id_looks import as_typed, in_texts
from tiecoat.tabular.note_amounts import number_of_determination
from tiecoat.tabular.seen import Known, Seen, SeenColumn

_JOINTS = " ,;:/()[]–-_"
_APART = " ,;:()[]"
_NUMBER, _BESIDE = "no.", "beside it"  # the title of what is parted


def part_ids_from_words(seen: Seen, ids: Sequence[re.Pattern[str]], closed: Known) -> None:
    """Part each column whose cells all hold one id and a word, or the number of a determination.

    Parameters
    ----------
    ids
        How those of panels and batches look.
    closed
        Tells whether a text is a closed word of some kind, such as `degassed`.
    """
    columns: list[SeenColumn] = []
    for column in seen.columns:
        columns += _parted(column, ids, closed)
    seen.columns = columns


def _parted(column: SeenColumn, ids: Sequence[re.Pattern[str]], closed: Known) -> list[SeenColumn]:
    texts = [cell.strip() for cell in column.cells if isinstance(cell, str) and not is_empty(cell)]
    if len(texts) < len([cell for cell in column.cells if cell != ""]) or not texts:
        return [column]
    if not all(" " in text for text in texts):
        return [column]
    if any(as_typed(look, text) for look in ids for text in texts):
        return [column]  # `RB-014 #3` is a panel, typed so
    for look in ids:
        found = {text: _id_and_rest(look, text) for text in dict.fromkeys(texts)}
        pairs = [pair for pair in found.values() if pair is not None]
        if len(pairs) < len(found):
            continue
        rests = [rest for _, rest in pairs]
        numbers = [number_of_determination(rest) for rest in rests]
        if not (all(map(closed, rests)) or None not in numbers):
            continue
        names, told = ([_of(cell, found, n) for cell in column.cells] for n in (0, 1))
        title = _BESIDE if None in numbers else _NUMBER
        more = SeenColumn(title, None, [*told])
        if None not in numbers:
            more.cells = [
                f"{number:g}" if cell and (number := number_of_determination(cell)) else ""
                for cell in told
            ]
        return [SeenColumn(column.title, column.unit, [*names], column.parts), more]
    return [column]


def _of(cell: object, found: dict[str, tuple[str, str] | None], part: int) -> str:
    pair = found.get(str(cell).strip())
    return pair[part] if pair is not None else ""


def _id_and_rest(look: re.Pattern[str], text: str) -> tuple[str, str] | None:
    """Return the one id in a text, and what else it says."""
    matches = list(in_texts(look).finditer(text))
    if len(matches) != 1:
        return None
    (match,) = matches
    before, after = text[: match.start()].strip(_JOINTS), text[match.end() :].strip(_JOINTS)
    rest = before or after
    beside = text[match.start() - 1 : match.start()] + text[match.end() : match.end() + 1]
    if beside.strip(_APART):  # the id goes on: of a panel, and no batch
        return None
    return (match[0], rest) if rest and not (before and after) else None
