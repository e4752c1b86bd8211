"""Whether day or month comes first in the dates of a file such as 03/02/2026, and how that is known.

A number above 12 tells it, a day that the file writes so that it has one reading (2026-03-05, 5 marzo,
a weekday beside), the lab's formats; by custom alone a month named in a title or in the file's name,
or a language whose countries write the day first, which is all but English here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property

from tiecoat.dialect.delimited import Cell
from tiecoat.tabular.moments import OPEN_DAY, DayOrder, month_of, order_of, weekday_of
from tiecoat.tabular.plain_words import bare

_ISO = re.compile(r"(?<!\d)(\d{4})([-_.]?)(0[1-9]|1[0-2])\2([0-3]\d)(?!\d)")
_POINTED = re.compile(r"(?<![\d.,])(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})(?![\d.])")
_DAY_NAMED = re.compile(
    r"(?<![\d.,])(\d{1,2})\.?(?:st|nd|rd|th|er)?[\s_-]{0,2}(?:(?:of|de)\s)?([^\W\d_]{3,13})\.?"
    r"(?:,?[\s_-]{0,2}(?:de[l]?\s)?(\d{4})(?!\d))?"
)
_MONTH_FIRST = re.compile(
    r"(?<![^\W_])([^\W\d_]{3,13})\.?[\s_-]{1,2}(\d{1,2})(?:st|nd|rd|th)?(?:,?[\s_]{1,2}(\d{4}))?(?![\d.,:/])"
)
_WORD = re.compile(r"[^\W\d_]{3,13}")
_WORDS_TOO = frozenset("may mars marca maja leden rijen ledna augustus pro set".split())  # noqa: SIM905
_BEFORE_YEAR = re.compile(r"\W{1,2}(?:de\s)?20\d\d(?!\d)")
_MONTH_FROM = 3  # letters of a month that is named without a day
_WEEKDAY = re.compile(r"(?<![^\W\d_])([^\W\d_]{2,13})\.?,?\s{1,2}$")

Order = str  # "day" or "month"


@dataclass(frozen=True)
class _Open:
    """A date with two readings: the day if the day comes first, and if the month does."""

    day_first: date
    month_first: date

    def order_of(self, fits: Callable[[date], bool]) -> Order | None:
        """Return which order makes a day that fits, if only one does."""
        day, month = fits(self.day_first), fits(self.month_first)
        return None if day == month else "day" if day else "month"


class DatesTold:
    """What a file tells of the order of day and month.

    Parameters
    ----------
    cells
        All cells of the file.
    others
        Those that tell another day than that of measuring: its order of day and month counts, but
        not that it is the same day.
    names
        The file's name and its folders.
    formats
        Those of the lab, as strptime takes them.
    language
        Returns the language that the file is written in, "" if nothing tells.
    """

    def __init__(
        self,
        cells: Iterable[Cell],
        others: Iterable[Cell],
        names: Sequence[str],
        formats: Sequence[str],
        language: Callable[[], str],
    ) -> None:
        self._cells = list(cells)
        self._texts = [cell for cell in self._cells if isinstance(cell, str)]
        self._others = set(others)
        self._names = names
        self._formats = formats
        self._language = language

    def order(self) -> DayOrder:
        """Return the order; None where nothing tells it, or two things contradict each other."""
        if not self._open:
            return order_of(self._texts, self._formats)
        own = order_of(self._texts)
        told = {own.first} if own.first else set()
        told |= {order for order in self._by_days() if order}
        if own.contradicts or len(told) > 1:
            return DayOrder(None, contradicts=True)
        of_lab = order_of((), self._formats).first
        if own.first is None and told and of_lab not in (None, *told):
            return DayOrder(None, contradicts=True)
        if told == {"month"} and own.first is None and self._language():
            return DayOrder(None)  # the day elsewhere may be that of something else
        if told or of_lab:
            return DayOrder(next(iter(told), of_lab))
        return self._by_custom()

    @cached_property
    def _open(self) -> list[_Open]:
        return [one for one, _ in self._open_days()]

    def _open_days(self) -> Iterator[tuple[_Open, str]]:
        """Yield each date with two readings, and the text before it."""
        for text in self._texts:
            for match in OPEN_DAY.finditer(text):
                one, other, year = int(match[1]), int(match[3]), _year(match[4])
                days = _day(year, other, one), _day(year, one, other)
                if one != other and days[0] and days[1]:
                    yield _Open(days[0], days[1]), text[: match.start()]

    def _by_days(self) -> Iterator[Order | None]:
        """Yield what days with one reading tell: the same day elsewhere, or a weekday beside."""
        known = set(self._known_days())
        for one, before in self._open_days():
            yield one.order_of(lambda day: (day.year, day.month, day.day) in known)
            yield one.order_of(lambda day: (0, day.month, day.day) in known)
            weekday = _WEEKDAY.search(before)
            if weekday and (number := weekday_of(weekday[1])) is not None:
                yield one.order_of(lambda day, number=number: day.weekday() == number)  # type: ignore[misc]

    def _known_days(self) -> Iterator[tuple[int, int, int]]:
        """Yield year (0 where none is written), month and day of what has one reading."""
        cells = [cell for cell in self._cells if cell not in self._others]
        for cell in cells:
            if isinstance(cell, date):
                day = cell.date() if isinstance(cell, datetime) else cell
                yield day.year, day.month, day.day
        for text in [*(cell for cell in cells if isinstance(cell, str)), *self._names]:
            if not any(char.isdigit() for char in text):
                continue
            for match in _ISO.finditer(text):
                yield int(match[1]), int(match[3]), int(match[4])
            for match in _POINTED.finditer(text):
                yield _year(match[3]), int(match[2]), int(match[1])
            for pattern, day_at, name_at in ((_DAY_NAMED, 1, 2), (_MONTH_FIRST, 2, 1)):
                for match in pattern.finditer(text):
                    if month := month_of(match[name_at]):
                        yield int(match[3] or 0), month, int(match[day_at])

    def _by_custom(self) -> DayOrder:
        """Return what a month that a title or name speaks of tells, and the language."""
        months = {
            month
            for text in [*self._texts, *self._names]
            for match in _WORD.finditer(text)
            if len(match[0]) >= _MONTH_FROM
            and (bare(match[0]) not in _WORDS_TOO or _BEFORE_YEAR.match(text, match.end()))
            and (month := month_of(match[0]))
        }
        orders = {one.order_of(lambda day: day.month in months) for one in self._open} - {None}
        language = self._language()
        if len(orders) > 1 or (language and orders == {"month"}):
            return DayOrder(None)
        if orders:
            (first,) = orders
            return DayOrder(first, why=f"dates are read with the {first} first by the month named")
        if language:
            return DayOrder("day", why=f"dates are read with the day first, as in {language}")
        return DayOrder(None)


def _year(text: str) -> int:
    return int(text) + (2000 if len(text) == 2 else 0)


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
