"""What the words of kinds stand for: a role in a kind, a key of every kind, or nothing to take."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Literal, cast

import numpy as np

from tiecoat.contract import words as shared
from tiecoat.contract.columns import ColumnInfo, ColumnType, columns_of
from tiecoat.dialect.units import scale
from tiecoat.plugin import Kind, Spread
from tiecoat.tabular.general_words import is_count_of
from tiecoat.tabular.note_amounts import determination_and_more
from tiecoat.tabular.plain_words import listed, unaccented
from tiecoat.tabular.title_parts import Title, parted, readings
from tiecoat.tabular.words import EXACT, WordFit, WordIndex

_NEGATED = re.compile(
    r"\b(?:not|non|no|un\w+ed|without|nicht|kein\w*|ohne|un\w+t|pas|sans|sin|senza|nie|bez|niet|zonder|geen|neni|ne\w+no)\b"
)
_BEHIND = re.compile(r"[;(]|,(?!\d)|(?<!\d),")  # 2,5 is a number
_NUMBER_SIGN = re.compile(r"#(?=\s?\d)")
Type = Literal["float", "complex", "str", "time"]
READ_AS: Mapping[ColumnType, ColumnType] = {"whole": "float", "bool": "str"}
Sort = Literal["column", "source", "spread", "key", "beside"]
TIME_KEYS = ("moment", "date", "clock")


@dataclass(frozen=True)
class Role:
    """What a column or an entry may be for a kind.

    `type` is that of its values; `unit` what they are wanted in; `spread` for one of a wide layout;
    `usual` between what values must lie for a customary unit to be assumed.
    """

    name: str
    sort: Sort
    type: Type
    unit: str = ""
    customary: bool = False
    signed: bool = True
    spread: Spread | None = None
    usual: tuple[float, float] | None = None


def _as_read(info: ColumnInfo) -> ColumnInfo:
    return replace(info, type=READ_AS.get(info.type, info.type))


class Lexicon:
    """The words of one kind.

    Parameters
    ----------
    kind
        With words beside its columns.
    own
        Words that the lab adds: name of a column, source or key -> words.
    """

    def __init__(self, kind: Kind, own: Mapping[str, Sequence[str]] | None = None) -> None:
        self.kind = kind
        self.own = own or {}
        self.infos: dict[str, ColumnInfo] = {i.name: _as_read(i) for i in columns_of(kind)}
        # columns that are read as numbers or words and are something narrower
        self.kept = {info.name: info.type for info in columns_of(kind) if info.type in READ_AS}
        self._schema = kind.model.to_schema().columns
        self.roles: dict[str, Role] = {}
        self._index: WordIndex[Role] = _words_of_all(kind.per, kind.replaces).copy()
        for role, words in self._all():
            self.roles.setdefault(
                role.name if role.spread is None else f"spread {len(self.roles)}", role
            )
            self._index.add(words, role, numbered=role.sort == "spread")
            if role.spread is not None and role.spread.told is not None:
                self._index.add_told(role.spread.told, role)

    def _all(self) -> Iterator[tuple[Role, list[str]]]:
        for name in self.infos:
            said = self._schema[name].metadata or {}
            yield (
                self._role_of(name),
                [self._own_name(name), *listed(said.get("words", "")), *self.own.get(name, ())],
            )
        for source in self.kind.sources:
            role = Role(source.name, "source", source.type, source.unit, source.customary)
            yield role, [source.name, *listed(source.words), *self.own.get(source.name, ())]
        for spread in self.kind.spreads:
            role = self._role_of(spread.column)
            if not spread.key:  # a share of a whole
                role = replace(role, type="float", unit="percent", customary=True)
            yield replace(role, sort="spread", spread=spread), listed(spread.words)
        if (value := self.only_value) is not None and self.kind.counted is not None:
            role = self._role_of(value)
            counted = Spread("", value, self.kind.counted)
            yield replace(role, sort="spread", spread=counted), listed(shared.COUNTED)
        for role in (*_KEYS.values(), _BESIDE):
            own = self.own.get(role.name, ())
            yield role, [*(listed(self.kind.beside) if role is _BESIDE else ()), *own]

    @cached_property
    def results(self) -> set[str]:
        """Return the columns that the kind is about, as far as it says so."""
        return set(self.kind.shown_by) or {relation.gives for relation in self.kind.relations}

    @cached_property
    def only_value(self) -> str | None:
        """Return the one number that each determination of the kind is about, if it is one."""
        results = self.results
        names = [
            name
            for name, info in self.infos.items()
            if info.type == "float"
            and name not in self.kind.identity
            and (name in results if results else not info.nullable)
        ]
        if len(names) > 1:  # a density, with its uncertainty where that is told
            names = [name for name in names if not self.infos[name].nullable]
        return names[0] if len(names) == 1 else None

    @cached_property
    def of_one_word(self) -> dict[str, Spread]:
        """Return the columns that one word of a key alone has, such as a grade of ASTM D610 rust."""
        keys = {spread.key for spread in self.kind.spreads}
        found: dict[str, Spread] = {}
        for relation in self.kind.relations:
            if relation.gives not in keys or len(relation.needs) != 1:
                continue
            name = relation.needs[0]
            if name in self.infos and self.infos[name].type == "float":
                word = relation.by(np.ones(1))[0]
                found[name] = Spread("", name, relation.gives, word)
        return found

    @cached_property
    def has_times(self) -> bool:
        """Whether columns of the kind are days of their own, such as that of coating."""
        return any(info.type == "time" for info in self.infos.values())

    def _own_name(self, name: str) -> str:
        """Return the name of a column, which says its unit."""
        unit = self.infos[name].unit
        return f"{name} [{unit}]" if unit else name

    def _role_of(self, name: str) -> Role:
        info, said = self.infos[name], self._schema[name].metadata or {}
        least = self.least(name)
        kind_type = cast("Type", info.type)
        signed = least is None or least < 0
        customary = said.get("customary")
        usual = customary if isinstance(customary, tuple) else None
        return Role(name, "column", kind_type, info.unit, bool(customary), signed, None, usual)

    def least(self, name: str) -> float | None:
        """Return the least that a column may be, or None."""
        for check in self._schema[name].checks:
            if check.name in ("greater_than", "greater_than_or_equal_to"):
                return float(next(iter(check.statistics.values())))
        return None

    def allowed(self, name: str) -> tuple[float, ...]:
        """Return the only values that a column of numbers may have; none if it may have any."""
        for check in self._schema[name].checks if name in self._schema else ():
            if check.name == "isin" and self.infos[name].type == "float":
                return tuple(float(value) for value in check.statistics["allowed_values"])
        return ()

    def bounds(self, name: str) -> tuple[float, float]:
        """Return between what the values of a column lie."""
        low, high = float("-inf"), float("inf")
        for check in self._schema[name].checks if name in self._schema else ():
            if check.name in ("greater_than", "greater_than_or_equal_to"):
                low = float(next(iter(check.statistics.values())))
            elif check.name in ("less_than", "less_than_or_equal_to"):
                high = float(next(iter(check.statistics.values())))
        return low, high

    def fits(self, title: Title) -> list[tuple[Role, WordFit]]:
        """Return what a title may stand for, the best first."""
        order = {"column": 0, "source": 0, "spread": 0, "key": 1, "beside": 2}
        found = self._index.fits(title)
        if len(title.name) == 1 and title.unit and not _in_its_unit(found, title.unit):
            other = replace(title, name=title.name.swapcase())  # T_MIN of a program of capitals
            found = _in_its_unit(self._index.fits(other), title.unit) or found
        if is_count_of(title.raw):  # of something, and not the thing itself: px_rust
            found = [pair for pair in found if pair[1].level == EXACT]
        return sorted(
            found, key=lambda pair: (-pair[1].level, order[pair[0].sort], -pair[1].letters)
        )

    def fits_in(self, title: Title, unit: str | None) -> list[tuple[Role, WordFit]]:
        """Return what a title may stand for, beside which values are in a unit: `Stud` over 20 mm."""
        fits = self.fits(title)
        if not unit or title.unit:
            return fits
        known = [role for role, fit in fits if fit.level == EXACT]
        in_unit = self.fits(replace(title, unit=unit))
        return [*((r, f) for r, f in in_unit if f.level == EXACT and r not in known), *fits]

    def knows(self, text: str) -> bool:
        """Tell whether a text is exactly one of the words, also with its unit as a last word."""
        title = parted(text)
        return (
            self._index.knows(title)
            or any(
                fit.level == EXACT and role.unit and scale(other.unit or "", role.unit) is not None
                for other in readings(title)
                for role, fit in self._index.fits(other)
            )
            or ((told := determination_and_more(text)) is not None and self.knows(told[1]))
        )

    def as_code(self, title: Title, below: str | None) -> Title:
        """Return a title as the code that it is for the kind; `below` is the unit below it."""
        return self._index.as_code(title, below)

    def allows(self, title: str, text: str) -> bool:
        """Tell whether a text is one of the closed words of a column that has this title."""
        names = {role.name for role, fit in self.fits(parted(title)) if fit.level == EXACT}
        own = Title(text, text)
        closed = any(self.closed[name].knows(own) for name in names & self.closed.keys())
        return closed and self.knows(title)

    def speaks_of(self, role: Role, text: str) -> bool:
        """Tell whether a free text holds a word for a role."""
        return any(found is role for found in self._index.all_spoken_of(text))

    def spoken_roles(self, text: str) -> list[Role]:
        """Return everything that a free text speaks of."""
        return self._index.all_spoken_of(text)

    def closer_spoken_of(self, text: str, role: Role) -> Role:
        """Return a spread, or the one of the same key that a free text speaks of more closely."""
        others = [
            other
            for other in self.roles.values()
            if other is not role and other.name in self.kind.shown_by
            if other.spread and role.spread
            if (other.spread.key, other.spread.value) == (role.spread.key, role.spread.value)
        ]
        return self._index.closer_spoken_of(text, role, others)

    def longest_spoken_of(self, text: str) -> list[Role]:
        """Return what the longest words in a free text stand for."""
        return self._index.longest_spoken_of(text)

    @cached_property
    def closed(self) -> dict[str, WordIndex[str]]:
        """For each column of closed words: what the trade says for each word of the kind."""
        closed: dict[str, WordIndex[str]] = {}
        for name in self.infos:
            said = self._schema[name].metadata or {}
            if text := said.get("values"):
                closed[name] = WordIndex()
                for part in text.split(";"):
                    own, _, words = part.partition("=")
                    if own.strip():
                        closed[name].add([own.strip(), *listed(words)], own.strip())
        return closed

    def in_words_of_kind(self, column: str, text: str | None) -> str | None:
        """Return the kind's own word for a text of a column of closed words; else the text."""
        if text is None or column not in self.closed:
            return text
        plain = _NUMBER_SIGN.sub(" ", text)
        first = _BEHIND.split(plain, maxsplit=1)[0].strip()  # what else is told stands behind
        if first != plain and self.closed[column].knows(Title(first, first)):
            plain = first
        else:
            plain = self._without_details(column, plain)
        fits = self.closed[column].fits(Title(plain, plain))
        if not fits:
            return text
        best = max((fit.level, fit.letters) for _, fit in fits)
        if best[0] < EXACT and is_negated(text):
            return text  # not degassed is no word for degassed
        winners = {own for own, fit in fits if (fit.level, fit.letters) == best}
        return winners.pop() if len(winners) == 1 else text

    def _without_details(self, column: str, text: str) -> str:
        """Return a text without amounts of how it was done: stirred 2 min at 1500 rpm is stirred."""
        index = self.closed[column]
        if index.knows(Title(text, text)):
            return text
        left = _HOW.sub(" ", text)
        left = _AROUND.sub("", left).strip(" .,:-–")
        return left if left != text and left and index.knows(Title(left, left)) else text

    def is_closed(self, column: str) -> bool:
        """Tell whether a column may hold nothing but its closed words, and no name or number."""
        return any(check.name == "isin" for check in self._schema[column].checks)

    def is_word(self, column: str, text: str) -> bool:
        """Tell whether a text is one of the closed words of a column, in any of their spellings."""
        return self.closed[column].knows(
            Title(own := self.in_words_of_kind(column, text) or "", own)
        )

    def told_in(self, column: str, text: str) -> str | None:
        """Return the kind's word that a free text speaks of, if it speaks of one and only one."""
        if column not in self.closed:
            return None
        return self.closed[column].spoken_of(text)


def _in_its_unit(found: list[tuple[Role, WordFit]], unit: str) -> list[tuple[Role, WordFit]]:
    """Return what can be in a unit."""
    return [each for each in found if each[0].unit and scale(unit, each[0].unit) is not None]


def is_negated(text: str) -> bool:
    """Tell whether a text denies something: `not degassed`, `unstirred`."""
    return _NEGATED.search(unaccented(text)) is not None


_BESIDE = Role("beside", "beside", "str")
_KEYS = {
    "panel": Role("panel", "key", "str"),
    "batch": Role("batch", "key", "str"),
    "moment": Role("moment", "key", "time"),
    "date": Role("date", "key", "time"),
    "clock": Role("clock", "key", "time"),
    "instrument": Role("instrument", "key", "str"),
    "number": Role("number", "key", "str"),
    "candidate": Role("candidate", "key", "str"),
    "dose": Role("dose", "key", "str"),
}
NOT_MEASURED = ("panel", "batch", "instrument", "number", "candidate", "dose")


@cache
def _words_of_all(per: str, registers: bool) -> WordIndex[Role]:
    """Return the words of the roles that every kind has, made once; a sample is a panel or a batch.

    Candidate and dose are columns of their own in a register.
    """
    words = {
        "panel": shared.PANEL,
        "batch": shared.BATCH,
        "moment": shared.MOMENT,
        "date": shared.DATE,
        "clock": shared.CLOCK,
        "instrument": shared.INSTRUMENT,
        "number": shared.NUMBER,
    }
    if not registers:
        words |= {"candidate": shared.CANDIDATE, "dose": shared.DOSE}
    index: WordIndex[Role] = WordIndex()
    sample = per if per == "panel" else "batch"
    for name, text in words.items():
        index.add([*listed(text), *(listed(shared.SAMPLE) if name == sample else ())], _KEYS[name])
    beside = (
        shared.OPERATOR,
        shared.REMARK,
        shared.STATISTICS,
        shared.SPECIFIED,
        shared.SURROUNDINGS,
        shared.GAUGES,
    )
    index.add([word for text in beside for word in listed(text)], _BESIDE)
    return index


_LINK = r"(?:for|at|with|bei|mit|lang|pendant|à|avec|durante|a|con|per|przez|przy|pod|gedurende|bij|met|po|při|dobu|as)"
_HOW = re.compile(
    rf"(?i)(?:(?<![^\W_]){_LINK}\s+)*(?<![\w.,])\d+(?:[.,]\d+)?\s*"
    r"(?:min(?:ut\w*)?|sec\w*|sek\w*|s|h|std|hrs?|hours?|stunden?|heures?|horas?|ore|godz\w*|uur|hod\w*|rpm|"
    r"u/min|1/min|min-1|tr/min|giri/min|obr\.?/min|ot\.?/min|omw/min|t/min|mbar|hpa|kpa|bar|g|°c|x g)(?![^\W_])\.?"
)
_AROUND = re.compile(rf"(?i)^(?:\s*{_LINK}(?![^\W_]))+|(?:(?<![^\W_]){_LINK}\s*)+$")

_MADE: dict[int, Lexicon] = {}  # by the kind object, which its lexicon keeps


def lexicon_of(kind: Kind) -> Lexicon:
    """Return the words of a kind to which a lab has added none; made once."""
    if id(kind) not in _MADE:
        _MADE[id(kind)] = Lexicon(kind)
    return _MADE[id(kind)]
