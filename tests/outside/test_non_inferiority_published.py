"""Non-inferiority and equivalence against results that R gave on a published clinical data set.

Source: statsmodels 0.15.0, statsmodels/stats/tests/test_tost.py: the data set `clinic` and the
results of R's packages equivalence (tost) and multeq. The groups of fifteen are compared on two of
five variables. The printed intervals are of 90 %, as two one-sided tests of 5 % use them.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import stdtr, stdtrit
from statsmodels.stats.weightstats import ttost_ind

from tiecoat.compare.contrasts import Contrast, against_control, by_estimates
from tiecoat.compare.verdict import Limits, VerdictWord, decide
from tiecoat.evaluate.estimate import mean_of

# fmt: off
FIRST_1 = np.array([2.84, 2.51, 2.41, 2.95, 3.14, 3.79, 4.14, 3.85, 3.02, 3.45, 5.37, 3.81, 4.19,
                    3.16, 3.84])
FIRST_2 = np.array([2.60, 2.82, 2.18, 3.46, 4.01, 3.04, 3.47, 4.06, 2.91, 3.59, 4.51, 3.16, 3.86,
                    3.31, 3.02])
SECOND_1 = np.array([4.00, 3.26, 4.14, 3.42, 3.25, 4.34, 4.97, 4.31, 3.11, 3.41, 5.02, 4.21, 4.59,
                     5.30, 4.32])
SECOND_2 = np.array([3.76, 3.66, 3.65, 3.60, 3.48, 2.87, 3.24, 3.92, 3.99, 4.21, 4.21, 3.31, 3.61,
                     2.97, 2.73])
# fmt: on


def welch(control: NDArray[np.float64], candidate: NDArray[np.float64]) -> Contrast:
    """Return the contrast with separate variances."""
    (found,) = by_estimates(mean_of(control), [mean_of(candidate)])
    assert isinstance(found, Contrast)
    return found


def one_sided_p(found: Contrast, margin: float) -> float:
    """Return the larger p of the two one-sided tests."""
    t = [(margin - found.effect), (margin + found.effect)]
    return float(max(stdtr(found.freedom, -one / found.standard_error) for one in t))


@pytest.mark.parametrize(
    ("groups", "difference", "error", "freedom", "p", "interval"),
    [
        (
            (FIRST_2, FIRST_1),
            0.1646666666666667,
            0.2531625991083627,
            26.7484787582315,
            0.04853083976236974,
            (-0.2666862980722534, 0.596019631405587),
        ),
        (
            (SECOND_2, SECOND_1),
            0.562666666666666,
            0.2149871904637392,
            24.11000151062728,
            0.4317936812594803,
            (0.194916250699966, 0.930417082633366),
        ),
    ],
)
def test_separate_variances(  # noqa: PLR0917 - the columns of the published results
    groups: tuple[NDArray[np.float64], NDArray[np.float64]],
    difference: float,
    error: float,
    freedom: float,
    p: float,
    interval: tuple[float, float],
) -> None:
    """Difference, standard error, degrees of freedom, p and interval to ten digits."""
    found = welch(*groups)
    assert found.effect == pytest.approx(difference, rel=1e-10)
    assert found.standard_error == pytest.approx(error, rel=1e-10)
    assert found.freedom == pytest.approx(freedom, rel=1e-10)
    assert one_sided_p(found, 0.6) == pytest.approx(p, rel=1e-10)
    half = stdtrit(found.freedom, 0.95) * found.standard_error
    assert (found.effect - half, found.effect + half) == pytest.approx(interval, rel=1e-10)


def test_one_variance() -> None:
    """With pooled variances, as Dunnett's comparison has it where spreads do not differ."""
    (found,) = against_control(FIRST_2, [FIRST_1]).alike
    assert isinstance(found, Contrast)
    assert one_sided_p(found, 0.6) == pytest.approx(0.04827315100761467, rel=1e-10)
    assert found.freedom == 28


@pytest.mark.parametrize("margin", [0.2, 0.35, 0.5, 0.6, 0.8, 1.1])
@pytest.mark.parametrize("groups", [(FIRST_2, FIRST_1), (SECOND_2, SECOND_1)])
def test_the_verdict_is_that_of_two_one_sided_tests(
    groups: tuple[NDArray[np.float64], NDArray[np.float64]], margin: float
) -> None:
    """Within the margin by our 95 % interval just when statsmodels' larger p is at most 2.5 %."""
    found = welch(*groups)
    outcome, _ = decide(*found.interval, found.p, "target", Limits(-margin, margin))
    p = ttost_ind(groups[1], groups[0], -margin, margin, usevar="unequal")[0]
    assert (outcome is VerdictWord.NOT_WORSE) == (p <= 0.025)
    up, _ = decide(*found.interval, 1.0, "higher", Limits(-margin, math.inf))
    not_inferior = ttost_ind(groups[1], groups[0], -margin, 1e9, usevar="unequal")[0]
    assert (up is VerdictWord.NOT_WORSE) == (not_inferior <= 0.025)
