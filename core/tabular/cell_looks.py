"""What a cell may be by its look alone: a value, a title, a unit, a ruler, a comment."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Literal

from tiecoat.dialect.delimited import Cell, is_plain, numberlike
from tiecoat.dialect.entries import amount
from tiecoat.dialect.numbers import EMPTY_WORDS
from tiecoat.dialect.units import plain_unit
from tiecoat.tabular.facts import is_notation, number_of
from tiecoat.tabular.moments import is_day
from tiecoat.tabular.title_parts import parted

_RULER = re.compile(r"[-=_*#~+.|:\s]{3,}")
COMMENT = re.compile(
    r"\s*+(?:#++|//++|!++|\*++|%++|>++|--++|;++)\s*+(?=\S*[^\W_]|([-=*_~#+<>|])\1+\s*[^\W_])"
)
_FRAMED = re.compile(r"([-=*_~#+<>|])\1+\s*(?P<text>[^-=*_~#+<>|].*?)\s*[-=*_~#+<>|]{2,}")
_FRAMES = frozenset(2 * sign for sign in "-=*_~#+<>|")
_COMPLEX = re.compile(
    r"[-+]?[\d.,]+(?:e[-+]?\d+)?\s*[-+]\s*[ij]?\s*[\d.,]+(?:e[-+]?\d+)?\s*[ij]?", re.IGNORECASE
)
_CLOCK = re.compile(r"\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s*(?:[ap]\.?m\.?)?", re.IGNORECASE)
_NAMED_DAY = re.compile(
    r"\d{1,2}\.?[\s-][^\W\d]{3,13}\.?[\s-]\d{2,4}\b.*|[^\W\d]{3,13}\.?\s\d{1,2},?\s\d{4}\b.*"
)
_DECIMAL = re.compile(
    r"[-+−]?\d*[.,]\d+(?:[eE][-+]?\d+)?(?:\s.*)?|[-+−]?\d{4,}|[-+−]?\d+[eE][-+]?\d+"
)
_ENTRY = re.compile(
    r"[^:=]{1,60}[^:=\d\s][^:=]{0,20}\s*[:=]\s*\S.*|[^:=]{1,60}[:=]\s*\S.*", re.DOTALL
)
_COUNTED = re.compile(r"(?P<letter>[^\W\d_])(?P<number>\d{1,2})")  # s1, s2: no units
_MINUTES = re.compile(r"(?:h+:)?m+(?:in)?:s+(?:ec)?", re.IGNORECASE)  # as a unit: mm:ss
ONE_BLANK = " "  # the delimiter of a text in which every run of blanks parts cells
_SENTENCE_FROM = 7  # words
_BRACKETS = re.compile(r"[(\[][^()\[\]]*[)\]]")
_AMOUNT_WITHIN = re.compile(r"(?<![\w.,-])\d+(?:[.,]\d+)?\s(?:[^\W\d]{3,}|[°µ]\w?|[a-z]{1,3})\b")
CellSort = Literal["value", "id", "text"]


def valuelike(cell: Cell) -> bool:
    """Tell whether a cell is a number, also with a unit behind it, a date or a time by its look."""
    if not isinstance(cell, str):
        return True
    if not cell or not (cell[0].isdigit() or cell[0] in "+-−–<>~≈.,(" or cell[-1].isdigit()):
        return False
    if numberlike(cell) or _CLOCK.fullmatch(cell) or _NAMED_DAY.fullmatch(cell) or is_day(cell):
        return True
    if is_notation(cell):
        return False
    number, unit = amount(cell.lstrip("<>~≈ "))
    if unit is not None and number[-1:].isdigit() and plain_unit(unit) is not None:
        return True
    return _COMPLEX.fullmatch(cell) is not None and cell[-1:].lower() in "ij0123456789"


def has_values(row: Sequence[Cell]) -> bool:
    """Tell whether a row holds something that is a value by its look, and is none of units alone."""
    filled = [cell for cell in row if cell != ""]
    return len(filled) > 1 and not all(isinstance(c, str) and is_unit(c) for c in filled)


def are_alike(one: CellSort | None, other: CellSort) -> bool:
    """Tell whether cells of two sorts may stand in one column: an id may stand among texts."""
    return one == other or {one, other} == {"id", "text"}


def goes_on(above: Sequence[Cell], cell: Cell) -> bool:
    """Tell whether a cell follows those above it: the next number of a count, or a text again.

    Examples
    --------
    >>> goes_on(["1", "2"], "3"), goes_on(["10", "20"], "30"), goes_on(["1", "2"], "1")
    (True, True, True)
    >>> goes_on(["181", "182"], "23"), goes_on(["edge", "middle"], "edge")
    (False, True)
    """
    numbers = [number_of(str(each)) for each in (*above[:1], *above[-2:], cell)]
    if None in numbers:
        return cell in above
    first, *before, own = [each for each in numbers if each is not None]
    step = before[-1] - before[0] if len(before) > 1 else 1.0
    return math.isclose(own, before[-1] + step) or own == first == 1


def has_colon(text: str) -> bool:
    """Tell whether a text has a colon, but for that of a unit such as min:s."""
    return ":" in _MINUTES.sub("", text)


def is_ruler(cells: Sequence[Cell]) -> bool:
    """Tell whether cells are nothing but a line drawn with signs."""
    return all(isinstance(cell, str) and _RULER.fullmatch(cell) for cell in cells) and any(
        len(str(cell)) > 2 for cell in cells
    )


def cleaned(row: Sequence[Cell]) -> list[Cell]:
    """Return a row without the sign of a comment in front."""
    cells = list(row)
    if row and is_plain(row[0]):
        return cells
    place = next((n for n, cell in enumerate(row) if cell != ""), None)
    if place is not None and isinstance(first := cells[place], str) and not is_plain(first):
        match = COMMENT.match(first)
        if is_unit(first):
            return cells  # such as % w/w, where % is no sign of a comment
        if (match and not valuelike(first) and not first.startswith(("--", "%", "*"))) or (
            match and first[0] in "%*" and len(first) > match.end() and first[1:2] == " "
        ):
            cells[place] = _unquoted(first[match.end() :].strip())
        if match := _FRAMED.fullmatch(str(cells[place]).strip()):
            cells[place] = match["text"]
        elif first[:2] in _FRAMES and str(row[-1])[-2:] == first[:2] and not is_ruler(row):
            # a framed line in which wide blanks have parted cells
            texts = " ".join(str(cell) for cell in row if cell != "")
            if match := _FRAMED.fullmatch(texts.strip()):
                return [*[""] * place, match["text"], *[""] * (len(row) - place - 1)]
    return cells


def shape_of(text: str) -> str:
    return re.sub(r"\d", "0", re.sub(r"[^\W\d_]", "a", text.strip()))


def _unquoted(text: str) -> str:
    """Return a text without the quotation marks around it, which the sign of a comment kept there."""
    inner = text[1:-1]
    return inner if text[:1] == text[-1:] == '"' and inner and '"' not in inner else text


def says_nothing(cell: Cell) -> bool:
    """Tell whether a cell shows no sort: it is empty, or a nought, which stands among texts too."""
    return cell == "" or cell in (0, "0") or str(cell).casefold() in EMPTY_WORDS


def title_text(cell: Cell) -> str:
    """Return a cell as a title: 1 for the number 1.0 of a workbook."""
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell).strip()


def is_no_title(cell: Cell) -> bool:
    """Tell whether a cell can only be a value: a broken number, a date, a clock time."""
    if not isinstance(cell, str):
        return not (isinstance(cell, float | int) and cell == int(cell) and 0 <= cell < 1000)
    if is_dated(cell) or is_notation(cell):
        return True
    return _DECIMAL.fullmatch(cell) is not None


def is_sentence_of_amounts(cell: Cell) -> bool:
    """Tell whether a cell is a part of a sentence with an amount in it: panels cured 7 days before."""
    text = _BRACKETS.sub(" ", cell) if isinstance(cell, str) else ""
    if str(cell).rstrip()[-1:] in (")", "]") and parted(str(cell)).unit is not None:
        return False  # a long title and its unit: density after 30 min of rest (g/ml)
    return len(text.split()) >= _SENTENCE_FROM and _AMOUNT_WITHIN.search(text) is not None


def is_prose(line: str, below: str) -> bool:
    """Tell whether a line is a sentence with its commas, above a line that is parted by commas.

    Examples
    --------
    >>> is_prose("Density by pycnometer, as mixed, 10 min", "Batch,Temp,Density")
    True
    >>> is_prose("Batch, Temp, Density", "RB-010, 23.0, 1.382"), is_prose("a,b,c", "1,2,3")
    (False, False)
    """
    spaced = re.compile(r",\s+\S")
    commas = line.count(",")
    return commas > 0 and len(spaced.findall(line)) == commas and not spaced.search(below)


def is_dated(text: str) -> bool:
    """Tell whether a text begins with a day, or is a clock time."""
    return bool(
        _CLOCK.fullmatch(text)
        or _NAMED_DAY.fullmatch(text)
        or re.fullmatch(r"\d{1,4}[./-]\d{1,2}[./-]\d{1,4}.*", text)
    )


def is_entry(text: str) -> bool:
    """Tell whether a text is a name, a colon or an equals sign, and something behind it."""
    return _ENTRY.fullmatch(text) is not None


def is_unit(text: str) -> bool:
    """Tell whether a text is a unit, in brackets or not, or a dash for none."""
    inner = text.strip("[](){} ")
    return (
        inner in ("-", "–", "", "C", "F")
        or _MINUTES.fullmatch(inner) is not None
        or (plain_unit(inner) is not None)
    )


def counted_by_letters(texts: Sequence[str]) -> bool:
    """Tell whether texts are letters that count from 1 on, and no units: h1, h2, s1, s2, s3.

    Examples
    --------
    >>> counted_by_letters(["h1", "h2", "s1", "s2", "s3"]), counted_by_letters(["m2", "m3"])
    (True, False)
    """
    matches = [_COUNTED.fullmatch(text.strip()) for text in texts]
    numbers: dict[str, list[int]] = {}
    for match in (match for match in matches if match):
        numbers.setdefault(match["letter"], []).append(int(match["number"]))
    counted = all(each == [*range(1, len(each) + 1)] for each in numbers.values())
    return bool(numbers) and None not in matches and counted and max(map(len, numbers.values())) > 1


def are_units(row: Sequence[Cell], filled: Sequence[int]) -> bool:
    """Tell whether a row holds nothing but units, one at least that says something."""
    texts = [row[n] for n in filled]
    titles = [text for text in texts if isinstance(text, str) and _COUNTED.fullmatch(text.strip())]
    if counted_by_letters(titles):
        return False
    if not all(isinstance(text, str) and is_unit(text) for text in texts):
        return False
    return any(str(text).strip("-–[](){} 0123456789") for text in texts)
