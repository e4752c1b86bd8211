"""Is what is filed of an export what it says, all that it says, and nothing else?

Each example is written otherwise: for another panel, without a line, with a row twice, with a
second table, with a word that nobody knows. It is held then, or what is filed follows.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from tiecoat.testing.damage import NUMBER, ExportText, without_entries
from tiecoat.testing.examples import ExampleExport
from tiecoat.testing.pictures import pictures_follow
from tiecoat.testing.rows_told import IDS, RowTold
from tiecoat.testing.workbench import WasRead, Workbench

OF_THE_CLOCK = timedelta(days=2)  # a time so near to now is hardly that of an example
UNKNOWN_WORD = "zqwx"
WORDS = 2  # of a field that are each replaced
LINES = 12  # of a head that are each left out


@dataclass(frozen=True)
class ToFollow:
    """An example as text, and which of its lines have rows."""

    bench: Workbench
    example: ExampleExport
    text: ExportText
    data: Sequence[int]

    @classmethod
    def of(cls, bench: Workbench, example: ExampleExport) -> ToFollow | None:
        """Return an example; None for what is no text, or has no rows."""
        text = ExportText.of(example.content)
        if text is None or not bench.rows(example):
            return None
        rows = bench.lines_with_rows(example)
        return cls(bench, example, text, sorted(n for n in rows if 0 < n <= len(text.lines)))

    @property
    def rows(self) -> Sequence[RowTold]:
        """What is read of it as it is."""
        return self.bench.rows(self.example)

    @property
    def lines(self) -> Sequence[str]:
        """Its lines."""
        return self.text.lines

    @property
    def before(self) -> range:
        """The lines before those with rows."""
        return range(1, self.data[0] if self.data else len(self.lines) + 1)

    def read(self, lines: Sequence[str]) -> WasRead:
        """Read it with other lines."""
        return self.bench.read(self.bench.variant(self.example, self.text.encoded(lines)))

    def id_told(self) -> tuple[str, str] | None:
        """Return which of the ids the text itself says, and which; of all rows the same."""
        return _id_in("".join(self.lines), self.rows)

    def of_another(self, told: str, other: str) -> list[str]:
        """Return its lines with another id."""
        return _with_id(self.lines, told, other)

    def otherwise(self) -> Iterator[tuple[str, bytes]]:
        """Yield it for another panel or batch, and with less in its head: how it is told, bytes."""
        if found := self.id_told():
            other = other_id(found[1])
            lines = self.of_another(found[1], other)
            yield f"with {other} for {found[1]}", self.text.encoded(lines)
        if nested := [*without_entries(self.example.content)]:
            yield from nested
            return
        for line in self.before[:LINES]:
            less = [*self.lines[: line - 1], *self.lines[line:]]
            yield f"without line {line}", self.text.encoded(less)


def what_it_says_is_filed(bench: Workbench) -> Iterator[str]:
    """Panel, time, rows and words are those of the export, and none is lost without a word."""
    for example in bench.sound:
        made_up = [*_of_the_clock(bench, example)]
        yield from made_up
        yield from _companions_of_another(bench, example)
        yield from _rows_of_companions(bench, example)
        yield from pictures_follow(bench, example)
        if (told := ToFollow.of(bench, example)) is None:
            continue
        yield from _other_ids(told)
        if not made_up:
            yield from _lines_left_out(told)
        yield from _rows_twice(told)
        yield from _unknown_words(told)


def _of_the_clock(bench: Workbench, example: ExampleExport) -> Iterator[str]:
    """Tell of a time of today that the export does not say."""
    text = ExportText.of(example.content)
    for row in bench.rows(example):
        moment = _moment(row)
        if text is None or moment is None or not _is_now(moment):
            continue
        local = moment.astimezone(bench.lab.zone)
        said = "".join((*text.lines, example.name, example.folder))
        if not says_day(said, local):
            yield (
                f"{example.name}, {row.place}: measured_at {moment.isoformat()} is about now, and"
                " the export says no such day; a time comes from the export, or is left out"
            )
            return


def says_day(text: str, day: date) -> bool:
    """Tell whether a text says a day, in whatever order and with the month as number or name.

    Examples
    --------
    >>> first = date(2026, 12, 1)
    >>> says_day("RB-014;1;2026-09-14", first), says_day("1. Dezember 2026", first)
    (False, True)
    """
    y, m, d = f"(?:{day.year // 100})?{day:%y}", f"0?{day.month}", f"0?{day.day}"
    between, name = r"\D{1,3}", r"[^\W\d_]{3,}"
    orders = [between.join(order) for order in ((y, m, d), (d, m, y), (m, d, y))]
    orders += [rf"{d}\W*{name}\W*{y}", rf"{name}\W*{d}\W+{y}"]
    orders += [f"{day:{form}}" for form in ("%Y%m%d", "%y%m%d", "%d%m%Y", "%m%d%Y")]
    return any(re.search(rf"(?<!\d){order}(?!\d)", text) for order in orders)


def _companions_of_another(bench: Workbench, example: ExampleExport) -> Iterator[str]:
    """Tell where a companion that says another id passes for one of the same determination."""
    for path in example.file.companions:
        text = ExportText.of(path.read_bytes())
        found = text and _id_in("".join(text.lines), bench.rows(example))
        if not text or not found:
            continue
        name, one = found
        other = other_id(one)
        content = text.encoded(_with_id(text.lines, one, other))
        was = bench.read(bench.variant(example, content, of=path.name))
        if was.hold is None and {dict(row.values).get(name) for row in was.rows} == {one}:
            yield (
                f"{example.name} with {other} for {one} in {path.name} alone is filed for {one}:"
                f" files of two determinations pass for one; hold it where they tell two {name}s"
            )


def _rows_of_companions(bench: Workbench, example: ExampleExport) -> Iterator[str]:
    """Tell where a row of a companion is told as one of the main file."""
    if found := bench.astray(example):
        row, companion = found
        yield (
            f"{example.name}: row {row} is told without a sheet, as if it stood in the main file,"
            f" and it follows row {row} of {companion}; a measurement whose rows stand in a"
            " companion names it: sheet=export.companion(...).name"
        )


def _id_in(text: str, rows: Sequence[RowTold]) -> tuple[str, str] | None:
    """Return which of the ids a text says, and which; of all rows the same."""
    for name in IDS:
        told = {dict(row.values).get(name) for row in rows}
        one = told.pop() if len(told) == 1 else None
        if one and _says(text, one):
            return name, one
    return None


def _with_id(lines: Sequence[str], told: str, other: str) -> list[str]:
    return [re.sub(re.escape(told), other, line, flags=re.IGNORECASE) for line in lines]


def _other_ids(told: ToFollow) -> Iterator[str]:
    """Tell where the id of another panel is not followed, or one of another file is kept."""
    found = told.id_told()
    if found is None:
        return
    name, one = found
    other = other_id(one)
    lines = told.of_another(one, other)
    what = f"{told.example.name} with {other} for {one}"
    was = told.read(lines)
    if was.hold is None and any(dict(row.values).get(name) == one for row in was.rows):
        yield f"{what} is filed for {one} all the same: its {name} is not looked at"
        return
    for line in told.before:
        if not _says(told.lines[line - 1], one):
            continue
        told.read(lines)  # what a reader may keep
        without = told.read([*told.lines[: line - 1], *told.lines[line:]])
        if any(dict(row.values).get(name) == other for row in without.rows):
            yield (
                f"{told.example.name} without line {line} is filed for {other}, of which the file"
                f" read before it was: the reader keeps the {name}"
            )
    yield from _second_table(told, name, lines, other)


def _second_table(told: ToFollow, name: str, lines: Sequence[str], other: str) -> Iterator[str]:
    """Tell where of two tables only the first is read."""
    whole = [line if line.endswith(("\n", "\r")) else f"{line}\n" for line in told.lines]
    was = told.read([*whole, "\n", *lines])
    mine = {dict(row.values).get(name) for row in was.rows}
    if was.hold is None and other not in mine:
        yield (
            f"{told.example.name} followed by the same of {other} gives nothing of {other}: what"
            " comes behind the first table is lost without a word"
        )


def _lines_left_out(told: ToFollow) -> Iterator[str]:
    """Tell where a time is made up once the line that says it is gone."""
    usual = {_moment(row) for row in told.rows}
    for line in told.before:
        was = told.read([*told.lines[: line - 1], *told.lines[line:]])
        made_up = {moment for row in was.rows if (moment := _moment(row))} - usual
        if was.hold is None and any(map(_is_now, made_up)):
            yield (
                f"{told.example.name} without line {line} is measured about now: a time that the"
                " export does not say is left out, not made up"
            )


def _rows_twice(told: ToFollow) -> Iterator[str]:
    """Tell where a row that stands twice is filed once."""
    for line in told.data[:1]:
        again = told.lines[line - 1].rstrip("\r\n") + "\n"
        was = told.read([*told.lines[: line - 1], again, *told.lines[line - 1 :]])
        if was.hold is None and len(was.rows) <= len(told.rows):
            yield (
                f"{told.example.name} with line {line} twice gives {len(was.rows)} rows, as it does"
                " without: a row that is left out is lost without a word"
            )


def _unknown_words(told: ToFollow) -> Iterator[str]:
    """Tell where a word that nobody knows is taken for one that is known."""
    known = {value for row in told.rows for value in row.values}
    for line, field in _words(told):
        content = told.text.with_field(line, field, UNKNOWN_WORD)
        if content is None:
            continue
        was = told.bench.read(told.bench.variant(told.example, content))
        before = {value for row in told.rows if row.row == line for value in row.values}
        after = {value for row in was.rows if row.row == line for value in row.values}
        taken = sorted((name, value) for name, value in (after - before) & known if name not in IDS)
        if was.hold is None and taken and not NUMBER.fullmatch(taken[0][1]):
            name, value = taken[0]
            yield (
                f"{told.example.name} with {UNKNOWN_WORD!r} in line {line}, field {field + 1} is"
                f" filed with {name} {value!r}: a word that is not known is held, or filed as it is"
            )


def _words(told: ToFollow) -> Iterator[tuple[int, int]]:
    """Yield line and field of the first of each few different words of a field."""
    seen: dict[int, set[str]] = {}
    for line in told.data:
        parts = told.text.parted(line)
        for field, cell in enumerate(parts[1] if parts else ()):
            of_field, word = seen.setdefault(field, set()), cell.strip()
            is_new = word not in {"", *of_field} and not NUMBER.fullmatch(word)
            if is_new and len(of_field) < WORDS:
                of_field.add(word)
                yield line, field


def other_id(one: str) -> str:
    """Return an id that looks alike: of another last digit."""
    at = max((n for n, sign in enumerate(one) if sign.isdigit()), default=len(one) - 1)
    return one[:at] + ("7" if one[at] != "7" else "8") + one[at + 1 :]


def _says(text: str, one: str) -> bool:
    return one.casefold() in text.casefold()


def without_clock(rows: Sequence[RowTold]) -> list[RowTold]:
    """Return rows without times of about now, which the export may not say.

    That one is made up is told here, and by no other check again.
    """
    return [
        row.without({"measured_at"}) if (moment := _moment(row)) and _is_now(moment) else row
        for row in rows
    ]


def _moment(row: RowTold) -> datetime | None:
    told = dict(row.values).get("measured_at")
    return datetime.fromisoformat(told) if told else None


def _is_now(moment: datetime) -> bool:
    return abs(datetime.now(UTC) - moment) < OF_THE_CLOCK
