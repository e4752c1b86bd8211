"""Interval-censored times against another program, classical data, and scipy where it can.

- Times to the breast retraction of 46 patients after radiotherapy and 48 after radiotherapy and
  chemotherapy, in months: Finkelstein and Wolfe, Biometrics 41 (1985) 933, as statistics packages
  carry them.
- Lung tumours of mice in a germ-free environment, in days, each known only as there or not there
  at death: Hoel and Walburg, J. Natl. Cancer Inst. 49 (1972) 361, as lifelines carries them
  (`load_mice`, group "ge").

lifelines 0.30.3 cannot be a dependency of the tests, because it asks for pandas below 3; its
results were printed on 2026-11-26 by `lifelines.fitters.npmle.npmle(low + 1e-6, high, tol=1e-13)`,
which takes closed intervals, so that one that begins where another ends must begin a little later,
and by `WeibullFitter().fit_interval_censoring(low, high)` and `LogNormalFitter()`.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import CensoredData, ecdf, lognorm, weibull_min

from tiecoat.evaluate.statistics.censored_times import TimesFit, fit_times
from tiecoat.evaluate.statistics.turnbull import turnbull

INF = math.inf
# fmt: off
RADIATION = [
    (45, INF), (25, 37), (37, INF), (6, 10), (46, INF), (0, 5), (0, 7), (26, 40), (18, INF),
    (46, INF), (46, INF), (24, INF), (46, INF), (27, 34), (36, INF), (7, 16), (36, 44), (5, 11),
    (17, INF), (46, INF), (19, 35), (7, 14), (36, 48), (17, 25), (37, 44), (37, INF), (24, INF),
    (0, 8), (40, INF), (32, INF), (4, 11), (17, 25), (33, INF), (15, INF), (46, INF), (19, 26),
    (11, 15), (11, 18), (37, INF), (22, INF), (38, INF), (34, INF), (46, INF), (5, 12), (36, INF),
    (46, INF),
]
WITH_CHEMOTHERAPY = [
    (8, 12), (0, 5), (30, 34), (0, 22), (5, 8), (13, INF), (24, 31), (12, 20), (10, 17), (17, 27),
    (11, INF), (8, 21), (17, 23), (33, 40), (4, 9), (24, 30), (31, INF), (11, INF), (16, 24),
    (13, 39), (14, 19), (13, INF), (19, 32), (4, 8), (11, 13), (34, INF), (34, INF), (16, 20),
    (13, INF), (30, 36), (18, 25), (16, 24), (18, 24), (17, 26), (35, INF), (16, 60), (32, INF),
    (15, 22), (35, 39), (23, INF), (11, 17), (21, INF), (44, 48), (22, 32), (11, 20), (14, 17),
    (10, 35), (48, INF),
]
MICE_WITH = [
    546, 609, 692, 692, 710, 752, 773, 781, 782, 789, 808, 810, 814, 842, 846, 851, 871, 873, 876,
    888, 888, 890, 894, 896, 911, 913, 914, 914, 916, 921, 921, 926, 936, 945, 1008,
]
MICE_WITHOUT = [412, 524, 647, 648, 695, 785, 814, 817, 851, 880, 913, 942, 986]
MICE = [(0, day) for day in MICE_WITH] + [(day, INF) for day in MICE_WITHOUT]

# What lifelines prints of the innermost intervals with more than 1e-4.
LIFELINES_RADIATION = [
    (4, 5, 0.046347), (6, 7, 0.033363), (7, 8, 0.088667), (11, 12, 0.070753), (24, 25, 0.092646),
    (33, 34, 0.081786), (38, 40, 0.120880), (46, 48, 0.465558),
]
LIFELINES_WITH_CHEMOTHERAPY = [
    (4, 5, 0.043283), (5, 8, 0.043283), (11, 12, 0.069206), (16, 17, 0.145398), (18, 19, 0.141095),
    (19, 20, 0.115746), (24, 25, 0.099865), (30, 31, 0.070881), (35, 36, 0.160831),
    (44, 48, 0.055206), (48, 60, 0.055206),
]
LIFELINES_MICE = [
    (524, 546, 0.5), (648, 692, 0.166667), (695, 710, 0.083323), (880, 888, 0.083304),
    (986, 1008, 0.166667),
]
# lambda_ and rho_ with their se(coef), log_likelihood_; mu_ and sigma_ with theirs, log_likelihood_
LIFELINES_FITS = {
    "radiation": (
        (57.513096134, 1.121611797, 12.997080009, 0.239647494, -64.731470615),
        (3.750350504, 1.308052289, 0.252671106, 0.252582885, -64.734898686),
    ),
    "with chemotherapy": (
        (28.042505411, 2.030241642, 2.392982489, 0.285721182, -75.715068395),
        (3.081587201, 0.630476901, 0.100007736, 0.082680753, -76.550982810),
    ),
    "mice": (
        (705.724632998, 2.011476276, 92.220002054, 1.184236866, -26.261518248),
        (6.399010449, 0.464664877, 0.177484877, 0.247577371, -26.122845149),
    ),
}
# fmt: on
DATA = {"radiation": RADIATION, "with chemotherapy": WITH_CHEMOTHERAPY, "mice": MICE}


@pytest.mark.parametrize(
    ("data", "theirs", "within"),
    [
        (RADIATION, LIFELINES_RADIATION, 2e-6),
        (WITH_CHEMOTHERAPY, LIFELINES_WITH_CHEMOTHERAPY, 2e-6),
        (MICE, LIFELINES_MICE, 4e-5),
    ],
    ids=DATA,
)
def test_the_estimate_of_lifelines(
    data: list[tuple[float, float]], theirs: list[tuple[float, float, float]], within: float
) -> None:
    """The same innermost intervals have the same masses, to the digits that lifelines settles to.

    Of the mice lifelines leaves 1e-5 and 3e-5 in two intervals that the likeliest distribution has
    nothing in, which is where its last digits of the others are missing.
    """
    found = turnbull(*zip(*data, strict=True))
    assert found.converged
    assert list(zip(found.low, found.high, strict=True)) == [(a, b) for a, b, _ in theirs]
    assert found.mass == pytest.approx([mass for *_, mass in theirs], abs=within)


def scale_of(fit: TimesFit) -> float:
    """The scale of a Weibull distribution, by which 63.2 % have reached it, from its median."""
    return fit.median.value / math.log(2) ** (1 / fit.shape.value)


@pytest.mark.parametrize("name", DATA)
def test_the_weibull_fit_of_lifelines(name: str) -> None:
    """Scale, shape, the error of the shape and ln L agree; its search stops within 1e-5."""
    (scale, shape, _, shape_error, log_likelihood), _ = LIFELINES_FITS[name]
    fit = fit_times(*zip(*DATA[name], strict=True), "weibull")
    assert (scale_of(fit), fit.shape.value) == pytest.approx((scale, shape), rel=1e-5)
    assert fit.shape.standard_error == pytest.approx(shape_error, rel=1e-4)
    assert fit.log_likelihood == pytest.approx(log_likelihood, rel=1e-8)


@pytest.mark.parametrize("name", DATA)
def test_the_log_normal_fit_of_lifelines(name: str) -> None:
    """mu, sigma, both errors and ln L agree; its search stops within 4e-5."""
    _, (mu, sigma, mu_error, sigma_error, log_likelihood) = LIFELINES_FITS[name]
    fit = fit_times(*zip(*DATA[name], strict=True), "log-normal")
    assert (fit.ln_median, fit.spread) == pytest.approx((mu, sigma), rel=4e-5)
    assert (fit.ln_median_error, fit.spread_error) == pytest.approx(
        (mu_error, sigma_error), rel=3e-4
    )
    assert fit.log_likelihood == pytest.approx(log_likelihood, rel=1e-8)


def test_the_fits_of_scipy() -> None:
    """scipy.stats fits the same distributions to the same intervals (CensoredData).

    Its search stops within 1e-4 of the values.
    """
    ends = np.array(WITH_CHEMOTHERAPY, dtype=float)
    ends[ends[:, 0] == 0, 0] = 1e-9  # scipy takes the logarithm of its probability there
    data = CensoredData(interval=ends)
    low, high = zip(*WITH_CHEMOTHERAPY, strict=True)
    with np.errstate(divide="ignore"):
        shape, _, scale = weibull_min.fit(data, floc=0)
        sigma, _, median = lognorm.fit(data, floc=0)
    ours = fit_times(low, high, "weibull")
    assert (ours.shape.value, scale_of(ours)) == pytest.approx((shape, scale), rel=1e-4)
    ours = fit_times(low, high, "log-normal")
    assert (ours.spread, ours.median.value) == pytest.approx((sigma, median), rel=1e-4)


@pytest.mark.parametrize("seed", range(3))
def test_the_empirical_distribution_of_scipy(seed: int) -> None:
    """Of exact times and lower bounds scipy.stats.ecdf gives the same share, within 1e-5."""
    rng = np.random.default_rng(seed)
    times, ends = rng.weibull(2, 30) * 500, rng.uniform(200, 900, 30)
    low, exact = np.minimum(times, ends), times <= ends
    found = turnbull(low, np.where(exact, low, INF))
    theirs = ecdf(CensoredData(uncensored=low[exact], right=low[~exact])).sf
    ours = [found.share_after(time)[1] for time in theirs.quantiles]
    assert ours == pytest.approx(theirs.probabilities.tolist(), abs=1e-5)
