"""What stands around a table, its lines, titles, sheet and name, against what is read in it.

A sheet called `20°` with readings under `Gloss 60°`: one of the two is wrong, and nobody knows which.
A text counts against what is read only if it speaks of a quantity and none of the values read is one
that it speaks of: of several it may tell the last, or all.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

from tiecoat.dialect.delimited import Grid
from tiecoat.tabular.attempts import BY_LOOK, TAUGHT, Attempt, Given
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.lines_beside import tell_beside
from tiecoat.tabular.seen import Line
from tiecoat.tabular.several_told import tell_several
from tiecoat.tabular.spans import spans_in
from tiecoat.tabular.spoken import amounts_spoken_of, file_name, without_check, without_since

_WITHIN = 0.1  # a share by which a round amount may differ from one that was measured
_WITHIN_C = 3.0
_WITHIN_H = 2.0
_TIMES = ("h", "s")
_LOOSE = ("property",)  # corrosion is a word for a test, and rust for more than a rating
Amounts = set[Any]


def tell_around(found: Sequence[Attempt]) -> None:
    """Note each text around the tables that tells another value than all that are read.

    Parameters
    ----------
    found
        The tables of a file, with the columns that were made of each.
    """
    for each in found:
        tell_beside(each)
    of_file: dict[tuple[str, str], Amounts] = {}
    for each in found:
        for name, values in _read(each):
            of_file.setdefault((each.kind_name, name), set()).update(values)
    for each in found:
        tell_several(each, of_file)
        for name, values in _read(each):
            whole = of_file[each.kind_name, name]
            for text, where, read in _texts(each, name, values, whole):
                others = set(_spoken(each, name, text))
                if others and not any(_alike(each, name, a, b) for a in others for b in read):
                    _tell(each, name, others, where, read)
                    break


def _read(found: Attempt) -> Iterator[tuple[str, Amounts]]:
    """Yield the columns of conditions that the table itself tells, each with its values."""
    lexicon = found.lexicon
    told = {spread_key for one in found.spreads for spread_key, _ in one.keys}
    for name, info in lexicon.infos.items():
        given = found.given.get(name)
        if name not in told and not _counts(given) and not _is_told(found, name):
            continue
        if given is not None and given.told is not None and info.unit == "h":
            continue  # an entry that the name contradicts is remarked: the name may tell the end
        if name in lexicon.closed:
            if name not in lexicon.kind.identity:
                continue
        elif info.type != "float" or not info.unit or name in lexicon.results:
            continue
        values = {v for v in found.read.get(name, ()) if v is not None and v == v}  # noqa: PLR0124 - NaN
        if values:
            yield name, values


def _is_told(found: Attempt, name: str) -> bool:
    """Tell whether a text tells a closed word of every row, and not the kind what is usual."""
    if name in found.given or name not in found.lexicon.closed:
        return False
    usual = dict(found.lexicon.kind.defaults).get(name)
    customs = {custom.value for custom in found.customs if custom.column == name}
    return not customs & set(found.read.get(name, ())) and usual not in found.read.get(name, ())


def _counts(given: Given | None) -> bool:
    if given is not None and given.level == BY_LOOK and given.told is not None:
        return False  # told by the notation of cells
    return given is not None and given.level < TAUGHT


def _texts(
    found: Attempt, name: str, own: Amounts, whole: Amounts
) -> Iterator[tuple[str, str, Amounts]]:
    """Yield the texts around a table, where each stands, and the values that it may tell.

    Words are looser than amounts: those of a title or folder may be of something else.
    """
    seen, export = found.table.seen, found.file.export
    worded = name in found.lexicon.closed
    timed = found.lexicon.infos[name].unit in _TIMES
    entries = {one.told.row for one in found.given.values() if one.told is not None}
    if worded and name not in found.given and not _spread_over(found, name):
        titles = [found.titles[n].raw for n in _results_at(found, name)]
        yield from ((title, "a title", own) for title in titles)
        if any(own & set(_spoken(found, name, title)) for title in titles):
            yield file_name(found), "the name of the file", whole
        return
    if name in _LOOSE:  # of all lines together: another may say it more closely
        yield "\n".join(line.text for line in seen.above), "the lines above", own
        return
    for line in seen.above:
        if not (line.row in entries and (worded or timed)):
            text = without_since(_as_written(seen.grid, line))
            yield without_check(text) if worded else text, f"row {line.row}", own
    if seen.sheet:
        yield seen.sheet, "the name of the sheet", own
    yield file_name(found), "the name of the file", whole
    if not worded:
        yield export.folder.replace("_", " "), "the name of the folder", whole
    if found.lexicon.allowed(name) or timed:
        for place in sorted({one.place for one in found.given.values() if one.place is not None}):
            title = found.titles[place].raw
            yield title, f"the title '{title}'", own


def _as_written(grid: Grid, line: Line) -> str:
    """Return a line in one piece: of one that the comma has parted the comma may be decimal."""
    whole = grid.line(line.row) if grid.delimiter == "," else None
    return line.text if whole is None else whole


def _spread_over(found: Attempt, name: str) -> bool:
    return any(name in dict(one.keys) for one in found.spreads)


def _results_at(found: Attempt, name: str) -> list[int]:
    """Return the columns of results, but for those whose titles tell this key."""
    results = {*found.lexicon.results, found.lexicon.only_value}
    given = [one for role, one in found.given.items() if role in results]
    given += [one for one in found.spreads if name not in dict(one.keys)]
    return sorted({one.place for one in given if one.place is not None})


def _spoken(found: Attempt, name: str, text: str) -> Iterator[Any]:
    """Yield the values of a column that a text speaks of."""
    lexicon = found.lexicon
    if name in _LOOSE:
        for line in text.splitlines():
            spreads = [role.spread for role in lexicon.longest_spoken_of(line)]
            if all(spread is not None and spread.key == name for spread in spreads):
                others = [role.spread for role in lexicon.spoken_roles(line)]
                yield from (one.value for one in others if one is not None and one.key == name)
                yield from (spread.value for spread in spreads if spread is not None)
    elif name in lexicon.closed:
        index = lexicon.closed[name]
        yield from index.all_spoken_of(text) or [w for w in [index.spoken_of(text)] if w]
        spreads = [role.spread for role in lexicon.spoken_roles(text)]
        yield from (spread.value for spread in spreads if spread and spread.key == name)
    elif lexicon.infos[name].unit == "h":
        yield from (span.hours for span in spans_in(text) if not math.isnan(span.hours))
    else:
        yield from amounts_spoken_of(found, lexicon.roles[name], text)


def _alike(found: Attempt, name: str, one: Any, other: Any) -> bool:
    if isinstance(one, str):
        return bool(one == other)
    role: Role = found.lexicon.roles[name]
    if found.lexicon.allowed(name):
        return bool(one == other)
    floor = {"degC": _WITHIN_C, "h": _WITHIN_H}.get(role.unit, 0.0)
    share = 0.0 if role.unit == "degC" else _WITHIN
    return bool(abs(one - other) <= max(floor, share * abs(one)))


def _tell(found: Attempt, name: str, others: Amounts, where: str, read: Amounts) -> None:
    info = found.lexicon.infos[name]
    say = [
        " or ".join(sorted(v if isinstance(v, str) else f"{v:g}" for v in one))
        for one in (read, others)
    ]
    found.tell_contradiction(
        f"{say[0]} in the table, and {say[1]} in {where}",
        f"one value for {name} ({info.meaning})",
    )
