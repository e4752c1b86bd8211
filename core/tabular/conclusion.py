"""What a table lacks for a kind, how well it fits, and whether it shows what the kind is about."""

from __future__ import annotations

from collections.abc import Sequence

from tiecoat.contract import words as shared
from tiecoat.dialect.units import scale, understand
from tiecoat.tabular.assumed import assume
from tiecoat.tabular.attempts import BY_LOOK, BY_UNIT, TAUGHT, Attempt, Given, spread_of
from tiecoat.tabular.column_fit import unit_said
from tiecoat.tabular.general_words import is_general
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.spoken import speaks
from tiecoat.tabular.spoken import told as told_in_texts
from tiecoat.tabular.title_parts import Title, parted
from tiecoat.tabular.units_told import is_in_other_unit
from tiecoat.tabular.words import EXACT, PARTLY, WordIndex

_WORTH = {TAUGHT: 2.0, BY_LOOK: 0.5, EXACT: 2.0, PARTLY: 1.3, BY_UNIT: 0.7}
_HEADED = 0.8  # of the score
_COUNTED: WordIndex[str] = WordIndex()  # readings side by side, whatever they are of
_COUNTED.add(listed(shared.COUNTED), "counted", numbered=True)
_OF_ANY_TEST: WordIndex[str] = WordIndex()
_OF_ANY_TEST.add(listed(shared.OF_ANY_TEST), "quantity")


def available(found: Attempt) -> set[str]:
    """Return the columns of the kind and sources that are given, or follow from what is given."""
    kind = found.lexicon.kind
    names = set(found.given) | ({"moment"} if "date" in found.given else set())
    for given in found.spreads:
        assert given.role.spread is not None
        names |= {given.role.spread.column, *(key for key, _ in given.keys)} - {""}
    if kind.counted:
        names.add(kind.counted)
    changed = True
    while changed:
        more = {r.gives for r in kind.relations if r.gives not in names and set(r.needs) <= names}
        changed = bool(more)
        names |= more
    return names


def conclude(found: Attempt) -> None:
    """Say what is lacking, and how well the table fits the kind."""
    kind, infos = found.lexicon.kind, found.lexicon.infos
    there = available(found)
    may_lack = {custom.column for custom in kind.customs}
    for name, info in infos.items():
        if (
            name not in there
            and (name in may_lack or not info.nullable)
            and name not in dict(kind.defaults)
            and told_in_texts(found, name) is None
            and not assume(found, name)
        ):
            found.lacking.append(name)
    if kind.timed and not {"moment", "date"} & set(found.given):
        found.lacking.append("moment")
    own = [
        given
        for given in found.given.values()
        if given.place is not None and given.role.sort in ("column", "source")
    ]
    score = sum(_WORTH[given.level] for given in own)
    score += sum(
        0.5
        for given in found.given.values()
        if given.place is not None and given.role.sort == "key"
    )
    score += sum(
        0.3
        for given in found.given.values()
        if given.told is not None and given.role.sort == "column"
    )
    score += sum((2.0, 1.0)[min(n, 1)] for n, _ in enumerate(found.spreads[:3]))
    score -= len(found.untaken) + 0.7 * (len(found.lacking) + _is_of_no_id(found))
    found.score = score
    shown_by = set(kind.shown_by) or {
        name
        for name, info in infos.items()
        if (name in may_lack or not info.nullable)
        and name not in kind.identity
        and name != kind.counted
    }
    feeding = {
        need for relation in kind.relations if relation.gives in shown_by for need in relation.needs
    }
    sources = {source.name for source in kind.sources}
    shown = shown_by | (feeding & sources)
    found.headed = _headed(found, shown)
    found.score += _HEADED if found.headed else 0.0
    told = [
        _told_of(found, given)
        for given in found.spreads
        if given.role.name in shown or given.role.name in infos.keys() - {*kind.unique}
    ]
    if kind.replaces and not _is_of_rows(found):  # words that are those of a register, under none
        own = [given for given in own if given.level != BY_LOOK]
    if kind.replaces and len(found.table.seen.rows) == 1:  # Coat: 1 above readings that are cut off
        own = [given for given in own if not _is_number_of(found, given)]
    found.shown = all(told) and (
        any(given.role.name in shown and _tells(found, given) for given in own)
        or bool(told)
        or _lists_each_once(found, shown)
        or _tells_every_key(found)
    )
    found.shown = found.shown and not (kind.replaces and kind.per not in found.given)
    results = [found.lexicon.roles[name] for name in sorted(found.lexicon.results & infos.keys())]
    found.shown = found.shown and not is_in_other_unit(found, results)
    found.shown = found.shown and not _may_be_any_test(found, own)


def _is_of_no_id(found: Attempt) -> bool:
    """Tell whether what a table is of is told by an entry that looks like no id of the lab."""
    key = found.given.get(found.lexicon.kind.per)
    return key is not None and key.told is not None and key.level not in (BY_LOOK, TAUGHT)


def _is_number_of(found: Attempt, given: Given) -> bool:
    """Tell whether a column of texts holds but a number."""
    return given.role.type == "str" and found.contents[given.place or 0].is_numeric


def _may_be_any_test(found: Attempt, own: Sequence[Given]) -> bool:
    """Tell whether one row has but quantities of any test: `Hammer load: 80 N`, `Area: 4 cm²`.

    Each is a word for such a quantity or holds one, and no heading says which test it was.
    """
    if len(found.table.seen.rows) != 1 or found.headed or not own:
        return False
    names = [(one.level, found.titles[one.place].name) for one in own if one.place is not None]
    return all(
        level < EXACT or (level == EXACT and _OF_ANY_TEST.knows(Title(name, name)))
        for level, name in names
    )


def _is_of_rows(found: Attempt) -> bool:
    """Tell whether each row of a table names what it is of."""
    key = found.given.get(found.lexicon.kind.per)
    return key is not None and key.place is not None


def _headed(found: Attempt, shown: set[str]) -> bool:
    """Tell whether a heading or the sheet names what the kind is about."""
    texts = [line.text for line in found.table.headings] + [found.table.seen.sheet or ""]
    used = {id(given.told) for given in found.given.values()}
    texts += [told.title.raw for told in found.table.entries if id(told) not in used]
    lexicon = found.lexicon
    return any(
        lexicon.speaks_of(lexicon.roles[name], text) for text in texts if text for name in shown
    ) or any(
        role.name in shown and fit.level == EXACT
        for text in texts
        if text
        for role, fit in lexicon.fits(parted(text))
    )


def _tells(found: Attempt, given: Given) -> bool:
    """Tell whether a column says by its title or unit what it is, and not only `Value`.

    A word that names any quantity counts where something else speaks of the kind.
    """
    if given.level == BY_LOOK and given.role.sort == "column":
        return True  # by the notation of its cells
    title = found.titles[given.place or 0]
    general = is_general(title.name) and given.level != TAUGHT
    exact = [
        other
        for other in found.given.values()
        if other.place is not None and other.role.sort == "column" and other.level >= EXACT
        if not is_general(found.titles[other.place].name)
    ]
    if len(exact) > 1 and not found.lacking:
        return True
    told, unit = found.file.unit_of_all, given.role.unit
    fits = bool(told and unit) and scale(told or "", unit) is not None and not found.lacking
    return (
        not general
        or bool(unit_said(found, given.place or 0, title))
        or fits
        or speaks(found, given.role)
    )


def _told_of(found: Attempt, given: Given) -> bool:
    """Tell whether a title of a wide layout is more than a number, or something speaks of it."""
    place = given.place
    if place is None:
        return True
    title = found.titles[place]
    if not (title.name.strip(" .#").isdigit() or _COUNTED.knows(title)):
        return True
    unit, role = title.unit, given.role
    if unit and role.unit and scale(unit, role.unit) is None:
        return False
    if unit and not role.unit and understand(unit) not in ("", None):
        return False  # 9.4 MPa is no gloss
    if spread_of(given).value is not None or unit:
        return True
    return speaks(found, found.lexicon.roles[given.role.name])


def _tells_every_key(found: Attempt) -> bool:
    """Tell whether a table lacks nothing and tells each key of its kind by a word for it.

    Such as the temperature alone of a chamber that an entry names. A number that counts tells none.
    """
    keys = {*found.lexicon.kind.identity} - {found.lexicon.kind.counted}
    if found.lacking or not keys or not keys <= found.given.keys():
        return False
    if any(found.given[key].level < EXACT for key in keys):
        return False
    return any(
        given.place is not None and given.role.sort == "column" and given.role.name not in keys
        for given in found.given.values()
    )


def _lists_each_once(found: Attempt, shown: set[str]) -> bool:
    """Tell whether a table is a register's: each id once, no time of measuring, the rest told above."""
    kind, given = found.lexicon.kind, found.given
    key = given.get(kind.per)
    told = [
        one for one in given.values() if one.told and one.role.name in shown and one.level >= EXACT
    ]
    if not kind.replaces or not told or found.lacking or key is None or key.place is None:
        return False
    ids = [str(cell) for cell in found.contents[key.place].filled]
    return len(set(ids)) == len(ids) and not {"moment", "date", "clock"} & given.keys()
