"""How many panels a margin asks for: the reckoning behind "cannot tell"."""

from __future__ import annotations

import math
from collections.abc import Callable

from scipy.special import nctdtr, ndtri, stdtrit

from tiecoat.compare.many_to_one import critical_value, single_confidence
from tiecoat.compare.own_scatter import chance_above
from tiecoat.compare.ranks import variance
from tiecoat.compare.reach import MOST

POWER = 0.8  # common practice, no source


def power_for_margin(
    panels: int,
    margin: float,
    deviation: float,
    comparisons: int = 1,
    *,
    both_sides: bool = False,
) -> float:
    r"""Return the chance to show that a candidate equal to the control is not worse.

    .. math:: P = 1 - F_{t(\nu, \lambda)}(c), \quad \lambda = \frac{\delta}{s \sqrt{2 / n}}, \quad
        \nu = (k + 1)(n - 1)

    with the noncentral t distribution and the limit c of Dunnett's test: the end of the
    simultaneous interval must lie inside the margin. With one comparison it is the power of the
    t test of non-inferiority at one-sided 2.5 %. The source is the definition of the noncentral t.
    Where both ends must lie inside, 2P - 1 is returned, the least it can be (Bonferroni): at 80 %
    and one comparison it is 5 points more with two panels, 1 with three, and 0.05 with six.

    Parameters
    ----------
    panels
        Of the control and of each candidate, 2 or more.
    margin, deviation
        Margin and standard deviation of a panel, in one unit, above 0.
    comparisons
        How many candidates are compared with the control.
    both_sides
        Whether the margin limits more and less, as for a target.

    Examples
    --------
    >>> round(power_for_margin(17, 1.0, 1.0), 3)
    0.807
    >>> round(power_for_margin(17, 1.0, 1.0, both_sides=True), 3)
    0.614
    """
    freedom = (comparisons + 1) * (panels - 1)
    critical = critical_value((panels,) * comparisons, panels, float(freedom))
    away = margin / (deviation * math.sqrt(2 / panels))
    return _of_ends(1 - float(nctdtr(freedom, away, critical)), both_sides)


def power_for_own_scatter(
    panels: int,
    margin: float,
    deviation: float,
    comparisons: int = 1,
    *,
    both_sides: bool = False,
) -> float:
    r"""Return the same chance where each batch keeps its own scatter: Welch, adjusted by Sidak.

    It is exact for normal panels of one deviation (`chance_above`); both sides as above.

    Examples
    --------
    >>> round(power_for_own_scatter(17, 1.0, 1.0), 3), round(power_for_own_scatter(6, 2.0, 1.0), 3)
    (0.806, 0.865)
    """
    away = margin / (deviation * math.sqrt(2 / panels))
    alike = (deviation, deviation)
    chance = chance_above(away, single_confidence(comparisons), (panels, panels), alike)
    return _of_ends(chance, both_sides)


def power_for_target(panels: int, margin: float, deviation: float, comparisons: int = 1) -> float:
    r"""Return the chance to show that a candidate on its target is within the margin of it.

    As `power_for_margin` on both sides, but the target is known:
    :math:`\lambda = \delta \sqrt n / s`, :math:`\nu = n - 1`, and c is Student's t by Sidak.

    Examples
    --------
    >>> round(power_for_target(13, 1.0, 1.0), 3)
    0.821
    """
    critical = float(stdtrit(panels - 1, 0.5 + single_confidence(comparisons) / 2))
    away = margin * math.sqrt(panels) / deviation
    return _of_ends(1 - float(nctdtr(panels - 1, away, critical)), both_sides=True)


def _of_ends(power: float, both_sides: bool) -> float:
    return max(0.0, 2 * power - 1) if both_sides else power


def panels_for_margin(
    margin: float, deviation: float, comparisons: int = 1, *, both_sides: bool = False
) -> int | None:
    """Return the least number of panels of each batch with a power of 80 %; None above 1000.

    Examples
    --------
    >>> panels_for_margin(1.0, 1.0), panels_for_margin(1.0, 1.0, both_sides=True)
    (17, 23)
    """
    if not _asks_for_some(margin, deviation):
        return None
    return _least(
        lambda n: power_for_margin(n, margin, deviation, comparisons, both_sides=both_sides)
    )


def panels_for_own_scatter(
    margin: float, deviation: float, comparisons: int = 1, *, both_sides: bool = False
) -> int | None:
    """Return the least number of panels where each batch keeps its own scatter; see above.

    Examples
    --------
    >>> panels_for_own_scatter(1.0, 1.0), panels_for_own_scatter(2.0, 1.0, 4)
    (17, 8)
    """
    if not _asks_for_some(margin, deviation):
        return None
    return _least(
        lambda n: power_for_own_scatter(n, margin, deviation, comparisons, both_sides=both_sides)
    )


def panels_for_target(margin: float, deviation: float, comparisons: int = 1) -> int | None:
    """Return the least number of panels of a candidate, held against a number; see above.

    Examples
    --------
    >>> panels_for_target(1.0, 1.0)
    13
    """
    if not _asks_for_some(margin, deviation):
        return None
    return _least(lambda n: power_for_target(n, margin, deviation, comparisons))


def _asks_for_some(margin: float, spread: float) -> bool:
    return margin > 0 and spread > 0 and math.isfinite(margin)


def _least(power: Callable[[int], float]) -> int | None:
    """Return the least number with enough power, which rises with the number; None above 1000."""
    low, high = 1, 2
    while power(high) < POWER:
        low, high = high, 2 * high
        if high > 2 * MOST:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if power(middle) >= POWER else (middle, high)
    return high if high <= MOST else None


def panels_by_normal(margin: float, variance_of_a_panel: float, comparisons: int) -> int | None:
    r"""Return the least number of panels of each batch where a normal limit serves.

    .. math:: n = (z_{1-\alpha'/2} + z_{0.8})^2 \, v / \delta^2

    with alpha' adjusted by Sidak, and v the variance of the effect with one panel in each batch.
    For counts v is that of the logarithm of the rate ratio.
    """
    if not _asks_for_some(margin, variance_of_a_panel):
        return None
    z = float(ndtri(0.5 + single_confidence(comparisons) / 2) + ndtri(POWER))
    if z * math.sqrt(variance_of_a_panel) > MOST * margin:  # whose square may be no float
        return None
    n = max(2, math.ceil(z**2 * variance_of_a_panel / margin**2))
    return n if n <= MOST else None


def panels_for_ratings(margin: float, comparisons: int = 1) -> int | None:
    r"""Return the least number of panels of each batch for a margin of ratings; None above 1000.

    .. math:: z_{1-\alpha'/2} \sqrt{V(1/2 - \delta)} + z_{0.8} \sqrt{\frac{2 n + 1}{12 n^2}}
        \le \delta

    with the variance V that the interval has at the margin (`ranks.variance`), and beside it that
    of the estimate if both batches are rated alike and without ties (Mann and Whitney, Ann. Math.
    Stat. 18 (1947) 50; from memory); ties make it smaller. alpha' is adjusted by Sidak.

    Examples
    --------
    >>> panels_for_ratings(0.3), panels_for_ratings(0.3, 8)
    (11, 17)
    """
    if not 0 < margin < 0.5:
        return None
    z, z_power = float(ndtri(0.5 + single_confidence(comparisons) / 2)), float(ndtri(POWER))

    def reach(n: int) -> float:
        alike = (2 * n + 1) / (12 * n**2)
        return z * math.sqrt(variance(0.5 - margin, n, n)) + z_power * math.sqrt(alike)

    return next((n for n in range(2, MOST + 1) if reach(n) <= margin), None)
