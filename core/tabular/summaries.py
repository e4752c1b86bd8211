"""Means and other summaries: read as determinations, or beside those that they sum up."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from statistics import fmean

from tiecoat.contract import words as shared
from tiecoat.dialect.delimited import Cell
from tiecoat.remarks import Remark
from tiecoat.tabular.across import amount_of
from tiecoat.tabular.attempts import TAUGHT, Attempt, Given, spread_of
from tiecoat.tabular.facts import last_place, number_of
from tiecoat.tabular.note_amounts import statistics_in
from tiecoat.tabular.plain_words import listed
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.words import WordIndex

_MEANS: WordIndex[str] = WordIndex()
_MEANS.add(listed(shared.MEANS), "mean")
_SEVERAL: WordIndex[str] = WordIndex()
_SEVERAL.add(listed(shared.SEVERAL), "several")
_AVERAGES: WordIndex[str] = WordIndex()
_AVERAGES.add(listed(shared.AVERAGES), "average")
_MEAN_OF = re.compile(  # mean of 3 runs, Mittelwerte aus je fünf Messungen
    r"\b(?:means?|average[ds]?|Mittelwerte?|Mittel|moyennes?|medi[ae]s?|promedios?|średni\w*|gemiddelden?|průměr\w*)"
    r"(?:\s+values?)?\s+(?:of|over|from|aus|von|über|de|di|su|da|z|ze|van|uit|ze)\s+(?:(?:the|je|sur|i|los|las)\s+)?"
    r"(?:\d+|two|three|four|five|six|eight|ten|zwei|drei|vier|fünf|sechs|zehn|deux|trois|quatre|cinq|six|dix|dos|tres"
    r"|cuatro|cinco|seis|diez|due|tre|quattro|cinque|sei|dieci|dwóch|trzech|czterech|pięciu|sześciu|dziesięciu|twee"
    r"|drie|vier|vijf|zes|tien|dvou|tří|čtyř|pěti|šesti|deseti)\b",
    re.IGNORECASE,
)
_FORMULA = re.compile(r"=.*[-+*/(]|\)\s*/\s*\d")
_COUNTS: WordIndex[str] = WordIndex()
_COUNTS.add(listed(shared.SEVERAL), "count")
_NAME_AND_VALUE = 2  # cells of a row that sums up one column
_LEAST = 2  # readings that have a mean
_EXTREMES: tuple[WordIndex[str], ...] = (WordIndex(), WordIndex())
for _index, _words in zip(_EXTREMES, (shared.LEAST, shared.MOST), strict=True):
    _index.add(listed(_words), "extreme")


def tell_means(found: Attempt) -> None:
    """Note where what must be single determinations is a mean of some, by its title."""
    counted = found.lexicon.kind.counted
    if counted is None or _may_stand_alone(found, counted):
        return
    called = f"{counted} ({found.lexicon.infos[counted].meaning})"
    for title in _means_shown(found):
        found.tell_contradiction(
            "a mean or another summary of several determinations, by its title or those beside it",
            f"each determination by itself, told apart by {called}",
            title.raw,
        )


def means_as_one(found: Attempt) -> Iterator[str]:
    """Yield a remark for each mean that is filed as one determination.

    Of a kind that need not number its determinations, such as the density of a paint, or that takes
    one without a number for the first, such as the creep from a scribe.
    """
    counted = found.lexicon.kind.counted
    if counted is not None and _may_stand_alone(found, counted):
        for title in _means_shown(found):
            words = f"'{title.raw}' as one determination, by its title a mean of several"
            yield Remark.ASSUMED.said(words)


def _may_stand_alone(found: Attempt, counted: str) -> bool:
    """Tell whether a determination of a kind may have no number."""
    return found.lexicon.infos[counted].nullable or counted in dict(found.lexicon.kind.defaults)


def pass_over_means(found: Attempt) -> None:
    """Pass over columns that are, by their titles, the means of some readings beside them: `Ø 60°`.

    And those of results that follow from the readings, beside readings that are numbered: the mean
    creep beside six widths.
    """
    counted = found.lexicon.kind.counted
    if counted and any(key == counted for one in found.spreads for key, _ in one.keys):
        _pass_over_computed_of(found, counted)
        for name in sorted(found.lexicon.results & found.given.keys()):
            given = found.given[name]
            if given.place is None or given.level >= TAUGHT:
                continue
            if _MEANS.all_spoken_of(found.titles[given.place].name):
                del found.given[name]
                found.passed.add(given.place)
    means = [place for place in found.untaken if _readings_of(found, place)]
    found.untaken = [place for place in found.untaken if place not in means]
    found.passed |= {*means}


def _pass_over_computed_of(found: Attempt, counted: str) -> None:
    """Pass over the one column of a result that a title computes from numbered readings beside it.

    The number in its formula is no number of a reading: `c = (mean of wc - w)/2`.
    """
    of_column: dict[str, list[Given]] = {}
    for one in found.spreads:
        if one.place is not None and counted in dict(one.keys):
            of_column.setdefault(spread_of(one).column, []).append(one)
    alone = [ones[0] for ones in of_column.values() if len(ones) == 1]
    if len(of_column) == len(alone) + 1:
        for one in alone:
            if _FORMULA.search(found.titles[one.place or 0].raw):
                found.spreads.remove(one)
                found.passed.add(one.place or 0)


def _readings_of(found: Attempt, place: int) -> list[int]:
    """Return the columns of the readings of a mean whose title names the value of a key beside it."""
    words = found.titles[place].raw.split()
    rest = [word for word in words if not _AVERAGES.knows(Title(word, word))]
    if len(rest) == len(words):
        return []
    for key in found.lexicon.kind.identity:
        unit = found.lexicon.infos[key].unit
        value = amount_of(" ".join(rest), unit) if unit else None
        places = [
            one.place
            for one in found.spreads
            if one.place is not None and value is not None and dict(one.keys).get(key) == value
        ]
        if len(places) >= _LEAST:
            return places
    return []


def other_means(found: Attempt) -> dict[int, str]:
    """Return a remark for each row whose mean, in a column beside the readings, is not theirs.

    By the place of the row. What a mean leaves out, such as an outlier, nobody tells: the readings
    are filed as they stand. Where units differ or are not told, nothing is compared.
    """
    told: dict[int, str] = {}
    taken = {given.place for given in found.given.values()}  # Czech průměr is a diameter too
    for place, title in enumerate(found.titles):
        if place in taken:
            continue
        name = " ".join(word for word in title.name.split() if len(word) > 1)  # the mean of d
        if not found.contents[place].is_numeric:
            continue
        if not _AVERAGES.knows(Title(title.raw, name)):
            told.update(_other_means(found, place, _readings_of(found, place)))
            continue
        told.update(_means_of_groups(found, place))
        for column in dict.fromkeys(spread_of(one).column for one in found.spreads):
            beside = [one.place for one in found.spreads if spread_of(one).column == column]
            places = [each for each in beside if each is not None]
            units = {found.titles[each].unit for each in places} | {title.unit}
            if len(places) < _LEAST or len(units - {None}) > 1:
                continue
            told.update(_other_means(found, place, places))
    return told


def _other_means(found: Attempt, place: int, places: Sequence[int]) -> Iterator[tuple[int, str]]:
    """Yield row and remark where a mean is not that of the readings at some places beside it."""
    for at, mean in enumerate(found.contents[place].numbers.values):
        read = [found.contents[each].numbers.values[at] for each in places]
        read = [value for value in read if value == value]  # noqa: PLR0124
        printed = [found.contents[each].cells[at] for each in (place, *places)]
        if len(read) >= _LEAST and abs(mean - fmean(read)) > _rounding(printed):
            words = f"a mean of {mean:g} beside readings whose mean is {fmean(read):.4g}"
            yield at, Remark.SELDOM.said(words)


def _means_of_groups(found: Attempt, place: int) -> Iterator[tuple[int, str]]:
    """Yield row and remark where a mean beside readings below each other is not theirs.

    The readings of one mean are those of one panel, or batch, and of one word for each other key.
    """
    kind, given = found.lexicon.kind, found.given
    results = [given[name] for name in found.lexicon.results if name in given]
    beside = [one.place for one in results if one.place is not None]
    if len(beside) != 1 or kind.counted is None:
        return
    keys = [kind.per, *(key for key in kind.identity if key != kind.counted)]
    places = [given[key].place for key in keys if key in given and given[key].place is not None]
    means, readings = (found.contents[n] for n in (place, beside[0]))
    units = {found.titles[n].unit for n in (place, beside[0])}
    if len(units - {None}) > 1 or found.spreads:
        return
    rows: dict[tuple[str, ...], list[int]] = {}
    for at in range(len(readings.cells)):
        rows.setdefault(tuple(str(found.contents[n or 0].cells[at]) for n in places), []).append(at)
    for group in rows.values():
        read = [v for at in group if (v := readings.numbers.values[at]) == v]
        told = {v: at for at in reversed(group) if (v := means.numbers.values[at]) == v}
        if len(read) < _LEAST or len(told) != 1:
            continue
        ((mean, at),) = told.items()
        printed = [readings.cells[n] for n in group] + [means.cells[at]]
        if abs(mean - fmean(read)) > _rounding(printed):
            words = f"a mean of {mean:g} beside readings whose mean is {fmean(read):.4g}"
            yield at, Remark.SELDOM.said(words)


def tell_readings_outside(found: Attempt) -> None:
    """Note a row of which every reading lies outside its own least and most: one is of something else.

    What was left out of them, such as an outlier, leaves the others within. Where units differ or
    are not told, nothing is compared.
    """
    bounds = [_place_of(found, index) for index in _EXTREMES]
    for column in dict.fromkeys(spread_of(one).column for one in found.spreads):
        beside = [one.place for one in found.spreads if spread_of(one).column == column]
        places = [each for each in beside if each is not None]
        units = {found.titles[n].unit for n in (*places, *bounds) if n is not None}
        if None in bounds or len(places) < _LEAST or len(units - {None}) > 1:
            continue
        least, most = (found.contents[n].numbers.values for n in bounds if n is not None)
        for at, row in enumerate(found.table.seen.rows):
            read = [v for n in places if (v := found.contents[n].numbers.values[at]) == v]
            off = _rounding(
                [found.contents[n].cells[at] for n in (*bounds, *places) if n is not None]
            )
            if read and (max(read) < least[at] - off or min(read) > most[at] + off):
                found.tell_contradiction(
                    f"readings from {min(read):g} to {max(read):g}, beside a least of "
                    f"{least[at]:g} and a most of {most[at]:g}",
                    "readings between their own least and most",
                    row=row,
                )


def tell_other_summaries(found: Attempt) -> None:
    """Note a mean, a least or a most below readings, each in a row of its own, that is not theirs.

    What was left out of them, such as an outlier, nobody tells: a mean must lie among the readings,
    and these not all below their least or above their most. Where a table sums up several times,
    a summary may be of the rows since the one before, or of all.
    """
    results = {*found.lexicon.results, found.lexicon.only_value}
    places = [one.place for name, one in found.given.items() if name in results]
    if len(places) != 1 or places[0] is None or found.spreads:
        return
    content, seen = found.contents[places[0]], found.table.seen
    rows = dict(zip(seen.grid.numbers, seen.grid.rows, strict=True))
    before = 0
    for number in sorted(seen.summaries):
        since = [v for at, v in zip(seen.rows, content.numbers.values, strict=True) if at < number]
        sets = [[v for v in since[start:] if v == v] for start in (0, before)]  # noqa: PLR0124
        if not all(sets) or since[before:] == []:
            continue
        told = _told_in_row(rows[number])
        counts = [value for word, value, _ in told if _is_count(word)]
        for word, value, shown in told:
            off = _rounding([*(c for c in content.cells if c != ""), shown])
            if all(_is_of_others(word, value, read, off, counts) for read in sets):
                found.tell_contradiction(
                    f"{word.raw} {value:g} below {len(sets[1])} readings from {min(sets[1]):g} to "
                    f"{max(sets[1]):g}",
                    "a summary of the readings above it",
                    found.titles[places[0]].raw,
                    row=number,
                )
        if number + 1 not in seen.summaries:
            before = len(since)


def _told_in_row(row: Sequence[Cell]) -> list[tuple[Title, float, Cell]]:
    """Return the statistics of a row that sums up one column: their names and numbers, also as shown."""
    filled = [cell for cell in row if cell != ""]
    pairs: list[tuple[str, Cell]] = [*statistics_in("  ".join(map(str, filled)))]
    if not pairs and len(filled) == _NAME_AND_VALUE:
        pairs = [(str(filled[0]).strip(" :"), filled[1])]
    told = [(Title(word, word), number_of(str(cell)), cell) for word, cell in pairs if word]
    return [(word, value, cell) for word, value, cell in told if value is not None]


def _is_of_others(
    word: Title, value: float, read: Sequence[float], off: float, counts: Sequence[float]
) -> bool:
    """Tell whether a summary can be none of some readings: with their count beside it, it is exact."""
    if _is_count(word):
        return value != len(read)
    average, exact = _AVERAGES.knows(word), counts == [len(read)]
    least, most = (index.knows(word) for index in _EXTREMES)
    if exact and (average or least or most):
        own = fmean(read) if average else min(read) if least else max(read)
        return abs(value - own) > off
    if average:
        return not min(read) - off <= value <= max(read) + off
    return (least and value > max(read) + off) or (most and value < min(read) - off)


def _is_count(word: Title) -> bool:
    return word.raw in ("N", "n") or _COUNTS.knows(word)


def _place_of(found: Attempt, index: WordIndex[str]) -> int | None:
    """Return the one column of numbers that some words title and nothing was made of."""
    taken = {given.place for given in (*found.given.values(), *found.spreads)}
    places = [
        place
        for place, title in enumerate(found.titles)
        if place not in taken and index.knows(title) and found.contents[place].is_numeric
    ]
    return places[0] if len(places) == 1 else None


def _rounding(cells: Sequence[Cell]) -> float:
    """Return what rounding may do: one in the last place that any of some numbers shows."""
    return max(last_place(cell) for cell in cells if cell != "") * 1.01


def _means_shown(found: Attempt) -> Iterator[Title]:
    """Yield the titles of what is read as determinations and is a mean of some."""
    kind = found.lexicon.kind
    results = [found.given[name] for name in sorted(found.lexicon.results) if name in found.given]
    if kind.counted and kind.counted not in dict(kind.defaults):  # else a mean may stand alone
        results += [one for one in found.spreads if spread_of(one).key != kind.counted]
        yield from _means_above(found)
    for given in results:
        if given.place is None or given.level >= TAUGHT:
            continue
        title = found.titles[given.place]
        summed_up = _beside_extremes(found) or _beside_several(found)
        if summed_up or _MEANS.all_spoken_of(title.name):
            yield title


def _means_above(found: Attempt) -> Iterator[Title]:
    """Yield a line above that says that the values are means of some, where no row has a number."""
    counted = found.lexicon.kind.counted
    numbered = counted in found.given or any(
        counted in dict(one.keys) and one.number is not None for one in found.spreads
    )
    if not numbered:
        for line in found.table.seen.above:
            if _MEAN_OF.search(line.text):
                yield Title(line.text, line.text)
                return


def _beside_extremes(found: Attempt) -> bool:
    """Tell whether every row shows its own least and most, and no row has a number of its own."""
    if found.lexicon.kind.counted in found.given:
        return False
    return all(
        any(
            index.knows(title) and len(content.filled) == len(content.cells)
            for title, content in zip(found.titles, found.contents, strict=True)
        )
        for index in _EXTREMES
    )


def _beside_several(found: Attempt) -> bool:
    """Tell whether every row shows of how many values it is, and no row has a number of its own."""
    return found.lexicon.kind.counted not in found.given and any(
        content.is_numeric and _SEVERAL.knows(title) and min(content.numbers.values) > 1
        for title, content in zip(found.titles, found.contents, strict=True)
    )
