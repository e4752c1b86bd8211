"""Every test of a comparison against statsmodels and scipy, on data sets of statsmodels."""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm
from scipy.stats import brunnermunzel, dunnett, ttest_ind
from scipy.stats import t as student
from statsmodels.datasets import anes96, cpunish, fair, spector
from statsmodels.discrete.discrete_model import NegativeBinomial
from statsmodels.formula.api import ols
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.nonparametric import rank_compare_2indep
from statsmodels.stats.power import TTestIndPower
from statsmodels.stats.proportion import proportion_confint
from statsmodels.stats.rates import test_poisson_2indep as poisson_two
from statsmodels.stats.weightstats import CompareMeans

from tiecoat.compare.contrasts import Contrast, against_control, by_estimates
from tiecoat.compare.dose_line import line_through
from tiecoat.compare.power import panels_for_margin, power_for_margin
from tiecoat.compare.ranks import superiority
from tiecoat.compare.rates import Counts, dispersed_ratio, exact_ratio
from tiecoat.compare.verdict import holm
from tiecoat.evaluate.estimate import mean_of


def grades() -> tuple[np.ndarray, np.ndarray]:
    """Grades of students without and with a new method: statsmodels' spector."""
    table = spector.load_pandas().data
    return (
        table.loc[table["PSI"] == 0, "GPA"].to_numpy(float),
        table.loc[table["PSI"] == 1, "GPA"].to_numpy(float),
    )


def test_two_means_with_one_variance_and_with_two() -> None:
    """p and interval of statsmodels' CompareMeans, and p of scipy's ttest_ind, to ten digits.

    With two variances that is so where both have as many values: 14 of each.
    """
    control, candidate = grades()
    theirs = CompareMeans.from_data(candidate, control)
    (one,) = against_control(control, [candidate]).alike
    equal = control[: len(candidate)]
    (two,) = by_estimates(mean_of(equal), [mean_of(candidate)])
    of_equal = CompareMeans.from_data(candidate, equal)
    for found, their, against, usevar in (
        (one, theirs, control, "pooled"),
        (two, of_equal, equal, "unequal"),
    ):
        assert isinstance(found, Contrast)
        assert found.interval == pytest.approx(their.tconfint_diff(usevar=usevar), rel=1e-10)
        p = ttest_ind(candidate, against, equal_var=usevar == "pooled").pvalue
        assert found.p == found.p_alone == pytest.approx(p, rel=1e-10)
        assert found.p == pytest.approx(their.ttest_ind(usevar=usevar)[1], rel=1e-10)


def test_holm_over_properties() -> None:
    """One candidate: statsmodels' multipletests on the p of a regression on cpunish."""
    table = cpunish.load_pandas().data
    fit = sm.OLS(table["EXECUTIONS"], sm.add_constant(table.drop(columns="EXECUTIONS"))).fit()
    p = fit.pvalues.to_list()
    assert holm(p, list(range(len(p)))) == pytest.approx(multipletests(p, method="holm")[1])


@pytest.mark.parametrize(("mine", "others", "area"), [(60, 30, 1.0), (8, 22, 0.4), (3, 14, 2.5)])
def test_two_poisson_rates(mine: int, others: int, area: float) -> None:
    """p of the exact conditional test and, through the share, the limits of Clopper and Pearson.

    60 in 51,477.5 against 30 in 54,308.7 person-years, which statsmodels' tests take from Ng and
    Tang (Stat. Med. 24 (2005) 955), are the first numbers; areas here are relative.
    """
    scale = 54308.7 / 51477.5 if (mine, others) == (60, 30) else 1.0
    found = exact_ratio(
        Counts(np.array([float(others)]), np.array([scale])),
        Counts(np.array([float(mine)]), np.array([area])),
    )
    theirs = poisson_two(mine, area, others, scale, method="exact-cond")
    assert found.p == pytest.approx(theirs.pvalue, rel=1e-9)
    shares = proportion_confint(mine, mine + others, method="beta")
    expected = [math.log(one / (1 - one) * scale / area) for one in shares]
    assert (found.low, found.high) == pytest.approx(expected, rel=1e-9)


def test_two_rates_of_dispersed_counts() -> None:
    """Executions in southern and other states, statsmodels' cpunish: the negative binomial fit.

    Ratio and logarithm of the likelihood ratio as of statsmodels' NegativeBinomial.
    """
    table = cpunish.load_pandas().data
    south = table["SOUTH"].to_numpy(float)
    counts = table["EXECUTIONS"].to_numpy(float)
    mine, others = counts[south == 1], counts[south == 0]
    found = dispersed_ratio(Counts(others, np.ones(len(others))), Counts(mine, np.ones(len(mine))))
    options = {"disp": 0, "maxiter": 1000, "method": "bfgs"}
    whole = NegativeBinomial(counts, sm.add_constant(south)).fit(**options)
    none = NegativeBinomial(counts, np.ones((len(counts), 1))).fit(**options)
    assert found.effect == pytest.approx(whole.params[1], rel=1e-4)
    n = len(counts)
    t = math.sqrt((n - 2) * math.expm1(2 * (whole.llf - none.llf) / n))
    assert found.p == pytest.approx(2 * student.sf(t, n - 2), rel=1e-3)


def test_ratings() -> None:
    """Marriages rated 1 to 5 with and without children, statsmodels' fair, the first 40 of each.

    The probability of superiority is that of statsmodels' rank_compare_2indep. p from all splits
    has no twin there; that of Brunner and Munzel, which scipy has too, lies near it.
    """
    table = fair.load_pandas().data
    rated = [
        table.loc[(table["children"] > 0) == some, "rate_marriage"].to_numpy(float)[:40]
        for some in (False, True)
    ]
    found = superiority(rated[0], rated[1])
    theirs = rank_compare_2indep(rated[1], rated[0])
    assert found.value == pytest.approx(theirs.prob1, rel=1e-12)
    assert found.p == pytest.approx(brunnermunzel(rated[0], rated[1]).pvalue, abs=0.02)
    low, high = theirs.conf_int()
    assert (found.low, found.high) == pytest.approx((low, high), abs=0.02)


@pytest.mark.parametrize("panels", [2, 3, 6, 17, 60])
@pytest.mark.parametrize("margin", [0.5, 1.0, 2.0])
def test_power_of_one_comparison(panels: int, margin: float) -> None:
    """statsmodels' power of the one-sided t test at 2.5 %, and the number of panels from it."""
    theirs = TTestIndPower()
    expected = theirs.power(margin, panels, 0.025, alternative="larger")
    assert power_for_margin(panels, margin, 1.0) == pytest.approx(expected, abs=1e-9)
    asked = theirs.solve_power(margin, None, 0.025, 0.8, alternative="larger")
    assert panels_for_margin(margin, 1.0) == math.ceil(asked)


def test_power_of_several_comparisons() -> None:
    """Four candidates: 4,000 simulated studies by scipy's own random numbers, to 2.4 %."""
    rng = np.random.default_rng(9)
    panels, margin, repeats = 8, 1.6, 4000
    draws = rng.normal(0, 1, (repeats, 5, panels))
    s = np.sqrt(draws.var(axis=2, ddof=1).mean(axis=1))
    effect = draws[:, 1].mean(axis=1) - draws[:, 0].mean(axis=1)
    one = dunnett(*draws[0, 1:], control=draws[0, 0], rng=rng)
    low = one.confidence_interval().low[0]
    critical = (effect[0] - low) / (s[0] * math.sqrt(2 / panels))
    shown = effect - critical * s * math.sqrt(2 / panels) > -margin
    assert power_for_margin(panels, margin, 1.0, 4) == pytest.approx(shown.mean(), abs=0.024)


def test_a_line_over_groups() -> None:
    """Education over income classes, anes96: slope and lack of fit of statsmodels' least squares.

    The F of lack of fit compares the line with one mean for each class.
    """
    table = anes96.load_pandas().data
    doses = np.unique(table["income"].to_numpy(float))
    groups = [table.loc[table["income"] == one, "educ"].to_numpy(float) for one in doses]
    line = line_through(doses, groups)
    straight = ols("educ ~ income", table).fit()
    free = ols("educ ~ C(income)", table).fit()
    assert line.slope == pytest.approx(straight.params["income"], rel=1e-9)
    assert line.lack_of_fit_p == pytest.approx(free.compare_f_test(straight)[1], rel=1e-6)
    spread = straight.bse["income"] * math.sqrt(free.mse_resid / straight.mse_resid)
    half = student.ppf(0.975, free.df_resid) * spread
    assert (line.slope - line.low, line.high - line.slope) == pytest.approx((half, half), rel=1e-9)
