"""Numbers as instruments write them: decimal point or comma, thousands marks, signs, exponents.

What a mark means is decided for a whole table by evidence: a single value such as 1,250 has two
readings, but beside 22,8 it has one.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

DecimalMark = Literal["point", "comma"]

EMPTY_WORDS = frozenset(
    {
        *("", "-", "--", "–", "—", "./.", "n/a", "na", "nan", "#n/a", "n.a.", "n. a."),
        *("n.b.", "n. b.", "n.d.", "n. d.", "n/d", "k.a.", "k. a.", "n.m.", "n. m."),
        *("n.r.", "n. r.", "n/r", "not read", "not readable"),
        *("nicht bestimmt", "nicht gemessen", "keine angabe", "not measured", "not determined"),
        *("non mesuré", "non déterminé", "no medido", "no determinado", "non misurato"),
        *("non determinato", "nie zmierzono", "nie oznaczono", "niet gemeten", "niet bepaald"),
        *("neměřeno", "nestanoveno"),
    }
)

_SIGN = r"[-+−–]?"
_BLANK = r"[ \u00a0\u2009\u202f'’]"
_EXPONENT = r"[eEdD][-+−]?\d{1,4}"
_GROUPED = r"[1-9]\d{{0,2}}(?P<group>{group})\d{{3}}(?:(?P=group)\d{{3}})*"
_SHAPE = (
    r"(?P<sign>" + _SIGN + r")[ \u00a0]?"
    r"(?P<whole>" + _GROUPED + r"|\d*)(?:{decimal}(?P<fraction>\d*))?"
    r"(?:[eEdD](?P<exponent>[-+−]?\d{{1,4}}))?"
)
_POINT = re.compile(_SHAPE.format(group=r"[, \u00a0\u2009\u202f'’]", decimal=r"\."))
_COMMA = re.compile(_SHAPE.format(group=r"[. \u00a0\u2009\u202f'’]", decimal=","))


def _clear(mark: str, other: str) -> re.Pattern[str]:
    """Whole lines that are a number in which `mark` can only be the decimal mark."""
    m, o = re.escape(mark), re.escape(other)
    group = rf"(?:{o}|{_BLANK})"
    return re.compile(
        rf"^{_SIGN}(?:"
        rf"[1-9]\d{{0,2}}(?:{group}\d{{3}})+{m}\d+(?:{_EXPONENT})?"  # 1.234,5 and 1 234,567
        rf"|(?:\d*{m}(?:\d{{1,2}}|\d{{4,}})?|(?:0\d*|\d{{4,}}|){m}\d{{3}})(?:{_EXPONENT})?"
        rf"|\d+{m}\d{{3}}{_EXPONENT}"
        rf"|[1-9]\d{{0,2}}(?:{o}\d{{3}}){{2,}}"  # 1.234.567: the other mark parts thousands
        rf")$",
        re.MULTILINE,
    )


_CLEAR_POINT = _clear(".", ",")
_CLEAR_COMMA = _clear(",", ".")
_LONG_EXPONENT = re.compile(r"[eE][-+]?\d{5}")
_PARTED = re.compile(r"[.,]\d{3}[.,]\d{3}")
_OPEN = re.compile(_SIGN + r"[1-9]\d{0,2}[.,]\d{3}")


@dataclass(frozen=True)
class Evidence:
    """How many cells say clearly which mark is the decimal one; 1 where all that do agree."""

    points: int
    commas: int

    @property
    def mark(self) -> DecimalMark | None:
        """What most cells say; None if they say nothing, or both equally."""
        if self.points == self.commas:
            return None
        return "point" if self.points > self.commas else "comma"


def weigh(cells: Sequence[str]) -> Evidence:
    """Count the cells in which the decimal mark is clear.

    Examples
    --------
    >>> weigh(["22,8", "1.234,5", "7", "1,250"])
    Evidence(points=0, commas=2)
    >>> weigh(["22.8", "7.5"]), weigh(["1,250"]).mark
    (Evidence(points=1, commas=0), None)
    >>> weigh(["1.234.567", "0,123", "14.09.2026", "100000"])
    Evidence(points=0, commas=2)
    """
    lines = "\n".join(cells)
    if "," not in lines and "." not in lines:
        return Evidence(0, 0)
    if "," not in lines and not _PARTED.search(lines):  # the quick way: one cell tells it all
        return Evidence(1 if _CLEAR_POINT.search(lines) else 0, 0)
    if "." not in lines and not _PARTED.search(lines):
        return Evidence(0, 1 if _CLEAR_COMMA.search(lines) else 0)
    return Evidence(len(_CLEAR_POINT.findall(lines)), len(_CLEAR_COMMA.findall(lines)))


def two_readings(cell: str) -> tuple[str, str] | None:
    """Return both readings of a cell such as 1,250 (as decimal, as thousands), else None.

    Examples
    --------
    >>> two_readings("1,250"), two_readings("1,25"), two_readings("0,125")
    (('1.25', '1250'), None, None)
    """
    if not _OPEN.fullmatch(cell):
        return None
    point = cell.replace(",", ".").replace("−", "-").replace("–", "-")
    return f"{float(point):g}", point.replace(".", "")


def in_doubt(cell: str) -> str:
    """Return a cell with both of its readings, in words.

    Examples
    --------
    >>> in_doubt("1,250")
    '1,250, which may be 1.25 or 1250'
    """
    decimal, thousands = two_readings(cell) or (cell, cell)
    return f"{cell}, which may be {decimal} or {thousands}"


def number(cell: str, mark: DecimalMark) -> float | None:
    """Return the value of a cell, or None if it is not a finite number.

    Parameters
    ----------
    cell
        Text without blanks around it.
    mark
        The decimal mark. The other one, blanks and apostrophes may part thousands.

    Examples
    --------
    >>> number("1.234,5", "comma"), number("−2.5D-3", "point"), number("1,5", "point")
    (1234.5, -0.0025, None)
    """
    shape = (_POINT if mark == "point" else _COMMA).fullmatch(cell)
    if shape is None or not (shape["whole"] or shape["fraction"]):
        return None
    whole = re.sub(r"\D", "", shape["whole"], flags=re.ASCII) if shape["group"] else shape["whole"]
    sign = "-" if shape["sign"] in ("-", "−", "–") and shape["sign"] else ""
    exponent = (shape["exponent"] or "0").replace("−", "-")
    value = float(f"{sign}{whole or 0}.{shape['fraction'] or 0}e{exponent}")
    return value if math.isfinite(value) else None


def plain_numbers(cells: Sequence[str], mark: DecimalMark) -> list[float] | None:
    """Return all values where every cell is a plain number, else None: the quick way.

    Nothing that this accepts is read otherwise by `number`.
    """
    if mark == "comma":
        lines = "\n".join(cells)
        if "." in lines:
            return None
        if "," in lines:
            cells = lines.replace(",", ".").split("\n")
    try:
        values = [float(cell) for cell in cells]
    except ValueError:
        return None
    # float() also takes nan, inf, 1_000, the digits of other scripts and exponents without end
    lines = "".join(cells)
    odd = "_" in lines or not lines.isascii() or not math.isfinite(sum(values))
    return None if odd or _LONG_EXPONENT.search(lines) else values
