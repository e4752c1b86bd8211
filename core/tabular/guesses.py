"""What columns and lines that nobody knows are likely to be: what a person is offered first."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence

from tiecoat.dialect.units import scale
from tiecoat.tabular.attempts import Attempt, ColumnLook
from tiecoat.tabular.cell_looks import cleaned, valuelike
from tiecoat.tabular.file import File
from tiecoat.tabular.id_looks import IdLooks, in_texts
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.told_lines import stem_of

_NUMBER = re.compile(r"(?<![^\W_])[-+−]?\d+(?:[.,]\d+)?")
_AMOUNT = re.compile(
    r"(?<![\w.,])(?P<number>\d+(?:[.,]\d+)?)(?P<blank>\s?)(?P<unit>[^\W\d_]{1,5}\d?)(?![^\W_])"
)
_UNNAMED = "?"
_LEAST_ROWS = 2  # and columns, of what may be a table


def column_guesses(found: Attempt, units: Mapping[str, str]) -> dict[int, str]:
    """Return what the columns that nobody took are likely to be, by their place.

    Parameters
    ----------
    units
        Unit of a role -> the likeliest one of a column that names none.
    """
    guesses = _wide_guesses(found, units)
    taken = set(found.given)
    if guesses:
        taken |= {*found.lexicon.kind.shown_by, found.lexicon.kind.counted or ""}
    for place in range(len(found.titles)):
        if place in guesses or not _is_open(found, place):
            continue
        for role in _likely(found, place, taken):
            guesses[place] = _with_unit(found, place, role, units)
            taken.add(role.name)
            break
    return guesses


def _wide_guesses(found: Attempt, units: Mapping[str, str]) -> dict[int, str]:
    """Return columns whose titles differ in their last sign alone, as determinations side by side."""
    counted = found.lexicon.kind.counted
    shown = {*found.lexicon.kind.shown_by}
    wanted = {*found.lacking} | (set() if shown & found.given.keys() else shown)
    results = [name for name in _in_order_of_weight(found) if name in wanted]
    if counted is None or counted in found.given or not results:
        return {}
    role = found.lexicon.roles[results[0]]
    alike: dict[str, list[int]] = {}
    for place, title in enumerate(found.titles):
        if _is_open(found, place) and _may_be(found, role, place, found.contents[place]):
            alike.setdefault(title.raw.strip()[:-1], []).append(place)
    places = max(alike.values(), key=len, default=[])
    if len(places) < _LEAST_ROWS:
        return {}
    return {
        place: f"{_with_unit(found, place, role, units)} at {counted} {number}"
        for number, place in enumerate(places, 1)
    }


def _is_open(found: Attempt, place: int) -> bool:
    """Tell whether nobody took a column, and it may hold something: numbers, or texts that are lacking."""
    given = {one.place for one in (*found.given.values(), *found.spreads)}
    content = found.contents[place]
    if place in given or found.taught.of(found.titles[place]) is not None or not content.filled:
        return False
    if place in found.untaken or not content.is_numeric:
        return True
    shown = {*found.lexicon.kind.shown_by, found.lexicon.only_value}
    return bool(
        shown & {*found.lacking}
    )  # a word for something beside may be that of a result here


def _likely(found: Attempt, place: int, taken: set[str]) -> Iterator[Role]:
    lexicon, content = found.lexicon, found.contents[place]
    kind, roles = lexicon.kind, lexicon.roles
    if content.counts and kind.counted and kind.counted not in taken:
        yield roles[kind.counted]
    spoken = found.titles[place].raw.casefold()
    names = _in_order_of_weight(found)
    names.sort(key=lambda name: not spoken.startswith(name.split("_")[0]))
    for name in names:
        role = roles.get(name)
        if role is not None and name not in taken and _may_be(found, role, place, content):
            yield role


def _in_order_of_weight(found: Attempt) -> list[str]:
    """Return the columns of a kind, those that a table is there for first, times last."""
    lexicon = found.lexicon
    kind, infos = lexicon.kind, lexicon.infos
    may_lack = {custom.column for custom in kind.customs}
    required = [name for name, info in infos.items() if not info.nullable or name in may_lack]
    swept = [name for name in kind.unique if name in infos and infos[name].unit not in ("s", "")]
    only = [lexicon.only_value] if lexicon.only_value else []
    open_numbers = [n for n in range(len(found.titles)) if _is_open(found, n)]
    if sum(found.contents[n].is_numeric for n in open_numbers) < _LEAST_ROWS:
        swept = []  # one column alone is no curve
    own = [name for name in required if name.startswith(kind.name)]
    names = [*swept, *only, *kind.shown_by, *own, *found.lacking, *required]
    wanted = dict.fromkeys(name for name in names if name in lexicon.roles)
    return sorted(wanted, key=lambda name: lexicon.roles[name].unit in ("s", "h"))


def _may_be(found: Attempt, role: Role, place: int, content: ColumnLook) -> bool:
    """Tell whether the cells of a column can be those of a role."""
    lexicon, unit = found.lexicon, unit_shown(found, place)
    if role.type == "time":
        return content.is_days
    if role.type == "str":
        if role.name in lexicon.closed and lexicon.is_closed(role.name):
            return all(lexicon.is_word(role.name, str(cell)) for cell in content.filled)
        return not content.is_numeric and role.name in found.lacking
    if not content.is_numeric or (unit and role.unit and scale(unit, role.unit) is None):
        return False
    low, high = role.usual or lexicon.bounds(role.name)
    allowed = lexicon.allowed(role.name)
    values = content.told_numbers
    if role.name == lexicon.kind.counted and not all(map(float.is_integer, values)):
        return False
    if allowed:
        return all(value in allowed for value in values)
    return unit is not None or all(low <= value <= high for value in values)


def unit_shown(found: Attempt, place: int) -> str | None:
    """Return the unit of a column as its title or its cells show it."""
    title = found.titles[place]
    at_its_end = title.raw.rstrip(" )]")[-1:]
    return title.unit or ("%" if at_its_end == "%" else found.contents[place].numbers.unit)


def _with_unit(found: Attempt, place: int, role: Role, units: Mapping[str, str]) -> str:
    if unit_shown(found, place) or not role.unit or role.customary or role.type != "float":
        return role.name
    return f"{role.name} in {units.get(role.unit, role.unit)}"


def titles_guess(file: File, ids: IdLooks) -> tuple[str, ...]:
    """Return cells that may be titles though none is a word of the trade: of a row, or the first column."""
    looks = (in_texts(ids.panel), in_texts(ids.batch))
    for sight in file.sights:
        rows = [[str(c) for c in cleaned(row)] for row in sight.grid.rows if any(row)]
        if len(rows) < _LEAST_ROWS or max(map(len, rows)) < _LEAST_ROWS:
            continue
        for row, below in itertools.pairwise(rows):
            cells = [cell for cell in row if cell]
            wide = len(cells) >= _LEAST_ROWS and len(below) == len(row)
            if wide and _are_names(cells, looks) and any(_is_value(c, looks) for c in below if c):
                return tuple(cells)
        first_column = [row[0] for row in rows]
        unlike = len(set(first_column)) == len(first_column)
        if unlike and _are_names(first_column, looks):
            return tuple(first_column)
    return ()


def rows_of_titles(file: File, ids: IdLooks, count: int) -> tuple[str, ...]:
    """Return the first row of so many cells that may be titles: below it each column has values.

    The first cell is none, and one of the others may be an amount that tells values apart: 168 h.
    """
    looks = (in_texts(ids.panel), in_texts(ids.batch))
    for sight in file.sights:
        rows = [[str(cell) for cell in cleaned(row)] for row in sight.grid.rows if any(row)]
        for row, below in itertools.pairwise(rows):
            cells = [cell for cell in row if cell]
            values = [_is_value(cell, looks) for cell in below if cell]
            if len(cells) == count and not _is_value(cells[0], looks) and any(values):
                unlike = len({*cells}) > 1 and cells != [cell for cell in below if cell]
                if unlike and len(below) >= count and below[row.index(cells[0])]:
                    return tuple(cells)
    return ()


def _are_names(cells: Sequence[str], looks: Sequence[re.Pattern[str]]) -> bool:
    unlike = len(set(cells)) > 1
    return unlike and all(cells) and not any(_is_value(cell, looks) for cell in cells)


def _is_value(cell: str, looks: Sequence[re.Pattern[str]]) -> bool:
    return valuelike(cell) or any(look.search(cell) for look in looks)


def form_of_names(name: str, folder: str, role: Role) -> str | None:
    """Return the form by which the name of a file or its folder tells an amount, if one alone may.

    In the unit of what it may be, such as the hours of an exposure: `480 h/rack 2.csv`.
    """
    if not role.unit:
        return None
    last = folder.replace("\\", "/").rstrip("/").rpartition("/")[2]
    for text, after in ((stem_of(name), ""), (last, "/{}")):
        amounts = [m for m in _AMOUNT.finditer(text) if scale(m["unit"], role.unit) is not None]
        if len(amounts) == 1:
            match = amounts[0]
            before, behind = text[: match.start()], text[match.end() :]
            place = f"{{{role.name} in {match['unit']}}}{match['blank']}{match['unit']}"
            lead = f"{{}}{before[-1:]}" if before else ""
            trail = f"{behind[:1]}{{}}" if behind[1:] else behind
            return f"{lead}{place}{trail}{after}"
    return None


def form_guess(lines: Sequence[str], ids: IdLooks) -> str | None:
    """Return the form that most lines with numbers have, for a person to put the names in."""
    forms: Counter[str] = Counter()
    for line in lines:
        if any(map(str.isdigit, line)):
            forms[_form_of(line.strip(), ids)] += 1
    return forms.most_common(1)[0][0] if forms else None


def _form_of(line: str, ids: IdLooks) -> str:
    text = in_texts(ids.panel).sub("{panel}", line)
    text = in_texts(ids.batch).sub("{batch}", text)
    parts = re.split(r"(\{\w+\})", text)
    return "".join(
        part if part.startswith("{") else _NUMBER.sub(f"{{{_UNNAMED}}}", part) for part in parts
    )
