"""The way from the unit of a column or an entry into that of its role, or why there is none."""

from __future__ import annotations

import re
from collections.abc import Callable

from tiecoat.dialect.units import Conversion, is_same, scale, understand, wanted
from tiecoat.reasons import Reason
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.lexicon import Role
from tiecoat.tabular.title_parts import Title
from tiecoat.tabular.units_told import spoken_for, told_for

NoteFault = Callable[[Reason, int | None, str | None, str | None, str], None]
_BRACKETED = re.compile(r"[(\[](?P<word>[^\W\d_]{3,})[)\]]\s*$")


class UnitWays:
    """Finds the ways into the units of a kind for one table.

    Parameters
    ----------
    fault
        Notes what stands in the way: reason, row, column, what was found, what is expected.
    """

    def __init__(self, found: Attempt, fault: NoteFault) -> None:
        self.found, self.fault = found, fault

    def is_told(self, role: Role, title: Title) -> bool:
        """Tell whether free lines give or speak of a unit for the values of a role."""
        return bool(told_for(self.found, role, title) or self._spoken(role))

    def _spoken(self, role: Role) -> str | None:
        """Return the unit in which a heading speaks of a role."""
        return spoken_for(self.found, role) if role.unit else None

    def quietly(self, title: Title, said: str | None, role: Role) -> Conversion | None:
        """Return the way from the unit that is said, else from that of the role; note nothing."""
        unit = title.unit or said or role.unit
        return scale(unit, role.unit) if unit else scale("", "")

    def way(
        self, title: Title, said: str | None, role: Role, row: int, column: str
    ) -> Conversion | None:
        """Return the way from the unit that is said, or may be assumed, into that of the role."""
        if title.unit and said and not is_same(title.unit, said, role.unit):
            self.fault(
                Reason.INCONSISTENT,
                row,
                column,
                f"the unit {said} in the cells and {title.unit} in the title",
                "one unit for a column",
            )
            return None
        general = told_for(self.found, role, title)
        own = title.unit or said
        if own and general and not is_same(own, general, role.unit):
            self.fault(
                Reason.INCONSISTENT,
                row,
                column,
                f"the unit {own} here, and {general} for it elsewhere in the file",
                "one unit for a column",
            )
            return None
        unit = own or general or self._spoken(role)
        if unit is None:
            return self._customary(title, role, row, column)
        way = scale(unit, role.unit)
        if way is None and not role.unit and (not understand(unit) or _is_condition(title, unit)):
            way = scale("", "")
        if way is None:
            self.fault(Reason.UNKNOWN_UNIT, row, column, f"the unit '{unit}'", wanted(role.unit))
        return way

    def _customary(self, title: Title, role: Role, row: int, column: str) -> Conversion | None:
        """Return the way where nothing says a unit: none is needed, or the customary one is assumed."""
        if not role.unit:
            return scale("", "")
        others = self.found.file.mentions(role.unit)
        said_so = self._like_a_unit(title)
        if role.customary and not others and said_so is None:
            return scale(role.unit, role.unit)
        if said_so is not None:
            found = f"the unit '{said_so}'"
        elif others:
            word, lines = next(iter(others.items()))
            found = f"no unit, and '{word}' elsewhere, in row {lines[0].row}"
        else:
            found = "no unit"
        self.fault(Reason.UNKNOWN_UNIT, row, column, found, wanted(role.unit))
        return None

    def _like_a_unit(self, title: Title) -> str | None:
        """Return a word in the last brackets of a title that is no word of the trade: (divisions)."""
        match = _BRACKETED.search(title.raw)
        if match is None or title.unit:
            return None
        word, lexicon = match["word"], self.found.lexicon
        closed = any(index.knows(Title(word, word)) for index in lexicon.closed.values())
        return None if closed or lexicon.knows(word) else word


def _is_condition(title: Title, unit: str) -> bool:
    """Tell whether a temperature in a title is that at which the values hold: pH at 25 °C."""
    stated = re.search(rf"\d\s*{re.escape(unit)}\s*[)\]]?$", title.raw) is not None
    return stated and scale(unit, "degC") is not None
