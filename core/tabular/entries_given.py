"""What the entries above a table give that no column does."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime

from tiecoat.contract.notations.not_stated import NOT_STATED
from tiecoat.dialect.complexes import is_complex
from tiecoat.dialect.units import scale, understand
from tiecoat.tabular.attempts import BY_LOOK, TAUGHT, Attempt, Given, spread_of
from tiecoat.tabular.column_fit import is_sweep
from tiecoat.tabular.facts import is_empty, numbers_of, seconds_of
from tiecoat.tabular.forms import IDS, Take
from tiecoat.tabular.general_words import is_of_a_thing
from tiecoat.tabular.id_looks import IdLooks
from tiecoat.tabular.lexicon import Lexicon, Role, is_negated
from tiecoat.tabular.moments import is_clock, is_day, is_daylike, is_of_working_day
from tiecoat.tabular.spoken import PLACES
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.told_entries import ToldEntry
from tiecoat.tabular.words import EXACT, WordFit

_ENTRY_LETTERS = 5  # of a word that may be a part of an entry's name
_LABEL_LETTERS, _LABEL_WORDS = 24, 3
_AMOUNT = re.compile(r"\d\s*[%‰°]|\d\s+[^\W\d_]")
_TOLD_WITHIN = ("method",)  # how it was done; what a sample holds, such as water, is no state
_LABELLED = re.compile(
    r"(?P<name>[^\W\d][^:;,]{1,30}?)[\s:#]*(?:no\.|nr\.?|n°)?\s*(?P<label>[A-Z]|\d{1,2})"
)
_MONTH = re.compile(r"(?:0?[1-9]|1[0-2])[./-](?:19|20)\d{2}|(?:19|20)\d{2}[./-](?:0[1-9]|1[0-2])")
_FACTOR = re.compile(r"(?:^|[\s,;(])k$")
_CONDITION = re.compile(r"[\s,(]+(?:at|bei|à|a|przy|w|bij|při|@)\s*\d+(?:[.,]\d+)?\s*°?\s*[CF]\)?$")

_BESIDE_DAY = re.compile(
    r"\s*[/|;]\s+|\s+[/|–-]\s+|,\s+|\s+(?:by|durch|von|par|por|da|door|przez)\s+|[()]"
)
_SHARE = re.compile(  # of what a panel lies in: days in 3.5 % NaCl, Auslagerung in NaCl 5 % (h)
    r"\s*\d+(?:[.,]\d+)?\s?(?:%|‰|g/l|mol/l|wt\.?-?\s?%|Gew\.?-?\s?%)(?:\s?\(?(?:m/m|w/w)\)?)?"
)


def take_entries(found: Attempt, ids: IdLooks) -> None:
    """Take from the entries what no column gives."""
    lexicon = found.lexicon
    not_constant = _not_constant(found) | _texts_side_by_side(found)
    for told in found.file.entries_for(found.table):
        if isinstance(told.value, str) and is_empty(told.value):
            continue
        if (take := found.taught.of(told.title)) is not None:
            _give_taught(found, told, take)
            continue
        panel = ids.as_panel(told.value) if lexicon.kind.per == "panel" else None
        if panel is not None:
            _give(found, Given(lexicon.roles["panel"], BY_LOOK, told=replace(told, value=panel)))
            continue
        if ids.is_batch(told.value) or (lexicon.kind.shared and ids.are_batches(told.value)):
            _give(found, Given(lexicon.roles["batch"], BY_LOOK, told=told))
            continue
        if _is_clock_beside_a_day(found, told):
            _give(found, Given(lexicon.roles["clock"], EXACT, told=told))
            continue
        told = _day_alone(told)  # noqa: PLW2901 - the same entry without the name beside its day
        told = _without_share(lexicon, told)  # noqa: PLW2901 - the same entry by its bare name
        fits = sorted(
            _fits(lexicon, told),
            key=lambda fit: (fit[0].sort != "spread", not _is_in_its_unit(told, fit[0])),
        )
        sure = any(fit.level == EXACT for _, fit in fits)
        if (area := _area_of_its_place(lexicon, told, fits)) is not None:
            _give(found, Given(area, EXACT, told=told))
            continue
        completed = False
        for role, fit in fits:
            if sure and fit.level < EXACT:
                break
            unit = told.unit or told.title.unit
            fitting = unit is None or not role.unit or scale(unit, role.unit) is not None
            if (
                role.sort == "spread"
                and fit.level == EXACT
                and fitting
                and _can_be_told(lexicon, told, role, fit)
                and _completes(found, role)
            ):
                _complete(found, Given(role, fit.level, told=told, number=fit.number))
                completed = True
                continue
            if role.sort in ("spread", "beside") or role.name in not_constant or completed:
                continue
            if fit.level < EXACT and (
                fit.letters < _ENTRY_LETTERS
                or role.sort != "column"
                or any(char.isdigit() for char in told.title.name)
            ):
                continue
            if role.name == "clock" and is_daylike(told.value):
                role = lexicon.roles["moment"]  # noqa: PLW2901 - a word for a time, and all of it
            if role.name == "moment" and is_clock(told.value):
                role = lexicon.roles["clock"]  # noqa: PLW2901 - Start: 14:05, beside a day
            if _can_be_told(lexicon, told, role, fit):
                own = _by_its_word(lexicon, told, role)
                _give(found, Given(role, fit.level, told=own, hint=fit.unit))
                if found.given[role.name].told is not None:
                    break  # else a column gives it, and the entry is for something else


def _not_constant(found: Attempt) -> set[str]:
    """Return what runs along a sweep, so that no entry gives it: one point has a shear rate above it.

    A time above a table is how long something was done, of whatever its rows are.
    """
    kind, roles = found.lexicon.kind, found.lexicon.roles
    along = {*kind.unique, *kind.order} if kind.unique else set()
    return along if is_sweep(found) else {name for name in along if roles[name].unit in ("", "s")}


def _texts_side_by_side(found: Attempt) -> set[str]:
    """Return the texts that wide titles give, such as ratings: an entry of that name is of another thing.

    Such as `Bewertung: Aigner`, who has rated.
    """
    shown = {spread_of(given).column for given in found.spreads if given.place is not None}
    return {name for name in shown if found.lexicon.roles[name].type == "str"}


def _is_in_its_unit(told: ToldEntry, role: Role) -> bool:
    """Tell whether an entry is in a unit of a role: `exposure_h` are hours, and no word."""
    unit = told.unit or told.title.unit
    return bool(unit and role.unit) and scale(unit or "", role.unit) is not None


def take_labels(found: Attempt) -> None:
    """Take a label from the line next above a table that says nothing else: `Cell A`."""
    lexicon = found.lexicon
    above = [line for line in found.table.headings if line.row < found.table.seen.header_row]
    match = _LABELLED.fullmatch(above[-1].text.strip()) if above else None
    name = match["name"].strip() if match else ""
    for role, fit in lexicon.fits(Title(name, name)) if match else ():
        label = role.type == "str" and role.name not in lexicon.closed
        if label and fit.level == EXACT and role.name in lexicon.kind.identity and match:
            sheet = found.table.seen.sheet
            told = ToldEntry(Title(name, name), match["label"], None, above[-1].row, None, sheet)
            _give(found, Given(role, EXACT, told=told))


def _is_clock_beside_a_day(found: Attempt, told: ToldEntry) -> bool:
    """Tell whether an entry that may be a time of day or one since mixing is of the day beside it.

    Such as `Zeit: 10:20` below `Datum: 14.05.2026`, which is no 10 min and 20 s.
    """
    if not is_of_working_day([told.value]) or _is_another_clock(found, told):
        return False
    named = any(
        role.name in ("clock", "moment") and fit.level == EXACT
        for role, fit in found.lexicon.fits(told.title)
    )
    days = (entry for entry in found.table.entries if is_daylike(entry.value))
    return named and (next(days, None) is not None or bool({"date", "moment"} & found.given.keys()))


def _is_another_clock(found: Attempt, told: ToldEntry) -> bool:
    """Tell whether a clock is given already, by another name than that of an entry."""
    clock = found.given.get("clock")
    if clock is None:
        return False
    return clock.place is None or found.titles[clock.place].name != told.title.name


def drop_mere_number(found: Attempt) -> None:
    """Drop a batch that is a mere number where panels, known by their look, tell it: `Seria 1`."""
    batch, panel = found.given.get("batch"), found.given.get("panel")
    if batch is None or batch.told is None or batch.level >= BY_LOOK:
        return
    across = any(key == "panel" for given in found.spreads for key, _ in given.keys)
    told = across or (panel is not None and panel.level == BY_LOOK)
    if told and str(batch.told.value).strip().isdigit() and found.lexicon.kind.per == "panel":
        del found.given["batch"]


def _day_alone(told: ToldEntry) -> ToldEntry:
    """Return an entry of a day and a name as that day: `24-02-2026 / J. de Wit`."""
    if not isinstance(told.value, str) or is_day(told.value):
        return told
    parts = [part.strip() for part in _BESIDE_DAY.split(told.value)]
    days = [part for part in parts if is_day(part)]
    names = [part for part in parts if part not in days]
    named = len(days) == 1 and len(names) == 1 and not any(map(str.isdigit, names[0]))
    return replace(told, value=days[0]) if named and any(map(str.isalpha, names[0])) else told


def _without_share(lexicon: Lexicon, told: ToldEntry) -> ToldEntry:
    """Return an entry without the strength of a solution in its name, unless it is of that."""
    name, cuts = _SHARE.subn("", told.title.name)
    if not cuts or not name.strip() or any(f.level == EXACT for _, f in lexicon.fits(told.title)):
        return told
    return replace(told, title=replace(told.title, name=" ".join(name.split())))


def _area_of_its_place(
    lexicon: Lexicon, told: ToldEntry, fits: Sequence[tuple[Role, WordFit]]
) -> Role | None:
    """Return the area that an entry tells of the cell by whose name it is called: `cell: 20 cm²`."""
    place = any(role.name in PLACES and fit.level == EXACT for role, fit in fits)
    unit = told.unit or told.title.unit
    areas = [
        role for role in lexicon.roles.values() if role.unit == "cm**2" and role.spread is None
    ]
    of_area = bool(unit) and scale(unit or "", "cm**2") is not None
    return areas[0] if place and of_area and len(areas) == 1 else None


def _give_taught(found: Attempt, told: ToldEntry, take: Take) -> None:
    """Take an entry for what a person has said that its name is."""
    if take.role is None:  # passed over, or parted: its parts are entries of their own
        return
    title = found.taught.taught(told.title, found.lexicon.roles)
    own = replace(told, title=title, unit=take.unit or told.unit)
    _give(found, Given(found.lexicon.roles[take.role], TAUGHT, told=own))


def _fits(lexicon: Lexicon, told: ToldEntry) -> list[tuple[Role, WordFit]]:
    """Return what an entry may be, also without the temperature that its name tells of it."""
    fits = lexicon.fits_in(told.title, told.unit)
    name = _CONDITION.sub("", told.title.raw.strip(" :="))
    if name == told.title.raw.strip(" :=") or any(fit.level == EXACT for _, fit in fits):
        return fits
    return lexicon.fits(replace(told.title, name=name)) or fits


def _completes(found: Attempt, role: Role) -> bool:
    """Tell whether an entry belongs to what wide titles show of one sort, such as a scribe's width."""
    own = role.spread
    if own is None or not own.key:
        return False
    given = found.given.get(own.column)
    if given is not None and given.place is not None:
        return False  # each row has its own
    shown = [spread_of(given) for given in found.spreads if given.place is not None]
    of_this_sort = [each for each in shown if (each.key, each.value) == (own.key, own.value)]
    return bool(of_this_sort) and own.column not in [each.column for each in of_this_sort]


def _complete(found: Attempt, given: Given) -> None:
    """Take an entry for a sort of wide titles, unless another one has told it already."""
    for other in found.spreads:
        if other.told is not None and given.told is not None and other.role is given.role:
            if other.told.value != given.told.value:
                found.contradicting.append((given.role, other.told, given.told))
            return
    found.spreads.append(given)


def _give(found: Attempt, given: Given) -> None:
    """Take an entry, unless a column gives it, or an entry that fits better or stands nearer."""
    before = found.given.get(given.role.name)
    if before is not None and before.told is not None and given.told is not None:
        _tell_rival(found, before, given)
    if before is None or (before.told is not None and before.level < given.level):
        found.given[given.role.name] = given


def _tell_rival(found: Attempt, before: Given, given: Given) -> None:
    """Note two entries that say different things of one column, in the same lines above a table."""
    one, other = before.told, given.told
    assert one is not None
    assert other is not None
    same_lines = one.table == other.table and one.table is not None and one.row != other.row
    amounts = given.role.type in ("float", "time") and before.level == given.level
    panel = re.compile(found.file.export.habits.panel_ids, re.IGNORECASE)
    panels = given.role.name == "panel" and all(
        panel.fullmatch(str(told.value).strip()) for told in (one, other)
    )
    batches = given.role.name == "batch" and _of_one_rank(one, other)
    if same_lines and (amounts or panels or batches) and str(one.value) != str(other.value):
        found.contradicting.append((given.role, one, other))


def _of_one_rank(one: ToldEntry, other: ToldEntry) -> bool:
    """Tell whether two names that differ in no more than a number hold ids: CH1 and CH2."""
    names = [told.title.raw.rstrip(" .:=0123456789") for told in (one, other)]
    return names[0] == names[1] and one.title.raw != other.title.raw


def _can_be_told(lexicon: Lexicon, told: ToldEntry, role: Role, fit: WordFit) -> bool:
    value = told.value
    if role.name in IDS and (told.unit or not any(c.isdigit() for c in str(value))):
        return False  # a word that is a sample's elsewhere, such as the probe of a gauge
    if role.type == "str" and role.sort == "column":
        return not is_day(value) and _word_or_label(lexicon, told, role, fit)
    if role.name == "instrument" and understand(str(value)) not in ("", None):
        return False  # unit: um
    if role.name == "clock":
        return is_clock(value)
    if role.type == "time":
        return is_daylike(value)
    if role.type == "str":
        return True
    if role.type == "complex":
        return is_complex(value)
    if isinstance(value, date | datetime):
        return False  # the day of a measurement, and not its number
    if role.unit and is_of_a_thing(told.title.name):
        return False  # the number that a pycnometer has
    if role.unit and _FACTOR.search(told.title.name):
        return False  # k = 2 of an uncertainty
    if isinstance(value, str):
        if not any(c.isdigit() for c in value):
            return False
        if seconds_of(value) is not None and role.unit == "s":
            return True
        if is_day(value) or (numbers_of([value], None).odd and numbers_of([value], "comma").odd):
            return False
    unit = told.unit or told.title.unit
    if unit and not role.unit:
        return understand(unit) in ("", None)
    return not (unit and scale(unit, role.unit) is None)


def _by_its_word(lexicon: Lexicon, told: ToldEntry, role: Role) -> ToldEntry:
    """Return an entry of closed words with the one that its free text holds."""
    word = _word_within(lexicon, told, role)
    return told if word is None else replace(told, value=word)


def _word_within(lexicon: Lexicon, told: ToldEntry, role: Role) -> str | None:
    """Return the one closed word that a free text holds: `Stir 1800 rpm, 3 min, then read`.

    Of a text that holds words for several, or that denies one, nothing is taken.
    """
    text = str(told.value)
    if role.name not in lexicon.closed or role.name not in _TOLD_WITHIN:
        return None
    if lexicon.is_word(role.name, text) or is_negated(text):
        return None
    words = set(lexicon.closed[role.name].all_spoken_of(text))
    return words.pop() if len(words) == 1 else None


def _says_nothing_of(lexicon: Lexicon, told: ToldEntry, role: Role) -> bool:
    """Tell whether a free text beside the name of closed words holds none: `Ramp 25 C, plate 50`.

    A lone word is one that nobody knows, and may mean what no closed word does.
    """
    text = str(told.value)
    free = len(text.split()) > 1 or any(map(str.isdigit, text))
    if not free or not _may_be_unsaid(lexicon, role):
        return False
    return not lexicon.closed[role.name].all_spoken_of(text)


def _may_be_unsaid(lexicon: Lexicon, role: Role) -> bool:
    """Tell whether a closed word may be lacking: as not stated, or as other columns tell it."""
    others = {relation.gives for relation in lexicon.kind.relations}
    return role.name in others or lexicon.is_word(role.name, NOT_STATED)


def _word_or_label(lexicon: Lexicon, told: ToldEntry, role: Role, fit: WordFit) -> bool:
    """Tell whether an entry can be a text of a column: one of its words, or a mere label.

    An entry such as `Cell: NaCl 3.5 %` names no place: a label holds no amount and is short.
    """
    text = str(told.value)
    if _MONTH.fullmatch(text.strip()):
        return False  # when a cup is checked again
    if role.name in lexicon.closed:
        if lexicon.is_word(role.name, text) or _word_within(lexicon, told, role) is not None:
            return True
        amount = told.unit is not None  # a number of something, such as the 4 mm of a cup
        return fit.level == EXACT and not amount and not _says_nothing_of(lexicon, told, role)
    if role.name not in lexicon.kind.identity:
        return True
    return (
        fit.level == EXACT
        and told.unit is None
        and len(text) <= _LABEL_LETTERS
        and len(text.split()) <= _LABEL_WORDS
        and _AMOUNT.search(text) is None
    )
