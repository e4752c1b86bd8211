"""How many panels a margin asks for: the reckoning behind "cannot tell"."""

from __future__ import annotations

import math

from scipy.special import nctdtr, ndtri

from tiecoat.compare.many_to_one import critical_value, single_confidence

POWER = 0.8  # common practice, no source
MOST = 1000  # panels of a batch; above it no number is given


def power_for_margin(panels: int, margin: float, deviation: float, comparisons: int = 1) -> float:
    r"""Return the chance to show that a candidate equal to the control is not worse.

    .. math:: 1 - F_{t(\nu, \lambda)}(c), \quad \lambda = \frac{\delta}{s \sqrt{2 / n}}, \quad
        \nu = (k + 1)(n - 1)

    with the noncentral t distribution and the limit c of Dunnett's test: the end of the
    simultaneous interval must lie inside the margin. With one comparison it is the power of the
    t test of non-inferiority at one-sided 2.5 %. The source is the definition of the noncentral t.

    Parameters
    ----------
    panels
        Of the control and of each candidate, 2 or more.
    margin, deviation
        Margin and standard deviation of a panel, in one unit, above 0.
    comparisons
        How many candidates are compared with the control.

    Examples
    --------
    >>> round(power_for_margin(17, 1.0, 1.0), 3)
    0.807
    """
    freedom = (comparisons + 1) * (panels - 1)
    critical = critical_value((panels,) * comparisons, panels, float(freedom))
    away = margin / (deviation * math.sqrt(2 / panels))
    return 1 - float(nctdtr(freedom, away, critical))


def panels_for_margin(margin: float, deviation: float, comparisons: int = 1) -> int | None:
    """Return the least number of panels of each batch with a power of 80 %; None above 1000.

    Examples
    --------
    >>> panels_for_margin(1.0, 1.0)
    17
    """
    if not (margin > 0 and deviation > 0 and math.isfinite(margin)):
        return None
    low, high = 1, 2
    while power_for_margin(high, margin, deviation, comparisons) < POWER:
        low, high = high, 2 * high
        if high > 2 * MOST:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        enough = power_for_margin(middle, margin, deviation, comparisons) >= POWER
        low, high = (low, middle) if enough else (middle, high)
    return high if high <= MOST else None


def panels_by_normal(margin: float, variance_of_a_panel: float, comparisons: int) -> int | None:
    r"""Return the least number of panels of each batch where a normal limit serves.

    .. math:: n = (z_{1-\alpha'/2} + z_{0.8})^2 \, v / \delta^2

    with alpha' adjusted by Sidak, and v the variance of the effect with one panel in each batch.
    For counts v is that of the logarithm of the rate ratio; for ratings v = 1/6 and the margin is
    one of the probability of superiority (Noether, J. Am. Stat. Assoc. 82 (1987) 645; from
    memory).
    """
    if not (margin > 0 and variance_of_a_panel > 0 and math.isfinite(margin)):
        return None
    z = float(ndtri(0.5 + single_confidence(comparisons) / 2) + ndtri(POWER))
    n = max(2, math.ceil(z**2 * variance_of_a_panel / margin**2))
    return n if n <= MOST else None
