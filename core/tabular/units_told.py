"""The unit that an entry or a sentence of the free lines gives for the values of a column."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

from tiecoat.contract import words as shared
from tiecoat.dialect.units import plain_unit, scale
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.plain_words import bare, listed
from tiecoat.tabular.spoken import first_heading
from tiecoat.tabular.title_parts import Title, is_unit_title, parted
from tiecoat.tabular.unit_entries import tells_unit_of_all
from tiecoat.tabular.words import EXACT, WordIndex

_UNIT_ENTRY: WordIndex[str] = WordIndex()
_UNIT_ENTRY.add(listed(shared.UNIT), "unit")
_HEIGHTS: WordIndex[str] = WordIndex()
_HEIGHTS.add(listed(shared.HEIGHTS), "height")
_CLAUSES = re.compile(r"[;,]\s+|\s{3,}|\t+")
_VALUES_IN = re.compile(r"(?P<name>[^\W\d][^,;:()]{2,40}?)\s+(?:in|en|w|v|em)\s+(?P<unit>\S+)")
_NAME = re.compile(r"[:=]|\.{3,}| \d")
_UNIT_TOLD = re.compile(r"[^\W\d][^\s\d]{0,7}[²³23]?")
_WORD = re.compile(r"[^\s,;:()\[\]=]+(?:[·*.]\S+)?")
_AMOUNT_BEFORE = re.compile(r"\d\s?$")
_ONLY_WORDS = re.compile(r"[(\[].*?[)\]]|[\W\d]+")
_ALL = re.compile(
    r"\b(?:all|values|readings|data|results|alle|werte|messwerte|angaben|valeurs|valores|valori|wartosci|waarden|hodnoty|readings|units?|einheit(?:en)?)\b",
    re.IGNORECASE,
)


def told_for(found: Attempt, role: Role, title: Title) -> str | None:
    """Return a unit that the free lines give for a role, if they give just one that fits.

    Told by an entry such as `Unit: µm`, by `Unit of strength: psi`, or by a sentence that names the
    quantity, or all values, and a unit: `impedance values in kOhm`.
    """
    if (listed_unit := _in_a_list(found, role, title)) is not None:
        return listed_unit
    fitting: set[str] = {*_in_clauses(found, role)}
    if (of_all := found.file.unit_of_all) is not None and _fits(of_all, role):
        fitting.add(of_all)
    for told in found.file.entries_for(found.table):
        value = str(told.value).strip("[]() ") if isinstance(told.value, str) else ""
        if not value or not _fits(value, role):
            continue
        names_role = any(r.name == role.name for r, _ in found.lexicon.fits(told.title))
        if _UNIT_ENTRY.fits(told.title) or names_role:
            fitting.add(value)
    for line in [
        *found.table.headings,
        *(line for sight in found.file.sights for line in sight.lines),
    ]:
        text = line.text
        if of_all and tells_unit_of_all(text):
            continue  # CAL 2PT / UNIT mil: its other words are none
        words = [word for word in _unit_words(text) if _fits(word.strip("."), role)]
        heading, *rest = _NAME.split(text, maxsplit=1) if words else [text]
        if rest and _is_entry(found, str(heading).strip()):
            continue  # which is told above
        for word in words:
            about = text.replace(word, " ")
            if _ALL.search(_plain(about)) or _speaks_of(found, role, about):
                fitting.add(word.strip("."))
    known = {str(plain_unit(unit)) for unit in fitting}
    return sorted(fitting)[0] if len(known) == 1 else None


def is_in_other_unit(found: Attempt, results: Iterable[Role]) -> bool:
    """Tell whether an entry such as `UNIT;GU` says a unit that none of some results can be in."""
    roles = list(results)
    told = (
        str(entry.value).strip("[]() ")
        for entry in found.file.entries_for(found.table)
        if isinstance(entry.value, str) and _UNIT_ENTRY.fits(entry.title)
    )
    return all(role.unit for role in roles) and any(
        _UNIT_TOLD.fullmatch(unit) is not None
        and not any(_fits(unit, role) for role in found.lexicon.roles.values())
        for unit in told
    )


def _in_clauses(found: Attempt, role: Role) -> Iterator[str]:
    """Yield the units that clauses of the headings give a role: `heights in mm, time in min after`."""
    texts = [str(cell) for line in found.table.headings for cell in line.cells]
    texts += [told.value for told in found.table.entries if isinstance(told.value, str)]
    for text in texts:
        for match in filter(None, map(_VALUES_IN.match, _CLAUSES.split(text))):
            name, unit = match["name"].strip(), match["unit"].strip(".,;")
            exact = any(
                r.name == role.name and fit.level == EXACT
                for r, fit in found.lexicon.fits(Title(name, name))
            )
            of_all = scale(role.unit or "1", "mm") is not None and _HEIGHTS.knows(Title(name, name))
            if _fits(unit, role) and (exact or of_all):
                yield unit


def _is_entry(found: Attempt, name: str) -> bool:
    """Tell whether a name is that of an entry, and not of a note: its text is as free as any."""
    if not found.lexicon.knows(name):
        return False
    exact = [role for role, fit in found.lexicon.fits(parted(name)) if fit.level == EXACT]
    return not exact or any(role.sort != "beside" for role in exact)


@lru_cache(maxsize=1024)
def _unit_words(text: str) -> tuple[str, ...]:
    """Return the words of a line that are units and not the whole of it."""
    words = re.findall(r"[^\s,;:()\[\]]+", text)
    return tuple(word for word in words if word != text and _is_unit(word))


def _is_unit(word: str) -> bool:
    """Tell whether a word of a line is a unit and no word of a sentence."""
    return word == "%" or is_unit_title(word)


def spoken_for(found: Attempt, role: Role) -> str | None:
    """Return the unit in which a heading of the table speaks of a role, where nothing else tells it.

    `Total dry film thickness, mil (1 mil = 0.001 in)`: amounts are none, and all that fits must be
    one unit.
    """
    own = found.lexicon.roles.get(role.name, role)
    lines = {line.row: line for line in [*found.table.headings, *found.table.seen.above]}
    for line in [*first_heading(found), *sorted(lines.values(), key=lambda each: each.row)][::-1]:
        text = line.text
        units = {
            word.strip(".")
            for word in _units_beside_words(text)
            if _fits(word.strip("."), role) and _is_unit(word)
        }
        spoken = {
            r.name for r in found.lexicon.spoken_roles(text) if r.unit and scale(r.unit, role.unit)
        }
        named = own.name in spoken or any(
            r.name == own.name
            for r, _ in found.lexicon.fits(Title(text, _ONLY_WORDS.sub(" ", text)))
        )
        if len({str(plain_unit(unit)) for unit in units}) == 1 and named:
            return min(units)
    return None


def _units_beside_words(text: str) -> list[str]:
    """Return the words of a text that may be units and are none of an amount."""
    return [m[0] for m in _WORD.finditer(text) if not _AMOUNT_BEFORE.search(text[: m.start()])]


def _in_a_list(found: Attempt, role: Role, title: Title) -> str | None:
    """Return the unit of a title in a line such as `Units: T in °C; D in 1/s`."""
    units = found.file.listed_units.get(bare(title.name), set())
    fitting = [unit for unit in units if role.unit and scale(unit, role.unit) is not None]
    return fitting[0] if len(fitting) == 1 else None


def _fits(text: str, role: Role) -> bool:
    return (
        bool(role.unit)
        and text != "in"  # a word of sentences
        and plain_unit(text) not in (None, "")
        and scale(text, role.unit) is not None
    )


def _plain(text: str) -> str:
    return text.casefold()


def _speaks_of(found: Attempt, role: Role, text: str) -> bool:
    if any(char.isdigit() for char in text):
        return False
    fits = found.lexicon.fits(Title(text, text))
    return any(r.name == role.name or r.unit == role.unit for r, _ in fits) or bare(
        role.name.rsplit("_", 1)[0]
    ) in bare(text)
