"""Columns known by the notation of their cells, whatever stands above them.

A column of `Ri 2` is one of degrees of rusting under any title. It is read as that, or the file is
held: it is never passed over without a word, also where another column makes it superfluous.
"""

from __future__ import annotations

from dataclasses import replace

from tiecoat.contract import words as shared
from tiecoat.plugin import Notation, Spread
from tiecoat.tabular.attempts import BY_LOOK, BY_UNIT, NEARLY_ALL, Attempt, Given, spread_of
from tiecoat.tabular.column_fit import holds_amounts
from tiecoat.tabular.conclusion import available
from tiecoat.tabular.general_words import is_general
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.told_entries import ToldEntry
from tiecoat.tabular.words import EXACT, WordIndex

_NOT_OF_THEM: WordIndex[str] = WordIndex()  # of titles whose cells say what should be
_NOT_OF_THEM.add(listed(shared.SPECIFIED), "specified")


def read_numbers_in_notation(found: Attempt) -> None:
    """Read the numbers of columns of numbers whose cells are all in a notation: 7-G of grades."""
    for notation in found.lexicon.kind.notations:
        for place, title in enumerate(found.titles):
            names = {role.name for role, fit in found.lexicon.fits(title) if fit.level == EXACT}
            if notation.column in names:
                _read_numbers(found, place, notation)


def _read_numbers(found: Attempt, place: int, notation: Notation) -> None:
    content = found.contents[place]
    if notation.number is None or content.is_numeric or not content.filled:
        return
    if not _are_in(found, place, notation):
        return
    cells = [
        f"{notation.number(cell):g}" if isinstance(cell, str) and notation.looks(cell) else cell
        for cell in content.cells
    ]
    found.contents = [*found.contents]
    found.contents[place] = content.of(cells)
    title = found.titles[place].raw
    found.aside[place] = f"what stands behind the numbers under '{title}' is left out"


def take_by_notation(found: Attempt) -> None:
    """Take the one column without a title of the trade whose cells all are in a notation of the kind."""
    for notation in found.lexicon.kind.notations:
        alike = [place for place in _left(found) if _share(found, place, notation) == 1.0]
        places = [place for place in alike if not _is_named(found, place)]
        if not places and _is_needed(found, notation):  # remarks that are all of them
            places = [place for place in alike if len(found.contents[place].filled) > 1]
        told = [(notation.column, *one) for one in (notation.at,) if one]
        shown = [(spread_of(one).column, *key) for one in found.spreads for key in one.keys]
        beside = bool(told) and not {*told} & {*shown} and _tell_every_key(found, notation)
        if len(places) == 1 and notation.column not in found.given and (not shown or beside):
            _take(found, places[0], notation)
    _take_of_several(found)


def _take_of_several(found: Attempt) -> None:
    """Take the one column whose cells are each in one of several notations, by a key beside it.

    Such as `Ri 1` and `2(S3)` under `code`, where another column tells rust and blisters apart.
    """
    for column in dict.fromkeys(each.column for each in found.lexicon.kind.notations):
        notations = [each for each in found.lexicon.kind.notations if each.column == column]
        keys = {each.at[0] for each in notations if each.at}
        if column in found.given or found.spreads or not keys & found.given.keys():
            continue
        places = [
            place
            for place in _left(found)
            if not _is_named(found, place)
            and all(
                isinstance(cell, str) and any(each.looks(cell) for each in notations)
                for cell in found.contents[place].filled
            )
        ]
        if len(places) == 1 and len(notations) > 1:
            found.given[column] = Given(found.lexicon.roles[column], BY_LOOK, places[0])
            found.passed.discard(places[0])


def _is_needed(found: Attempt, notation: Notation) -> bool:
    """Tell whether each determination must have what a notation is of, and nothing gives it."""
    return not found.lexicon.infos[notation.column].nullable and not (
        available(found) & {notation.column}
    )


def _tell_every_key(found: Attempt, notation: Notation) -> bool:
    """Tell whether every wide title tells the key that a notation tells: rust beside blisters."""
    key = notation.at[0] if notation.at else ""
    return all(key in dict(one.keys) for one in found.spreads)


def note_by_notation(found: Attempt) -> None:
    """Note each column that is still passed over and whose cells look like values of the kind."""
    notations = found.lexicon.kind.notations
    for place in _left(found):
        if any(_share(found, place, each) >= _least(found, place) for each in notations) or (
            not _is_named(found, place)
            and (
                holds_amounts(found, place) or _holds_ids(found, place) or _holds_days(found, place)
            )
        ):
            found.untaken.append(place)
            found.passed.discard(place)


def _left(found: Attempt) -> list[int]:
    """Return the filled columns of texts that nobody has taken or named, and no person passed over."""
    kept = {one.place for one in (*found.given.values(), *found.spreads)} | {*found.untaken}
    kept |= {at for _, *both in found.rivals for at in both}
    return [
        place
        for place, content in enumerate(found.contents)
        if place not in kept
        and content.filled
        and not content.is_numeric
        and found.taught.of(title := found.titles[place]) is None
        and not _NOT_OF_THEM.knows(title)
    ]


def _is_named(found: Attempt, place: int) -> bool:
    """Tell whether the title of a column is a word of the trade, and not one of a key told better.

    `code` may be that of a sample, and is none beside the ids of one.
    """
    exact = [r for r, fit in found.lexicon.fits(found.titles[place]) if fit.level == EXACT]
    told = [r for r in exact if r.sort == "key" and r.name in found.given]
    return len(told) < len(exact) or (bool(exact) and not is_general(found.titles[place].name))


def _share(found: Attempt, place: int, notation: Notation) -> float:
    """Return the share of the filled cells of a column that are in a notation."""
    filled = found.contents[place].filled
    return sum(isinstance(cell, str) and notation.looks(cell) for cell in filled) / len(filled)


def _are_in(found: Attempt, place: int, notation: Notation) -> bool:
    """Tell whether the cells of a column are in a notation of numbers, or plain numbers amid such."""
    plain = found.contents[place].told_numbers
    own = _share(found, place, notation) * len(found.contents[place].filled)
    return own > 0 and round(own) + len(plain) == len(found.contents[place].filled)


def _least(found: Attempt, place: int) -> float:
    """Return what share must be in a notation: all below a title for remarks, some below any other."""
    return 1.0 if _is_named(found, place) else 1.0 / len(found.contents[place].filled)


def _take(found: Attempt, place: int, notation: Notation) -> None:
    """Give a column to what its notation is of, with the word that this tells."""
    role = found.lexicon.roles[notation.column]
    key, word = notation.at or ("", "")
    given = found.given.get(key)
    _read_numbers(found, place, notation)
    if key and any(key in dict(one.keys) for one in found.spreads):
        spread = Spread("", role.name, key, word)
        found.spreads.append(Given(replace(role, sort="spread", spread=spread), BY_LOOK, place))
    else:
        found.given[role.name] = Given(role, BY_LOOK, place)
        if key and given is None:
            row, sheet = found.table.seen.header_row, found.table.seen.sheet
            entry = ToldEntry(Title(key, key), word, None, row, None, sheet)
            found.given[key] = Given(found.lexicon.roles[key], BY_LOOK, told=entry)
    found.passed.discard(place)


def _holds_ids(found: Attempt, place: int) -> bool:
    """Tell whether a column holds ids of panels beside those of another: of which are the values?"""
    panel = found.given.get("panel")
    if panel is None or panel.place is None or found.lexicon.kind.replaces:
        return False
    content = found.contents[place]
    return content.panels > NEARLY_ALL and content.cells != found.contents[panel.place].cells


def _holds_days(found: Attempt, place: int) -> bool:
    """Tell whether a column holds other days than the one that is taken, and neither title says which."""
    date = found.given.get("date")
    if date is None or date.place is None or date.level > BY_UNIT:
        return False
    content = found.contents[place]
    return content.is_days and content.cells != found.contents[date.place].cells
