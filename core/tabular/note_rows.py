"""The rows of a typed note, line by line, below the headings that they have in common."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.facts import seconds_of
from tiecoat.tabular.moments import is_day
from tiecoat.tabular.note_amounts import (
    NUMBER,
    amount_title,
    counts_determinations,
    readings_in,
    statistics_in,
    without_mean_behind,
)
from tiecoat.tabular.note_parts import MARKS, Identity, LineParts
from tiecoat.tabular.seen import Allows, Known, Line

_LEAST_IN_GRID = 3  # two numbers may be the number of a reading and it
_COUNTED = re.compile(
    r"(?:#|no\.?|nr\.?|n[.°º]*|[^\W\d]{3,12}\.?)?\s?(?P<number>\d{1,3})\s*(?:[):=]|\.(?!\d)|\s[-–]\s|\s{2,}|\t)\s*(?P<rest>\S.*)",
    re.IGNORECASE,
)
_NEXT = re.compile(rf"(?P<number>\d{{1,3}})\s(?P<rest>{NUMBER}(?:\s?[^\W\d]{{1,3}})?)")
_NUMBERS = re.compile(rf"{NUMBER}(?:\s+{NUMBER})+")
_NAMED_READINGS = re.compile(r"(?P<name>[^\W\d][^:=\d]{0,40}?)\s*[:=]?\s+(?P<readings>\d.*)")
_WITHIN = re.compile(
    rf"(?P<amount>{NUMBER}\s?\S{{1,12}})\s+(?:in|with|by|from|im|mit|aus|dans|avec|en|con|nel|nella|da|w|z|ze|"
    r"met|v|ve|s|se|at|bei|à|a|bij|przy|při)\s+(?P<about>[^\d\W].*)",
    re.IGNORECASE,
)
_TIMED = re.compile(  # 5 min after mixing
    r"(?P<time>\d+(?:[.,]\d+)?\s?(?:s|sec|min|h|hrs?|std|hod|godz|d|days?|Tage?))\.?\s+(?P<about>[^\W\d][^:=\d]{2,40})",
    re.IGNORECASE,
)
_AT_ONCE = re.compile(
    r"(?:directly|immediately|right|straight|just|direkt|unmittelbar|sofort|gleich|juste|immédiatement|aussitôt"
    r"|inmediatamente|justo|subito|immediatamente|bezpośrednio|tuż|zaraz|direct|meteen|onmiddellijk|ihned|hned|těsně)\s+"
    r"(?P<about>(?:after|nach|après|después|tras|dopo|po|na)\s[^:=\d]{2,30})",
    re.IGNORECASE,
)
_ANGLE = re.compile(r"\d{2}\s?(?:°|º|deg\.?)")
_AT_ANGLE = re.compile(rf"(?P<angle>{_ANGLE.pattern})\s*[:=]?\s+(?P<readings>\d.*)")
_WORDED = ("state", "coat", "property")  # titles of closed words
_KEYED = re.compile(r"(?P<key>[^:=]{1,30}?)\s*[:=]\s*(?P<readings>\d[^:=°]*\d.*)")
_COMMA = re.compile(r",\s+")
_ID_ENDS = ":=,;"  # behind an id where a determination follows
_STATE = "state"  # the title of a closed word that is typed without one
_LONGEST_WORD = 6  # words that make a word of the trade


@dataclass
class NoteRow:
    """A row of a note: its number in the file, and what stands in it by titles."""

    line: int
    cells: dict[str, Cell]


@dataclass
class NoteGroup:
    """Rows below a heading, or without one, that have titles in common."""

    above: list[Line]
    rows: list[NoteRow] = field(default_factory=list)
    about: str = ""  # what stands behind every value
    own: list[Line] = field(default_factory=list)  # of those above: the heading and what follows it


class Note:
    """Reads a note line by line."""

    def __init__(self, known: Known, identity: Identity, allows: Allows) -> None:
        self.known, self.allows = known, allows
        self.parts = LineParts(known, identity)
        self.general: list[Line] = []  # lines before the first id: they tell of all
        self.groups: list[NoteGroup] = []
        self.below: list[Line] = []
        self.valued: dict[int, str] = {}  # headings with a value behind the id, and the id
        self.orphans: list[int] = []  # rows of numbers of which nothing tells what they are
        self.headed: str | None = None  # the id above the present lines
        self._before = 0  # the number of the line above the present one
        self.texts: dict[int, str] = {}  # of the lines so far, by their number
        self.grids: dict[int, list[str]] = {}  # readings of the lines of grids
        self.day: str | None = None  # before the id of the present line
        self.block: list[Line] = []  # free lines since the last empty one
        self.parted = False  # an empty line stands before them
        self.first: list[Line] = []  # of the general lines those that head the first rows alone
        self.section: list[Line] = []  # that heads the present rows, below others
        self.fresh = False  # a section that has no rows yet
        self.summaries: list[int] = []  # lines of nothing but statistics

    def take(self, text: str, number: int) -> None:
        """Take a line as a row, a heading with an id, or a free line."""
        self._before = max(self.texts, default=0)
        self.texts[number] = text
        if self.groups and statistics_in(text):
            self.summaries.append(number)
            return
        self.day, text = self._dated(text)
        headed = self.parts.id_at_start(text)
        if (of_id := self._determination(text)) is not None:
            self.headed = None
            self._row(number, of_id)
        elif headed is not None and (beside := self._side_by_side(headed[1])) is not None:
            self.headed = None
            told, title, readings_told = beside
            for count, reading in enumerate(readings_told, start=1):
                self._row(number, {"id": headed[0], **told, "No": str(count), title: reading})
        elif headed is not None and (cells := self.parts.fields(headed[1])):
            self.headed = None
            self._row(number, {"id": headed[0], **cells})
        elif headed is not None and (within := self._within(headed[1])) is not None:
            self.headed = None
            self._row(number, {"id": headed[0], "value": within[0]}, about=within[1])
        elif cells := self._phrased(text):
            self._row(number, cells)
        elif (
            (self.headed is not None or self._heads(text))
            and self.headed is not None
            and (counted := self._counted(text, self.headed))
            and (cells := self.parts.fields(counted["rest"]))
        ):
            self._row(number, {"id": self.headed, "No": counted["number"], **cells})
        elif readings := self._in_grid(text, number):
            for count, reading in readings:
                self._row(number, {"id": self.headed or "", "No": str(count), "value": reading})
        elif (one := self.parts.one_id_in(text)) is not None:
            self.headed = one
            if headed is not None and headed[1][:1].isdigit():
                self.valued[number] = one
            self._open(Line((text,), number))
        else:
            self._free(Line((text,), number))

    def _dated(self, text: str) -> tuple[str | None, str]:
        """Return the day that stands before the id of a line, and what stands behind it."""
        first, *rest = text.split(maxsplit=1)
        behind = rest[0] if rest else ""
        dated = is_day(first.rstrip(MARKS)) and self.parts.id_at_start(behind) is not None
        return (first.rstrip(MARKS), behind) if dated else (None, text)

    def _determination(self, text: str) -> dict[str, Cell] | None:
        """Return what a line tells of a determination that it names: `GB-4-P6, dolly 1: 9.5 MPa`."""
        headed = self.parts.id_at_start(text, _ID_ENDS)
        counted = self._counted(headed[1], headed[0]) if headed is not None else None
        if (
            headed is None
            or counted is None
            or not counts_determinations(headed[1][: counted.end("number")])
        ):
            return None
        cells = self.parts.fields(counted["rest"])
        return {"id": headed[0], "No": counted["number"], **cells} if cells else None

    def _in_grid(self, text: str, line: int) -> list[tuple[int, str]]:
        """Return the readings of a line of a grid below an id, and their numbers row by row.

        A number that counts the lines is no reading.
        """
        if self.headed is None or not self.groups or not _NUMBERS.fullmatch(text):
            return []
        parts, group = text.split(), self.groups[-1]
        own = [row for row in group.rows if row.cells["id"] == self.headed]
        first = sum(row.line == own[0].line for row in own) if own else len(parts)
        lines = len({row.line for row in own})
        if (
            len(parts) < _LEAST_IN_GRID
            or len(parts) != first
            or parts[0] in (str(lines + 1), str(len(own) + 1), str(lines))
        ):
            return []
        if any("value" not in row.cells or "No" not in row.cells for row in own):
            return []
        if (
            len(
                {
                    len(re.split("[.,]", part)[-1]) if part.strip("0123456789") else 0
                    for part in parts
                }
            )
            > 1
        ):
            return []  # a mean beside the readings has more decimals
        self.grids[line] = parts
        return list(enumerate(parts, start=len(own) + 1))

    def _phrased(self, text: str) -> dict[str, Cell]:
        """Return what a line tells that says before a colon of what its value is.

        `5 min after mixing: 1.347 g/cm3` below an id, `Lot M04, stirred, 15 min of rest: 1.361`.
        """
        before, colon, behind = text.rpartition(":")
        cells: dict[str, Cell] = {"id": self.headed} if self.headed is not None else {}
        told = 0
        for part in _COMMA.split(before.strip()) if colon else ():
            if (at_once := _AT_ONCE.fullmatch(part)) is not None:
                cells[at_once["about"]] = "0 min"
            elif (timed := _TIMED.fullmatch(part)) is not None:
                cells[timed["about"]] = timed["time"]
            elif amount_title(part) == "time" and "time" not in cells:
                cells["time"] = part
            elif self.allows(_STATE, part):
                cells[_STATE] = part
            elif (headed := self.parts.id_at_start(part)) is not None and not headed[1]:
                self.headed = None
                cells["id"] = headed[0]
                continue
            elif headed is not None and self.allows(_STATE, headed[1]):
                self.headed = None
                cells |= {"id": headed[0], _STATE: headed[1]}
            else:
                return {}
            told += 1
        values = self.parts.fields(behind.strip()) if told and "id" in cells else {}
        if values.keys() <= {"time", "temperature"}:
            return {}  # a name of something else and its value: Riposo: 2 min
        return {} if cells.keys() & values.keys() else {**cells, **values}

    def _heads(self, text: str) -> bool:
        """Tell whether the last row is a heading, as a line below it is the first of its readings."""
        group = self.groups[-1] if self.groups else None
        last = group.rows[-1] if group is not None and group.rows else None
        match = _COUNTED.fullmatch(text)
        if last is None or match is None or "No" in last.cells or int(match["number"]) != 1:
            return False
        named = any(char.isalpha() for char in text[: match.start("number")])
        if not named and ("value" in last.cells or last.line != self._before):
            return False
        assert group is not None
        group.rows.pop()
        self.headed = str(last.cells["id"])
        if not group.rows:
            self.groups.pop()
        self._open(Line((self.texts[last.line],), last.line))
        return True

    def _open(self, heading: Line) -> None:
        self._begin_section()
        self.fresh = False
        self.groups.append(NoteGroup([*self.general, *self.section, heading], own=[heading]))

    def gap(self) -> None:
        """Note an empty line: lines between it and rows may head those alone."""
        self.block, self.parted = [], True

    def _begin_section(self) -> None:
        """Let free lines that stand between an empty line and rows head these, until others do.

        So that `wet`, some rows, `dry` and other rows are not all of them wet and dry.
        """
        block, self.block, parted, self.parted = self.block, [], self.parted, False
        if block and self._heads_alone(block[-1].text):
            block, parted = (block if parted and self.groups else block[-1:]), True
        if not block or not parted:
            return
        if not self.groups:
            self.first = block if len(block) < len(self.general) else []
        elif self.groups[-1].rows:
            self.below = [line for line in self.below if line not in block]
            self.general = [line for line in self.general if line not in self.first]
            self.section, self.fresh = block, True

    def _heads_alone(self, text: str) -> bool:
        """Tell whether a line is nothing but a word or an amount that holds for what follows: wet, 60°."""
        said = text.strip(" :-–—=*")
        return self.allows(_STATE, said) or _ANGLE.fullmatch(said) is not None

    def _side_by_side(self, text: str) -> tuple[dict[str, Cell], str, list[str]] | None:
        """Return what readings behind an id are told apart by from others, their title, and these."""
        if (listed := self._listed(text)) is not None:
            return {}, *listed
        if (angled := self._at_angle(text)) is not None:
            return {"angle": angled[0]}, "value", angled[1]
        return self._keyed(text)

    def _listed(self, text: str) -> tuple[str, list[str]] | None:
        """Return the title of readings side by side, and these: `98, 102, 97 µm`, `DFT 98 / 102`."""
        text = self.parts.without_mean(text)
        if readings := readings_in(text):
            return "value", without_mean_behind(readings)
        match = _NAMED_READINGS.fullmatch(text)
        if match is None or not self.known(match["name"]):
            return None
        readings = readings_in(match["readings"])
        return (match["name"], readings) if readings else None

    def _at_angle(self, text: str) -> tuple[str, list[str]] | None:
        """Return an angle and the readings at it: `60°: 36,3  35,6`."""
        match = _AT_ANGLE.fullmatch(text)
        readings = readings_in(self.parts.without_mean(match["readings"])) if match else None
        return (match["angle"], readings) if match and readings else None

    def _keyed(self, text: str) -> tuple[dict[str, Cell], str, list[str]] | None:
        """Return what readings side by side are told apart by, and these: `wet: 98, 102`."""
        match = _KEYED.fullmatch(text)
        if match is None:
            return None
        key = match["key"].strip()
        titles = [title for title in _WORDED if self.allows(title, key)]
        listed = self._listed(match["readings"]) if len(titles) == 1 else None
        return ({titles[0]: key}, *listed) if listed else None

    def _counted(self, text: str, identity: str) -> re.Match[str] | None:
        """Return the number of a determination and what stands behind it, if a text begins with one.

        With nothing but blanks or a dash between the two it may be a reading like the other: it is
        a number if it is the next of this id. A time as min:s begins with no number.
        """
        if seconds_of(text) is not None:
            return None
        match = _COUNTED.fullmatch(text) or _NEXT.fullmatch(text)
        if match is None:
            return None
        between = text[match.end("number") : match.start("rest")].strip()
        if between.strip("-–") or not text[: match.end("number")].isdecimal():
            return match
        rows = self.groups[-1].rows if self.groups else []
        same = [row for row in rows if row.cells["id"] == identity]
        last = int(str(same[-1].cells.get("No", 0))) if same else 0
        return match if int(match["number"]) == last + 1 else None

    def _free(self, line: Line) -> None:
        if self.groups and _NUMBERS.fullmatch(line.text):
            self.orphans.append(line.row)
            return
        self.block.append(line)
        if self.groups and not self.groups[-1].rows:
            self.groups[-1].above.append(line)
            self.groups[-1].own.append(line)
        elif self.groups:
            self.below.append(line)
        else:
            self.general.append(line)

    def _within(self, text: str) -> tuple[str, str] | None:
        """Return a value and what it was measured in, if that is of the trade: `52 s in a 6 mm cup`."""
        match = _WITHIN.fullmatch(text)
        if match is None or "%" in text or amount_title(match["amount"]) != "value":
            return None
        words = match["about"].strip(" .").split()
        said = any(
            self.known(" ".join(words[start:stop]))
            for start in range(len(words))
            for stop in range(start + 1, min(start + _LONGEST_WORD, len(words)) + 1)
        )
        return (match["amount"], match["about"]) if said else None

    def _row(self, number: int, cells: dict[str, Cell], about: str = "") -> None:
        self._begin_section()
        cells = {**cells, "date": self.day} if self.day is not None else cells
        last = self.groups[-1] if self.groups and not self.fresh else None
        self.fresh = False
        same = last is not None and (not last.rows or last.rows[-1].cells.keys() == cells.keys())
        if last is None or not same or last.about != about:
            general = [*self.general, *self.section]
            above = last.above if last is not None and self.headed is not None else general
            said = [Line((about,), number)] if about else []
            own = last.own if last is not None and self.headed is not None else []
            self.groups.append(NoteGroup([*above, *said], about=about, own=own))
        self.groups[-1].rows.append(NoteRow(number, cells))
