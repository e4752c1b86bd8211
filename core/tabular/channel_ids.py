"""Panels or batches that lines give to channels: `Ch1 = K7-04.b2` above a column `Ch` of 1 and 2."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.facts import is_empty
from tiecoat.tabular.plain_words import bare
from tiecoat.tabular.seen import Line, Seen, SeenColumn

_LEAST = 2  # channels
_LETTERS = 2  # of the title of their column
_CHANNEL = r"(?<![^\W_])(?P<word>[^\W\d_]{1,12})\.?[\s_-]?(?:(?:no|nr|n)\b\.?|n?[°º#])?\s?(?P<number>\d{1,2}|[A-H])"
_GIVEN = r"\s*[\s:=;,|>–-]\s*(?:[^\W\d_]{3,12}\s*[:=]?\s*)?(?P<id>"
_ENDS = r")(?![^\W_])"
_CELL = re.compile(r"(?:[^\W\d_]{1,12}\.?[\s_-]?)??0*(?P<number>\d{1,2}|[A-H])", re.IGNORECASE)
Channels = dict[str, dict[str, str]]  # by their word and number


def channels_told(lines: Iterable[Line], ids: Sequence[re.Pattern[str]]) -> Channels:
    """Return which id lines give to each channel, where each has one and no two the same.

    Parameters
    ----------
    ids
        How those of panels and batches look; the first that lines list is what channels are of.
    """
    texts = [line.text for line in lines]
    for look in ids:
        pattern = re.compile(f"{_CHANNEL}{_GIVEN}{look.pattern}{_ENDS}", re.IGNORECASE)
        told: dict[str, list[tuple[str, str]]] = {}
        for match in (match for text in texts for match in pattern.finditer(text)):
            pair = (_plain(match["number"]), match["id"])
            told.setdefault(bare(match["word"]), []).append(pair)
        found = {
            word: dict(pairs)
            for word, pairs in told.items()
            if len(pairs) >= _LEAST
            and len({number for number, _ in pairs}) == len(pairs) == len({i for _, i in pairs})
        }
        if found:
            return found
    return {}


def name_channels(seen: Seen, channels: Channels) -> list[str]:
    """Put ids in place of channels in the one column of a table that has them; return these ids."""
    fitting = list(_fitting(seen, channels))
    if len(fitting) != 1:
        return []
    column, ids = fitting[0]
    column.cells = [cell if is_empty(cell) else ids[_number(cell)] for cell in column.cells]
    return list(ids.values())


def _fitting(seen: Seen, channels: Channels) -> Iterator[tuple[SeenColumn, dict[str, str]]]:
    for word, ids in channels.items():
        for column in seen.columns:
            title = bare(column.title)
            alike = title.startswith(word) or (len(title) >= _LETTERS and word.startswith(title))
            numbers = {_number(cell) for cell in column.cells if not is_empty(cell)}
            if alike and len(numbers) >= _LEAST and numbers <= ids.keys():
                yield column, ids


def _number(cell: Cell) -> str:
    """Return the number or letter of a channel that a cell is, or nothing."""
    text = f"{cell:g}" if isinstance(cell, float) else str(cell).strip()
    match = _CELL.fullmatch(text)
    return _plain(match["number"]) if match else ""


def _plain(number: str) -> str:
    return number.upper().lstrip("0") or "0"
