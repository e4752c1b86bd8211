"""What lines beside a table say of its values that is not read: amounts, units, which uncertainty."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache

from tiecoat.contract import words as shared
from tiecoat.dialect.units import is_same, scale
from tiecoat.tabular.attempts import TAUGHT, Attempt
from tiecoat.tabular.column_fit import unit_said
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.plus_minus import which_uncertainty
from tiecoat.tabular.seen import Line
from tiecoat.tabular.spoken import file_name
from tiecoat.tabular.title_readings import per_area
from tiecoat.tabular.words import WordIndex

_UNIT_WORDS = re.compile(r"[^\W\d]+[ ·*.x]{0,3}c?m(?:²|\^?2)")
_VALUES_IN = re.compile(
    r"[^\d]{3,60}?\s(?:in|en|w|v|em)\s+\[?(?P<unit>[^\W\d][^\s\d]*(?:\s[^\s\d]{1,4})?)\]?"
)
_AMOUNT = re.compile(r"(?<![\w.,-])\d+(?:[.,]\d+)?\s?(?P<unit>[^\s\d,;:()][^\s,;:()]*)")
_PLUS_MINUS = re.compile(r"(?:±|\+/-|\+-|\b[uU]\s*[=:])\s*\d")
_REMEMBERED = 2048  # lines
TOLD_BESIDE = ("um", "g/cm**3")
_WET = re.compile(  # of a film that is no dry one
    r"\b(?:wet|nass\w*|naß\w*|humides?|húmed[ao]s?|umid[aoie]|mokr\w+|na mokro|natte?|za mokra)\b",
    re.IGNORECASE,
)
_OF_FILMS = re.compile(r"(?:[µμu]m|mils?|mi[ck]r[oò]n\w*|micras?|µ|μ)", re.IGNORECASE)
_CLAUSES = re.compile(r"[;|]\s*|,\s+|\t+|\s{3,}")
_SPECIFIED: WordIndex[str] = WordIndex()
_SPECIFIED.add(listed(shared.SPECIFIED), "specified")


def tell_beside(found: Attempt) -> None:
    """Note what lines beside a table say and nothing was made of, or what they say otherwise."""
    if not found.read:
        return
    _tell_unread_amounts(found)
    _tell_of_the_area(found)
    _tell_other_uncertainty(found)
    _tell_other_units(found)


def _tell_unread_amounts(found: Attempt) -> None:
    """Note an amount beside a table of what a column may hold that nothing was taken for.

    Of a column that may be missing nobody would miss it: `coating 77 um`, `u = 0.0008 g/ml`.
    """
    lexicon, texts = found.lexicon, None
    for name, info in lexicon.infos.items():
        if info.type != "float" or not info.nullable or info.unit not in TOLD_BESIDE:
            continue
        if name in lexicon.kind.shown_by or any(v == v for v in found.read.get(name, ())):  # noqa: PLR0124
            continue
        roles = [lexicon.roles[name]]
        roles += [
            lexicon.roles[need]
            for relation in lexicon.kind.relations
            if relation.gives == name
            for need in relation.needs
        ]
        texts = texts or [(line, _without_names(found, line)) for line in found.lines_around]
        for line, text in texts:
            if (amount := _amount_of(found, roles, info.unit, text)) is not None:
                found.tell_contradiction(
                    f"{amount}, and nothing that says surely what it is",
                    f"a word for {name} ({info.meaning}) beside it if it is that, or an answer for"
                    " it (tiecoat learn)",
                    row=line.row,
                )
                break


def _without_names(found: Attempt, line: Line) -> str:
    """Return a line without what was taken from it as a text: `Coat system: EP primer 160 µm`."""
    text, sheet = line.text, found.table.seen.sheet
    for given in found.given.values():
        told = given.told
        if told and given.role.type == "str" and (told.row, told.sheet) == (line.row, sheet):
            text = text.replace(str(told.value), " ")
    return text


def _tell_of_the_area(found: Attempt) -> None:
    """Note a value that is read as it stands where the file says that it was multiplied by the area.

    By the unit of it in a text (`ohm cm2`), or by a word beside one for the value (normalised).
    """
    lexicon = found.lexicon
    for relation in lexicon.kind.relations:
        source = lexicon.roles.get(relation.needs[0])
        given = found.given.get(relation.gives)
        own = lexicon.roles.get(relation.gives)
        if source is None or own is None or given is None or given.place is None:
            continue
        if (
            source.unit != f"{own.unit}*cm**2"
            or source.name in found.given
            or given.level >= TAUGHT
        ):
            continue
        texts = [line.text for line in found.table.seen.above]
        texts += [found.table.seen.sheet or "", file_name(found), found.titles[given.place].raw]
        for text in texts:
            of_unit = [unit for unit in _units_of_area(text) if scale(unit, source.unit)]
            worded = per_area(text) and _is_about(found, text, given.place)
            if of_unit or worded:
                found.tell_contradiction(
                    f"{own.unit} here, and '{text}'",
                    f"{own.unit} or {source.unit} in the title of the column",
                    found.titles[given.place].raw,
                )
                return


@lru_cache(maxsize=_REMEMBERED)
def _units_of_area(text: str) -> tuple[str, ...]:
    return tuple(match[0] for match in _UNIT_WORDS.finditer(text))


def _tell_other_uncertainty(found: Attempt) -> None:
    """Note a column of one sort of uncertainty where the lines beside it speak of the other only."""
    names = [name for name in found.given if name in found.lexicon.roles and "uncertainty" in name]
    texts = [line.text for line in found.lines_around]
    for name in names:
        told = which_uncertainty(found, name, texts)
        place = found.given[name].place
        if told is not None and told not in names and place is not None:
            found.tell_contradiction(
                f"{name} by the title, and {told} by the lines beside it",
                "one uncertainty: the standard one, or the expanded one (k = 2)",
                found.titles[place].raw,
            )


def _tell_other_units(found: Attempt) -> None:
    """Note a line such as `forces in kN` above a column that says another unit: one of them is wrong."""
    given = [one for one in (*found.given.values(), *found.spreads) if one.place is not None]
    said = {
        one.place: unit_said(found, one.place or 0, found.titles[one.place or 0]) for one in given
    }
    for match in (match for line in found.table.seen.above for match in _values_in(line.text)):
        alike = [
            one
            for one in given
            if one.role.unit and scale(match["unit"], one.role.unit) is not None
        ]
        units = [unit for one in alike if (unit := said[one.place])]
        if len({one.role.name for one in alike}) != 1 or any(
            is_same(unit, match["unit"], alike[0].role.unit) for unit in units
        ):
            continue
        if units and all(one.level < TAUGHT for one in alike):
            place = alike[0].place or 0
            found.tell_contradiction(
                f"the unit {said[place]} here, and {match['unit']} above: '{match[0]}'",
                "one unit for a column",
                found.titles[place].raw,
            )
            return


@lru_cache(maxsize=_REMEMBERED)
def _values_in(text: str) -> tuple[re.Match[str], ...]:
    """Return the clauses of a line that say in which unit values are."""
    clauses = (clause.strip(" .:-") for clause in _CLAUSES.split(text))
    return tuple(filter(None, map(_VALUES_IN.fullmatch, clauses)))


def _is_about(found: Attempt, text: str, place: int) -> bool:
    """Tell whether a text speaks of what is measured: it is its title, or has a word for it."""
    if text == found.titles[place].raw:
        return True
    values = {
        name
        for relation in found.lexicon.kind.relations
        for name in (relation.gives, *relation.needs)
        if name in found.lexicon.roles and found.lexicon.roles[name].unit == "ohm"
    }
    return any(role.name in values for role in found.lexicon.spoken_roles(text))


def _amount_of(found: Attempt, roles: Sequence[Role], unit: str, text: str) -> str | None:
    """Return an amount of one of the roles that a text tells: by a word for it, or by its unit alone."""
    for clause in _CLAUSES.split(text):
        if _SPECIFIED.all_spoken_of(clause) or (unit == "um" and _WET.search(clause)):
            continue
        speaks = any(found.lexicon.speaks_of(role, clause) for role in roles)
        speaks = speaks or (
            roles[0].name.startswith("uncertainty") and _PLUS_MINUS.search(clause) is not None
        )
        for match in _AMOUNT.finditer(clause):
            way = scale(match["unit"].rstrip(".%"), unit) if match["unit"].rstrip(".%") else None
            of_film = unit == "um" and _OF_FILMS.fullmatch(match["unit"].rstrip(".")) is not None
            if way is not None and (speaks or of_film):
                return match[0].strip()
    return None
