"""How the ratings of ISO 4628 are written: `Ri 3` for rust, `3(S4)` for blisters, cracks, flakes.

The degree of rusting is one number. Blistering, cracking and flaking have two: the quantity (of
blisters the density) from 0, none, to 5, dense, and the size from S1, visible only under tenfold
magnification, to S5. No defect is `0(S0)`. Behind the size of cracks and flakes may stand a letter
for the depth, `2(S3)b`, which the text keeps. Half steps lie between two pictures and are read
where a laboratory uses them: `Ri 2.5`, `2.5(S3)`.

Laboratories print `Ri: 0`, `Ri 4.` and `2(S4).` too: a colon and a full stop say nothing.

Sources: ISO 4628-1 for the half steps and ISO 4628-2 for blisters, as printed in published copies;
spellings as printed in J. Corros. Sci. Eng. 2 (1999) paper 12; the letters of depth from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

RUST = "a degree of rusting from Ri 0 to Ri 5, or a half step such as Ri 2.5 (ISO 4628-3)"
DEFECTS = (
    "a quantity from 0 to 5 and a size from S1 to S5, such as 3(S4), or 0, or half steps (ISO 4628)"
)

_STEP = r"(?:[0-4](?:[.,][05]|\s?½)?|5(?:[.,]0)?)"  # whole, or half way to the next
_STANDARD = r"(?:\((?:nach |by |to )?(?:DIN|EN|ISO)\b[^()]*\))"  # of DIN 53210 there is a remark
_RUST = re.compile(rf"(?:Ri\s*[:=]?\s*)?({_STEP})\s*{_STANDARD}?\s*\.?", re.IGNORECASE)
_LETTERED = re.compile(r"(?:10|\d)\s?-\s?[SGPH]", re.IGNORECASE)  # spot, general, pinpoint, hybrid
_DEFECTS = re.compile(
    rf"(?P<quantity>{_STEP})\s*(?:\(\s*S?\s*(?P<size>{_STEP})\s*\)\s*(?P<depth>[abc])?)?\s*\.?",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class DefectRating:
    """Quantity and size, 0 to 5 each in steps of 0.5, and the letter of the depth or ""."""

    quantity: float
    size: float
    depth: str = ""

    def __str__(self) -> str:
        """In the notation."""
        return f"{self.quantity:g}(S{self.size:g}){self.depth}"


def rust_grade(text: str) -> float:
    """Return the degree of rusting, a whole number or half way between two.

    Raises
    ------
    ValueError
        If it is not in the notation; the message says what is expected.

    Examples
    --------
    >>> rust_grade("Ri 3"), rust_grade("ri: 0"), rust_grade("2."), rust_grade("Ri 2,5")
    (3.0, 0.0, 2.0, 2.5)
    """
    match = _RUST.fullmatch(text.strip())
    if match is None:
        raise ValueError(RUST)
    return _step(match[1])


def is_degree_of_rusting(text: str) -> bool:
    """Tell whether a text is a degree of rusting and nothing else: it says Ri.

    Examples
    --------
    >>> is_degree_of_rusting("Ri 2"), is_degree_of_rusting("2"), is_degree_of_rusting("Rigi 2")
    (True, False, False)
    """
    return text.strip()[:2].casefold() == "ri" and _RUST.fullmatch(text.strip()) is not None


def is_defects(text: str) -> bool:
    """Tell whether a text is a quantity and a size and nothing else.

    Examples
    --------
    >>> is_defects("3(S4)"), is_defects("2 (3)"), is_defects("0"), is_defects("(3)")
    (True, True, False, False)
    """
    return "(" in text and _DEFECTS.fullmatch(text.strip()) is not None


def is_lettered_grade(text: str) -> bool:
    """Tell whether a text is a grade of ASTM D610 with a letter for how the rust lies.

    Examples
    --------
    >>> is_lettered_grade("7-G"), is_lettered_grade("10"), is_lettered_grade("A-7")
    (True, False, False)
    """
    return _LETTERED.fullmatch(text.strip()) is not None


def lettered_grade(text: str) -> float:
    """Return the grade of such a text, without its letter.

    Examples
    --------
    >>> lettered_grade("7-G"), lettered_grade("10 - S")
    (7.0, 10.0)
    """
    return float(text.partition("-")[0])


def _step(written: str) -> float:
    return float(written.replace(",", ".").replace("½", ".5").replace(" ", ""))


def defects_of(text: str) -> DefectRating:
    """Return quantity and size.

    Raises
    ------
    ValueError
        If it is not in the notation, if there are defects without a size, or a size without
        defects; the message says what is expected.

    Examples
    --------
    >>> defects_of("3 (s4)."), str(defects_of("0")), str(defects_of("2.5(3)B"))
    (DefectRating(quantity=3.0, size=4.0, depth=''), '0(S0)', '2.5(S3)b')
    """
    match = _DEFECTS.fullmatch(text.strip())
    if match is None:
        raise ValueError(DEFECTS)
    quantity, size = _step(match["quantity"]), _step(match["size"] or "0")
    if (quantity == 0) != (size == 0):
        raise ValueError(DEFECTS)
    return DefectRating(quantity, size, (match["depth"] or "").lower())
