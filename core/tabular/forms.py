"""Lines and cells with names in braces in place of what changes from one to the next.

    Pull-off {panel}: {strength_mpa} MPa, {failure}         a line of a note
    {panel} / {spot}                                        a cell that holds two things

What stands outside the braces must stand in the text, whatever its case; a blank is any number of
them. `{}` is something that nobody wants, or nothing. `{thickness_um ...}` is several numbers side by side, each a
reading of its own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from tiecoat.dialect.units import plain_unit

if TYPE_CHECKING:
    from tiecoat.tabular.id_looks import IdLooks

PASS_OVER = "pass over"
IDS = ("panel", "batch")
_PLACE = re.compile(r"\{(?P<spec>[^{}]*)\}")
_MORE = re.compile(r"\s+(?=(?:in|at|times)\s|(?:turned|log10)(?:\s|$))")
_NUMBER = r"[-+−<>~≈]?\s?(?:\d[\d.,]*|[.,]\d+)(?:[eE][-+]?\d+)?(?:\s?[^\s\d,;:|/()]{1,8})??"
_WORD = re.compile(r"[^\W\d_]{3,}")
_GROUP = re.compile(r"(?<!\\)\((?:\?P<\w+>|(?!\?))")
_JOINS = ",;:|/=()[]"
_ONE = r"[-+−<>~≈]?\s?(?:\d+(?:[.,]\d+)?|[.,]\d+)"
_SEVERAL = rf"{_ONE}(?:(?:\s*[;/|–]\s*|\s*,\s+|\s+){_ONE})*"
_BETWEEN = re.compile(r"\s*[;/|–]\s*|\s*,\s+|\s+")
_DAY = r"(?:[^\W\d]+[\s.,]{1,2})?\d.*?"
SEVERAL = "..."
CLOCKS = {  # a unit of times that are written with colons -> what the first number counts
    **dict.fromkeys(("h:mm", "hh:mm", "h:min", "h:mm:ss", "hh:mm:ss"), "h"),
    **dict.fromkeys(("min:s", "m:ss", "mm:ss", "min:ss", "min:sec"), "min"),
}


@dataclass(frozen=True)
class Take:
    """What one title is.

    Parameters
    ----------
    role
        A column or source of the kind, or a key (panel, batch, date, clock, moment, instrument);
        None: passed over on purpose.
    unit
        In place of what the title says.
    turned
        Whether the column holds the negative of the role; None: as the title says.
    log
        Whether it holds decimal logarithms; None: as the title says.
    factor
        By which the numbers are multiplied.
    given
        For a wide layout: identity column and its value, such as ("angle_deg", 60.0).
    more
        Further identity columns with their values.
    several
        Whether several numbers stand there, each a reading of its own.
    parts
        Where its cells hold several things: a form that names them.
    """

    role: str | None
    unit: str | None = None
    turned: bool | None = None
    log: bool | None = None
    factor: float = 1.0
    given: tuple[str, str | float] | None = None
    more: tuple[tuple[str, str | float], ...] = ()
    several: bool = False
    parts: Form | None = None

    def at(self, *keys: tuple[str, str | float]) -> Take:
        """Return it with identity columns and their values behind those that it has."""
        every = (*self.keys, *keys)
        return replace(self, given=every[0] if every else None, more=every[1:])

    @property
    def key(self) -> tuple[str | None, tuple[tuple[str, str | float], ...]]:
        """What it is, without how it is written: two of the same key are readings of one thing."""
        return self.role, self.keys

    @property
    def keys(self) -> tuple[tuple[str, str | float], ...]:
        """The identity columns that it tells, with their values."""
        return () if self.given is None else (self.given, *self.more)


def take_of(spec: str) -> Take:
    """Return what words say that a title or a place in braces is.

    Raises
    ------
    ValueError
        If they say nothing that is understood.

    Examples
    --------
    >>> take_of("thickness_um in mil") == Take("thickness_um", unit="mil")
    True
    >>> take_of("gloss_gu at angle_deg 60 at spot 1").keys
    (('angle_deg', 60.0), ('spot', 1.0))
    >>> take_of("z_imag_ohm in kohm turned").turned, take_of("thickness_um ...").several
    (True, True)
    """
    if "{" in spec:
        return Take(None, parts=Form(spec))
    if spec.strip() in (PASS_OVER, ""):
        return Take(None)
    spec = spec.strip()
    several = spec.endswith(SEVERAL)
    role, *more = _MORE.split(spec.removesuffix(SEVERAL).strip())
    take = Take(role, several=several)
    for part in more:
        word, _, value = part.partition(" ")
        value = value.strip()
        if word == "in":
            take = replace(take, unit=value)
        elif word == "at":
            key, _, told = value.partition(" ")
            if not told:
                raise ValueError(f"{part!r}: expected at KEY VALUE, such as at angle_deg 60")
            own = told.strip()
            take = take.at((key, own if key in IDS else _number_or_word(own)))
        elif word == "times":
            take = replace(take, factor=_factor(value))
        elif word == "turned":
            take = replace(take, turned=True)
        else:
            take = replace(take, log=True)
    return take


def _number_or_word(text: str) -> float | str:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return text


def _factor(text: str) -> float:
    try:
        factor = float(text)
    except ValueError:
        raise ValueError(f"times {text!r}: expected a number above 0") from None
    if not factor > 0:
        raise ValueError(f"times {text!r}: expected a number above 0")
    return factor


@dataclass(frozen=True)
class Looks:
    """What forms must know to find what stands in a text.

    Parameters
    ----------
    ids
        How ids look in the lab.
    numbers
        The names of columns of numbers.
    times
        The names of columns of days and times.
    heads
        The names of what a line may tell for all rows below it.
    results
        The names of what a row is there for: of no two rows the same.
    """

    ids: IdLooks
    numbers: frozenset[str]
    times: frozenset[str]
    heads: frozenset[str]
    results: frozenset[str]


@dataclass(frozen=True)
class Slot:
    """A place in a form: as it is written, what stands there, and the unit that the form shows behind it."""

    raw: str
    take: Take
    unit: str | None


@dataclass(frozen=True)
class Form:
    """A text with names in braces.

    Parameters
    ----------
    text
        As it was written.

    Raises
    ------
    ValueError
        If it has no place, or two places with nothing between them, or one that says nothing, or
        two that say the same.
    """

    text: str

    def __post_init__(self) -> None:
        if all(place.take.role is None for place in self.places):
            raise ValueError(f"{self.text!r} has no name in braces, such as {{panel}}")
        if "}{" in self.text:
            raise ValueError(f"{self.text!r}: something must stand between two names")
        if any(place.take.parts for place in self.places):
            raise ValueError(f"{self.text!r}: braces within braces")
        named = [place.take.key for place in self.places if place.take.role]
        if twice := next((role for role, given in named if named.count((role, given)) > 1), None):
            raise ValueError(
                f"{self.text!r} names {twice} twice; tell them apart, such as {{{twice} at spot 1}}"
            )

    @cached_property
    def places(self) -> tuple[Slot, ...]:
        """The places, in their order."""
        found = []
        for match in _PLACE.finditer(self.text):
            behind = _PLACE.split(self.text[match.end() :])[0].split()
            unit = behind[0].strip(_JOINS + ".") if behind else ""
            known = unit != "in" and plain_unit(unit) not in (None, "")
            found.append(Slot(match[0], take_of(match["spec"]), unit if known else None))
        return tuple(found)

    @property
    def letters(self) -> int:
        """How many letters stand outside the braces: the more, the surer a line is of this form."""
        return sum(map(str.isalpha, _PLACE.sub(" ", self.text)))

    @property
    def has_word(self) -> bool:
        """Whether a word stands outside the braces."""
        return _WORD.search(_PLACE.sub(" ", self.text)) is not None

    def pattern(self, looks: Looks) -> re.Pattern[str]:
        """Return what texts of this form match."""
        parts = [_literal(text) for text in _PLACE.sub("\0", self.text).split("\0")]
        whole = parts[0]
        for place, after in zip(self.places, parts[1:], strict=True):
            whole += f"({_look(place.take, looks)}){after}"
        return re.compile(rf"\s*{whole}\s*", re.IGNORECASE)


def listed_numbers(text: str) -> list[str]:
    """Return the numbers that stand side by side in a text.

    Examples
    --------
    >>> listed_numbers("117 / 107 / 114"), listed_numbers("58,7, 59,3"), listed_numbers("1.5 1.6")
    (['117', '107', '114'], ['58,7', '59,3'], ['1.5', '1.6'])
    """
    return [part for part in _BETWEEN.split(text.strip()) if part]


def _literal(text: str) -> str:
    """Return a pattern of a text that stands between places, with any number of blanks."""
    pattern = ""
    for piece in re.findall(r"\s+|[^\s]", text):
        if piece.isspace():
            pattern += r"\s+"
        elif piece in _JOINS:
            pattern += rf"\s*{re.escape(piece)}\s*"
        else:
            pattern += re.escape(piece)
    return re.sub(r"(?:\\s[*+]){2,}", lambda m: r"\s+" if m[0] == r"\s+\s+" else r"\s*", pattern)


def _look(take: Take, looks: Looks) -> str:
    """Return a pattern of what stands at a place."""
    if take.role in IDS:
        pattern = (looks.ids.panel if take.role == "panel" else looks.ids.batch).pattern
        plain = _GROUP.sub("(?:", pattern)  # so that each place is one group
        return r"\S+" if "(?!)" in pattern or "(?P=" in plain else f"(?:{plain})"
    if take.several:
        return _SEVERAL
    if take.role in looks.numbers or take.role == "number":
        return _NUMBER
    if take.role in looks.times:
        return _DAY
    return r"\S.*?" if take.role is not None else r"(?:\S.*?)??"
