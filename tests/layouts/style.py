"""How a file is written, whatever it says: separators, marks, dates, code page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from random import Random

from .cells import Moment
from .register import ZONE, utc

UNIT_PLACES = (
    "round",
    "square",
    "slash",
    "comma",
    "in",
    "space",
    "row",
    "row square",
    "sentence",
    "cell",
)
DAY_MONTH = ("slashed", "slashed12", "hyphened", "american", "american12")
ISO_TIMES = ("iso_t", "iso_offset", "iso_z")  # written in one piece
OPEN = "slashed, on purpose"  # though no date says which comes first
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


WORKBOOK_EPOCH = datetime(1899, 12, 30)  # noqa: DTZ001 - a local time, as all of an export


@dataclass
class Style:
    """What is drawn once for a file."""

    language: str
    medium: str  # text or book
    separator: str  # of text; "aligned" for columns of blanks
    decimal: str
    thousands: str
    unit_place: str
    leave_out_customary: bool
    entries: str  # colon, equals, cells, dots
    comment: str  # before each line of the preamble
    dates: str
    seconds: bool
    split_clock: bool
    quote_all: bool
    encoding: str
    newline: str
    ruler: str
    trailing: bool

    def moment(self, moment: Moment) -> str:
        """Write a time."""
        at = moment.at
        if self.dates == "serial":
            days = (at - WORKBOOK_EPOCH).total_seconds() / 86400
            text = f"{days:.0f}" if moment.part == "date" else f"{days:.5f}"
            return text.replace(".", self.decimal)
        if moment.part == "both" and self.dates in ISO_TIMES:
            return self._iso(at)
        parts = {"date": (self._date(at),), "clock": (self._clock(at),)}
        return " ".join(parts.get(moment.part, (self._date(at), self._clock(at))))

    def _date(self, at: datetime) -> str:
        return {
            "iso": f"{at:%Y-%m-%d}",
            "dotted": f"{at:%d.%m.%Y}",
            "slashed": f"{at:%d/%m/%Y}",
            "hyphened": f"{at:%d-%m-%Y}",
            "american": f"{at:%m/%d/%Y}",
            "named": f"{at.day:02d} {MONTHS[at.month - 1]} {at.year}",
        }[self._date_style]

    def _clock(self, at: datetime) -> str:
        if self.dates.endswith("12"):
            return f"{at:%I:%M:%S %p}" if self.seconds else f"{at:%I:%M %p}"
        return f"{at:%H:%M:%S}" if self.seconds else f"{at:%H:%M}"

    def _iso(self, at: datetime) -> str:
        if self.dates == "iso_offset":
            return at.replace(tzinfo=ZONE).isoformat(timespec="seconds")
        if self.dates == "iso_z":
            return f"{utc(at):%Y-%m-%dT%H:%M:%SZ}"
        return f"{at:%Y-%m-%dT%H:%M:%S}"

    @property
    def _date_style(self) -> str:
        return {
            "iso_t": "iso",
            "iso_offset": "iso",
            "iso_z": "iso",
            "american12": "american",
            "slashed12": "slashed",
            OPEN: "slashed",
        }.get(self.dates, self.dates)


def draw_style(dice: Random, language: str, *, book_share: float = 0.22) -> Style:
    """Draw a style that people of this language may have."""
    medium = "book" if dice.random() < book_share else "text"
    decimal = "." if language == "en" or dice.random() < 0.4 else ","
    separators = [";", ";", "\t", "\t", ",", "|", "aligned"]
    separator = dice.choice(separators)
    marks = [mark for mark in (",", ".", " ", "'") if mark not in {decimal, separator}]
    thousands = dice.choice(marks) if dice.random() < 0.15 and separator != "aligned" else ""
    dates = ["iso", "iso", "iso_t", "iso_offset", "iso_z"]
    dates += ["named", "american", "american12", "slashed", "slashed12"] if language == "en" else []
    dates += ["dotted"] * 4 if language in {"de", "pl", "cs"} else []
    dates += ["slashed"] * 3 if language in {"fr", "es", "it"} else []
    dates += ["hyphened"] * 3 if language == "nl" else []
    return Style(
        language=language,
        medium=medium,
        separator=separator,
        decimal=decimal,
        thousands=thousands,
        unit_place=dice.choice(UNIT_PLACES),
        leave_out_customary=dice.random() < 0.15,
        entries=dice.choice(("colon", "colon", "equals", "cells", "cells", "dots")),
        comment=dice.choice(("", "", "", "# ", "% ", "// ", "* ")),
        dates=dice.choice(dates) if dice.random() < 0.97 else "serial",
        seconds=dice.random() < 0.3,
        split_clock=dice.random() < 0.25,
        quote_all=dice.random() < 0.08,
        encoding=dice.choice(("utf-8", "utf-8", "utf-8-sig", "utf-16", "cp1252", "cp1252")),
        newline=dice.choice(("\r\n", "\n")),
        ruler=dice.choice(("", "", "", "", "-", "=")),
        trailing=dice.random() < 0.08,
    )
