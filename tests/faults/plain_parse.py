"""A second, plain way to read the sample exports: what the fuzz campaign holds tiecoat against.

It shares nothing with tiecoat: no evidence, no guessing. Each layout is declared, and what a cell
means is decided by its declaration alone. What is odd makes `Odd`: then nothing may be filed.
"""

from __future__ import annotations

import csv
import math
import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/Berlin")
FORMATS = ("%d.%m.%Y %H:%M:%S", "%d.%m.%Y %H:%M", "%d.%m.%Y", "%Y-%m-%d %H:%M:%S")
FORMATS += ("%Y-%m-%d %H:%M", "%Y-%m-%d", "%Y-%m-%dT%H:%M:%S")
NOTHING = {"", "-", "--", "–", "—", "n/a", "na", "nan", "#n/a"}
NUMBER = re.compile(r"([+-]?)(\d*)(?:\.(\d*))?(?:[eEdD]([+-]?\d{1,4}))?")
GROUPED = {
    mark: re.compile(
        rf"[+-]? ?[1-9]\d{{0,2}}([{other} '’\u00a0])\d{{3}}(\1\d{{3}})*(?![\d{other}]).*"
    )
    for mark, other in ((".", ","), (",", "."))
}
# A number in which this mark can only be the decimal one.
CLEAR = {
    mark: re.compile(
        rf"[+-]?(\d*{mark}(\d{{0,2}}|\d{{4,}})|0*{mark}\d{{3}}|[1-9]\d{{0,2}}({other}\d{{3}})+{mark}\d+)"
    )
    for mark, other in ((r"\.", ","), (",", r"\."))
}

# What one of a unit is in the unit of the archive; a pair adds an offset.
UNITS: dict[str, dict[str, float | tuple[float, float]]] = {
    "": {"": 1.0},
    "temperature": {"°C": 1.0, "K": (1.0, -273.15), "°F": (5 / 9, -160 / 9)},
    "density": {"g/cm³": 1.0, "kg/m³": 1e-3, "g/l": 1e-3, "mg/l": 1e-6, "g/ml": 1.0, "kg/l": 1.0},
    "length": {"µm": 1.0, "mm": 1e3, "mil": 25.4, "nm": 1e-3, "cm": 1e4},
    "millimetres": {"mm": 1.0, "mil": 0.0254, "cm": 10.0, "µm": 1e-3, "": 1.0},
    "seconds": {"s": 1.0, "min": 60.0, "h": 3600.0},
    "hours": {"h": 1.0, "d": 24.0, "min": 1 / 60, "": 1.0},
    "strength": {
        "MPa": 1.0,
        "kPa": 1e-3,
        "psi": 6.894757293168361e-3,
        "N/mm²": 1.0,
        "bar": 0.1,
        "Pa": 1e-6,
    },
    "force": {"kN": 1e3, "N": 1.0},
    "pascal": {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "psi": 6894.757293168361},
    "viscosity": {"mPa·s": 1e-3, "Pa·s": 1.0, "P": 0.1, "cP": 1e-3},
    "rate": {"1/s": 1.0, "Hz": 1.0, "kHz": 1e3, "1/min": 1 / 60},
    "frequency": {"": 1.0, "Hz": 1.0, "kHz": 1e3, "mHz": 1e-3, "1/s": 1.0},
    "impedance": {"": 1.0, "Ohm": 1.0, "kOhm": 1e3, "MOhm": 1e6},
    "impedance by area": {"Ohm cm2": 1.0, "Ohm ·m2": 1e4, "kOhm cm2": 1e3},
    "angle": {"deg": math.pi / 180, "rad": 1.0},
    "area": {"cm²": 1.0, "cm2": 1.0, "mm2": 1e-2},
    "degrees": {"°": 1.0, "deg": 1.0, "": 1.0},
    "collected": {"ml/h": 1.0, "": 1.0},
    "gloss": {"GU": 1.0, "": 1.0},
    "dose": {"%": 1.0},
    "salt": {"g/l": 1.0, "": 1.0, "mg/l": 1e-3, "kg/m³": 1.0, "g/cm³": 1e3, "g/ml": 1e3},
}


class Odd(Exception):
    """This cannot be said plainly: such a file must be held."""


class OddAbove(Odd):
    """A title or a line above the table cannot be said plainly: all may be filed, or nothing."""


class Unsaid(Exception):
    """A spelling of a unit or a time that the plain way does not know: nothing to compare."""


@dataclass(frozen=True)
class Plain:
    """What one line says: numbers by column of the archive, its ids, its time."""

    row: int
    values: dict[str, float | None]
    key: str
    at: datetime | None


@dataclass(frozen=True)
class Layout:
    """How one sample export is laid out.

    `columns` and `entries` give column of the archive and dimension for a title or a name;
    `key` and `time` name the columns or entries that hold the id and the time; `derive` turns the
    values of a line into those of the archive. After an empty row of `blocks` another table with
    lines of its own may follow.
    """

    delimiter: str
    mark: str
    columns: Mapping[str, tuple[str, str]]
    key: str
    time: tuple[str, ...] = ()
    entries: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    unit_row: bool = False
    blocks: bool = False
    derive: Callable[[dict[str, float | None]], None] = lambda values: None


def number(cell: str, mark: str) -> float | None:
    """Return what a cell says under its decimal mark, None if it is empty."""
    cell = cell.strip()
    if cell.casefold() in NOTHING:
        return None
    cell = re.sub("[−–]", "-", cell)
    other = "," if mark == "." else "."
    if CLEAR[re.escape(other)].fullmatch(cell):  # read so whatever the rest of the table says
        mark = other
    if grouped := GROUPED[mark].fullmatch(cell):
        cell = cell.replace(grouped[1], "")
    found = NUMBER.fullmatch(re.sub("^([+-])[ \u00a0]", r"\1", cell).replace(mark, "."))
    if found is None or not (found[2] or found[3]) or (mark == "," and "." in cell):
        raise Odd(f"the number {cell!r}")
    value = float(f"{found[1]}{found[2] or 0}.{found[3] or 0}e{found[4] or 0}")
    if not math.isfinite(value):
        raise Odd(f"the number {cell!r}")
    return value


def scaled(value: float | None, unit: str, dimension: str) -> float | None:
    """Return a value in the unit of the archive."""
    if value is None:
        return None
    plain = unit.strip(" +-−")
    folded = {name.casefold(): name for name in UNITS[dimension]}
    if plain in UNITS[dimension]:
        folded[plain.casefold()] = plain
    factor = UNITS[dimension].get(folded.get(plain.casefold(), plain))
    if factor is None:
        if any(plain in units for units in UNITS.values()) or plain == "apples":
            raise OddAbove(f"the unit {unit!r}")
        raise Unsaid(unit)
    return value * factor[0] + factor[1] if isinstance(factor, tuple) else value * factor


def moment(text: str) -> datetime | None:
    """Return a local time as UTC; what the clocks skip or double is odd."""
    text = "".join(str(unicodedata.decimal(sign, sign)) for sign in text.strip())
    if text.casefold() in NOTHING:
        return None
    for form in FORMATS:
        try:
            local = datetime.strptime(text, form).replace(tzinfo=ZONE)
        except ValueError:
            continue
        back = local.astimezone(UTC).astimezone(ZONE).replace(tzinfo=None)
        if local.replace(fold=1).utcoffset() != local.utcoffset() or back != local.replace(
            tzinfo=None
        ):
            raise Odd(f"the time {text!r}")
        return local.astimezone(UTC)
    raise Unsaid(text)


@dataclass
class _Line:
    row: int
    cells: list[str]
    titles: list[str]
    units: list[str]
    entries: dict[str, str]

    def said(self, title: str) -> str:
        """Return the cell under a title, or the entry of that name."""
        if title in self.titles:
            return self.cells[self.titles.index(title)]
        return self.entries.get(_folded(title), "")


def parse(text: str, layout: Layout) -> list[Plain]:
    """Return what each line of the table says.

    Raises
    ------
    Odd
        Where a line does not say it plainly.
    """
    lines = _lines(text, layout)
    said = "\n".join(line.said(title) for line in lines for title in layout.columns)
    other = "," if layout.mark == "." else "."
    mark = layout.mark if layout.mark in said or other not in said else other
    return [_plain(line, layout, mark) for line in lines]


def known_titles(text: str, layout: Layout) -> list[tuple[int, int]]:
    """Return for each row of titles how many of them are read, and how many cells it has."""
    lines = re.split(r"\r*\n|\r", text.rstrip())[:-1]  # titles in the last line have no rows
    rows = [line.replace('"', "").split(layout.delimiter) for line in lines]
    names = {*layout.columns, *layout.time, layout.key}
    found = []
    for row in rows:
        titles = [_known(_title(cell.strip())[0], layout) for cell in row]
        if sum(title in layout.columns for title in titles) >= min(2, len(layout.columns)):
            found.append((sum(title in names for title in titles), len(row)))
    return found


def rows_of_numbers(text: str, layout: Layout, widths: set[int]) -> set[int]:
    """Return the lines as wide as a table that hold numbers, whatever stands above them."""
    found = set()
    for row, line in enumerate(re.split(r"\r*\n|\r", text), 1):
        cells = [cell.strip().replace(layout.mark, ".") for cell in line.split(layout.delimiter)]
        numbers = [cell for cell in cells if re.search(r"\d", cell) and NUMBER.fullmatch(cell)]
        table_like = len(numbers) > 2 or (len(numbers) == 2 and cells[0] in numbers)
        if '"' not in line and len(cells) in widths and table_like:
            found.add(row)
    return found


def _lines(text: str, layout: Layout) -> list[_Line]:
    tables, rows = _tables(text, layout)
    if not tables:
        return []
    groups = [group for group in tables[0] if group]
    own = [groups[-1] if groups else {}, *(_joined(each) for each in tables[1:])]
    top = _joined(groups[:-1])
    found: list[_Line] = []
    for number, row, cells, titles, units in rows:
        said = own[number] if number else top | own[0]
        repeated = {name for lines in own for name in lines} - said.keys()
        for name in (*layout.entries, *layout.time, layout.key):
            if _folded(name) in repeated and name not in titles:
                raise OddAbove(f"the line {name} stands above another table only")
        inherited = {name: value for name, value in top.items() if name not in repeated}
        found.append(_Line(row, cells, titles, units, inherited | said))
    return found


def _joined(groups: list[dict[str, str]]) -> dict[str, str]:
    return {name: said for group in groups for name, said in group.items()}


_Row = tuple[int, int, list[str], list[str], list[str]]  # table, row, cells, titles, units


def _tables(text: str, layout: Layout) -> tuple[list[list[dict[str, str]]], list[_Row]]:
    """Return for each table the groups of free lines above it, and all rows of values."""
    found: list[_Row] = []
    tables: list[list[dict[str, str]]] = []
    groups: list[dict[str, str]] = [{}]
    titles: list[str] = []
    units: list[str] = []
    waits = False
    for row, line in enumerate(re.split(r"\r*\n|\r", text), 1):
        cells = [cell.strip() for cell in _cells(line, layout.delimiter)]
        pairs = [(_known(title, layout), unit) for title, unit in map(_title, cells)]
        if not any(cells):
            titles = [] if layout.blocks else titles
            groups.append({})
        elif sum(title in layout.columns for title, _ in pairs) >= min(2, len(layout.columns)):
            titles, units = [title for title, _ in pairs], [unit for _, unit in pairs]
            waits = layout.unit_row
            if tables and not any(number == len(tables) - 1 for number, *_ in found):
                groups = [*tables.pop(), *groups]  # titles without rows were no table
            tables.append(groups)
            groups = [{}]
        elif not titles:
            _note(line, layout, groups[-1])
        elif len([cell for cell in cells if cell]) == 1 and ":" in cells[0]:
            _note(line, layout, groups[-1])  # a free line below the table
        elif waits:
            units, waits = cells, False
        elif cells[0].casefold() == "total" and not any(cells[1:]):
            continue  # a summary of nothing
        else:
            _check(row, cells, len(titles))
            found.append((len(tables) - 1, row, cells, titles, units))
    return tables, found


def _note(line: str, layout: Layout, group: dict[str, str]) -> None:
    """Take a name and its value from a free line."""
    mark = ":" if ":" in line.split(layout.delimiter, maxsplit=1)[0] else layout.delimiter
    name, _, value = line.partition(mark)
    name, said = _folded(name), value.strip(layout.delimiter + " \u00a0")
    asked = {_folded(each) for each in (*layout.entries, *layout.time, layout.key)}
    before = group.get(name)
    if before and said and before != said and name in asked:
        raise OddAbove(f"two values for {name}")
    group[name] = said or before or ""


def _check(row: int, cells: list[str], width: int) -> None:
    if len(cells) == 1:
        raise Unsaid(f"a lone cell in row {row}")
    if len(cells) < width or any(cells[width:]):
        raise Odd(f"row {row} of {len(cells)} cells")


def _plain(line: _Line, layout: Layout, mark: str) -> Plain:
    for name in (*layout.entries, *layout.time):
        if name not in line.titles and _folded(name) not in line.entries:
            raise Unsaid(f"no line {name}")
    values: dict[str, float | None] = {}
    for title, (column, dimension) in layout.columns.items():
        if title in line.titles:
            unit = line.units[line.titles.index(title)]
            values[column] = scaled(number(line.said(title), mark), unit, dimension)
    for name, (column, dimension) in layout.entries.items():
        amount = re.fullmatch(
            r"([-+−\d.,]*(?:[eE][-+]?\d+)?) ?(.*)", line.entries.get(_folded(name), "")
        )
        if amount is None:
            raise OddAbove(f"the entry {name}")
        values[column] = scaled(number(amount[1], layout.mark), amount[2], dimension)
    layout.derive(values)
    times = [line.said(name) for name in layout.time]
    at = moment(" ".join(text for text in times if text.casefold() not in NOTHING))
    return Plain(line.row, values, line.said(layout.key).upper(), at)


def _cells(line: str, delimiter: str) -> list[str]:
    if '"' not in line:
        return line.split(delimiter)
    try:
        return next(csv.reader([line], delimiter=delimiter, strict=True), [""])
    except csv.Error as error:
        raise Unsaid("a quotation mark") from error


def _known(title: str, layout: Layout) -> str:
    """Return a title in the case in which the layout writes it."""
    names = (*layout.columns, *layout.time, layout.key)
    if title in names:
        return title
    return next((name for name in names if _folded(name) == _folded(title)), title)


def _folded(title: str) -> str:
    return re.sub(r"[\s_.]", "", title).casefold()


def _title(cell: str) -> tuple[str, str]:
    found = re.fullmatch(r"(.*?)\s*(?:\[([^\[]*)\]|\((.*)\)|/ (.*))?", cell)
    assert found is not None
    known = any(found[3] in units for units in UNITS.values())
    if found[3] and not known and found[3] != "apples":
        return cell, ""  # no unit, but a part of the title
    return found[1], found[2] or found[3] or found[4] or ""
