"""An entry of the reference, and how a word finds it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches


@dataclass(frozen=True)
class ReferenceEntry:
    """What the reference says of one thing.

    Parameters
    ----------
    chapter
        The title of its chapter.
    name
        As it is written; two entries of one chapter differ in it.
    summary
        One line.
    text
        Markdown, without a title.
    holds
        What else is told there: columns of a kind, keys of a section, methods of a class.
    """

    chapter: str
    name: str
    summary: str
    text: str
    holds: tuple[str, ...] = ()


def found(entries: Sequence[ReferenceEntry], word: str) -> list[ReferenceEntry]:
    """Return the entries of this name, else those that hold it."""
    wanted = _bare(word)
    named = [one for one in entries if one.name.casefold() == wanted]
    return named or [one for one in entries if wanted in map(str.casefold, one.holds)]


def saying(entries: Sequence[ReferenceEntry], word: str) -> list[ReferenceEntry]:
    """Return the entries in whose text a word stands by itself."""
    whole = re.compile(rf"(?<![\w.-]){re.escape(_bare(word))}(?![\w-])")
    return [one for one in entries if _bare(word) and whole.search(one.text.casefold())]


def near(entries: Sequence[ReferenceEntry], word: str) -> list[str]:
    """Return names that a word may have meant, the nearest first, at most eight."""
    known = {name.casefold(): name for one in entries for name in (one.name, *one.holds)}
    wanted = _bare(word)
    parts = [name for name in known if len(wanted) > 2 and wanted in name]
    likely = [*get_close_matches(wanted, list(known), 5, 0.6), *sorted(parts, key=len)]
    return [known[name] for name in dict.fromkeys(likely)][:8]


def _bare(word: str) -> str:
    """Return a word as it is compared; a section of the settings may stand in brackets."""
    return word.strip("[] ").casefold()
