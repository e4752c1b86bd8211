"""Notes that people type: an id and its readings in a line, or a determination a line below an id.

    BRO-33T-P6: 18,4  18,9  18,1            Pannello KH306d, carrelli diametro 20 mm
    bro-33t   23 °C   71 s                  1)  5,8 MPa   rottura: 100 % B
    BRO-37Z-P5: Ri 1, pęcherze 2(S2)        2)  6,1 MPa   rottura: 85 % B, 15 % A/B

Such rows get titles by what stands in them: the word beside a value, what its unit is of, or merely
`value`, which the free lines must say more of. A mean behind readings is none of them.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from tiecoat.contract import words as shared
from tiecoat.dialect.delimited import Cell, Grid
from tiecoat.tabular.cell_looks import cleaned, is_ruler
from tiecoat.tabular.moments import is_day
from tiecoat.tabular.note_amounts import (
    DASHED,
    NUMBER,
    SEPARATED,
    amount_title,
    counts_determinations,
    ends_in_mean,
    is_pull,
    like_values,
    readings_in,
)
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.seen import Allows, Known, Line, Seen, SeenColumn, Sight
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import WordIndex

TYPED = "\0\0"  # the delimiter of a note, which has none
_LEAST_ROWS, _LEAST_IN_GRID = 2, 3  # two numbers may be the number of a reading and it
_ID_WORDS = 3  # that an id may be typed in, with blanks for its signs
_SIGNS = ("-", "_", ".", "/", "")
_COUNTED = re.compile(
    r"(?:#|no\.?|nr\.?|n[.°º]*|[^\W\d]{3,12}\.?)?\s?(?P<number>\d{1,3})\s*(?:[):=]|\.(?!\d)|\s[-–]\s|\s{2,}|\t)\s*(?P<rest>\S.*)",
    re.IGNORECASE,
)
_NEXT = re.compile(rf"(?P<number>\d{{1,3}})\s(?P<rest>{NUMBER}(?:\s?[^\W\d]{{1,3}})?)")
_NUMBERS = re.compile(rf"{NUMBER}(?:\s+{NUMBER})+")
_HEAD = re.compile(r"\s*(?:[:=,;]|[-–—](?=\s)|\s{1,}|\t|$)\s*(?P<rest>.*)")
_NAMED_READINGS = re.compile(r"(?P<name>[^\W\d][^:=\d]{0,40}?)\s*[:=]?\s+(?P<readings>\d.*)")
_DELIMITED = re.compile(r"\t|(?:;.*){2}|(?:\|.*){2}")  # made by a program
_READINGS_BEHIND = re.compile(rf"[^;|\t:]*:\s*{NUMBER}(?:\s*[;|]\s*{NUMBER})+[^;|\t]{{0,12}}")
_AT = re.compile(r"\s+(?:at|@|bei|à|a|przy|bij|při)\s+(?=[-+]?\d)")  # 48 s at 22.8 °C
_MINUTES = re.compile(r"min\.?(?:\W*|[\s,;]+\D.*)", re.IGNORECASE)  # 10 min, no least of all
_WIDE = re.compile(r"\s{2,}")
_LABELLED = re.compile(r"(?P<name>[^\W\d][^:=\d]{1,40}?)\s*[:=]\s*(?P<value>\S.*)")
_BESIDE = re.compile(r"(?P<name>[^\W\d][^:=]{0,40}?)\s+(?P<value>[\d<>~].*|[^\W\d]{1,8})")
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
_COMMA = re.compile(r",\s+")
_MARKS, _ID_ENDS = ":=", ":=,;"  # behind an id; also where a determination follows
_STATE = "state"  # the title of a closed word that is typed without one
_LONGEST_WORD = 6  # words that make a word of the trade
_MEANS: WordIndex[str] = WordIndex()
for _words in (shared.MEANS, shared.STATISTICS, shared.SUMMARIES):
    _MEANS.add(listed(_words), "mean")

Identity = Callable[[str], bool]


@dataclass
class _NoteRow:
    """A row of a note: its number in the file, and what stands in it by titles."""

    line: int
    cells: dict[str, Cell]


@dataclass
class _Group:
    """Rows below a heading, or without one, that have titles in common."""

    above: list[Line]
    rows: list[_NoteRow] = field(default_factory=list)
    about: str = ""  # what stands behind every value
    own: list[Line] = field(default_factory=list)  # of those above: the heading and what follows it


def seen_as_note(
    lines: Sequence[str], known: Known, identity: Identity, allows: Allows
) -> Sight | None:
    """Return what a person sees in a typed note; None for a text that is none.

    Parameters
    ----------
    known
        Tells whether a text is a word of the trade.
    identity
        Tells whether a text is the id of a panel or a batch.
    allows
        Tells whether a text is a closed word of what a title names.
    """
    note = _Note(known, identity, allows)
    for number, line in enumerate(lines, start=1):
        cells = [cell for cell in cleaned([line.strip()]) if cell != ""]
        if cells and not is_ruler(cells):
            note.take(str(cells[0]), number)
        else:
            note.gap()
    rows = [row.line for group in note.groups for row in group.rows]
    if len(rows) < _LEAST_ROWS or any(_is_delimited(lines[n - 1]) for n in rows):
        return None
    if any(_is_header(_above(lines, n), lines[n - 1], identity) for n in rows):
        return None
    grid = Grid(
        [[line.strip()] for line in lines],
        range(1, len(lines) + 1),
        delimiter=TYPED,
        whole_lines=lines,
    )
    tables = [_table(grid, group) for group in note.groups if group.rows]
    mere = [
        line for group in note.groups if not group.rows for line in group.own
    ]  # that head nothing
    below = sorted([*mere, *note.below], key=lambda line: line.row)
    heads = {
        (row.cells["id"], group.own[0].row)
        for group in note.groups
        if group.own
        for row in group.rows
    }
    lost = [row for row, identity in note.valued.items() if (identity, row) not in heads]
    means = list(note.grids) if all(map(ends_in_mean, note.grids.values())) else []
    values = [
        str(row.cells["value"])
        for group in note.groups
        for row in group.rows
        if "value" in row.cells
    ]
    orphans = sorted({*note.orphans, *lost, *means, *like_values(note.texts, rows, values)})
    return Sight(grid, tables, below, orphans)


def _is_delimited(line: str) -> bool:
    """Tell whether a line is one that programs write: parted by signs, but for readings behind a colon."""
    return _DELIMITED.search(line) is not None and _READINGS_BEHIND.fullmatch(line) is None


def _above(lines: Sequence[str], number: int) -> str:
    """Return the nearest line above one that is neither empty nor a ruler."""
    above = (line.strip() for line in reversed(lines[: number - 1]))
    return next((line for line in above if line and not is_ruler([line])), "")


def _is_header(line: str, row: str, identity: Identity) -> bool:
    """Tell whether a line parts into titles for the cells of the row below it."""
    titles, cells = (_WIDE.split(text.strip()) for text in (line, row))
    if len(titles) < 2 or abs(len(titles) - len(cells)) > 1:
        return False
    return not any(char.isdigit() for char in "".join(titles)) and not any(map(identity, titles))


class _Note:
    """Reads a note line by line."""

    def __init__(self, known: Known, identity: Identity, allows: Allows) -> None:
        self.known, self.identity, self.allows = known, identity, allows
        self.general: list[Line] = []  # lines before the first id: they tell of all
        self.groups: list[_Group] = []
        self.below: list[Line] = []
        self.valued: dict[int, str] = {}  # headings with a value behind the id, and the id
        self.orphans: list[int] = []  # rows of numbers of which nothing tells what they are
        self.headed: str | None = None  # the id above the present lines
        self.texts: dict[int, str] = {}  # of the lines so far, by their number
        self.grids: dict[int, list[str]] = {}  # readings of the lines of grids
        self.day: str | None = None  # before the id of the present line
        self.block: list[Line] = []  # free lines since the last empty one
        self.parted = False  # an empty line stands before them
        self.first: list[Line] = []  # of the general lines those that head the first rows alone
        self.section: list[Line] = []  # that heads the present rows, below others
        self.fresh = False  # a section that has no rows yet

    def take(self, text: str, number: int) -> None:
        """Take a line as a row, a heading with an id, or a free line."""
        self.texts[number] = text
        self.day, text = self._dated(text)
        headed = self._id_at_start(text)
        if (of_id := self._determination(text)) is not None:
            self.headed = None
            self._row(number, of_id)
        elif headed is not None and (listed := self._listed(headed[1])) is not None:
            self.headed = None
            for count, reading in enumerate(listed[1], start=1):
                self._row(number, {"id": headed[0], "No": str(count), listed[0]: reading})
        elif headed is not None and (cells := self._fields(headed[1])):
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
            and (cells := self._fields(counted["rest"]))
        ):
            self._row(number, {"id": self.headed, "No": counted["number"], **cells})
        elif readings := self._in_grid(text, number):
            for count, reading in readings:
                self._row(number, {"id": self.headed or "", "No": str(count), "value": reading})
        elif (one := self._one_id_in(text)) is not None:
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
        dated = is_day(first.rstrip(_MARKS)) and self._id_at_start(behind) is not None
        return (first.rstrip(_MARKS), behind) if dated else (None, text)

    def _determination(self, text: str) -> dict[str, Cell] | None:
        """Return what a line tells of a determination that it names: `GB-4-P6, dolly 1: 9.5 MPa`."""
        headed = self._id_at_start(text, _ID_ENDS)
        counted = self._counted(headed[1], headed[0]) if headed is not None else None
        if (
            headed is None
            or counted is None
            or not counts_determinations(headed[1][: counted.end("number")])
        ):
            return None
        cells = self._fields(counted["rest"])
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
            elif (headed := self._id_at_start(part)) is not None and not headed[1]:
                self.headed = None
                cells["id"] = headed[0]
                continue
            elif headed is not None and self.allows(_STATE, headed[1]):
                self.headed = None
                cells |= {"id": headed[0], _STATE: headed[1]}
            else:
                return {}
            told += 1
        values = self._fields(behind.strip()) if told and "id" in cells else {}
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
        if not any(char.isalpha() for char in text[: match.start("number")]):
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
        self.groups.append(_Group([*self.general, *self.section, heading], own=[heading]))

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

    def _listed(self, text: str) -> tuple[str, list[str]] | None:
        """Return the title of readings side by side, and these: `98, 102, 97 µm`, `DFT 98 / 102`."""
        text = self._without_mean(text)
        if readings := readings_in(text):
            return "value", readings
        match = _NAMED_READINGS.fullmatch(text)
        if match is None or not self.known(match["name"]):
            return None
        readings = readings_in(match["readings"])
        return (match["name"], readings) if readings else None

    def _counted(self, text: str, identity: str) -> re.Match[str] | None:
        """Return the number of a determination and what stands behind it, if a text begins with one.

        With nothing but blanks or a dash between the two it may be a reading like the other: it is
        a number if it is the next of this id.
        """
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
            self.groups.append(_Group([*above, *said], about=about, own=own))
        self.groups[-1].rows.append(_NoteRow(number, cells))

    # ids

    def _id_at_start(self, text: str, marks: str = _MARKS) -> tuple[str, str] | None:
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

    def _one_id_in(self, text: str) -> str | None:
        """Return the one id that a heading names: alone, or amid words about what follows."""
        if (headed := self._id_at_start(text)) is not None and not headed[1]:
            return headed[0]
        words = [word.strip("()[]:,;.") for word in text.split()]
        found = {word.upper(): word for word in words if self.identity(word)}
        return next(iter(found.values())) if len(found) == 1 else None

    # fields

    def _fields(self, text: str) -> dict[str, Cell]:
        """Return what stands behind an id or a number, by titles; nothing if it is a sentence."""
        text = self._without_mean(text)
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

    def _without_mean(self, text: str) -> str:
        """Return a text without the mean that ends it: `33,2 / 32,7   media 33,3`."""
        for match in re.finditer(r"[^\W\d]{2,}\.?", text):
            behind = text[match.start() :]
            if _MINUTES.fullmatch(behind) and text[: match.start()].rstrip()[-1:].isdigit():
                continue
            words = re.sub(r"[\d.,±:=%\s/()-]+", " ", behind).split()
            if match.start() and words and _MEANS.knows(Title(words[0], words[0])):
                return text[: match.start()].rstrip(" ;,|/(–-=:")
        return text


def _table(grid: Grid, group: _Group) -> Seen:
    titles = list(dict.fromkeys(title for row in group.rows for title in row.cells))
    columns = [
        SeenColumn(title, None, [row.cells.get(title, "") for row in group.rows])
        for title in titles
    ]
    rows = [row.line for row in group.rows]
    return Seen(grid, columns, rows[0], group.above, rows)
