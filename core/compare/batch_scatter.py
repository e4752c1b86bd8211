"""How far batches of one recipe lie apart, as the archive shows it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.compare.properties import Property
from tiecoat.compare.samples import Sample, Samples
from tiecoat.evaluate.estimate import NotDeterminable


@dataclass(frozen=True)
class BatchScatter:
    """Standard deviation of batches of one recipe, beyond what panels explain.

    On the scale of the property, of logarithms where ratios are compared. `freedom` counts the
    batches beyond the first of each recipe, `batches` all of them.
    """

    deviation: float
    freedom: int
    batches: int


def same_recipes(register: pd.DataFrame) -> list[list[str]]:
    """Return the batches of each recipe that has several, with one candidate and dose.

    Batches whose recipe the register does not name are not taken for batches of one recipe.

    Examples
    --------
    >>> register = pd.DataFrame({"batch": ["RB-010", "RB-020", "RB-011"], "recipe": ["base"] * 3,
    ...     "candidate": [None, None, "talc"], "dose_percent": [0.0, 0.0, 5.0]})
    >>> same_recipes(register)
    [['RB-010', 'RB-020']]
    """
    named = register[register["recipe"].fillna("") != ""]
    alike = ["recipe", "candidate", "dose_percent"]
    groups = named.groupby(alike, sort=True, dropna=False)["batch"]
    return [sorted(set(one)) for _, one in groups if one.nunique() > 1]


def batch_scatter(wanted: Property, recipes: Sequence[Samples]) -> BatchScatter:
    r"""Return how much batches of one recipe scatter.

    .. math:: s_b^2 = \max\Big(0,\ \frac{\sum (\bar y_{ij} - \bar y_{i})^2}{\sum (J_i - 1)}
        - s^2 \, \overline{1/n_{ij}}\Big)

    of batch means of J batches of each recipe, less what the scatter s of panels within batches
    explains: the variance component of an analysis of variance (Searle, Casella and McCulloch,
    Variance Components, 1992; from memory), of means that weigh alike.

    Parameters
    ----------
    wanted
        Which property; its scale.
    recipes
        The samples of the batches of each recipe.

    Raises
    ------
    NotDeterminable
        If no recipe has two batches with values of panels.
    """
    between, within, freedom, of_panels, shares = 0.0, 0.0, 0, 0, []
    for found in recipes:
        known = [one for one in found.values() if isinstance(one, Sample) and _scatters(one)]
        if len(known) < 2:
            continue
        values = [_on_scale(one, wanted) for one in known]
        means = np.array([one.mean() for one in values])
        between += float(((means - means.mean()) ** 2).sum())
        within += sum(float(((one - one.mean()) ** 2).sum()) for one in values)
        freedom += len(means) - 1
        of_panels += sum(len(one) - 1 for one in values)
        shares += [1 / len(one) for one in values]
    if not freedom:
        raise NotDeterminable("no recipe has two batches with it: how batches differ is not known")
    square = between / freedom - within / of_panels * float(np.mean(shares))
    return BatchScatter(math.sqrt(max(0.0, square)), freedom, len(shares))


def _scatters(sample: Sample) -> bool:
    return (
        len(sample.values) > 1
        and sample.areas is None
        and sample.ends is None
        and not sample.is_floor
    )


def _on_scale(sample: Sample, wanted: Property) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    by_logs = wanted.scale == "ratio" and wanted.method != "ratings"
    return np.log(sample.values) if by_logs else np.asarray(sample.values)


def told_scatter(found: Mapping[str, BatchScatter | NotDeterminable]) -> str:
    """Return why the scatter of batches is not known of some property; "" if it is of all."""
    lacking = [label for label, one in found.items() if isinstance(one, NotDeterminable)]
    if not found or len(lacking) == len(found):
        return "no recipe in the archive has several batches: how batches differ is not known"
    return f"how batches differ is not known of {', '.join(lacking)}" if lacking else ""
