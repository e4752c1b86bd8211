"""What a free line tells: names with their values and units, in whatever signs they are joined."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import lru_cache

from tiecoat.dialect.delimited import Cell, Grid
from tiecoat.dialect.entries import amount
from tiecoat.dialect.units import plain_unit
from tiecoat.tabular.cell_looks import valuelike
from tiecoat.tabular.facts import is_notation
from tiecoat.tabular.moments import is_clock, is_day
from tiecoat.tabular.phrases import phrases, without_about
from tiecoat.tabular.plain_words import without_scale
from tiecoat.tabular.seen import Known, Line

_BLANKS = re.compile(r"[ \u00a0]{2,}|\t+")
_PAIR = re.compile(
    r"(?P<name>[^\w:=]*[^\W_](?:[^:=(]|\([^()]*\)|\((?![^()]*\))){0,59}?)(?:\s*(?:[:=]|\.{3,}[:=]?)|\s\.{1,2}(?=\s))"
    r"\s*(?P<value>[^=].*|)",
    re.DOTALL,
)
_MINUTES_END = re.compile(r"(?:^|[\s(\[/])(?:h+:)?m+(?:in)?:s+(?:ec)?[)\]]?\.?$", re.IGNORECASE)
_CLOCK_END = re.compile(r"[\sT]\d{1,2}$")
_SEVERAL = re.compile(r"\s{2,}|\t+|;\s+|\s+[|·•–—]\s+|,\s+(?=[^\W\d][^,;:=]{2,40}[:=])")
_TOLD = re.compile(r"\s{2,}|\t+|;\s*|,\s+(?=[^\W\d])")  # between what one line tells
_NAMED = re.compile(r"[:=]|\.{3,}")
_AMOUNT_AND_MORE = re.compile(
    r"(?P<number>\d+(?:[.,]\d+)?)\s?(?P<unit>[^\W\d_]{1,8}[²2]?)\s+(?:in|of|im|en|w|v|di|de|dans|bei|at)\s"
)
_DRY = (  # what a thickness is that is filed without a word for its state
    r"(?P<number>\d+(?:[.,]\d+)?)\s?(?P<unit>[^\W\d_]{1,4})[\s,(]+(?:dry|trocken|sec|sèche|sec[oa]|secc[oa]|such[aáeéyý]\w*"
    r"|droog|na sucho)\b"
)
_DRY_VALUE = re.compile(rf"{_DRY}[\s.)]*", re.IGNORECASE)
_FILM = (
    r"(?:film|coating|coat|paint|primer|layer|Schicht|Beschichtung|Lack|Anstrich|Grundierung|couche|feuil|revêtement"
    r"|peinture|primaire|capa|película|recubrimiento|pintura|imprimación|strato|pellicola|rivestimento|vernice"
    r"|powłok[aąi]|warstw[aąy]|farb[aąy]|laag|verf|grondverf|vrstva|povlak|nátěr|základ)"
)
_DRY_FILM = re.compile(
    rf"^\W*(?:[^\W\d]+\s+)?{_FILM}(?:\s*[:=]\s*|\s+)(?:(?:of|von|de|di|van|o)\s+)?{_DRY}"  # coating 77 um dry
    r"|^\W*(?P<number_2>\d+(?:[.,]\d+)?)\s?(?P<unit_2>[^\W\d_]{1,4})\s+(?:of\s+|de\s+|di\s+)?(?:dry|trocken\w*|such\w+|droge|such[eéý]\w*)"
    rf"\s+{_FILM}\b",  # 77 um dry coating
    re.IGNORECASE,
)
_CLAUSES = re.compile(r"\s*;\s*|,\s+(?=\D)|,\s+(?=\d+(?:[.,]\d+)?\s?[^\W\d])|\t+|\s{2,}|\s[-–|·]\s")
_TellsOf = tuple[str, Cell, str | None]  # a name, its value and the unit of it
_REMEMBERED = 4096  # lines
_LONGEST_NAME = 4  # words
_SMALL = frozenset({"im", "in", "re"})  # of a sentence, and no symbol: im 3,5 % NaCl
_UNIT_AT_END = re.compile(r"[(\[](?P<unit>[^()\[\]]{1,12})[)\]]\s*:?$")
_CODE = re.compile(r"(?=.*\d)(?=.*[^\W\d_])[^\W_][\w./-]*|\d{1,3}")


@dataclass(frozen=True)
class _Written:
    """How a line is written in its grid: what parts its cells, and the line of a text as it stands."""

    delimiter: str | None
    line: str | None


def _goes_on(cells: Sequence[Cell], known: Known) -> bool:
    """Tell whether cells behind an entry are the rest of its value: no unit, name or entry."""
    texts = [cell for cell in cells if isinstance(cell, str)]
    return len(texts) == len(cells) > 0 and not any(
        known(text)
        or plain_unit(text.strip("[](){} ")) is not None
        or _PAIR.fullmatch(text)
        or any(True for _ in _in_phrases(text, known))
        for text in texts
    )


def _apart(cells: Sequence[Cell]) -> list[Cell]:
    """Return the cells of a line; of one that holds several names and values, or one pair, its parts."""
    if len(cells) != 1 or not isinstance(cells[0], str):
        return [cell.lstrip(":= ") or cell if isinstance(cell, str) else cell for cell in cells]
    several = [part for part in _SEVERAL.split(cells[0].strip()) if part]
    pairs = [_PAIR.fullmatch(part) for part in several]
    if sum(pair is not None for pair in pairs) > 1:
        return list(several)
    if len(several) > 1 and pairs[0] is not None and is_day(pairs[0]["value"].strip()):
        return list(several)  # Date: 13.05.2026   temp. 23 °C
    if (whole := _PAIR.fullmatch(cells[0].strip())) is not None:
        return several if ";" in whole["name"] else list(cells)  # 99.97 ml; T = 22.5 C
    parts = [part.lstrip(":= ") or part for part in _BLANKS.split(cells[0].strip())]
    return list(parts) if len(parts) in (2, 3) else list(cells)


def _by_blanks(whole: str, known: Known) -> list[Cell]:
    """Return the name and the value of a line that blanks part, whatever commas are in the value."""
    name, *value = _BLANKS.split(whole.strip())
    return [name, value[0].lstrip(":= ")] if len(value) == 1 and known(name.strip(" :=.")) else []


def told_in_line(
    line: Line, known: Known, grid: Grid | None = None, *, every: bool = False
) -> Iterator[tuple[str, Cell, str | None]]:
    """Return name, value and unit of what a free line tells; of `every` name, known or not."""
    written = _Written(grid.delimiter, grid.line(line.row)) if grid else None
    if all(type(cell) is str for cell in line.cells):
        return iter(_told_before(line.cells, known, written, every))
    return _told_in(line.cells, known, written, every)


@lru_cache(maxsize=_REMEMBERED)
def _told_before(
    cells: tuple[Cell, ...], known: Known, written: _Written | None, every: bool
) -> tuple[_TellsOf, ...]:
    """Return what a line of texts tells: that of many exports is one and the same."""
    return tuple(_told_in(cells, known, written, every))


def _told_in(
    of_line: Sequence[Cell], known: Known, written: _Written | None, every: bool
) -> Iterator[_TellsOf]:
    cells, whole = _apart(of_line), written.line if written else None
    texts = [without_scale(cell) for cell in cells if isinstance(cell, str)]
    if written is not None and written.delimiter == "," and whole is not None:
        texts = [whole.rstrip(", ")]  # a decimal comma may have parted it
        cells = _by_blanks(texts[0], known) or cells
        written = written if len(cells) <= len(of_line) else None  # no comma has parted it
    for text in texts:
        for clause in _CLAUSES.split(without_about(text)):
            if (match := _DRY_FILM.match(clause)) is None:
                continue
            yield (
                "dry film thickness",
                match["number"] or match["number_2"],
                match["unit"] or match["unit_2"],
            )
            rest = [without_about(other).replace(clause, " ") for other in texts]
            rest = [other.strip(" ;,-–|") for other in rest]
            if left := tuple(filter(None, rest)):
                yield from _told_in(left, known, None, every)
            return
    told = [found for text in texts for found in _in_phrases(text, known)]
    named = (
        known(str(cells[0]).strip(" :="))
        or _is_pair(cells)
        or _is_amount(cells[:3])
        or any(_NAMED.search(text) or _named(text, known) for text in texts)
    )
    if told and not named:
        yield from told
        yield from (found for text in texts for found in _beside_names(text, known))
        return
    found = list(_cell_by_cell(cells, known, written, every=every))
    yield from found or (*told, *(one for text in texts for one in _beside_names(text, known)))


def _is_pair(cells: Sequence[Cell]) -> bool:
    """Tell whether cells are a name that closes with its unit and a value: days in NaCl 5 % (h)."""
    if len(cells) < 2 or not isinstance(cells[0], str) or not valuelike(cells[1]):
        return False
    match = _UNIT_AT_END.search(cells[0])
    return match is not None and plain_unit(match["unit"]) not in (None, "")


def _cell_by_cell(
    cells: Sequence[Cell], known: Known, written: _Written | None, *, every: bool
) -> Iterator[_TellsOf]:
    """Return what cells tell, each a name and a value, or a name and its value in the next."""
    whole = written.line if written else None
    by_comma = written is not None and written.delimiter == ","
    place = 0
    while place < len(cells):
        cell = cells[place]
        if not isinstance(cell, str):
            place += 1
            continue
        match = _PAIR.fullmatch(cell.strip())
        match = None if match and (_parts_clock(match) or _parts_unit(match)) else match
        if match and match["value"].strip():
            value = match["value"].strip()
            joined = (
                written is not None
                and whole is not None
                and written.delimiter not in (";", "|", "\t")
            )
            going_on = joined and place == 0 and _goes_on(cells[1:], known)
            if len(cells) == place + 1 or written is None or not (by_comma or going_on):
                yield _own_name(match["name"].strip(), known), *_valued(value, cells[place + 1 :])
            elif whole is not None and (rest := _PAIR.fullmatch(whole.strip().rstrip(","))):
                yield rest["name"].strip(" #*/!"), *_valued(rest["value"].strip(), [])
                return
            place += 1
            continue
        name = cell.strip().rstrip(":= .")
        if not match and not known(name) and any(True for _ in _beside_names(cell, known)):
            yield from _beside_names(cell, known)  # a name and a day in one cell
            place += 1
            continue
        following = cells[place + 1] if place + 1 < len(cells) else None
        if following is not None and (
            match
            or known(name)
            or every
            or (place == 0 and len(cells) <= 3)
            or _is_amount(cells[place : place + 3])
        ):
            after = cells[place + 2] if place + 2 < len(cells) else None
            if by_comma and _digits(following) and _digits(after):
                following = f"{following},{after}"
                after = cells[place + 3] if place + 3 < len(cells) else None
                place += 1
            value, unit = _valued(following, [after] if after is not None else [])
            yield _own_name(name, known), value, unit
            if isinstance(following, str):  # measured 4/15/2026
                yield from (one for one in _beside_names(following, known) if is_day(one[1]))
            beside = isinstance(after, str) and unit == after.strip("[](){} ")
            place += 3 if unit is not None and beside else 2
            continue
        if place and known(name) is False and is_day(_value_of(cells[place - 1])):
            yield from _in_phrases(cell, known)
        place += 1


def _value_of(cell: Cell) -> str:
    """Return what stands behind the name in a cell."""
    match = _PAIR.fullmatch(cell.strip()) if isinstance(cell, str) else None
    return match["value"].strip() if match else ""


def _is_amount(cells: Sequence[Cell]) -> bool:
    """Tell whether cells are a name, a number and its unit."""
    if len(cells) < 3 or not isinstance(cells[2], str):
        return False
    unit = plain_unit(cells[2].strip("[](){} "))
    return not valuelike(cells[0]) and valuelike(cells[1]) and unit not in (None, "")


def once(pairs: Iterator[_TellsOf]) -> list[_TellsOf]:
    """Return what a line tells, of one name that it tells twice what says more: a day, and its number."""
    found: dict[str, _TellsOf] = {}
    kept: list[_TellsOf] = []
    for pair in pairs:
        before = found.get(pair[0])
        if before is None:
            found[pair[0]] = pair
            kept.append(pair)
        elif str(pair[1]).startswith(str(before[1])):
            kept[kept.index(before)] = found[pair[0]] = pair
        elif not str(before[1]).startswith(str(pair[1])):
            kept.append(pair)
    return kept


_JOINS = (".", ",", "-", "_", "/")  # before a number that is the end of a code


def not_told(line: Line, pairs: Sequence[_TellsOf]) -> tuple[Cell, ...]:
    """Return the texts of a line that are no part of what it tells as names and values."""
    told = [str(part) for pair in pairs for part in pair if part not in (None, "")]
    said = [str(part) for name, value, _ in pairs for part in (name, value) if part != ""]
    return tuple(
        cell
        for cell in line.cells
        if isinstance(cell, str)
        and len(cell) > 2
        and not any(_within(part, cell) for part in said)  # another cell may be in the same unit
        and not any(cell in part for part in told)
    )


def _within(part: str, cell: str) -> bool:
    """Tell whether a part is in a cell, and not within a word of it: 1 is none of an id."""
    at = cell.find(part)
    before, after = cell[max(0, at - 2) : max(0, at)], cell[at + len(part) : at + len(part) + 1]
    number = part.isdigit() and (before[-1:].isalnum() or before[1:] in _JOINS or after.isalnum())
    return at >= 0 and not number


def _named(text: str, known: Known) -> bool:
    """Tell whether a text is a word of the trade and its value, whatever signs stand between."""
    match = _PAIR.fullmatch(text.strip())
    return match is not None and known(match["name"].strip())


def _parts_unit(match: re.Match[str]) -> bool:
    """Tell whether a name and its value are parted within a unit: `Efflux time in min:s`."""
    return _MINUTES_END.search(match.string) is not None and not re.search(
        r"[:=]", match["name"] + match["value"]
    )


def _parts_clock(match: re.Match[str]) -> bool:
    """Tell whether a name and its value are parted within a clock time: `Measured at 07:45`."""
    between = match.string[match.end("name") : match.start("value")]
    return (
        between == ":"
        and match["value"][:2].isdigit()
        and _CLOCK_END.search(match["name"]) is not None
    )


def _own_name(name: str, known: Known) -> str:
    """Return the name of an entry without what stands before it: `Salt spray, panels in`."""
    last = name.rpartition(", ")[2]
    own = last != name and not known(name) and known(last) and not valuelike(last)
    return last if own else name


def _digits(cell: Cell | None) -> bool:
    return isinstance(cell, str) and cell.isdigit()


def _valued(value: Cell, beside: Sequence[Cell]) -> tuple[Cell, str | None]:
    """Return a value and its unit: behind it, or in the next cell; of a day what stands behind = too."""
    if isinstance(value, str) and is_day(day := value.partition(" = ")[0]):
        return _with_clock(day, beside), None
    if isinstance(value, date) and beside and isinstance(beside[0], time):
        return datetime.combine(value, beside[0]), None
    if isinstance(value, str) and not is_notation(value):
        value = without_about(value)
        number, unit = amount(value)
        if (match := _DRY_VALUE.fullmatch(value)) and plain_unit(match["unit"]) is not None:
            return match["number"], match["unit"]
        if unit is not None and plain_unit(unit) is not None and any(c.isdigit() for c in number):
            return number, unit
        if (match := _AMOUNT_AND_MORE.match(value)) and plain_unit(match["unit"]) not in (None, ""):
            return match["number"], match["unit"]
    nearest = next((cell for cell in beside if cell != ""), None)
    if isinstance(nearest, str):
        inner = nearest.strip("[](){} ")
        if plain_unit(inner) is not None and inner not in ("", "-", "1"):
            return value, inner
    return value, None


def _with_clock(day: str, beside: Sequence[Cell]) -> str:
    """Return a day with the clock time in the cell behind it: `Inspected;22.06.2026;08:30`."""
    clock = beside[0] if beside else None
    return f"{day} {str(clock).strip()}" if ":" not in day and is_clock(clock or "") else day


def _beside_names(text: str, known: Known) -> Iterator[tuple[str, Cell, str | None]]:
    """Return names, and the day, code or bare number behind each: `panel K7-04.b2   spot 1`."""
    for words in (part.split() for part in _TOLD.split(text)):
        for start, stop in _spans(len(words)):
            name, value = " ".join(words[start:stop]), " ".join(words[stop:])
            code = stop == len(words) - 1 and _CODE.fullmatch(value)
            if known(name) and (code or is_day(value)):
                yield name, value, None
                break


def _spans(count: int) -> Iterator[tuple[int, int]]:
    """Return where names in a phrase of some words may begin and end, the longest first."""
    for start in range(min(count - 1, 2)):
        for stop in range(min(count - 1, start + _LONGEST_NAME), start, -1):
            yield start, stop


def _in_phrases(text: str, known: Known) -> Iterator[tuple[str, Cell, str | None]]:
    """Return what the phrases of a line tell, each by the longest end of its name that is a word."""
    for phrase in phrases(text):
        words = phrase.name.split()
        for start in range(min(len(words), 5)):
            name = " ".join(words[start:])
            if known(name) and not valuelike(name) and name not in _SMALL:
                yield name, phrase.number, phrase.unit
                break
