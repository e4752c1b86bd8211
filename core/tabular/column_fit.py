"""Whether the cells and the unit of a column can be what its title suggests."""

from __future__ import annotations

import itertools
import re

from tiecoat.contract import words as shared
from tiecoat.dialect.delimited import Cell
from tiecoat.dialect.units import scale, understand
from tiecoat.tabular.attempts import NEARLY_ALL, TAUGHT, Attempt, ColumnLook
from tiecoat.tabular.column_traits import is_constant, varies
from tiecoat.tabular.lexicon import NOT_MEASURED, Role
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title, is_unit_title
from tiecoat.tabular.words import EXACT, WordFit, WordIndex

_AMOUNT = re.compile(  # ca. 80 µm, 12 mm (right)
    r"(?:[^\W\d]+\.?\s*){0,2}[<>~≈≤≥(]*\s*\d+(?:[.,]\d+)?\s?(?P<unit>[^\s\d,;()][^\s,;()]*)"
    r"(?:[\s(,;].*)?"
)
_ROWS = 2  # in which a column says the same
_VALID: WordIndex[str] = WordIndex()
_VALID.add(listed(shared.VALID), "valid")
_BASES: WordIndex[str] = WordIndex()
_BASES.add(listed(shared.BASES), "base")
HALF = 0.5  # share of them that must be clock times where the title says so


def unit_said(found: Attempt, place: int, title: Title) -> str | None:
    """Return the unit of a column as its title, the row below or its cells say it."""
    if title.unit:
        return title.unit
    if is_unit_title(title.raw):
        return title.raw.strip("[]() ")
    if _are_newtons(found, place, title):
        return "N"
    return found.contents[place].numbers.unit if found.contents[place].is_numeric else None


def _are_newtons(found: Attempt, place: int, title: Title) -> bool:
    """Tell whether N is the unit newton: of a column that counts nothing beside one that is titled by its unit."""
    content = found.contents[place]
    return (
        title.raw.strip("[]() ") == "N"
        and content.is_numeric
        and not content.counts
        and any(is_unit_title(other.raw) for other in found.titles)
    )


def is_feasible(found: Attempt, place: int, role: Role, title: Title, fit: WordFit) -> bool:
    content, level = found.contents[place], fit.level
    if level == TAUGHT:
        return True
    if not content.filled:
        return level == EXACT and role.sort == "column"
    if role.sort == "beside":
        return True
    if role.name == "clock":
        share = HALF if level == EXACT else NEARLY_ALL
        return content.clocks > share and not (
            content.is_numeric and not any(":" in str(c) for c in content.filled)
        )
    if role.type == "time":
        return content.is_days or (content.is_serial_days and level == EXACT)
    if role.name == "panel" and _says_no_id(found, place):
        return False
    if role.name == "number" and title.unit and understand(title.unit) not in ("", None):
        return False  # an amount, such as cycle_h
    if role.name in NOT_MEASURED:
        return not (content.is_days and role.name != "number")
    if role.type == "str":
        timed = role.sort == "spread" and scale(title.unit or "", "h") is not None  # rust 240 h
        amount = bool(title.unit) and understand(title.unit or "") not in ("", None)
        if content.is_numeric and amount and not timed:
            return False  # an amount of something: coat 1 [µm] is no column of coats
        if content.is_numeric and _holds_none_of_its_words(found, place, role):
            return False
        if _are_valid(found, place) and _holds_none_of_its_words(found, place, role):
            return False
        if role.name in found.lexicon.kind.unique and content.is_numeric and _leaps(content):
            return False  # a number of each point, and no part of a program
        if role.name in found.lexicon.kind.identity and found.lexicon.kind.unique:
            return not varies(content)  # a number of the point, and no place or part of a program
        if level < EXACT and holds_amounts(found, place):
            return False
        if role.name in found.lexicon.closed and _are_bases(found, place):
            return False
        if _are_remarks(found, place, role, title):
            return False
        return level == EXACT or not content.is_days
    if role.type == "complex":
        return content.is_complex
    if content.is_duration and role.unit in ("s", "h"):
        return True
    if not content.is_numeric:
        return False
    unit = unit_said(found, place, title) or fit.unit
    if unit and role.unit and scale(unit, role.unit) is None:
        return False
    if unit and not role.unit and understand(unit) not in ("", None):
        return False
    if not unit and level < EXACT and role.unit and not role.customary and is_number(title):
        return False
    if role.name == found.lexicon.kind.counted and is_constant(content):
        return False  # a number of a determination counts; 20, 20, 20 is a diameter
    if role.name in found.lexicon.kind.identity and is_sweep(found):
        return not varies(
            content
        )  # a sweep has one exposure; what rises from row to row is another time
    return True


def _says_no_id(found: Attempt, place: int) -> bool:
    """Tell whether a column says the same in each row, which is no id, below an entry that is one."""
    content = found.contents[place]
    if content.panels or len(content.filled) < _ROWS or len(set(map(str, content.filled))) > 1:
        return False
    panel, _ = content.ids
    told = (one.value for one in found.table.entries if isinstance(one.value, str))
    return any(panel.fullmatch(value.strip()) for value in told)


def is_sweep(found: Attempt) -> bool:
    """Tell whether the rows of a table may be the points of a sweep.

    Of a kind that has determinations to be counted and no sweeps too, such as those of a flow cup,
    some title must name, as nearly as anything, what runs along one. A time does not where something
    else runs along: it may be that of day, or the result.
    """
    kind, roles = found.lexicon.kind, found.lexicon.roles
    if kind.counted is None:
        return bool(kind.unique)
    points = {name for name in kind.unique if roles[name].type == "float"}
    along = {name for name in points if roles[name].unit != "s"} or points
    if any(one.place is not None for name, one in found.given.items() if name in along):
        return True
    for fits in map(found.lexicon.fits, found.titles):
        best = max((fit.level for _, fit in fits), default=0)
        if along & {role.name for role, fit in fits if fit.level == best}:
            return True
    return False


def _holds_none_of_its_words(found: Attempt, place: int, role: Role) -> bool:
    """Tell whether a column that may be one of closed words holds none: hours under `exposure`."""
    cells = {str(cell) for cell in found.contents[place].filled}
    lexicon = found.lexicon
    if role.name not in lexicon.closed or not lexicon.is_closed(role.name):
        return False
    return not any(lexicon.is_word(role.name, cell) for cell in cells)


def _are_remarks(found: Attempt, place: int, role: Role, title: Title) -> bool:
    """Tell whether a column under a word for a remark too, such as Note, holds what is no notation."""
    beside = any(r.sort == "beside" and f.level == EXACT for r, f in found.lexicon.fits(title))
    looks = [one.looks for one in found.lexicon.kind.notations if one.column == role.name]
    cells = [str(cell) for cell in found.contents[place].filled]
    told = sum(any(look(cell) for look in looks) or cell.isdigit() for cell in cells)
    return beside and bool(looks) and told <= HALF * len(cells)


def _leaps(content: ColumnLook) -> bool:
    """Tell whether numbers change from most rows to the next."""
    values = content.told_numbers
    changes = sum(after != before for before, after in itertools.pairwise(values))
    return 2 * changes > len(values)


def _are_bases(found: Attempt, place: int) -> bool:
    """Tell whether a column says on what metal a probe was: `Type: Fe` is no state of a film."""
    return all(_BASES.knows(Title(str(cell), str(cell))) for cell in found.contents[place].filled)


def _are_valid(found: Attempt, place: int) -> bool:
    """Tell whether a column says of each reading no more than that it counts: `Condition: valid`."""
    return all(map(tells_validity, map(str, found.contents[place].filled)))


def tells_validity(text: str) -> bool:
    """Tell whether a text is a word for a reading that counts."""
    return _VALID.knows(Title(text, text))


def is_number(title: Title) -> bool:
    return title.name.strip().isdigit()


def holds_amounts(found: Attempt, place: int) -> bool:
    """Tell whether most cells of a column hold an amount in a unit of the kind: `ca. 80 µm`."""
    units = {
        role.unit for role in found.lexicon.roles.values() if role.sort in ("column", "source")
    }
    cells = found.contents[place].filled
    return sum(_is_amount(cell, units) for cell in cells) > HALF * len(cells)


def _is_amount(cell: Cell, units: set[str]) -> bool:
    match = _AMOUNT.fullmatch(cell.strip()) if isinstance(cell, str) else None
    said = match["unit"].rstrip(".") if match else ""
    if not said or understand(said) in ("", None):
        return False
    return any(unit and scale(said, unit) is not None for unit in units)
