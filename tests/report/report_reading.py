"""Reading a report back from its HTML, without the program that wrote it."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

VOID = {"meta", "br", "img", "link", "input", "hr"}
POWER = re.compile(r"(.+) × 10([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+)")
FROM_SUPERSCRIPT = str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789")


@dataclass
class Element:
    """An element of the page."""

    tag: str
    attributes: dict[str, str]
    children: list[Element | str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """Its text with white space drawn together."""
        whole = "".join(one if isinstance(one, str) else one._raw() for one in self.children)
        return " ".join(whole.split())

    def _raw(self) -> str:
        inner = "".join(one if isinstance(one, str) else one._raw() for one in self.children)
        return f" {inner} " if self.tag in {"br", "td", "th", "tr", "p", "li"} else inner

    def all(self, tag: str) -> list[Element]:
        """Return every element of a tag below this one."""
        found = []
        for one in self.children:
            if isinstance(one, Element):
                found += [one] if one.tag == tag else []
                found += one.all(tag)
        return found

    @property
    def cells(self) -> list[str]:
        """The texts of the cells of a row, headings of the row too."""
        below = [one for one in self.children if isinstance(one, Element)]
        return [one.text for one in below if one.tag in {"th", "td"}]

    def every(self) -> list[Element]:
        """Return every element below this one."""
        below = [one for one in self.children if isinstance(one, Element)]
        return [*below, *(two for one in below for two in one.every())]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.root = Element("page", {})
        self.open = [self.root]

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        element = Element(tag, {name: value or "" for name, value in attrs})
        self.open[-1].children.append(element)
        if tag not in VOID:
            self.open.append(element)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open[-1].children.append(Element(tag, {n: v or "" for n, v in attrs}))

    def handle_endtag(self, tag: str) -> None:
        assert self.open[-1].tag == tag, f"</{tag}> closes <{self.open[-1].tag}>"
        self.open.pop()

    def handle_data(self, data: str) -> None:
        self.open[-1].children.append(data)


def read_page(path: Path) -> Element:
    """Return the page; each end tag must close what is open."""
    reader = _Reader()
    reader.feed(path.read_text(encoding="utf-8"))
    reader.close()
    assert reader.open == [reader.root]
    return reader.root


def verdict_rows(page: Element) -> dict[tuple[str, str], list[str]]:
    """Return the cells of every verdict by property and batch, without the control's row."""
    found = {}
    for table in page.all("table"):
        if name := table.attributes.get("data-property"):
            for row in table.all("tbody")[0].all("tr"):
                cells = row.cells
                if cells[1] != "control":
                    found[name, cells[0]] = cells
    return found


def number_of(text: str) -> float:
    """Return the number that a text shows.

    >>> number_of("× 4.262"), number_of("−8.7 × 10⁻⁷"), number_of("–")
    (4.262, -8.7e-07, nan)
    """
    text = text.removeprefix("× ").replace("−", "-").replace("∞", "inf").removeprefix("+")
    if text in {"–", ""}:
        return math.nan
    if power := POWER.fullmatch(text):
        return float(f"{power[1]}e{power[2].translate(FROM_SUPERSCRIPT)}")
    return float(text)


def interval_of(text: str) -> tuple[float, float]:
    """Return the ends of an interval that a text shows."""
    if not text:
        return math.nan, math.nan
    if text == "open on both sides":
        return -math.inf, math.inf
    if text.startswith("above "):
        return number_of(text.removeprefix("above ")), math.inf
    if text.startswith("below "):
        return -math.inf, number_of(text.removeprefix("below "))
    low, _, high = text.partition(" to ")
    return number_of(low), number_of(high)
