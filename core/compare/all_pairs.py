r"""All pairs of several batches: how far apart the two that lie farthest apart are by chance.

The t value of a pair with one pooled variance is referred to the studentized range of all batches
(Tukey; for unequal numbers of panels Kramer, Biometrics 12 (1956) 307; that it is then on the safe
side: Hayter, Ann. Stat. 12 (1984) 61; all from memory):

.. math:: P(\max_{i<j} |T_{ij}| \le c) \ge P(Q_{k, \nu} \le \sqrt 2 \, c)
"""

from __future__ import annotations

import math
from functools import lru_cache

from tiecoat.compare.many_to_one import CONFIDENCE

ROOT_TWO = math.sqrt(2.0)


@lru_cache(maxsize=4096)
def critical_of_pairs(batches: int, freedom: float) -> float:
    """Return the limit within which the t values of all pairs lie with 95 %, two-sided.

    Parameters
    ----------
    batches
        How many are compared with each other, at least two.
    freedom
        Degrees of freedom of the pooled variance.

    Examples
    --------
    Tables of the studentized range have 4.34 for three batches and six degrees of freedom.

    >>> round(ROOT_TWO * critical_of_pairs(3, 6), 2)
    4.34
    """
    from scipy.stats import studentized_range

    return float(studentized_range.ppf(CONFIDENCE, batches, freedom)) / ROOT_TWO


@lru_cache(maxsize=4096)
def p_of_pairs(t: float, batches: int, freedom: float) -> float:
    """Return the chance that the two farthest of all batches lie as far apart as this t value."""
    from scipy.stats import studentized_range

    return float(studentized_range.sf(ROOT_TWO * abs(t), batches, freedom))
