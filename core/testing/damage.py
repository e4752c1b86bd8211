"""Damaged and changed variants of an export, each with what may become of it."""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cached_property

from tiecoat.dialect.units import scale, understand

ENCODINGS = ("utf-8", "utf-16", "cp1252")  # a mark only where there was one: heads are of bytes
BOM = b"\xef\xbb\xbf"
DELIMITERS = (";", "\t", ",", "|")
DECIMAL_COMMA = re.compile(r"(?<=\d),(?=\d)")
CUTS = 8  # at line ends, and within lines
ENTRIES = 12  # of a nested file that are each left out
NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?")
UNIT = re.compile(
    r"""(?<=[\[("'/])[^\[\]()"'/,;|\t]{1,12}(?=[\])"']|\s*(?:[;,|\t]|$))""", re.MULTILINE
)
OTHERS_OF = {  # a unit that measures the same, where an export may have either
    "second": "min",
    "minute": "s",
    "hour": "min",
    "micrometer": "mm",
    "millimeter": "um",
    "megapascal": "kPa",
    "kilopascal": "MPa",
    "newton": "kN",
    "kilonewton": "N",
    "ohm": "kOhm",
    "hertz": "kHz",
    "gram/centimeter**3": "kg/m3",
}
SORTS = ("s", "kg", "V")  # units of which at least one measures something else than any other


class May(Enum):
    """What may become of a variant beside being held."""

    BE_EQUAL = "give the same rows"
    BE_PART = "give some of the same rows"
    BE_EMPTY = "give the same rows, with nothing in place of a value"
    FOLLOW = "give rows that follow the change"
    NOTHING = "not be filed"


@dataclass(frozen=True)
class ExportVariant:
    """An export that was damaged or changed: how it is told, its bytes, what may become of it.

    `of` is the companion that was changed, "" for the main file; `lines` are the lines that were
    changed, counted from 1; `moved` says which line each row stands in now, where it is another;
    `place` is the cell (line, field) of the title whose unit is another, and `units` are that of
    before and that of now.
    """

    what: str
    content: bytes
    may: May
    lines: tuple[int, ...] = ()
    moved: tuple[tuple[int, int], ...] = ()
    place: tuple[int, int] | None = None
    units: tuple[str, str] | None = None
    of: str = ""


@dataclass(frozen=True)
class ExportText:
    """The text of an export in lines, each with its end, and how it was encoded."""

    lines: tuple[str, ...]
    encoding: str

    @classmethod
    def of(cls, content: bytes) -> ExportText | None:
        """Return the text of a file; None for what is none."""
        for encoding in ENCODINGS:
            if encoding == "utf-16" and content[:2] not in (b"\xff\xfe", b"\xfe\xff"):
                continue
            try:
                text = content.decode(encoding)
            except UnicodeDecodeError:
                continue
            if "\0" in text or content.startswith(b"PK"):
                return None
            marked = "utf-8-sig" if content.startswith(BOM) else encoding
            return cls(tuple(text.removeprefix("\ufeff").splitlines(keepends=True)), marked)
        return None

    def encoded(self, lines: Sequence[str]) -> bytes:
        """Return other lines as the same sort of file."""
        return "".join(lines).encode(self.encoding)

    def parted(self, line: int) -> tuple[str, list[str], str] | None:
        """Return delimiter, fields and end of a line; None where it has one field only."""
        text = self.lines[line - 1].rstrip("\r\n")
        end = self.lines[line - 1][len(text) :]
        if self.delimiter is None or '"' in text:
            return None
        return self.delimiter, text.split(self.delimiter), end

    @cached_property
    def delimiter(self) -> str | None:
        """What parts the fields of several lines."""
        counts = {mark: sum(mark in _bare(line) for line in self.lines) for mark in DELIMITERS}
        best = max(counts, key=lambda mark: counts[mark])
        return best if counts[best] > 1 else None

    def other_numbers(self, line: int) -> Iterator[bytes]:
        """Yield it with each number of a line, counted from 1, a little different."""
        before, after = self.lines[: line - 1], self.lines[line:]
        for text in self.lines[line - 1 : line]:
            for found in NUMBER.finditer(text):
                other = text[: found.start()] + other_number(found[0]) + text[found.end() :]
                yield self.encoded([*before, other, *after])

    def with_field(self, line: int, field: int, text: str) -> bytes | None:
        """Return the file with another text in one field."""
        if (parts := self.parted(line)) is None:
            return None
        delimiter, fields, end = parts
        fields[field] = text
        lines = list(self.lines)
        lines[line - 1] = delimiter.join(fields) + end
        return self.encoded(lines)


def _bare(line: str) -> str:
    """Return a line without its decimal commas, where nothing but a comma could part it."""
    return DECIMAL_COMMA.sub("", line) if not any(mark in line for mark in ";\t|") else line


def variants_of(content: bytes, rows: Collection[int]) -> Iterator[ExportVariant]:
    """Return variants of a file of an export.

    Parameters
    ----------
    content
        The bytes of the file.
    rows
        The lines from which rows were read, counted from 1; for a text only.
    """
    text = ExportText.of(content)
    if text is None:
        yield from _cut_bytes(content)
        return
    data = sorted(row for row in rows if 0 < row <= len(text.lines))
    yield from _written_otherwise(text)
    yield from _cut(text)
    yield from _swapped(text, data)
    yield from _left_out(text, data)
    yield from _columns_swapped(text, data)
    yield from _values_replaced(text, data)
    yield from _units_replaced(text, data)


def without_entries(content: bytes) -> Iterator[tuple[str, bytes]]:
    """Yield a JSON object without each of its entries: how it is told, and its bytes."""
    try:
        found = json.loads(content)
    except ValueError:
        return
    for name in [*found][:ENTRIES] if isinstance(found, dict) else ():
        less = {one: value for one, value in found.items() if one != name}
        yield f"without its entry {name!r}", json.dumps(less, ensure_ascii=False).encode()


def _cut_bytes(content: bytes) -> Iterator[ExportVariant]:
    for percent in (10, 50, 90, 99):
        end = len(content) * percent // 100
        yield ExportVariant(f"cut after {percent} % of its bytes", content[:end], May.BE_PART)
    half = len(content) // 2
    zeros = content[:half] + bytes(len(content) - half)
    yield ExportVariant("with zeros in place of its second half", zeros, May.BE_PART)


def _written_otherwise(text: ExportText) -> Iterator[ExportVariant]:
    """Yield the same text as other programs would save it."""
    whole = "".join(text.lines)
    unix = whole.replace("\r\n", "\n")
    ends = unix if "\r\n" in whole else unix.replace("\n", "\r\n")
    ways = {
        "with the line ends of another system": ends.encode(text.encoding),
        "saved as UTF-16": whole.encode("utf-16"),
        "saved as UTF-8 with a byte-order mark": whole.encode("utf-8-sig"),
        "with empty lines at its end": (whole + "\n\n").encode(text.encoding),
    }
    for what, content in ways.items():
        yield ExportVariant(what, content, May.BE_EQUAL)


def _cut(text: ExportText) -> Iterator[ExportVariant]:
    """Yield the text as it is while the instrument still writes, or after a cable was pulled."""
    count = len(text.lines)
    ends = sorted({max(1, count * n // (CUTS + 1)) for n in range(1, CUTS + 1)} | {count - 1})
    for line in ends:
        if 0 < line < count:
            cut = text.encoded(text.lines[:line])
            yield ExportVariant(f"cut after line {line}", cut, May.BE_PART)
    for line in sorted({*ends, count}):
        whole = text.lines[line - 1].rstrip("\r\n") if line else ""
        kept = whole[: len(whole) // 2]
        if text.delimiter is not None:  # where a number was cut in the last field, nobody can know
            kept = kept[: whole.rfind(text.delimiter)] if text.delimiter in whole else ""
        elif NUMBER.fullmatch(whole.strip()):
            kept = ""
        if kept:
            cut = text.encoded([*text.lines[: line - 1], kept])
            what = f"cut within line {line}, after {kept!r}"
            yield ExportVariant(what, cut, May.BE_PART, (line,))


def _swapped(text: ExportText, data: Sequence[int]) -> Iterator[ExportVariant]:
    for one in [*data[:1], *data[-2:-1]]:
        if one + 1 in data and text.lines[one - 1] != text.lines[one]:
            lines = list(text.lines)
            lines[one - 1 : one + 1] = _with_ends(lines[one], lines[one - 1])
            yield ExportVariant(
                f"with lines {one} and {one + 1} swapped",
                text.encoded(lines),
                May.BE_EQUAL,
                (one, one + 1),
                ((one, one + 1), (one + 1, one)),
            )


def _left_out(text: ExportText, data: Sequence[int]) -> Iterator[ExportVariant]:
    """Yield the text without a row of its middle; those below it stand a line higher then."""
    if len(data) < 3:
        return
    line = data[len(data) // 2]
    less = text.encoded([*text.lines[: line - 1], *text.lines[line:]])
    moved = tuple((n, n - 1) for n in data if n > line)
    yield ExportVariant(f"without line {line}", less, May.BE_PART, (line,), moved)


def _with_ends(first: str, second: str) -> tuple[str, str]:
    """Return two lines, so that the end of the file, which may lack its mark, stays the end."""
    end = first[len(first.rstrip("\r\n")) :], second[len(second.rstrip("\r\n")) :]
    return first.rstrip("\r\n") + end[1], second.rstrip("\r\n") + end[0]


def _columns_swapped(text: ExportText, data: Sequence[int]) -> Iterator[ExportVariant]:
    """Yield the table with two columns in the place of each other, titles and all."""
    if not data or (parts := text.parted(data[0])) is None:
        return
    width = len(parts[1])
    first = data[0]
    while first > 1 and _width(text, first - 1) == width:
        first -= 1
    if width < 2 or first == data[0] or any(_width(text, n) != width for n in data):
        return
    for field in {0, width - 2}:
        lines = list(text.lines)
        for n in range(first, data[-1] + 1):
            if (of_line := text.parted(n)) is not None and len(of_line[1]) == width:
                delimiter, fields, end = of_line
                fields[field : field + 2] = fields[field + 1], fields[field]
                lines[n - 1] = delimiter.join(fields) + end
        what = f"with its columns {field + 1} and {field + 2} swapped, titles and all"
        yield ExportVariant(what, text.encoded(lines), May.BE_EQUAL)


def _width(text: ExportText, line: int) -> int:
    parts = text.parted(line)
    return len(parts[1]) if parts else 0


def _values_replaced(text: ExportText, data: Sequence[int]) -> Iterator[ExportVariant]:
    """Yield the text with a word, or another number, in the place of a number; or another word."""
    for line in [*data[:1], *data[-1:]]:
        parts = text.parted(line)
        for field, cell in enumerate(parts[1] if parts else ()):
            if not NUMBER.fullmatch(cell.strip()):
                yield from _word_replaced(text, data, line, field, cell)
                continue
            for what, written, may in (
                ("overload", "overload", May.BE_EMPTY),
                (
                    f"{other_number(cell.strip())} for {cell.strip()}",
                    other_number(cell),
                    May.FOLLOW,
                ),
            ):
                content = text.with_field(line, field, written)
                if content is not None:
                    told = f"with {what} in line {line}, field {field + 1}"
                    yield ExportVariant(told, content, may, (line,))


def _word_replaced(
    text: ExportText, data: Sequence[int], line: int, field: int, cell: str
) -> Iterator[ExportVariant]:
    """Yield the text with a word of another row in the place of a word."""
    for other in data:
        parts = text.parted(other)
        if parts and field < len(parts[1]) and parts[1][field] not in ("", cell):
            content = text.with_field(line, field, parts[1][field])
            if content is not None:
                what = f"with {parts[1][field]!r} for {cell!r} in line {line}"
                yield ExportVariant(what, content, May.FOLLOW, (line,))
            return


def other_number(number: str) -> str:
    """Return a number that is a little different: of its last digit but one, if it has several."""
    at = max(n for n, sign in enumerate(number) if sign.isdigit())
    if number[at - 1 : at].isdigit():
        at -= 1
    return number[:at] + ("4" if number[at] != "4" else "5") + number[at + 1 :]


def _units_replaced(text: ExportText, data: Sequence[int]) -> Iterator[ExportVariant]:
    """Yield the text with a title in a unit of something else, and in another of the same."""
    first = data[0] if data else len(text.lines) + 1
    for number, line in enumerate(text.lines, 1):
        if number >= first and data:
            break
        for found in UNIT.finditer(line):
            unit = understand(found[0].strip())
            if not unit:
                continue
            field = line[: found.start()].count(text.delimiter) if text.delimiter else 0
            for other in (OTHERS_OF.get(unit), _of_another_sort(unit)):
                if other is None:
                    continue
                lines = list(text.lines)
                lines[number - 1] = line[: found.start()] + other + line[found.end() :]
                same = scale(other, unit) is not None
                yield ExportVariant(
                    f"with {other} for {found[0].strip()} in line {number}",
                    text.encoded(lines),
                    May.FOLLOW if same else May.NOTHING,
                    (number,),
                    place=(number, field),
                    units=(found[0].strip(), other),
                )


def _of_another_sort(unit: str) -> str | None:
    return next((other for other in SORTS if scale(other, unit) is None), None)
