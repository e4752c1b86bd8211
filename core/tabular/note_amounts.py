"""Amounts in a typed note: readings side by side, what an amount is of, numbers that count."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from tiecoat.contract import words as shared
from tiecoat.dialect.delimited import Cell
from tiecoat.dialect.entries import amount
from tiecoat.dialect.units import plain_unit, scale
from tiecoat.tabular.facts import is_notation, seconds_of
from tiecoat.tabular.moments import is_clock, is_day
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import WordIndex

NUMBER = r"[-+−]?\d+(?:[.,]\d+)?"
SEPARATED = re.compile(r"\s*[;|\t]\s*|\s+/\s+|,\s+|\s{2,}")
DASHED = re.compile(r"\s+[-–—]\s+")
_AND = re.compile(r"\s+(?:und|and|et|y|e|i|oraz|en|a|sowie|then)\s+(?=[-+\d])")
_BLANK = re.compile(r"\s+")
_READING = re.compile(rf"{NUMBER}(?:\s?[^\W\d]{{1,3}})?")
_BETWEEN = ((SEPARATED, 2), (_BLANK, 2), (DASHED, 3))  # readings, and least; 98 - 102 is a span
_DEGREES = re.compile(r"(?:°|º|deg\.?\s?)\s?[CF]")
_DETERMINATIONS: WordIndex[str] = WordIndex()
for _words in (shared.COUNTED, shared.DOLLIES):
    _DETERMINATIONS.add(listed(_words), "number", numbered=True)

_ORDINAL = re.compile(
    r"0*(?P<number>\d{1,3})\s?(?:\.|ª|ère|ème|er|re|me|e|de|ste|st|nd|rd|th|ra|da)?", re.IGNORECASE
)
_NUMBER_SIGN = re.compile(r"^(?:[nN]\s?[°º]|№|#)\s?")
_SUMMARIES: WordIndex[str] = WordIndex()
for _words in (shared.MEANS, shared.STATISTICS, shared.SUMMARIES):
    _SUMMARIES.add(listed(_words), "summary")
_STATISTIC = re.compile(
    rf"(?P<name>[^\d:=]+?)\s*[:=]?\s*(?P<number>{NUMBER})(?:\s?[^\s\d]{{1,6}})?"
)
_JOINT = re.compile(r"\s+[-–—·|/]\s+|\s*[:;]\s+|,\s+")
_TWO = 2  # parts of a title
_FEW = 3  # of so many readings the last may lie midway between the others by chance
_AMOUNTS = re.compile(rf"(?<![\w.,]){NUMBER}\s?[^\s\d,;:()±]+")


def ends_in_mean(readings: Sequence[str]) -> bool:
    """Tell whether the last of some readings is the mean of the others, as it is rounded."""
    plain = [reading.replace(",", ".") for reading in readings]
    *others, last = map(float, plain)
    decimals = max(len(one.partition(".")[2]) for one in plain)
    return abs(sum(others) / len(others) - last) <= 0.5 * 10.0**-decimals + 1e-9


def without_mean_behind(readings: Sequence[str]) -> list[str]:
    """Return readings without a last one that is their mean and has more decimals than any of them.

    Examples
    --------
    >>> without_mean_behind(["7,6", "6,9", "5,6", "6,70"]), without_mean_behind(["7.6", "6.9", "7.2"])
    (['7,6', '6,9', '5,6'], ['7.6', '6.9', '7.2'])
    """
    plain = [re.fullmatch(r"\d+(?:[.,](\d+))?", one) for one in readings]
    decimals = [len(one[1] or "") for one in plain if one]
    if len(readings) <= _FEW or len(decimals) < len(readings) or decimals[-1] <= max(decimals[:-1]):
        return list(readings)
    *values, last = (float(one.replace(",", ".")) for one in readings)
    off = abs(sum(values) / len(values) - last)
    return list(readings[:-1]) if off <= 10.0 ** -decimals[-1] else list(readings)


def counts_determinations(text: str) -> bool:
    """Tell whether a text is a word for a determination and its number: `run 2`, `prova 1`."""
    return number_of_determination(text) is not None


def number_of_determination(text: str) -> float | None:
    """Return the number of a determination that a text is, by its words or as an ordinal.

    Examples
    --------
    >>> [number_of_determination(text) for text in ("run 2", "n° 1", "3e", "1st", "4.", "20°")]
    [2.0, 1.0, 3.0, 1.0, 4.0, None]
    """
    if match := _ORDINAL.fullmatch(text.strip()):
        return float(match["number"])
    plain = _NUMBER_SIGN.sub("no ", text.strip())
    fits = _DETERMINATIONS.fits(Title(plain, plain))
    return next((fit.number for _, fit in fits if fit.number is not None), None)


def determination_and_more(text: str) -> tuple[float, str] | None:
    """Return the number of a determination that a title names beside something else, and that.

    Examples
    --------
    >>> determination_and_more("Essai 1 – contrainte (MPa)"), determination_and_more("gloss, run 2")
    ((1.0, 'contrainte (MPa)'), (2.0, 'gloss'))
    >>> determination_and_more("coat 1 - dry") is None
    True
    """
    parts = _JOINT.split(text.strip())
    if len(parts) != _TWO:
        return None
    for first, other in (parts, parts[::-1]):
        if first[-1:].isdigit() and first[:1].isalpha():
            number = number_of_determination(first)
            if number is not None and number_of_determination(other) is None:
                return number, other
    return None


def is_pull(cell: Cell) -> bool:
    """Tell whether a cell is a strength or a force: then what follows says how it broke."""
    unit = amount(str(cell))[1]
    return unit is not None and any(scale(unit, each) is not None for each in ("MPa", "N"))


def readings_in(text: str, *, by_blanks: bool = True) -> list[str] | None:
    """Return plain numbers that stand side by side, with the same unit behind each or none."""
    for mark, least in _BETWEEN if by_blanks else _BETWEEN[:1]:
        parts = [part for part in mark.split(_AND.sub("; ", text.strip())) if part]
        if len(parts) < least or not all(map(_READING.fullmatch, parts)):
            continue
        units = [amount(part)[1] for part in parts]
        if units[-1] is not None and set(units[:-1]) == {None}:  # one unit behind the last for all
            parts = [f"{part} {units[-1]}" for part in parts[:-1]] + parts[-1:]
            units = [units[-1]] * len(units)
        if set(units) == {None} or (len(set(units)) == 1 and _is_unit(units[0] or "")):
            return parts
    return None


def _is_unit(text: str) -> bool:
    """Tell whether a text is a unit, also one without a dimension that has a name: GU."""
    return plain_unit(text) is not None and any(map(str.isalpha, text))


def amount_title(part: str) -> str | None:
    """Return the title for an amount: of what its unit is, else no more than that it is a value."""
    if is_notation(part) or is_day(part) or is_clock(part):
        return None
    if seconds_of(part) is not None:
        return "value"
    number, unit = amount(part)
    if not re.fullmatch(NUMBER, number.strip()):
        return None
    if unit is None:
        return "value"
    if _DEGREES.fullmatch(unit) or unit in ("C", "F"):
        return "temperature"
    if unit == "%" or not _is_unit(unit):
        return None
    way = scale(unit, "s")
    return "time" if way is not None and way.factor > 1 else "value"


def statistics_in(text: str) -> list[tuple[str, str]]:
    """Return the names and numbers of a line of nothing but statistics, behind a word for it or none.

    Examples
    --------
    >>> statistics_in("N 10   MEAN 165.2   SD 3.7"), statistics_in("STA  N=8  AVG=158.2")
    ([('N', '10'), ('MEAN', '165.2'), ('SD', '3.7')], [('N', '8'), ('AVG', '158.2')])
    >>> statistics_in("mean 3.7"), statistics_in("N=8;K7-04")
    ([], [])
    """
    parts = [part for part in SEPARATED.split(text.strip()) if part]
    if len(parts) > _TWO and parts[0].isalpha():
        del parts[0]
    told = [match for part in parts if (match := _STATISTIC.fullmatch(part))]
    names = [match["name"].strip() for match in told]
    if len(told) < max(len(parts), _TWO):
        return []
    known = all(name in ("N", "n") or _SUMMARIES.knows(Title(name, name)) for name in names)
    return [(match["name"].strip(), match["number"]) for match in told] if known else []


def like_values(texts: Mapping[int, str], taken: Sequence[int], values: Sequence[str]) -> list[int]:
    """Return the lines of a note that hold an amount in the unit of its values, and are none of its rows.

    Parameters
    ----------
    texts
        The lines, by their number.
    taken
        Those that are rows.
    """
    units = {amount(value)[1] for value in values} - {None}
    return [
        number
        for number, text in texts.items()
        if number not in taken and (number > min(taken, default=0) or ":" in text)
        if not _begins_summary(text)
        if any(amount(told)[1] in units for told in _AMOUNTS.findall(text))
    ]


def _begins_summary(text: str) -> bool:
    word = re.split(r"[\s:=(]", text.strip(), maxsplit=1)[0]
    return _SUMMARIES.knows(Title(word, word))
