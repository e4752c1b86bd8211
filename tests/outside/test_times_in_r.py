"""Times to failure as R's own data sets have them, against what R finds and against hand counts.

- `cracks` of R's package survival: 167 turbine parts, inspected eight times together (W. Q. Meeker
  and L. A. Escobar, Statistical Methods for Reliability Data, 1998, as the package documents it).
- `turbine` there: 432 wheels, each inspected once, so that each is only known as cracked or not at
  its hours (current status; the same source).
- `gehan` of MASS: remission of 42 patients, in weeks (E. A. Gehan, Biometrika 52 (1965) 203).
- Cosmesis: 94 patients (D. M. Finkelstein and R. A. Wolfe, Biometrics 41 (1985) 933); the data
  stand in test_turnbull_elsewhere.py.

What R finds was printed by times_in_r.R on 2026-11-29 with R 4.2.2, survival 3.5.3, MASS 7.3.58.2.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from test_turnbull_elsewhere import RADIATION, WITH_CHEMOTHERAPY, scale_of

from tiecoat.evaluate.statistics.censored_times import Distribution, fit_times
from tiecoat.evaluate.statistics.kaplan_meier import kaplan_meier
from tiecoat.evaluate.statistics.turnbull import turnbull

INF = math.inf
CRACKS = {186: 5, 606: 16, 902: 12, 1077: 18, 1209: 18, 1377: 2, 1592: 6, 1932: 17}  # days: parts
PARTS = 167
WHEELS = {  # hours: cracked, inspected
    400: (0, 39),
    1000: (4, 53),
    1400: (2, 33),
    1800: (7, 73),
    2200: (5, 30),
    2600: (9, 39),
    3000: (9, 42),
    3400: (6, 13),
    3800: (22, 34),
    4200: (21, 40),
    4600: (21, 36),
}
GEHAN_CONTROL = [1, 22, 3, 12, 8, 17, 2, 11, 8, 12, 2, 5, 4, 15, 8, 23, 5, 11, 4, 1, 8]
CONTROL_IN_R = {  # weeks: share, standard error, log-log limits
    1: (0.9047619, 0.0640564, 0.67004588, 0.975294),
    2: (0.8095238, 0.0856891, 0.56890506, 0.923889),
    3: (0.7619048, 0.0929429, 0.51939142, 0.893257),
    4: (0.6666667, 0.1028689, 0.42535044, 0.825044),
    5: (0.5714286, 0.1079898, 0.33797695, 0.749241),
    8: (0.3809524, 0.1059712, 0.18306655, 0.577789),
    11: (0.2857143, 0.0985808, 0.11656133, 0.481820),
    12: (0.1904762, 0.0856891, 0.05948170, 0.377435),
    15: (0.1428571, 0.0763604, 0.03565736, 0.321162),
    17: (0.0952381, 0.0640564, 0.01625926, 0.261250),
    22: (0.0476190, 0.0464714, 0.00332446, 0.197045),
}


def cracks() -> tuple[list[float], list[float]]:
    """Between which inspections each part cracked; the rest had not at the last."""
    days = [0.0, *map(float, CRACKS), INF]
    counts = [*CRACKS.values(), PARTS - sum(CRACKS.values())]
    low = [start for start, count in zip(days, counts, strict=False) for _ in range(count)]
    high = [end for end, count in zip(days[1:], counts, strict=True) for _ in range(count)]
    return low, high


def wheels() -> tuple[list[float], list[float]]:
    """Cracked before its hours, or not yet then."""
    low, high = [], []
    for hours, (cracked, inspected) in WHEELS.items():
        low += [0.0] * cracked + [float(hours)] * (inspected - cracked)
        high += [float(hours)] * cracked + [INF] * (inspected - cracked)
    return low, high


@pytest.mark.parametrize(
    ("data", "n", "scale", "shape", "log_likelihood"),
    [
        (cracks(), 167, 2182.00414, 1.484767544, -309.6311809),
        (wheels(), 432, 4677.723025, 2.175779909, -189.2871934),
        (tuple(zip(*RADIATION, strict=True)), 46, 57.5131, 1.121613, -64.73147),
        (tuple(zip(*WITH_CHEMOTHERAPY, strict=True)), 48, 28.04247, 2.030238, -75.71507),
    ],
    ids=["cracks", "turbine", "cosmesis 0", "cosmesis 1"],
)
def test_the_weibull_fit_of_r(
    data: tuple[list[float], list[float]],
    n: int,
    scale: float,
    shape: float,
    log_likelihood: float,
) -> None:
    """survival::survreg: scale, shape and ln L, to its printed digits (its own search: 1e-7)."""
    fit = fit_times(*data, "weibull")
    assert fit.median.n == n
    assert (scale_of(fit), fit.shape.value) == pytest.approx((scale, shape), rel=3e-7)
    assert fit.log_likelihood == pytest.approx(log_likelihood, rel=1e-7)


@pytest.mark.parametrize(
    ("data", "mu", "sigma", "log_likelihood"),
    [
        (cracks(), 7.442418401, 0.9989999754, -311.8822544),
        (wheels(), 8.305077855, 0.7198857213, -190.7315495),
    ],
    ids=["cracks", "turbine"],
)
def test_the_log_normal_fit_of_r(
    data: tuple[list[float], list[float]], mu: float, sigma: float, log_likelihood: float
) -> None:
    """survival::survreg likewise."""
    fit = fit_times(*data, "log-normal")
    assert (fit.ln_median, fit.spread) == pytest.approx((mu, sigma), rel=1e-7)
    assert fit.log_likelihood == pytest.approx(log_likelihood, rel=1e-9)


def test_shares_of_wheels_that_are_seen_once_are_pooled() -> None:
    """By hand: shares that fall with the hours are pooled with their neighbours.

    4/53 = 7.5 % and 2/33 = 6.1 % become 6/86; 9/39 = 23.1 % and 9/42 = 21.4 % become 18/81; 22/34
    and 21/40 = 43/74; the others rise as they are.
    """
    by_hand = {
        400: 0.0,
        1000: 6 / 86,
        1400: 6 / 86,
        1800: 7 / 73,
        2200: 5 / 30,
        2600: 18 / 81,
        3000: 18 / 81,
        3400: 6 / 13,
        3800: 43 / 74,
        4200: 43 / 74,
        4600: 21 / 36,
    }
    curve = turnbull(*wheels())
    assert curve.converged
    found = [1 - curve.share_after(float(hours))[0] for hours in by_hand]
    assert found == pytest.approx(list(by_hand.values()), abs=2e-6)


def test_shares_of_parts_inspected_together_are_counts() -> None:
    """All 167 parts are seen at each inspection: the share is that of those not yet cracked."""
    curve = turnbull(*cracks())
    left = PARTS - np.cumsum(list(CRACKS.values()))
    found = [curve.share_after(float(day)) for day in CRACKS]
    assert [low for low, _ in found] == pytest.approx((left / PARTS).tolist(), abs=1e-6)
    assert [high for _, high in found] == pytest.approx((left / PARTS).tolist(), abs=1e-6)


@pytest.mark.parametrize(
    ("data", "log_likelihood"), [(RADIATION, -58.0600), (WITH_CHEMOTHERAPY, -65.6370)]
)
def test_the_likelihood_of_the_published_cosmesis_data(
    data: list[tuple[float, float]], log_likelihood: float
) -> None:
    """ln L of the masses, summed by the definition; R's survfit has the masses to 3 digits."""
    curve = turnbull(*zip(*data, strict=True))
    total = 0.0
    for low, high in data:
        inside = (np.asarray(curve.low) >= low) & (np.asarray(curve.high) <= high)
        total += math.log(float(np.asarray(curve.mass)[inside].sum()))
    assert total == pytest.approx(log_likelihood, abs=6e-5)


def test_remission_of_the_controls_is_that_of_r() -> None:
    """survival::survfit of MASS::gehan: shares, Greenwood's errors, log-log limits.

    The treated stand in test_censored_elsewhere.py, with the same figures. At the last of 21 times
    nothing is left, and R gives no error.
    """
    curve = kaplan_meier(GEHAN_CONTROL, [False] * len(GEHAN_CONTROL))
    columns = (curve.share, curve.error, curve.low, curve.high)
    assert list(curve.values)[:-1] == list(CONTROL_IN_R)
    for found, theirs in zip(columns, zip(*CONTROL_IN_R.values(), strict=True), strict=True):
        assert list(found)[:-1] == pytest.approx(list(theirs), rel=2e-6)
    assert curve.share[-1] == 0


@pytest.mark.parametrize("word", ["normal", "Weibull", "gamma", "", "lognorm"])
def test_a_distribution_that_is_none_of_the_two_is_refused(word: Distribution) -> None:
    """No word is taken for log-normal, and what was fitted is named as it is."""
    with pytest.raises(ValueError, match='"weibull" or "log-normal"'):
        fit_times(*cracks(), word)
    assert fit_times(*cracks(), "lognormal").distribution == "log-normal"
