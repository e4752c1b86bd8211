"""Several evaluations of a kind give one quantity: it has one unit, and each result one value.

The one that was loaded first settles the unit, which is a built-in one where there is one. What
another gives in a unit that converts is converted; what does not, and what is there already, is
left out and told. Else a comparison would count a panel twice, or ohms beside megohms.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tiecoat.evaluate.result import KEYS

if TYPE_CHECKING:
    import pandas as pd

    from tiecoat.dialect.units import Conversion

SAME = ("quantity", *KEYS, "condition")  # what tells one result from another
AMOUNTS = ("value", "low", "high")


@dataclass
class GivenResults:
    """What evaluations have given so far: by quantity, the first that did, and its units."""

    first: dict[str, str] = field(default_factory=dict)
    units: dict[str, list[str]] = field(default_factory=dict)
    tables: list[pd.DataFrame] = field(default_factory=list)

    def agreed(self, name: str, table: pd.DataFrame, left_out: list[str]) -> pd.DataFrame:
        """Return the results of one more evaluation as they go with those of before.

        Parameters
        ----------
        name
            Of the evaluation.
        table
            What it gives.
        left_out
            Sentences about what was left out, to which others are added.
        """
        given: dict[str, list[str]] = {}
        pairs = table[["quantity", "unit"]].drop_duplicates()
        for quantity, unit in zip(pairs["quantity"], pairs["unit"], strict=True):
            given.setdefault(quantity, []).append(unit)
        for quantity, units in given.items():
            if quantity not in self.first:
                self.first[quantity], self.units[quantity] = name, units
                continue
            of_it = table["quantity"] == quantity
            for unit in units:
                if unit not in self.units[quantity]:
                    rows = of_it & (table["unit"] == unit)
                    table = self._in_unit(name, table, rows, left_out)
            table = self._once(name, quantity, table, left_out)
        self.tables.append(table)
        return table

    def _in_unit(
        self, name: str, table: pd.DataFrame, rows: pd.Series[bool], left_out: list[str]
    ) -> pd.DataFrame:
        """Return results in the unit of their quantity; without these where it does not convert."""
        quantity, unit = table["quantity"][rows].iloc[0], table["unit"][rows].iloc[0]
        to = self.units[quantity][0]
        way = _way(unit, to)
        if way is None:
            said = f"{quantity} in {unit or 'a plain number'}"
            left_out.append(
                f"{said} of evaluation {name!r} was left out: {self.first[quantity]!r} gives it in"
                f" {to or 'a plain number'}, which does not convert; give it another name"
            )
            return table[~rows]
        table = table.copy()
        for column in AMOUNTS:
            table.loc[rows, column] = way.apply(table[column][rows].tolist())
        errors = table["standard_error"][rows].tolist()
        table.loc[rows, "standard_error"] = way.of_differences(errors)
        table.loc[rows, "unit"] = to
        return table

    def _once(
        self, name: str, quantity: str, table: pd.DataFrame, left_out: list[str]
    ) -> pd.DataFrame:
        """Return results without those that another evaluation gives for the same."""
        of_it = table[table["quantity"] == quantity]
        parts = [one[one["quantity"] == quantity] for one in self.tables]
        there = {key for part in parts for key in _keys(part)}
        twice = of_it[[key in there for key in _keys(of_it)]]
        if not len(twice):
            return table
        left_out.append(
            f"{quantity} of evaluation {name!r} was left out where {self.first[quantity]!r} gives"
            f" it too ({len(twice):,} results): give it another name, or a condition of its own"
        )
        return table.drop(twice.index)


def _keys(table: pd.DataFrame) -> list[tuple[object, ...]]:
    columns = [table[name].astype(object).where(table[name].notna(), "").tolist() for name in SAME]
    return [*zip(*columns, strict=True)]


def _way(unit: str, to: str) -> Conversion | None:
    from tiecoat.dialect.units import scale

    try:
        return scale(unit, to)
    except ValueError:  # words follow the unit
        return None
