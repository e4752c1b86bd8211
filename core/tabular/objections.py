"""What stands in the way of a table read as a kind: columns untaken, claimed twice, lacking, at odds."""

from __future__ import annotations

import math
from dataclasses import replace

from tiecoat.dialect.units import scale, wanted
from tiecoat.reasons import Reason
from tiecoat.tabular.attempts import BY_LOOK, TAUGHT, Attempt, spread_of
from tiecoat.tabular.cell_texts import shown, text_of
from tiecoat.tabular.column_fit import unit_said
from tiecoat.tabular.facts import last_place
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.other_ids import tell_ids_of_rows, tell_other_batch, tell_other_panel
from tiecoat.tabular.spoken import told_amount, word_above
from tiecoat.tabular.summaries import tell_means, tell_other_summaries, tell_readings_outside
from tiecoat.tabular.told_entries import ToldEntry
from tiecoat.tabular.values import ValueReader
from tiecoat.tabular.words import EXACT
from tiecoat.tabular.words_of_key import of_no_word, words_of

_ROUNDED = 0.02  # that the same value may differ by where it is shown in two units
_LOG_ROUNDED = 0.002  # that a logarithm may be off by, where its number has three digits
_ENOUGH = 3  # values that tell by their look that they count up


def tell_what_is_wrong(found: Attempt) -> None:
    """Note what nobody took, what is claimed twice, what is lacking."""
    export, table = found.file.export, found.table
    sheet, row = table.seen.sheet, table.seen.header_row
    before = export.fault_count
    for short, fields in table.seen.short:
        last = short == table.seen.rows[-1] and export.open_row == short
        export.fault(
            Reason.CUT_OFF if last else Reason.UNEVEN_ROW,
            short,
            None,
            f"{fields} fields",
            f"{len(table.seen.columns)} fields as in the header, row {row}",
            sheet=sheet,
        )
    for role, first, second in found.rivals:
        if _same_twice(found, role, first, second):
            found.untaken = [place for place in found.untaken if place != second]
            _take_own_unit(found, role, second)
            continue
        titles = f"'{found.titles[first].raw}' and '{found.titles[second].raw}'"
        found.tell_contradiction(
            f"two columns for {_called(found, role.name)}: {titles}",
            "one such column, or a profile that says which (tiecoat learn)",
        )
    for role, one, other in found.contradicting:
        found.tell_contradiction(
            f"{other.value} {other.unit or ''}, and {one.value} {one.unit or ''} in row {one.row}",
            f"one value for {_called(found, role.name)}",
            other.title.raw,
            row=other.row,
        )
    if found.equal is not None:
        found.tell_contradiction(
            f"values that may be those of {found.kind_name} as well as of {found.equal}",
            "a word for one of the two, in the titles or the lines above",
        )
    _tell_overruled(found)
    for place in found.untaken:
        _tell_untaken(found, place)
    for name in found.lacking:
        _tell_lacking(found, name)
    if found.preamble is not None:
        what = f"what stands above results of {found.preamble}, and no results"
        export.fault(Reason.EMPTY_TABLE, row, None, what, "results below it", sheet=sheet)
    _tell_contradictions(found)
    found.export_faults = export.fault_count > before


def _tell_untaken(found: Attempt, place: int) -> None:
    """Note a column of values that nobody took: of what is lacking but for its unit, or unknown."""
    title, seen = found.titles[place], found.table.seen
    reason, what = Reason.UNTAKEN_COLUMN, "values under a title that is no word of this kind"
    expected = (
        "a title of the trade, or a profile that says what it is or passes it over (tiecoat learn)"
    )
    for role, fit in found.lexicon.fits(title):
        if title.unit and role.unit and fit.level == EXACT and role.name in found.lacking:
            reason, what = Reason.UNKNOWN_UNIT, f"the unit '{title.unit}'"
            expected = wanted(role.unit)
    found.file.export.fault(reason, seen.header_row, title.raw, what, expected, sheet=seen.sheet)


def _tell_overruled(found: Attempt) -> None:
    """Note a column of values beside a wide layout of the same: it tells none of its words for them."""
    side_by_side = [one for one in found.spreads if one.place is not None and spread_of(one).key]
    wide = {spread_of(one).column for one in side_by_side}
    for name in wide & found.given.keys():
        given = found.given[name]
        if given.place is None or not found.contents[given.place].filled:
            continue
        found.tell_contradiction(
            f"values of {_called(found, name)} beside columns that tell them too",
            "titles that tell all of these columns apart, or a mean that is called so",
            found.titles[given.place].raw,
        )


def _same_twice(found: Attempt, role: Role, first: int, second: int) -> bool:
    """Tell whether two columns show the same values, each in the unit that its title says."""
    if list(found.contents[first].cells) == list(found.contents[second].cells):
        return True
    if found.titles[first].log != found.titles[second].log:
        return _is_logarithm(found, *sorted((first, second), key=lambda at: found.titles[at].log))
    units = [unit_said(found, place, found.titles[place]) for place in (first, second)]
    ways = [scale(unit, role.unit) if unit and role.unit else None for unit in units]
    one, other = (found.contents[place].numbers for place in (first, second))
    if any(way is None for way in ways) or one.odd or other.odd or one.doubtful or other.doubtful:
        return False
    read = [
        way.apply(numbers.values) for way, numbers in zip(ways, (one, other), strict=True) if way
    ]
    pairs = [(a, b) for a, b in zip(*read, strict=True) if not (math.isnan(a) or math.isnan(b))]
    return units[0] != units[1] and all(math.isclose(a, b, rel_tol=_ROUNDED) for a, b in pairs)


def _is_logarithm(found: Attempt, place: int, of_it: int) -> bool:
    """Tell whether a column is the decimal logarithm of another, in whatever unit, as it is rounded."""
    values, logarithms = (found.contents[at].numbers for at in (place, of_it))
    if values.odd or logarithms.odd or not all(value > 0 for value in values.values):
        return False
    off = [log - math.log10(one) for one, log in zip(values.values, logarithms.values, strict=True)]
    rounding = max(map(last_place, found.contents[of_it].cells))
    return max(off) - min(off) <= rounding + _LOG_ROUNDED


def _take_own_unit(found: Attempt, role: Role, second: int) -> None:
    """Of two columns that show the same take the one in the unit that is filed."""
    unit, given = unit_said(found, second, found.titles[second]), found.given.get(role.name)
    if given is not None and found.titles[given.place or 0].log and not found.titles[second].log:
        found.given[role.name] = replace(given, place=second, hint=unit)
        return
    way = scale(unit, role.unit) if unit and role.unit else None
    if way is not None and way.factor == 1 and not way.offset and given is not None:
        found.given[role.name] = replace(given, place=second, hint=unit)


def _tell_contradictions(found: Attempt) -> None:
    """Note where a heading, or another entry, says something else than what is read."""
    values = ValueReader(found)
    _tell_swapped(found)
    _tell_word_amid_numbers(found)
    tell_means(found)
    tell_readings_outside(found)
    tell_other_summaries(found)
    _tell_of_no_word(found)
    _tell_other_word(found)
    tell_other_panel(found)
    tell_other_batch(found)
    tell_ids_of_rows(found)
    for name, given in found.given.items():
        entry = given.told
        if entry is None or not found.lexicon.allowed(name):
            continue
        spoken = told_amount(found, name)
        own = values.numbers(given)[:1]
        if spoken is not None and own and own != [spoken]:
            _tell_other(found, name, entry, f"{own[0]:g}, and {spoken:g} in the lines above")
    for name in found.lexicon.closed:
        spoken_word = word_above(found, name)
        if name not in found.given or name not in found.lexicon.kind.identity or not spoken_word:
            continue
        given = found.given[name]
        if given.level == BY_LOOK and given.told is not None:
            continue  # cells in the notation of one property are surer than a heading
        read = [found.word(name, v) for v in values.texts(given)]
        if spoken_word in read:
            continue  # which stands above for some of the rows, or for what they begin with
        if given.level >= TAUGHT and given.place is not None and len(set(read)) > 1:
            continue  # a person has said which column tells it, row by row
        if other_word := next((word for word in read if word and word != spoken_word), None):
            _tell_other(found, name, None, f"{other_word}, and {spoken_word} in the lines above")


def _tell_word_amid_numbers(found: Attempt) -> None:
    """Note a row beside readings that begins with a word where others count up: it is none of them.

    `Readings;10;10;10` above rows 1 to 10 says how many there are.
    """
    first = min((one.place for one in found.spreads if one.place is not None), default=0)
    for place in range(first):
        cells = [text_of(cell) or "" for cell in found.contents[place].cells]
        counted = [int(text) for text in cells if text.isdecimal()]
        if len(counted) < _ENOUGH or counted != [counted[0] + n for n in range(len(counted))]:
            continue
        for text, row in zip(cells, found.table.seen.rows, strict=True):
            if text and not any(map(str.isdigit, text)):
                found.tell_contradiction(
                    f"'{text}' before values where other rows have a number",
                    "rows of readings alone; how many there are, and what sums them up, apart",
                    found.titles[place].raw,
                    row=row,
                )
                return


def _tell_other(found: Attempt, name: str, entry: ToldEntry | None, what: str) -> None:
    found.tell_contradiction(
        what,
        f"one value for {_called(found, name)}",
        entry.title.raw if entry else None,
        row=entry.row if entry else None,
    )


def _tell_lacking(found: Attempt, name: str) -> None:
    """Note what is lacking; where an entry has its name, what stands in that entry."""
    export, seen = found.file.export, found.table.seen
    info = found.lexicon.infos.get(name)
    entries = found.file.entries_for(found.table) if info and info.type == "float" else ()
    taken = [given.told for given in (*found.given.values(), *found.spreads)]
    for entry in entries:
        if entry in taken:
            continue  # its name is a word for something else too, which it tells
        if any(r.name == name and f.level == EXACT for r, f in found.lexicon.fits(entry.title)):
            export.fault(
                Reason.NOT_A_NUMBER,
                entry.row,
                entry.title.raw,
                shown(entry.value),
                f"a number: {info.meaning if info else name}",
                sheet=entry.sheet,
            )
            return
    missing = _followed_from(found, name) or [name]
    which = _of_which(found, name)
    export.fault(
        Reason.MISSING_COLUMN,
        seen.header_row,
        found.titles[which[0]].raw if which else None,
        f"nothing that says of which: {' or '.join(which[1])}"
        if which
        else f"nothing for {' or '.join(_called(found, each) for each in missing)}",
        f"one of them in the title, or as the answer for {name} (tiecoat learn)"
        if which
        else "a column or an entry for it, or an answer (tiecoat learn)",
        sheet=seen.sheet,
    )


def _followed_from(found: Attempt, name: str) -> list[str]:
    """Return the columns from which a word would follow, of those that fit the results shown.

    A viscosity without its method lacks the shear rate; an efflux time would stand in its place.
    """
    lexicon = found.lexicon
    if lexicon.infos[name].type != "str" if name in lexicon.infos else True:
        return []
    shown = set(found.given) & set(lexicon.kind.shown_by)
    return [
        need
        for relation in lexicon.kind.relations
        if relation.gives == name and len(relation.needs) == 1
        for need in relation.needs
        if need in lexicon.infos and not (shown and need in lexicon.kind.shown_by)
    ]


def _of_which(found: Attempt, name: str) -> tuple[int, list[str]] | None:
    """Return a column that may be of several words of a closed key, which nothing tells; and these.

    Such as a creep from the scribe: of delamination, or of corrosion?
    """
    for given in found.given.values():
        if given.place is not None and given.role.sort == "column":
            words = words_of(found, given.role.name, name)
            if len(words) > 1:
                return given.place, words
    return None


def _tell_of_no_word(found: Attempt) -> None:
    """Note each of these columns."""
    for place, _, _, words in of_no_word(found):
        found.tell_contradiction(
            f"nothing that says of which: {' or '.join(words)}",
            "a title that names one of them, or an answer for this column (tiecoat learn)",
            found.titles[place].raw,
        )


def _called(found: Attempt, name: str) -> str:
    info = found.lexicon.infos.get(name)
    if name == "moment":
        return "the date of the determination"
    return f"{name} ({info.meaning})" if info else name


def _tell_swapped(found: Attempt) -> None:
    """Note where the values count 1, 2, 3 ... and the numbers beside them do not."""
    kind, given = found.lexicon.kind, found.given
    count = given.get(kind.counted or "") or given.get("number")
    if count is None or count.place is None or found.contents[count.place].counts:
        return
    for name in kind.shown_by:
        place = given[name].place if name in given else None
        if (
            place is not None
            and found.contents[place].counts
            and len(found.contents[place].filled) >= _ENOUGH
        ):
            found.tell_contradiction(
                f"values that count up, and none under '{found.titles[count.place].raw}'",
                "numbers and values under their own titles: are the two swapped?",
                found.titles[place].raw,
                row=found.table.seen.rows[0],
            )


def _tell_other_word(found: Attempt) -> None:
    """Note where the title of a value says one closed word, and a column or entry another.

    Such as wet film thickness beside a column that says dry.
    """
    lexicon = found.lexicon
    for value in found.given.values():
        if value.place is None or value.role.sort != "column":
            continue
        title = found.titles[value.place]
        said = [
            role.spread
            for role, fit in lexicon.fits(title)
            if role.spread and fit.level == EXACT and role.spread.column == value.role.name
        ]
        for spread in said:
            if sum(other.key == spread.key for other in said) > 1:
                continue
            given = found.given.get(spread.key)
            if given is None or not isinstance(spread.value, str):
                continue
            texts = ValueReader(found).texts(given)
            read = {found.word(spread.key, text) for text in texts}
            others = read - {spread.value, None}
            if spread.key in lexicon.closed and lexicon.is_closed(
                spread.key
            ):  # others are no words
                others = {word for word in others if word and lexicon.is_word(spread.key, word)}
            if others:
                found.tell_contradiction(
                    f"{spread.value} in the title, and {', '.join(map(str, others))} beside it",
                    f"one {spread.key}",
                    title.raw,
                )
