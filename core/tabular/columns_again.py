"""What the columns of a table were given to, for tables of the same titles whose numbers run alike.

How large numbers are decides nothing about what they are of, but how they run may: see
`column_traits`. So columns that run as before are what they were before.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tiecoat.tabular.attempts import Attempt, Given
from tiecoat.tabular.column_roles import possible_roles
from tiecoat.tabular.column_traits import ColumnTraits, traits_of
from tiecoat.tabular.lexicon import NOT_MEASURED
from tiecoat.tabular.teaching import NOTHING
from tiecoat.tabular.title_parts import Title


@dataclass(frozen=True)
class ColumnsGiven:
    """What columns were given to by their titles, and how they ran.

    Parameters
    ----------
    kind
        Of which kind the table was.
    titles
        As they were parted and read.
    traits
        How the numbers of each column ran.
    given
        The columns by their roles.
    listed, legend
        What the lines of the file said of titles.
    """

    kind: str
    titles: tuple[Title, ...]
    traits: tuple[ColumnTraits, ...]
    given: Mapping[str, Given]
    listed: Mapping[str, set[str]]
    legend: Mapping[str, str]
    symbols: Mapping[str, str]

    def give(self, found: Attempt) -> bool:
        """Give the columns of a table of the same outline and titles, if they run alike."""
        if found.kind_name != self.kind or found.taught is not NOTHING:
            return False
        told = (found.file.listed_units, found.file.legend, found.file.units_of_symbols)
        if told != (self.listed, self.legend, self.symbols):
            return False
        if _traits(found) != self.traits:
            return False
        found.titles, found.given = [*self.titles], dict(self.given)
        return True


def columns_given(found: Attempt) -> ColumnsGiven | None:
    """Return what the columns were given to; None where more than titles and traits decided it."""
    traits, given = _traits(found), found.by_titles
    places = sorted(one.place for one in given.values() if one.place is not None)
    if found.taught is not NOTHING or traits is None:
        return None
    if places != [*range(len(found.contents))] or len(places) < len(given):
        return None
    if given != {name: one for name, one in found.given.items() if one.place is not None}:
        return None
    if found.spreads or found.rivals or found.untaken or found.passed:
        return None
    if not all(_by_numbers(found, place) for place in places):
        return None
    return ColumnsGiven(
        found.kind_name,
        tuple(found.titles),
        traits,
        given,
        found.file.listed_units,
        found.file.legend,
        found.file.units_of_symbols,
    )


def _traits(found: Attempt) -> tuple[ColumnTraits, ...] | None:
    return traits_of(found.contents, counted=found.lexicon.kind.counted is not None)


def _by_numbers(found: Attempt, place: int) -> bool:
    """Tell whether all that a column may be by its title is told by how its numbers run."""
    roles = [role for role, _ in possible_roles(found, place, found.titles[place])]
    return all(
        role.type in ("float", "complex", "time")
        or role.name in NOT_MEASURED
        or role.sort == "beside"
        for role in roles
    )
