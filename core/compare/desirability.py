r"""Desirability: several properties in one number between 0 and 1.

Derringer and Suich, J. Qual. Technol. 12 (1980) 214 (from memory). Each value becomes a
desirability d, and the weighted geometric mean of all is the overall one: what is unacceptable on
one property is so as a whole.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from tiecoat.evaluate.statistics.censored_normal import Floats


def one_sided(values: ArrayLike, unacceptable: ArrayLike, ideal: ArrayLike) -> Floats:
    r"""Return the desirability of values of which more, or less, is better.

    .. math:: d = \frac{y - L}{T - L}, \quad 0 \text{ below},\ 1 \text{ above}

    The exponent that the source allows for is 1.

    Parameters
    ----------
    values
        Any shape.
    unacceptable, ideal
        Values of desirability 0 (L) and 1 (T), not equal; L above T where less is better. One of
        each, or of a shape that goes with that of the values.

    Raises
    ------
    ValueError
        If both limits are equal.

    Examples
    --------
    >>> one_sided([100, 129.5, 180], 120, 170).tolist()
    [0.0, 0.19, 1.0]
    """
    y, worst, best = (np.asarray(one, dtype=float) for one in (values, unacceptable, ideal))
    if (worst == best).any():
        raise ValueError("expected two limits that differ")
    # what lies far beyond limits that lie next to each other would overflow
    within = np.clip(y, np.minimum(worst, best), np.maximum(worst, best))
    return np.asarray(np.abs((within - worst) / (best - worst)))  # no minus before a zero


def two_sided(values: ArrayLike, low: ArrayLike, target: ArrayLike, high: ArrayLike) -> Floats:
    """Return the desirability of values that should be at a target; shapes as above.

    It is 1 at the target and 0 from `low` down and from `high` up.

    Raises
    ------
    ValueError
        If the three do not rise.

    Examples
    --------
    >>> two_sided([400, 465.7, 500, 700], 400, 500, 600).round(3).tolist()
    [0.0, 0.657, 1.0, 0.0]
    """
    if not (np.less(low, target) & np.less(target, high)).all():
        raise ValueError("expected a target between its limits")
    y = np.asarray(values, dtype=float)
    below, above = one_sided(y, low, target), one_sided(y, high, target)
    return np.where(y <= np.asarray(target), below, above)


def overall(desirabilities: ArrayLike, weights: ArrayLike) -> Floats:
    r"""Return the weighted geometric mean.

    .. math:: D = \Big(\prod_j d_j^{w_j}\Big)^{1 / \sum w_j}

    Parameters
    ----------
    desirabilities
        Shape (..., p), from 0 to 1.
    weights
        Shape (p,), of at least 0, not all 0.

    Examples
    --------
    >>> float(overall([0.25, 1.0], [1, 1]))
    0.5
    """
    d, w = np.asarray(desirabilities, dtype=float), np.asarray(weights, dtype=float)
    if not (w >= 0).all() or not w.sum() > 0:
        raise ValueError("expected weights of at least 0, not all 0")
    counted = w > 0
    with np.errstate(divide="ignore"):
        logs = np.log(d[..., counted])
    return np.asarray(np.exp(logs @ w[counted] / w.sum()))
