"""Values with lower bounds, against other programs and a published study.

The data are times of remission in weeks of 42 patients with leukemia, of which some are lower
bounds: Freireich et al., Blood 21 (1963) 699, as lifelines 0.30.3 carries them
(lifelines.datasets.load_leukemia). The results of lifelines were printed on 2026-11-25; it cannot
be a dependency of the tests, because it asks for pandas below 3.
"""

import math

import numpy as np
import pytest
from scipy.stats import CensoredData, ecdf, norm

from tiecoat.evaluate.statistics.censored_normal import fit_censored_normal
from tiecoat.evaluate.statistics.kaplan_meier import kaplan_meier, median

# fmt: off
TREATED = [35, 34, 32, 32, 25, 23, 22, 20, 19, 17, 16, 13, 11, 10, 10, 9, 7, 6, 6, 6, 6]
TREATED_ENDED = [0, 0, 0, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 1, 0, 1, 0, 1, 1, 1]
PLACEBO = [23, 22, 17, 15, 12, 12, 11, 11, 8, 8, 8, 8, 5, 5, 4, 4, 3, 2, 2, 1, 1]
# fmt: on
TREATED_BOUND = [not ended for ended in TREATED_ENDED]
PLACEBO_BOUND = [False] * len(PLACEBO)


# What lifelines.LogNormalFitter prints: mu_ and sigma_, their se(coef), log_likelihood_.
LIFELINES_TREATED = (
    *(3.203068273352897, 0.9787337900584867, 0.28613443779232556, 0.2505969272898575),
    -40.68015587071669,
)
LIFELINES_PLACEBO = (
    *(1.825127304459054, 0.9032038693577669, 0.1970952428337779, 0.1393645039900667),
    -65.98759318781566,
)


@pytest.mark.parametrize(
    ("weeks", "is_bound", "theirs"),
    [
        (TREATED, TREATED_BOUND, LIFELINES_TREATED),
        (PLACEBO, PLACEBO_BOUND, LIFELINES_PLACEBO),
    ],
)
def test_the_log_normal_fit_of_lifelines(
    weeks: list[int], is_bound: list[bool], theirs: tuple[float, ...]
) -> None:
    """lifelines.LogNormalFitter on the weeks is our fit on their logarithms.

    Its search stops within 1e-5 of the values: of the placebo group, which has no bounds, the
    mean of the logarithms is known exactly, and lifelines misses it by 3e-6. Its likelihood is
    that of the weeks: the logarithms' less the sum of the logarithms that are no bounds.
    """
    logs = np.log(weeks)
    fit = fit_censored_normal(logs, is_bound)
    ours = (fit.mean, fit.deviation, fit.mean_error, fit.deviation_error)
    assert ours == pytest.approx(theirs[:4], rel=5e-5)
    of_weeks = fit.log_likelihood - logs[~np.array(is_bound)].sum()
    assert of_weeks == pytest.approx(theirs[4], rel=1e-9)


def test_the_censored_fit_of_scipy() -> None:
    """scipy.stats.norm.fit on CensoredData, whose search stops at 1e-4 of the value."""
    logs, is_bound = np.log(TREATED), np.array(TREATED_BOUND)
    mean, deviation = norm.fit(CensoredData(uncensored=logs[~is_bound], right=logs[is_bound]))
    fit = fit_censored_normal(logs, is_bound)
    assert (fit.mean, fit.deviation) == pytest.approx((mean, deviation), rel=1e-4)


def test_the_published_shares_above() -> None:
    """Share in remission and Greenwood's standard error of the treated.

    Of R's MASS::gehan (Gehan, Biometrika 52 (1965) 203) by survival::survfit, with a digit more.
    """
    curve = kaplan_meier(TREATED, TREATED_BOUND)
    assert list(curve.values) == [6, 7, 10, 13, 16, 22, 23]
    assert curve.share == pytest.approx(
        [0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482], abs=6e-5
    )
    assert curve.error == pytest.approx(
        [0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346], abs=6e-5
    )


def test_the_shares_and_medians_of_lifelines() -> None:
    """lifelines.KaplanMeierFitter with its limits, and its medians with theirs.

    lifelines prints the limits to six digits. It has no upper limit of the median of the treated:
    infinity there, NaN here.
    """
    curve = kaplan_meier(TREATED, TREATED_BOUND)
    assert curve.low == pytest.approx(
        [0.619718, 0.563147, 0.503200, 0.431610, 0.367511, 0.267779, 0.188052], abs=6e-7
    )
    assert curve.high == pytest.approx(
        [0.951552, 0.922809, 0.889362, 0.849066, 0.804912, 0.746791, 0.680143], abs=6e-7
    )
    treated = median(curve)
    assert (treated.value, treated.low) == (23, 13)
    assert math.isnan(treated.high)
    placebo = median(kaplan_meier(PLACEBO, PLACEBO_BOUND))
    assert (placebo.value, placebo.low, placebo.high) == (8, 4, 11)


def test_the_shares_of_scipy() -> None:
    """scipy.stats.ecdf on CensoredData gives the same shares and limits (log-log)."""
    is_bound = np.array(TREATED_BOUND)
    weeks = np.array(TREATED, dtype=float)
    theirs = ecdf(CensoredData(uncensored=weeks[~is_bound], right=weeks[is_bound])).sf
    limits = theirs.confidence_interval(method="log-log")
    curve = kaplan_meier(weeks, is_bound)
    at = np.isin(theirs.quantiles, curve.values)
    assert curve.share == pytest.approx(theirs.probabilities[at], rel=1e-12)
    assert curve.low == pytest.approx(limits.low.probabilities[at], rel=1e-9)
    assert curve.high == pytest.approx(limits.high.probabilities[at], rel=1e-9)
