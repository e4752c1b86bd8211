"""Film thickness against the standard's rules worked by hand, and against scipy."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from tiecoat.dialect.units import convert
from tiecoat.evaluate.choices import FilmThicknessChoices
from tiecoat.evaluate.film.thickness_rules import acceptance_rules, below_percent
from tiecoat.evaluate.statistics.replicates import mean, spread, variation


def test_the_rules_of_iso_19840_worked_by_hand() -> None:
    """ISO 19840:2012 (acceptance criteria from memory), nominal 240 um, ten readings by hand.

    190 is below 0.8 x 240 = 192: fails the least reading. 192, 239 and 200 are from 192 to below
    240: three of ten, not fewer than 20 %. The sum is 2400, so the mean is 240, at the nominal. The
    largest, 330, is below 3 x 240 = 720. Without 190 and with 239 and 200 lifted to 240 one of ten
    is left between, and all four hold.
    """
    by_hand = [190, 192, 239, 200, 240, 241, 268, 250, 250, 330]
    assert sum(by_hand) == 2400
    found = {rule.name: rule.fulfilled for rule in acceptance_rules(by_hand, 240)}
    assert found == {"mean": True, "least_reading": False, "low_share": False, "maximum": True}
    assert below_percent(by_hand, 240) == pytest.approx(40)
    mended = [240, 192, 240, 240, 240, 241, 268, 250, 250, 330]
    assert all(rule.fulfilled for rule in acceptance_rules(mended, 240))


@pytest.mark.parametrize(
    ("low", "n", "fulfilled"), [(1, 5, False), (1, 6, True), (2, 10, False), (1, 10, True)]
)
def test_fewer_than_a_fifth_may_be_low(low: int, n: int, fulfilled: bool) -> None:
    """ISO 19840:2012 (from memory): less than 20 %; one of five and two of ten are 20 %."""
    readings = [200.0] * low + [300.0] * (n - low)
    rules = {rule.name: rule.fulfilled for rule in acceptance_rules(readings, 240)}
    assert rules["low_share"] is fulfilled


@pytest.mark.parametrize(
    ("grade", "less"), [(None, 0.0), ("fine", 10.0), ("medium", 25.0), ("coarse", 40.0)]
)
def test_the_correction_values(grade: str | None, less: float) -> None:
    """ISO 19840:2012, table of correction values by the grades of ISO 8503-1 (from memory)."""
    choices = FilmThicknessChoices(surface_profile=grade)  # type: ignore[arg-type]
    assert choices.correction_um == less


def test_mean_and_interval_are_those_of_scipy() -> None:
    """Against scipy.stats: the t interval of one panel, of panel means, and of the deviation."""
    rng = np.random.default_rng(19840)
    readings = rng.normal(182, 6, (4, 8)).round(1)
    values = pd.Series(readings.ravel())
    panels = pd.Series(np.repeat(["a", "b", "c", "d"], 8))
    of_one = mean(values[:8], panels[:8], "reading").estimate
    ours = stats.ttest_1samp(readings[0], 0).confidence_interval(0.95)
    assert of_one.interval == pytest.approx((ours.low, ours.high), rel=1e-12)
    of_four = mean(values, panels, "reading").estimate
    means = readings.mean(axis=1)
    between = stats.ttest_1samp(means, 0).confidence_interval(0.95)
    assert of_four.interval == pytest.approx((between.low, between.high), rel=1e-12)
    assert of_four.standard_error == pytest.approx(stats.sem(means), rel=1e-12)
    deviation = spread(values[:8], panels[:8], "reading")
    variance = readings[0].var(ddof=1) * 7
    ends = [math.sqrt(variance / stats.chi2.ppf(tail, 7)) for tail in (0.975, 0.025)]
    assert deviation.interval == pytest.approx(ends, rel=1e-12)
    assert deviation.estimate.value == pytest.approx(stats.tstd(readings[0]), rel=1e-12)


def test_errors_of_the_spread_are_those_of_many_repeats() -> None:
    """20,000 samples of 50: how much s and s / mean differ from sample to sample, within 3 %.

    For s also the exact figure for a normal distribution, sigma sqrt(1 - c4²) with
    c4 = sqrt(2/(n-1)) Gamma(n/2) / Gamma((n-1)/2) (Johnson, Kotz and Balakrishnan, Continuous
    Univariate Distributions 1, chapter 13; from memory). The mean is 10, sigma 3.
    """
    n = 50
    samples = np.random.default_rng(50).normal(10, 3, (20_000, n))
    deviations = samples.std(axis=1, ddof=1)
    one = 10 + 3 * stats.zscore(samples[0], ddof=1)  # has just this mean and deviation
    values, panels = pd.Series(one), pd.Series(["a"] * n)
    error = spread(values, panels, "reading").estimate.standard_error
    assert error == pytest.approx(deviations.std(), rel=0.03)
    c4 = math.sqrt(2 / (n - 1)) * math.exp(math.lgamma(n / 2) - math.lgamma((n - 1) / 2))
    assert error == pytest.approx(3 * math.sqrt(1 - c4**2), rel=0.01)
    found = variation(values, panels, "reading").estimate
    assert found.value == pytest.approx(30)
    ratios = 100 * deviations / samples.mean(axis=1)
    assert found.standard_error == pytest.approx(ratios.std(), rel=0.03)


@pytest.mark.parametrize(("unit", "factor"), [("mil", 25.4), ("mils", 25.4), ("inch", 25400.0)])
def test_a_mil_is_a_thousandth_of_an_inch(unit: str, factor: float) -> None:
    """NIST Special Publication 811 (2008), appendix B (from memory): 1 mil = 25.4 um, exact."""
    assert convert([1.0, 7.2], unit, "um") == pytest.approx([factor, 7.2 * factor], rel=1e-15)
