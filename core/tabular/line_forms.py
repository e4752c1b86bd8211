"""Tables of lines whose forms a person has told: what the lines above tell holds for the rows below."""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from tiecoat.dialect.delimited import Grid
from tiecoat.reasons import Fault, Reason
from tiecoat.tabular.forms import Form, Looks, Slot, Take, listed_numbers
from tiecoat.tabular.seen import Line, Seen, SeenColumn, Sight

_BY_FORMS = "\0\0\0"  # the delimiter of lines of a form, which have none
_DIGIT = re.compile(r"\d")
_BEGINNING = re.compile(r"[^\W\d_]+\.?(?: [^\W\d_]+\.?)*(?!\w)")
OF_A_FORM = "a line of a form that was told, or one that begins with a word of pass_over"
SlotKey = tuple[str | None, tuple[tuple[str, str | float], ...]]


def beginning_of(line: str) -> str:
    """Return the words by which a line begins, and nothing if it begins with something else.

    Examples
    --------
    >>> beginning_of("Result No.         1"), beginning_of("Rig LAB2-W"), beginning_of("3 of 4")
    ('Result No.', 'Rig', '')
    """
    match = _BEGINNING.match(line)
    return match[0] if match else ""


def levels_of(forms: Sequence[Form], looks: Looks) -> list[int]:
    """Return the level of each form: what makes a row is of the last, and each line above of its own.

    A form that tells the results which the last one tells makes a row too; two heads that tell the
    same are two ways to write one.
    """
    told = [{place.take.key for place in form.places if place.take.role} for form in forms]
    results = [{key[0] for key in keys if key[0] in looks.results} for keys in told]
    last = len(forms) - 1
    return [
        last
        if n == last or (results[last] and results[last] <= results[n])
        else told.index(told[n])
        for n in range(len(forms))
    ]


@dataclass
class LineByLine:
    """Reads lines one by one.

    Parameters
    ----------
    forms
        Of the lines; the last makes a row, and each that tells the same results.
    """

    forms: Sequence[Form]
    looks: Looks
    sheet: str | None
    told: dict[int, dict[SlotKey, str]] = field(default_factory=dict)  # by level
    rows: list[tuple[int, dict[SlotKey, str]]] = field(default_factory=list)
    above: list[Line] = field(default_factory=list)
    below: list[Line] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._patterns = [form.pattern(self.looks) for form in self.forms]
        self._levels = levels_of(self.forms, self.looks)
        self._units = _units_of(self.forms)

    def take(self, text: str, number: int) -> None:
        """Take the next line."""
        matching = [
            (self.forms[n].letters, n, match.groups())
            for n, pattern in enumerate(self._patterns)
            if (match := pattern.fullmatch(text))
        ]
        if not matching:
            self._free(text, number)
            return
        _, n, values = max(matching)
        level, last = self._levels[n], len(self.forms) - 1
        self.told = {at: told for at, told in self.told.items() if at < level}
        self.told[level] = self._by_key(self.forms[n].places, values)
        if level < last:
            return
        above = sorted({at for at in self._levels if at < last})
        missing = [self.forms[at].text for at in above if at not in self.told]
        if missing:
            self._fault(number, text, f"a line '{missing[0]}' above it, of its own")
        else:
            own = {key: value for told in self.told.values() for key, value in told.items()}
            self.rows += [(number, row) for row in _each_by_itself(own, self.forms[n].places)]
        self.told = {at: v for at, v in self.told.items() if not self._is_of_one_row(at)}

    def _by_key(self, places: Sequence[Slot], values: Sequence[str]) -> dict[SlotKey, str]:
        """Return what places hold, each with its unit where other forms show another."""
        return {
            place.take.key: f"{value} {place.unit}"
            if place.unit and len(self._units[place.take.key]) > 1
            else value
            for place, value in zip(places, values, strict=True)
            if place.take.role is not None
        }

    def _is_of_one_row(self, level: int) -> bool:
        """Tell whether a line counts for the next row alone: it holds a result, or numbers that are no key."""
        if level == len(self.forms) - 1:
            return True
        roles = {place.take.role for place in self.forms[level].places if place.take.role}
        return bool(roles & self.looks.results) or not (
            roles & self.looks.heads or not roles & self.looks.numbers
        )

    def _free(self, text: str, number: int) -> None:
        begun = bool(self.rows or self.told)
        (self.below if begun else self.above).append(Line((text,), number))
        if begun and _DIGIT.search(text):
            self._fault(number, text, OF_A_FORM)

    def _fault(self, row: int, text: str, expected: str) -> None:
        self.faults.append(
            Fault(Reason.UNREAD_ROWS, row, None, f"'{text[:60]}'", expected, self.sheet)
        )

    def columns(self) -> list[SeenColumn]:
        """Return what the rows hold, a column for each thing that some form names."""
        first: dict[SlotKey, Slot] = {}
        for place in (place for form in self.forms for place in form.places):
            if place.take.role is not None:
                first.setdefault(place.take.key, place)
        return [
            SeenColumn(
                place.raw,
                place.unit if len(self._units[key]) == 1 else None,
                [row.get(key, "") for _, row in self.rows],
            )
            for key, place in first.items()
        ]


def _units_of(forms: Sequence[Form]) -> Mapping[SlotKey, set[str | None]]:
    units: dict[SlotKey, set[str | None]] = {}
    for place in (place for form in forms for place in form.places):
        units.setdefault(place.take.key, set()).add(place.unit)
    return units


def _each_by_itself(
    row: dict[SlotKey, str], places: Sequence[Slot]
) -> Iterator[dict[SlotKey, str]]:
    """Yield a row for each of the numbers that stand side by side in it."""
    keys = [place.take.key for place in places if place.take.several]
    parts = [listed_numbers(row[key]) for key in keys]
    for values in itertools.zip_longest(*parts, fillvalue="") if keys else [()]:
        yield row | dict(zip(keys, values, strict=True))


def said_in_two_ways(forms: Sequence[Form]) -> str | None:
    """Return what two forms name in two ways, such as in two units; None if nothing."""
    first: dict[SlotKey, Take] = {}
    for place in (place for form in forms for place in form.places):
        take = place.take
        if take.role is not None and first.setdefault(take.key, take) != take:
            return take.role
    return None


def seen_by_forms(
    lines: Sequence[tuple[int, str]], reading: LineByLine, passed: Callable[[str], bool]
) -> Sight:
    """Return the table that lines of some forms make.

    Parameters
    ----------
    lines
        Number and text of each line; in a workbook its cells with a semicolon between.
    passed
        Tells which lines a person has said to pass over.
    """
    for number, text in lines:
        if text.strip() and not passed(text):
            reading.take(text.strip(), number)
    whole = [text for _, text in lines]
    grid = Grid(
        [[text.strip()] for text in whole],
        [number for number, _ in lines],
        delimiter=_BY_FORMS,
        sheet=reading.sheet,
        whole_lines=whole,
    )
    if not reading.rows:
        return Sight(grid, [], reading.above + reading.below, [])
    rows = [number for number, _ in reading.rows]
    table = Seen(grid, reading.columns(), rows[0], reading.above, rows)
    return Sight(grid, [table], reading.below, [])
