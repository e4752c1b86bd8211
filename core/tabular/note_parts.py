"""Parts of a line of a typed note: the id that it begins with, and the fields behind it, by titles."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from tiecoat.contract import words as shared
from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.note_amounts import (
    DASHED,
    NUMBER,
    SEPARATED,
    amount_title,
    ends_in_mean,
    is_pull,
    readings_in,
)
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.seen import Known
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import WordIndex

_ID_WORDS = 3  # that an id may be typed in, with blanks for its signs
_SIGNS = ("-", "_", ".", "/", "")
_HEAD = re.compile(r"\s*(?:[:=,;]|[-–—](?=\s)|\s{1,}|\t|$)\s*(?P<rest>.*)")
_AT = re.compile(r"\s+(?:at|@|bei|à|a|przy|bij|při)\s+(?=[-+]?\d)")  # 48 s at 22.8 °C
_MINUTES = re.compile(r"min\.?(?:\W*|[\s,;]+\D.*)", re.IGNORECASE)  # 10 min, no least of all
_COMPUTED = re.compile(  # M=47.2 S=0.85 behind readings
    rf"\s+[^\W\d_]{{1,4}}\s?=\s?(?P<mean>{NUMBER})(?:\s+[^\W\d_]{{1,4}}\s?=\s?{NUMBER})*\s*$"
)
_PLAIN = re.compile(NUMBER)
_LABELLED = re.compile(r"(?P<name>[^\W\d][^:=\d]{1,40}?)\s*[:=]\s*(?P<value>\S.*)")
_BESIDE = re.compile(r"(?P<name>[^\W\d][^:=]{0,40}?)\s+(?P<value>[\d<>~].*|[^\W\d]{1,8})")
MARKS = ":="  # behind an id
_MEANS: WordIndex[str] = WordIndex()
for _words in (shared.MEANS, shared.STATISTICS, shared.SUMMARIES):
    _MEANS.add(listed(_words), "mean")

Identity = Callable[[str], bool]


class LineParts:
    """Tells the parts of lines by what a lab and the trade know.

    Parameters
    ----------
    known
        Tells whether a text is a word of the trade.
    identity
        Tells whether a text is the id of a panel or a batch.
    """

    def __init__(self, known: Known, identity: Identity) -> None:
        self.known, self.identity = known, identity

    def id_at_start(self, text: str, marks: str = MARKS) -> tuple[str, str] | None:
        """Return the id that a line begins with, and the rest of the line; an id may hold blanks."""
        words = text.split()
        for start in range(min(2, len(words))):
            if start and (any(c.isdigit() for c in words[0]) or not self.known(words[0])):
                return None  # a word for a panel may stand before it
            for count in range(_ID_WORDS, 0, -1):
                typed = " ".join(words[start : start + count])
                if (
                    len(words) < start + count
                    or typed not in text
                    or not any(map(str.isalnum, typed))
                ):
                    continue
                identity = self._as_id(typed.rstrip(marks))
                rest = text[text.index(typed) + len(typed.rstrip(marks)) :]
                marked = re.match(rf"\s*[{marks}]|\s{{2,}}|\t|$", rest) is not None
                if identity is None or (count > 1 and not marked):
                    continue
                match = _HEAD.fullmatch(rest)
                return (identity, match["rest"]) if match else None
        return None

    def _as_id(self, typed: str) -> str | None:
        words = typed.split()
        found = {
            joined
            for sign in (_SIGNS if len(words) > 1 else ("",))
            if self.identity(joined := sign.join(words))
        }
        return found.pop() if len(found) == 1 else None

    def one_id_in(self, text: str) -> str | None:
        """Return the one id that a heading names: alone, or amid words about what follows."""
        if (headed := self.id_at_start(text)) is not None and not headed[1]:
            return headed[0]
        words = [word.strip("()[]:,;.") for word in text.split()]
        found = {word.upper(): word for word in words if self.identity(word)}
        return next(iter(found.values())) if len(found) == 1 else None

    def fields(self, text: str) -> dict[str, Cell]:
        """Return what stands behind an id or a number, by titles; nothing if it is a sentence."""
        text = self.without_mean(text)
        found: dict[str, Cell] = {}
        rest = text
        while rest:
            first, rest = self._next(rest, found)
            if first is None or first[0] in found:
                return {}
            found[first[0]] = first[1]
        return found

    def _next(self, text: str, before: Mapping[str, Cell]) -> tuple[tuple[str, Cell] | None, str]:
        """Return the first field of a text, None if it begins with none, and what is left."""
        pulled = any(is_pull(cell) for cell in before.values())
        if pulled and not _LABELLED.fullmatch(text):
            return ("failure", text), ""
        parts = SEPARATED.split(text, maxsplit=1)
        part, rest = parts[0].strip(), (parts[1] if len(parts) > 1 else "").lstrip("-–— ")
        for joint in (DASHED, _AT):
            joined = joint.split(part, maxsplit=1)
            if len(joined) == 2 and amount_title(joined[0]) is not None:
                part, rest = (
                    joined[0],
                    joint.sub("", text[len(joined[0]) :], count=1).lstrip("-–— "),
                )
        if (title := amount_title(part)) is not None:
            return (title, part), rest
        if (match := _LABELLED.match(part)) is not None:
            if pulled or "%" in text:
                return (match["name"].strip(), text[match.start("value") :]), ""
            return ((match["name"].strip(), match["value"]) if self._named(match) else None), rest
        if (match := _BESIDE.fullmatch(part)) is not None and self._named(match):
            return (match["name"].strip(), match["value"]), rest
        return None, ""

    def _named(self, match: re.Match[str]) -> bool:
        return self.known(match["name"].strip())

    def without_mean(self, text: str) -> str:
        """Return a text without the mean that ends it: `33,2 / 32,7   media 33,3`."""
        if (match := _COMPUTED.search(text)) and _is_mean_of(match["mean"], text[: match.start()]):
            return text[: match.start()]
        for match in re.finditer(r"[^\W\d]{2,}\.?", text):
            behind = text[match.start() :]
            if _MINUTES.fullmatch(behind) and text[: match.start()].rstrip()[-1:].isdigit():
                continue
            words = re.sub(r"[\d.,±:=%\s/()-]+", " ", behind).split()
            if match.start() and words and _MEANS.knows(Title(words[0], words[0])):
                return text[: match.start()].rstrip(" ;,|/(–-=:")
        return text


def _is_mean_of(mean: str, text: str) -> bool:
    """Tell whether a number is the mean of the readings before it, as it is rounded."""
    readings = readings_in(text.strip())
    return (
        readings is not None
        and all(map(_PLAIN.fullmatch, readings))
        and ends_in_mean([*readings, mean])
    )
