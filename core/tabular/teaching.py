"""What a person has said of a layout: which title is what, and what the file leaves unsaid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from tiecoat.dialect.numbers import DecimalMark
from tiecoat.tabular.plain_words import bare
from tiecoat.tabular.title_parts import Title

DayOrMonth = Literal["day", "month"]


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
    """

    role: str | None
    unit: str | None = None
    turned: bool | None = None
    log: bool | None = None
    factor: float = 1.0
    given: tuple[str, str | float] | None = None


@dataclass(frozen=True)
class Teaching:
    """Overrides of the reader of tables for one layout, as a profile holds them.

    Parameters
    ----------
    take
        Title, as it stands in the file -> what it is.
    told
        SeenColumn, source or key -> its value for every row, written as in a file ("14.6 cm2").
    words
        Column of closed words -> the export's word -> the kind's.
    dates
        Which comes first in dates such as 03/04/2026.
    decimal
        The decimal mark.
    """

    take: Mapping[str, Take] = field(default_factory=dict)
    told: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    dates: DayOrMonth | None = None
    decimal: DecimalMark | None = None

    def of(self, title: Title) -> Take | None:
        """Return what was said of a title, if anything was."""
        return self._by_title.get(bare_title(title.raw))

    @property
    def _by_title(self) -> dict[str, Take]:
        return {bare_title(title): take for title, take in self.take.items()}

    def taught(self, title: Title) -> Title:
        """Return a title with what was said of it in place of what it says itself."""
        take = self.of(title)
        if take is None:
            return title
        return replace(
            title,
            unit=take.unit if take.unit is not None else title.unit,
            turned=title.turned if take.turned is None else take.turned,
            log=title.log if take.log is None else take.log,
            factor=take.factor,
        )

    def in_words(self, column: str, text: str | None) -> str | None:
        """Return the kind's word for a word of the export, if it was taught."""
        if text is None:
            return None
        by_case = {word.casefold(): own for word, own in self.words.get(column, {}).items()}
        return by_case.get(text.casefold(), text)


NOTHING = Teaching()


def bare_title(raw: str) -> str:
    """Return by what two titles of one layout are the same: the case and blanks do not matter."""
    return "".join(raw.casefold().split()) or bare(raw)
