"""What cells of an .xlsx show beside their numbers: per cent, units, and what stands before them.

The reader of workbooks gives values without their formats: 5.0 % would be 0.05, and 240 under the
format `0" h"` a number of anything.
"""

from __future__ import annotations

import html
import re
import zipfile
from dataclasses import dataclass
from pathlib import Path

from tiecoat.dialect.delimited import Cell
from tiecoat.dialect.sheet_tags import CELL_AT, XLSX_TAG, column_of, tags
from tiecoat.dialect.units import plain_unit

_STYLE = re.compile(rb"\ss=[\"'](\d{1,5})[\"']")
_FORMAT = re.compile(rb"<numFmt\b[^>]*>")
_PERCENT = (9, 10)  # that every workbook knows (ECMA-376 part 1, 18.8.30)
_TOKEN = re.compile(
    r"\"(?P<quoted>[^\"]*)\"|\\(?P<escaped>.)|[_*].|\[[^\]]*\]"
    r"|(?P<number>General|[0#?](?:[0#?.,]|E[+-])*)|(?P<ends>;)|(?P<plain>.)",
    re.IGNORECASE,
)
_OF_TIMES = frozenset("dmyhs@")  # letters that show a day or a time, or a text as it is
_LONGEST = 8  # letters of what stands before a number


@dataclass(frozen=True)
class NumberFormat:
    """What a format shows: texts before and behind a number, the number times a factor.

    `digits` is the least number of digits of a whole number, filled up by zeros.
    """

    before: str = ""
    after: str = ""
    factor: float = 1.0
    digits: int = 1

    def of(self, cell: Cell) -> Cell:
        """Return a number with what is shown beside it; another cell as it is.

        Examples
        --------
        >>> NumberFormat(after="%", factor=100).of(0.05), NumberFormat(after="h").of(240)
        ('5 %', '240 h')
        >>> NumberFormat(before="RB-", digits=3).of(7.0), NumberFormat(after="h").of("none")
        ('RB-007', 'none')
        """
        if isinstance(cell, bool) or not isinstance(cell, float | int):
            return cell
        value = float(f"{cell * self.factor:.12g}")
        number = f"{int(value):0{self.digits}d}" if value.is_integer() else f"{value:.12g}"
        return f"{self.before}{number} {self.after}".strip()


def read_format(code: str) -> NumberFormat | None:
    """Return what a format code shows beside a number; None if nothing that tells what it is.

    Examples
    --------
    >>> read_format('0.0" MPa"').of(7.25), read_format("0%").of(0.3), read_format('"RB-"000').of(7)
    ('7.25 MPa', '30 %', 'RB-007')
    >>> read_format('0.0,," MΩ"').of(5.2e6), read_format("0.00"), read_format("dd/mm/yy")
    ('5.2 MΩ', None, None)
    """
    beside, number, percent = ["", ""], "", False
    for token in _TOKEN.finditer(code):
        if token["ends"]:
            break  # what follows is shown of negative numbers
        if token["number"]:
            if number:
                return None  # a fraction, or digits parted by a text
            number = token["number"]
        elif (plain := token["plain"]) is not None and plain.casefold() in _OF_TIMES:
            return None
        else:
            percent |= plain == "%"  # else it is but a text, and the number as it is
            beside[bool(number)] += token["quoted"] or token["escaped"] or plain or ""
    before, after = beside[0].strip(" "), beside[1].strip()
    if not number or not (before or after):
        return None
    scaled = len(number) - len(number.rstrip(","))
    factor = 100.0 if percent else 1000.0**-scaled
    digits = max(1, number.split(".")[0].count("0"))
    if after and (after == "%" or plain_unit(after) not in (None, "")) and not before:
        return NumberFormat("", after, factor, 1)
    short = len(before) <= _LONGEST and any(char.isalpha() for char in before)
    if after or not short or scaled or "." in number:
        return None
    return NumberFormat(beside[0].lstrip(" "), "", 1.0, digits)


def cell_formats(path: Path) -> dict[str, dict[tuple[int, int], NumberFormat]]:
    """Return for each sheet of an .xlsx the cells that show more than a number, counted from 0."""
    with zipfile.ZipFile(path) as container:
        names = set(container.namelist())
        if not {"xl/styles.xml", "xl/workbook.xml"} <= names:
            return {}
        styles = _styles(container.read("xl/styles.xml"))
        if not styles:
            return {}
        found: dict[str, dict[tuple[int, int], NumberFormat]] = {}
        for sheet, part in _parts(container, names).items():
            cells = found.setdefault(sheet, {})
            for tag, rest in tags(container, container.getinfo(part), XLSX_TAG):
                style, place = _STYLE.search(rest), CELL_AT.search(rest)
                if tag == b"c" and place and style and int(style[1]) in styles:
                    cells[int(place[2]) - 1, column_of(place[1]) - 1] = styles[int(style[1])]
        return found


def _styles(xml: bytes) -> dict[int, NumberFormat]:
    """Return what the cell styles show that show more than a number, by their numbers."""
    shown = dict.fromkeys(_PERCENT, NumberFormat(after="%", factor=100.0))
    for tag in _FORMAT.findall(xml):
        number = re.search(rb'numFmtId="(\d+)"', tag)
        code = re.search(rb'formatCode="([^"]*)"', tag)
        if number and code:
            read = read_format(html.unescape(code[1].decode("utf-8", "replace")))
            if read is not None:
                shown[int(number[1])] = read
    start, end = xml.find(b"<cellXfs"), xml.find(b"</cellXfs>")
    formats = re.findall(rb'<xf\b[^>]*?numFmtId="(\d+)"', xml[start:end]) if start >= 0 else []
    return {
        place: shown[int(number)] for place, number in enumerate(formats) if int(number) in shown
    }


def _parts(container: zipfile.ZipFile, names: set[str]) -> dict[str, str]:
    """Return the part of the container that each sheet stands in, by the sheet's name."""
    from xml.etree import ElementTree

    related = "xl/_rels/workbook.xml.rels"
    if related not in names:
        return {}
    targets = {
        each.get("Id", ""): each.get("Target", "")
        for each in ElementTree.fromstring(container.read(related))
    }
    parts = {}
    for sheet in ElementTree.fromstring(container.read("xl/workbook.xml")).iter():
        if not sheet.tag.endswith("}sheet"):
            continue
        key = next((value for name, value in sheet.attrib.items() if name.endswith("}id")), "")
        target = targets.get(key, "").lstrip("/")
        part = target if target.startswith("xl/") else f"xl/{target}"
        if part in names:
            parts[sheet.get("name", "")] = part
    return parts
