"""Complex numbers in one cell, as instruments write them."""

from __future__ import annotations

import math
import re

_NUMBER = r"\d+(?:[.,]\d*)?(?:[eE][+-]?\d+)?|[.,]\d+(?:[eE][+-]?\d+)?"
_COMPLEX = re.compile(
    rf"\(?(?P<real>[+-]?(?:{_NUMBER}))(?P<sign>[+-])"
    rf"(?:[ij]\*?(?P<after>{_NUMBER})|(?P<before>{_NUMBER})\*?[ij])\)?(?P<unit>[^\W\d].*)?",
    re.IGNORECASE,
)
_MINUS = str.maketrans({"−": "-", "–": "-"})
NONE = complex(math.nan, math.nan)


def complex_number(text: object) -> tuple[complex, str | None]:
    """Return a complex number and the unit behind it; NaN where a text is none.

    The decimal mark may be a comma.

    Examples
    --------
    >>> complex_number("1.2e5-3.4e4j"), complex_number("(3,5 - j 4)"), complex_number("3+i4 kΩ")
    (((120000-34000j), None), ((3.5-4j), None), ((3+4j), 'kΩ'))
    >>> complex_number("none")
    ((nan+nanj), None)
    """
    written = re.sub(r"\s+", "", text.translate(_MINUS)) if isinstance(text, str) else ""
    match = _COMPLEX.fullmatch(written)
    if match is None:
        return NONE, None
    imag = match["sign"] + (match["after"] or match["before"])
    parts = (float(part.replace(",", ".")) for part in (match["real"], imag))
    return complex(*parts), match["unit"]


def is_complex(cell: object) -> bool:
    """Tell whether a cell is a complex number."""
    value, _ = complex_number(cell)
    return not math.isnan(value.real)
