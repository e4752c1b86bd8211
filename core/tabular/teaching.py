"""What a person has said of a layout: which title is what, and what the file leaves unsaid."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from fnmatch import fnmatch
from functools import cached_property
from typing import TYPE_CHECKING, Literal

from tiecoat.dialect.numbers import DecimalMark
from tiecoat.tabular.column_places import bare_title, without_place
from tiecoat.tabular.forms import CLOCKS, Form, Slot, Take
from tiecoat.tabular.title_parts import Title, unit_for

if TYPE_CHECKING:
    from tiecoat.tabular.lexicon import Role

DayOrMonth = Literal["day", "month"]


@dataclass(frozen=True)
class Teaching:
    """Overrides of the reader of tables for one layout, as a profile holds them.

    Parameters
    ----------
    take
        Title, as it stands in the file -> what it is.
    told
        Column, source or key -> its value for every row, written as in a file ("14.6 cm2").
    words
        Column of closed words -> the export's word -> the kind's.
    dates
        Which comes first in dates such as 03/04/2026.
    decimal
        The decimal mark.
    pass_over
        Words: a row that begins with one, or has it as a cell of its own, is passed over.
    lines
        The forms of lines that make the rows, where no titles do; the last of them makes a row.
    sheet, file
        The forms of the names of sheets and files, where these tell something for every row.
    pass_over_sheets
        Names of sheets that are passed over, with * for what changes.
    """

    take: Mapping[str, Take] = field(default_factory=dict)
    told: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    dates: DayOrMonth | None = None
    decimal: DecimalMark | None = None
    pass_over: tuple[str, ...] = ()
    lines: tuple[Form, ...] = ()
    sheet: Form | None = None
    file: Form | None = None
    pass_over_sheets: tuple[str, ...] = ()

    def of(self, title: Title) -> Take | None:
        """Return what was said of a title, if anything was."""
        return self._by_title.get(bare_title(title.raw))

    def names(self, text: str) -> bool:
        """Tell whether a text is a title of which something was said."""
        return bool(self.take) and bare_title(text) in self._titles

    def form_of(self, title: str) -> Form | None:
        """Return the form of the cells below a title, where they hold several things."""
        take = self._by_title.get(bare_title(title))
        return take.parts if take is not None else None

    def clock_of(self, title: str) -> str | None:
        """Return how times below a title are written with colons, such as h:mm, if it was told."""
        take = self._by_title.get(bare_title(title))
        unit = (take.unit or "").casefold() if take is not None else ""
        return {"h": "h:mm", "min": "min:s", None: None}[CLOCKS.get(unit)]

    @cached_property
    def places(self) -> list[Slot]:
        """The places of all forms, of lines and of cells."""
        parted = [take.parts for take in self.take.values() if take.parts is not None]
        return [place for form in (*self.lines, *parted) for place in form.places]

    @cached_property
    def takes(self) -> list[Take]:
        """Everything that some title or place is."""
        named = [place for form in (self.sheet, self.file) if form for place in form.places]
        return [*self.take.values(), *(place.take for place in (*self.places, *named))]

    @cached_property
    def _by_title(self) -> dict[str, Take]:
        of_places = {bare_title(place.raw): place.take for place in self.places}
        return of_places | {bare_title(title): take for title, take in self.take.items()}

    @cached_property
    def _titles(self) -> set[str]:
        return {*self._by_title, *(bare_title(without_place(title)) for title in self.take)}

    def taught(self, title: Title, roles: Mapping[str, Role]) -> Title:
        """Return a title with what was said of it in place of what it says itself.

        Where no unit was told, the title is asked once more: what it is of is known now.
        """
        take = self.of(title)
        if take is None:
            return title
        told = CLOCKS.get((take.unit or "").casefold(), take.unit)
        role = roles.get(take.role or "")
        return replace(
            title,
            unit=told if told is not None else unit_for(title, role.unit if role else ""),
            turned=title.turned if take.turned is None else take.turned,
            log=title.log if take.log is None else take.log,
            factor=take.factor,
        )

    @cached_property
    def told_by_names(self) -> set[str]:
        """What the names of sheets and files tell."""
        forms = [form for form in (self.sheet, self.file) if form is not None]
        return {place.take.role for form in forms for place in form.places if place.take.role}

    def wants(self, sheet: str | None) -> bool:
        """Tell whether a sheet is read."""
        name = (sheet or "").casefold()
        return not any(fnmatch(name, each.casefold()) for each in self.pass_over_sheets)

    def in_words(self, column: str, text: str | None) -> str | None:
        """Return the kind's word for a word of the export, if it was taught."""
        if text is None:
            return None
        by_case = {word.casefold(): own for word, own in self.words.get(column, {}).items()}
        return by_case.get(text.casefold(), text)


NOTHING = Teaching()
