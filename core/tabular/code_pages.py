"""In which code page a text is made of words of the trade, where it is none of Unicode.

The lab's own stands, unless another shows more words that are known, beyond ASCII: Tloušťka where
the lab's page shows Tlouš and a hole. Numbers and ids are ASCII, the same in every page.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from functools import lru_cache

from tiecoat.plugin import Kind, Measurement
from tiecoat.remarks import Remark
from tiecoat.tabular.languages import vocabularies

_WORD = re.compile(r"[^\W\d_]{3,}")
_UNIT = re.compile(
    r"(?<![^\W\d_])(?:[µμ][mslA]|[kMG]?[ΩΩ]|[dcmk]?[mM][²³])(?![^\W\d_])"
    r"|(?:°|(?<=\d)\s?°)\s?[CF](?![^\W\d_])|(?<=\d)\s?°(?![^\W\d_])"
    r"|(?<![^\W\d_])±(?=\s?\d)"
)
_LONG = 7  # letters of a word that may end otherwise in another case
_ENDING = 2


class KnownWords:
    """The words of the trade that hold letters beyond ASCII.

    Parameters
    ----------
    kinds
        Those with words.
    """

    def __init__(self, kinds: Iterable[Kind]) -> None:
        self._forms = _forms_of(tuple(vocabularies(kinds)))

    def likeliest(self, texts: Mapping[str, str]) -> str | None:
        """Return the code page in which a text shows the most known words and signs of units.

        Parameters
        ----------
        texts
            The same bytes in several code pages, the lab's own first if it has them all. Of two
            that show as many the first is returned; None where no page shows any.
        """
        first = next(iter(texts.values()), "")
        shown = {page: self._shown(text, first) for page, text in texts.items()}
        best = max(shown, key=lambda page: shown[page], default=None)
        return best if best is not None and shown[best] else None

    def _shown(self, text: str, first: str) -> int:
        words = {word.casefold() for word in _WORD.findall(text) if not word.isascii()}
        known = sum(any(form in self._forms for form in _forms(word)) for word in words)
        return known + len({match[0] for match in _UNIT.finditer(text) if _is_sign(match, first)})


def _is_sign(match: re.Match[str], first: str) -> bool:
    """Tell whether the first page shows a unit too, or a letter or a hole where no other sign fits.

    Where it shows another sign that may be meant, such as ½ for Ω, a unit tells nothing.
    """
    pairs = zip(match[0], first[match.start() : match.end()], strict=False)
    return all(one == own or own.isalpha() or not own.isprintable() for one, own in pairs)


@lru_cache(maxsize=8)
def _forms_of(texts: tuple[str, ...]) -> frozenset[str]:
    """Return the forms of many texts; the same for each lab with these kinds."""
    return frozenset(form for text in texts for form in _forms(text))


def _forms(text: str) -> Iterator[str]:
    """Yield the words of a text that are not ASCII, long ones without their ending too."""
    for word in _WORD.findall(text.casefold()):
        for form in (word, f"{word[:-_ENDING]}-") if len(word) >= _LONG else (word,):
            if not form.isascii():
                yield form


def with_page_told(measurement: Measurement, page: str) -> Measurement:
    """Return a measurement with a remark on the code page, if free text is kept that it could change."""
    texts = [value for values in measurement.columns.values() for value in values]
    texts.append(measurement.instrument)
    if all(not isinstance(text, str) or text.isascii() for text in texts):
        return measurement
    said = Remark.ASSUMED.said(f"letters beyond ASCII read in {page}, as words of the trade show")
    return replace(measurement, remarks=(*measurement.remarks, said))
