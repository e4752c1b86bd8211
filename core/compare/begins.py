"""From where falls begin: what begins low has little to lose, and is no better for falling less.

A film that is full of water after an hour falls no further, and one that has failed stands on the
electrolyte; beside a film that blocks, the first has the smaller fall of both. So falls are
compared only of films that begin alike, or that all begin good. What such a film is worth, its
modulus and its time to a limit tell.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.compare.properties import Property
from tiecoat.evaluate.statistics.censored_normal import Floats

ALIKE_LG = 0.5  # decades below the mean of the others, up to which a panel begins alike; no source


@dataclass(frozen=True)
class Begins:
    """The first value of each panel of a batch, (n,), and from where on one is good."""

    values: Floats
    good_from: float
    unit: str

    @property
    def middle(self) -> float:
        """The geometric mean."""
        return float(np.exp(np.log(self.values).mean()))

    def low_beside(self, others: Begins) -> Floats:
        """Return those that are neither good nor begin about where the others do.

        Examples
        --------
        >>> good, mixed = (Begins(np.array(x), 1e8, "") for x in ([2e9, 4e9], [3e9, 7e6]))
        >>> mixed.low_beside(good), good.low_beside(mixed), mixed.low_beside(mixed)
        (array([7000000.]), array([], dtype=float64), array([7000000.]))
        """
        least = min(self.good_from, others.middle * 10**-ALIKE_LG)
        return self.values[self.values < least]


def first_values(
    table: pd.DataFrame, wanted: Property, batch: str, panels: Sequence[str] | None
) -> pd.Series[float]:
    """Return the first value above 0 of each panel, of the quantity that a property is the fall of.

    Parameters
    ----------
    table
        The results of the kind.
    panels
        Those that count; None for all of the batch.
    """
    of_quantity = table["quantity"] == wanted.nature.falls_from
    rows = table[of_quantity & (table["condition"] == wanted.condition) & table["value"].gt(0)]
    rows = rows[(rows["batch"] == batch) & (rows["panel"] != "")]
    rows = rows if panels is None else rows[rows["panel"].isin(panels)]
    first = rows["exposure_h"] == rows.groupby("panel")["exposure_h"].transform("min")
    logs = pd.Series(np.log(rows.loc[first, "value"]), index=rows.index[first])
    return pd.Series(np.exp(logs.groupby(rows.loc[first, "panel"], sort=True).mean()))
