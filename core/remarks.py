"""What is odd but possible: remarks that a measurement is filed with, a closed vocabulary.

A remark stands in the column `remark` of every row of its measurement as "code: words", several
parted by "; ". Codes never change their meaning; words may say more than the text of the code. What
a reader's author remarks in free words stands there as it is.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from enum import Enum

BETWEEN = "; "


class Remark(Enum):
    """A stable code, and a text that says what is odd."""

    code: str
    text: str

    def __init__(self, code: str, text: str) -> None:
        self.code = code
        self.text = text

    UNREGISTERED_PANEL = "unregistered-panel", "the panel is not in the register"
    UNREGISTERED_BATCH = "unregistered-batch", "the batch is not in the register"
    FUTURE = "future", "measured in the future"
    BEFORE_MADE = "before-made", "measured before the panel was coated or the batch mixed"
    EXPOSURE = "exposure", "the stated exposure contradicts the dates of the register"
    BEFORE_COAT = "before-coat", "measured before a coat of the panel was applied"
    CORRECTED = "corrected", "the register said otherwise before"
    SPREAD = "spread", "far from the other values of the panel"
    SELDOM = "seldom", "possible, but seldom right beside the other values of the file"
    ASSUMED = "assumed", "taken as is customary, as the file does not say"
    FACTOR_TEN = "factor-ten", "off the other values of the panel by a power of ten"

    def said(self, words: str = "") -> str:
        """Return the remark as it is filed: its code and these words, else its text."""
        return f"{self.code}: {(words or self.text).replace(';', ',')}"

    @classmethod
    def of(cls, part: str) -> Remark | None:
        """Return the remark that one part of the column is; None for free words."""
        return _BY_CODE.get(part.partition(": ")[0])


_BY_CODE = {remark.code: remark for remark in Remark}
UNREGISTERED = (Remark.UNREGISTERED_PANEL, Remark.UNREGISTERED_BATCH)

OF_READING = (Remark.ASSUMED, Remark.SELDOM)  # all others come of the checks in filing


def parts_of(text: str | None) -> list[str]:
    """Return the single remarks of the column."""
    return [part for part in (text or "").split(BETWEEN) if part]


def together(parts: Iterable[str]) -> str | None:
    """Return the column for these remarks, each once; None for none.

    Examples
    --------
    >>> together(["spread: 52 MPa", "cell leaked", "spread: 52 MPa"])
    'spread: 52 MPa; cell leaked'
    """
    return BETWEEN.join(dict.fromkeys(parts)) or None


def without_unregistered(text: str | None) -> str | None:
    """Return the column without "not in the register", once the register knows it.

    A register may come after the measurements. Their rows keep what was true when they were filed;
    whoever counts or uses remarks leaves out what is no longer so.

    Examples
    --------
    >>> without_unregistered("unregistered-panel: the panel is not in the register; cell leaked")
    'cell leaked'
    """
    return together(part for part in parts_of(text) if Remark.of(part) not in UNREGISTERED)


def without_checks(text: str | None) -> str | None:
    """Return the column without what the checks in filing have remarked.

    Examples
    --------
    >>> without_checks("spread: 52 MPa; assumed: 20 C; cell leaked")
    'assumed: 20 C; cell leaked'
    """
    return together(part for part in parts_of(text) if Remark.of(part) in (None, *OF_READING))


def summed(texts: Iterable[str] | Mapping[str, int]) -> list[str]:
    """Return the remarks on the measurements behind one result, few also where there are many.

    Parameters
    ----------
    texts
        The column, one for each measurement; or how often each text stands there.

    Examples
    --------
    >>> summed(["spread: 52 MPa beside 5", "spread: 61 MPa beside 5", "cell leaked"])
    ['spread: far from the other values of the panel (2 measurements)', 'cell leaked']
    """
    of_code: dict[str, Counter[str]] = {}
    for text, count in Counter(texts).items():
        for part in parts_of(text):
            remark = Remark.of(part)
            of_code.setdefault(remark.code if remark else part, Counter())[part] += count
    told = []
    for parts in of_code.values():
        first = next(iter(parts))
        remark = Remark.of(first)
        if remark is None or len(parts) == 1:
            told.append(first)
        else:
            told.append(f"{remark.said()} ({parts.total()} measurements)")
    return told
