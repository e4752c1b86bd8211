"""Where pulled-off films failed: shares of the area by place, and the glue failures among them."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tiecoat.contract.notations.failure_notation import INTERFACE, shares_of
from tiecoat.evaluate.grouping import Floats, RowGroups, Whole
from tiecoat.evaluate.statistics.stereology import Ratios, ratios

GLUE = ("-/Y", "Y", "Y/Z")
CLASSES = ("adhesive", "cohesive", "glue")


def class_of(place: str) -> str:
    """Return whether a place of ISO 4624 is adhesive, cohesive or glue failure.

    Between two layers is adhesive, within one (the substrate too) cohesive. All failures at and
    in the glue are glue: `-/Y` tells of the glue's hold on the film, not of the film. So it is of
    places that no letter tells.

    Examples
    --------
    >>> class_of("B/C"), class_of("B"), class_of("-/Y")
    ('adhesive', 'cohesive', 'glue')
    """
    if place in GLUE:
        return "glue"
    return "adhesive" if "/" in place or place == INTERFACE else "cohesive"


def sites_of(failures: pd.Series[str]) -> pd.DataFrame:
    """Return the share of the area in % of each place, a column each, for each determination.

    Parameters
    ----------
    failures
        Patterns in the notation of ISO 4624, such as `60 % B, 40 % B/C`. One that is not stated has
        0 % everywhere.

    Raises
    ------
    ValueError
        If one is not in the notation.

    Examples
    --------
    >>> sites_of(pd.Series(["60 % B, 40 % B/C", "B"])).to_dict("list")
    {'B': [60.0, 100.0], 'B/C': [40.0, 0.0]}
    """
    known = {
        text: {share.place: share.percent for share in shares_of(text)}
        for text in failures.unique()
    }
    places = sorted({place for shares in known.values() for place in shares})
    of_text = failures.map({text: number for number, text in enumerate(known)}).to_numpy(int)
    percent = [[shares.get(place, 0.0) for place in places] for shares in known.values()]
    each = np.array(percent, dtype=float).reshape(len(known), len(places))[of_text]
    return pd.DataFrame(each, index=failures.index, columns=places)


def by_class(sites: pd.DataFrame) -> pd.DataFrame:
    """Return the shares in % of adhesive, cohesive and glue failure, for each determination."""
    return pd.DataFrame(
        {
            name: sites[[place for place in sites if class_of(str(place)) == name]].sum(axis=1)
            for name in CLASSES
        },
        index=sites.index,
        dtype="float64",
    )


def mean_shares(percent: Floats, area_mm2: Floats, units: Whole, groups: RowGroups) -> list[Ratios]:
    r"""Return the shares in % of all area of a group together, with their standard errors.

    .. math:: p = \sum p_i A_i / \sum A_i

    The standard error is that of a ratio of sums (`stereology.ratio`) from unit to unit, NaN where
    units agree. No interval goes with it: a few shares between 0 and 100 % are not normally
    distributed.

    Parameters
    ----------
    percent
        Shares of each determination, shape (n, sites).
    area_mm2
        Its area, shape (n,).
    units
        The number of the panel, or the determination, that varies, shape (n,).
    groups
        The groups of determinations.

    Returns
    -------
    list
        For each site the shares of all groups.

    Examples
    --------
    A dolly of 20 mm counts twice as much as one of 14.14 mm.

    >>> percent, area_mm2 = np.array([[0.0], [90.0]]), np.array([314.16, 157.08])
    >>> found = mean_shares(percent, area_mm2, np.array([0, 1]), RowGroups.whole(2))
    >>> found[0].value.round(6).tolist()
    [30.0]
    """
    parts, owner = groups.parted(units)
    of_units, area = RowGroups(owner, groups.count), parts.sum(area_mm2)
    return [ratios(parts.sum(shares * area_mm2), area, of_units) for shares in percent.T]
