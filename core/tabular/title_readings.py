"""What a title says to a kind: parted, in full where the file explains it, below its group."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from tiecoat.contract import controller_words as controller
from tiecoat.contract import words as shared
from tiecoat.dialect.units import scale
from tiecoat.tabular.file import File
from tiecoat.tabular.lexicon import Lexicon, Role
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title, parted, readings
from tiecoat.tabular.words import EXACT

_NUMBERED = re.compile(r"(?P<name>.*[^\s\d].*?)\s*\((?P<number>\d{1,2})\)")
_SYMBOL_AND_NUMBER = re.compile(r"(?P<symbol>[^\W\d_]{1,3})[\s_]?(?P<number>\d{1,2})")


def _any_of(words: Sequence[str]) -> str:
    """Return a pattern for some words, of which a longer one comes before a shorter."""
    return "|".join(map(re.escape, sorted(words, key=len, reverse=True)))


_PER_AREA = re.compile(
    rf"[\s,;(\[–-]*(?<![^\W_])(?:{_any_of(listed(shared.PER_AREA))})(?![^\W_])[\s)\]]*",
    re.IGNORECASE,
)
_TIMES_AREA = re.compile(  # Re Z·A, |Z| x area
    rf"\s*(?:[·⋅∙•*×]|(?<=\s)x(?=\s))\s*(?:{_any_of(['A', 'S', *listed(shared.AREA)])})(?![^\W_])",
    re.IGNORECASE,
)


_SET_VALUE = "set point"
_OF_CONTROLLER = [  # whether it is measured, and how such a title looks
    (
        measured,
        re.compile(
            rf"(?:{_any_of(listed(words))})[\s_.,-]+(?P<after>.+)|(?P<before>.+?)[\s_.,-]+(?:{_any_of(listed(words))})",
            re.IGNORECASE,
        ),
    )
    for measured, words in ((True, controller.MEASURED), (False, controller.SET))
]


@lru_cache(maxsize=4096)
def per_area(text: str) -> bool:
    """Tell whether a text says of a value that it is one of the area: normalised, specific."""
    return _PER_AREA.search(text) is not None


def of_the_area(title: Title) -> Title:
    """Return a title without words that say no more than its unit, which has an area in it.

    Such as `|Z| flächenbezogen [Ω·cm²]` or `Re Z·A (Ω·cm²)`.
    """
    if title.unit is None or scale(title.unit, "ohm*cm**2") is None:
        return title
    return replace(title, name=_TIMES_AREA.sub(" ", _PER_AREA.sub(" ", title.name)).strip())


def by_legend(lexicon: Lexicon, file: File, title: Title) -> Title:
    """Return a title of a few letters by what a line of the file says that they are: d = width.

    Also where numbers tell several of it apart: d1, d2, d3.
    """
    said = file.legend.get(title.name) or file.legend.get(title.raw.strip())
    match = _SYMBOL_AND_NUMBER.fullmatch(title.name) if said is None else None
    if match is not None and (of_symbol := file.legend.get(match["symbol"])):
        if lexicon.fits(Title(title.raw, of_symbol)):
            return replace(title, name=f"{of_symbol} {match['number']}")
        return title
    meaning = parted(said) if said else title
    named = replace(title, name=meaning.name, unit=title.unit or meaning.unit) if said else title
    if said and lexicon.fits(named):
        return named
    symbol = title.name.partition("_")[0]
    if symbol in file.units_of_symbols and not lexicon.fits(title):
        own = replace(title, name=symbol)  # t_off, in the unit of t
        in_unit = [f for role, f in lexicon.fits(own) if _of_this_unit(role, own)]
        return own if any(fit.level == EXACT for fit in in_unit) else title
    return title


def best_reading(lexicon: Lexicon, title: Title) -> Title:
    """Return a title parted so that it is a word of the kind in a unit that fits it, if it can be."""
    exactly = any(fit.level == EXACT for _, fit in lexicon.fits(title))
    whole = Title(title.raw, title.raw.strip(" :;=*"))
    bracketed = title.raw.rstrip()[-1:] in (")", "]")
    if (
        title.unit
        and not bracketed
        and not exactly
        and any(f.level == EXACT for _, f in lexicon.fits(whole))
    ):
        return whole  # such as `Dev. std.`, which has no hours in it
    # of 240 h the number is no name: it is that of no spot
    inside = title.raw.rstrip().endswith((")", "]"))
    others = [each for each in readings(title) if inside or not each.name.strip().isdigit()]
    for other in (title, *others) if title.unit else others:
        if any(_of_this_unit(role, other) for role, f in lexicon.fits(other) if f.level == EXACT):
            return other
    if title.unit or exactly:
        return title
    return next((other for other in others if lexicon.fits(other)), title)


def of_its_parts(
    lexicon: Lexicon,
    title: Title,
    parts: Sequence[str],
    below: str | None,
    others: Sequence[Sequence[str]] = (),
) -> Title:
    """Return a title below a group, as what it is by itself: B/C below area of failure.

    Or coat 1 below thickness, which names the column whose values coats tell apart; or the least of
    readings beside which it stands, which `min` is below no group of units.

    Parameters
    ----------
    others
        The parts of all titles of the table.
    """
    if len(parts) > 1 and _is_statistic(lexicon, parts, others):
        return Title(title.raw, parts[-1])
    if len(parts) < 2 or any(fit.level == EXACT for _, fit in lexicon.fits(title)):
        return title
    group = parted(" ".join(parts[:-1]))
    last = parted(parts[-1])
    code = lexicon.as_code(Title(parts[-1], parts[-1]), below)
    if code.code is not None and lexicon.fits(code):
        return replace(code, unit=code.unit or group.unit)
    columns = {role.name for role, fit in lexicon.fits(group) if fit.level == EXACT}
    for role, fit in lexicon.fits(last):
        if fit.level == EXACT and role.spread is not None and role.name in columns:
            return replace(title, name=last.name, unit=below or last.unit or group.unit)
        if fit.level == EXACT and role.sort == "beside":
            return Title(title.raw, last.name)
    unit = below or group.unit
    for role, fit in lexicon.fits(last):  # load at break (lbf) over dolly 1, dolly 2
        counts = role.spread is not None and role.spread.key == lexicon.kind.counted
        if columns and unit and counts and fit.level == EXACT and fit.number is not None:
            return replace(title, name=f"{group.name} {fit.number:g}", unit=unit)
    return title


def _is_statistic(lexicon: Lexicon, parts: Sequence[str], others: Sequence[Sequence[str]]) -> bool:
    """Tell whether the last part of a title is a word for a statistic beside numbers below one group."""
    beside = [each[-1] for each in others if len(each) > 1 and [*each[:-1]] == [*parts[:-1]]]
    fits = lexicon.fits(Title(parts[-1], parts[-1]))
    only = bool(fits) and all(role.sort == "beside" for role, fit in fits if fit.level == EXACT)
    return only and fits[0][1].level == EXACT and any(each.strip().isdigit() for each in beside)


def _of_this_unit(role: Role, title: Title) -> bool:
    return bool(title.unit and role.unit) and scale(title.unit or "", role.unit) is not None


def of_the_controller(lexicon: Lexicon, title: Title) -> Title:
    """Return a title of what a controller measured by its quantity, one of what it set as no value.

    `PV_T` is T, and `T set` beside it what was specified.
    """
    for index, shape in _OF_CONTROLLER:
        match = shape.fullmatch(title.name)
        rest = (match["before"] or match["after"]).strip(" _.-,") if match else ""
        other = replace(title, name=rest)
        if rest and any(fit.level == EXACT for _, fit in lexicon.fits(other)):
            return other if index else replace(title, name=_SET_VALUE)
    return title


def numbered_apart(titles: Sequence[Title], below: Sequence[str | None]) -> list[Title]:
    """Return titles with the number in brackets that others have too, and no unit 1: `s (1)`, `s (2)`.

    Parameters
    ----------
    below
        The unit of each column that stands not in its title.
    """
    found = [*titles]
    numbered = {n: match for n, one in enumerate(titles) if (match := _NUMBERED.fullmatch(one.raw))}
    for n, match in numbered.items():
        numbers = {int(one["number"]) for one in numbered.values() if one["name"] == match["name"]}
        if numbers == {*range(1, len(numbers) + 1)} != {1}:
            unit = below[n] if titles[n].unit == "1" else titles[n].unit
            found[n] = Title(titles[n].raw, f"{match['name']} {match['number']}", unit)
    return found
