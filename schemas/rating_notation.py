"""How the ratings of ISO 4628 are written: `Ri 3` for rust, `3(S4)` for blisters, cracks, flakes.

The degree of rusting is one number. Blistering, cracking and flaking have two: the quantity (of
blisters the density) from 0, none, to 5, dense, and the size from S1, visible only under tenfold
magnification, to S5. No defect is `0(S0)`. Behind the size of cracks and flakes may stand a letter
for the depth, `2(S3)b`, which the text keeps.

Sources: ISO 4628-1 to -5:2016, from memory.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

RUST = "a degree of rusting from Ri 0 to Ri 5 (ISO 4628-3)"
DEFECTS = "a quantity from 0 to 5 and a size from S1 to S5, such as 3(S4), or 0 (ISO 4628)"

_RUST = re.compile(r"(?:Ri\s*)?([0-5])", re.IGNORECASE)
_DEFECTS = re.compile(
    r"(?P<quantity>[0-5])\s*(?:\(\s*S?\s*(?P<size>[0-5])\s*\)\s*(?P<depth>[abc])?)?", re.IGNORECASE
)


@dataclass(frozen=True)
class DefectRating:
    """Quantity and size, 0 to 5 each, and the letter of the depth or ""."""

    quantity: int
    size: int
    depth: str = ""

    def __str__(self) -> str:
        """In the notation."""
        return f"{self.quantity}(S{self.size}){self.depth}"


def rust_grade(text: str) -> int:
    """Return the degree of rusting.

    Raises
    ------
    ValueError
        If it is not in the notation; the message says what is expected.

    Examples
    --------
    >>> rust_grade("Ri 3"), rust_grade("ri0"), rust_grade("2")
    (3, 0, 2)
    """
    match = _RUST.fullmatch(text.strip())
    if match is None:
        raise ValueError(RUST)
    return int(match[1])


def defects_of(text: str) -> DefectRating:
    """Return quantity and size.

    Raises
    ------
    ValueError
        If it is not in the notation, if there are defects without a size, or a size without
        defects; the message says what is expected.

    Examples
    --------
    >>> defects_of("3 (s4)"), str(defects_of("0")), str(defects_of("2(3)B"))
    (DefectRating(quantity=3, size=4, depth=''), '0(S0)', '2(S3)b')
    """
    match = _DEFECTS.fullmatch(text.strip())
    if match is None:
        raise ValueError(DEFECTS)
    quantity, size = int(match["quantity"]), int(match["size"] or 0)
    if (quantity == 0) != (size == 0):
        raise ValueError(DEFECTS)
    return DefectRating(quantity, size, (match["depth"] or "").lower())
