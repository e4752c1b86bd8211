"""Candidates against a control as R finds them: multcomp, t.test and ptukey.

Source: R 4.2.2 with multcomp 1.4-22 and mvtnorm 1.1-3, all of Debian 12 (packages r-base-core,
r-cran-multcomp). `Rscript tests/outside/comparisons_in_r.R` computes the numbers with the commands
that stand beside them here, and was run again on 2026-11-29 with the same outcome; no test needs R.
multcomp integrates at random: its p and chances are good to about 3e-6, its limits to about 4e-4.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import studentized_range, ttest_ind, tukey_hsd

from tiecoat.compare.contrasts import Contrast, against_control
from tiecoat.compare.many_to_one import chance_within

CONTROL = np.array([6.9, 7.2, 7.4, 7.6, 7.1, 7.5, 7.0, 7.8, 7.3, 7.2])
CANDIDATES = [
    np.array(one)
    for one in ([8.1, 8.4, 7.9], [6.2, 6.9, 6.4], [7.3, 9.1, 5.8], [7.6, 7.9, 7.4, 7.5, 8.0, 7.7])
]
STANDARD = np.array([55.0, 47, 48])  # Dunnett 1955, see test_dunnett_published.py
PROCESSES = [np.array(one) for one in ([55.0, 64, 64], [55.0, 49, 52], [50.0, 44, 41])]


def test_one_scatter_for_all_is_multcomps_dunnett() -> None:
    """A control of ten against three, three, three and six: p and interval of each.

    summary(glht(aov(y ~ g), linfct = mcp(g = "Dunnett"))) and its confint.
    """
    found = against_control(CONTROL, CANDIDATES).alike
    p = [0.1455899, 0.1709500, 0.9977218, 0.5854604]
    assert [one.p for one in found] == pytest.approx(p, abs=2e-5)
    ends = [(-0.20486, 1.87153), (-1.83821, 0.23821), (-0.93821, 1.13821), (-0.43111, 1.19778)]
    assert [one.interval for one in found] == [pytest.approx(one, abs=5e-4) for one in ends]


@pytest.mark.parametrize(
    ("candidates", "panels", "of_control", "chance"),
    [
        (4, 3, 3, 0.905792),
        (4, 3, 6, 0.910293),
        (4, 3, 10, 0.917831),
        (4, 6, 3, 0.942679),
        (4, 6, 6, 0.937175),
        (4, 6, 10, 0.935809),
        (7, 3, 3, 0.889118),
        (7, 3, 6, 0.881122),
        (7, 3, 10, 0.881963),
        (7, 6, 3, 0.929271),
        (7, 6, 6, 0.915337),
        (7, 6, 10, 0.907916),
    ],
)
def test_unequal_numbers_are_mvtnorms_multivariate_t(
    candidates: int, panels: int, of_control: int, chance: float
) -> None:
    """pmvt(-2.5, 2.5, df, corr) with the correlations n / (n + n0), to the six digits it has."""
    freedom = float(candidates * (panels - 1) + of_control - 1)
    found = chance_within(2.5, (panels,) * candidates, of_control, freedom)
    assert found == pytest.approx(chance, abs=3e-6)


def test_own_scatter_with_equal_numbers_is_welchs_test() -> None:
    """Statistic, degrees and interval of t.test(x, y, conf.level = 0.95^(1/3)), to nine digits."""
    rows = [
        (2.8091465515, 3.8825688073, 0.0500365341, -4.7057471879, 26.7057471879),
        (0.6546536707, 3.5475113122, 0.5526831363, -10.9840159321, 14.9840159321),
        (-1.3693063938, 3.9900249377, 0.2429164889, -19.4097211014, 9.4097211014),
    ]
    for one, (t, freedom, p, low, high) in zip(
        against_control(STANDARD, PROCESSES).own, rows, strict=True
    ):
        assert isinstance(one, Contrast)
        assert one.effect / one.standard_error == pytest.approx(t, rel=1e-9)
        assert one.freedom == pytest.approx(freedom, rel=1e-9)
        assert one.p_alone == pytest.approx(p, rel=1e-8)
        assert one.interval == pytest.approx((low, high), rel=1e-8)


def test_own_scatter_with_unequal_numbers_has_fewer_degrees_than_welchs() -> None:
    """The statistic is that of t.test; the degrees lie between the least and Satterthwaite's.

    Six against ten is 11.8 instead of 12.3, three against ten 2.25 instead of 3.64 and so on.
    """
    statistics = [4.9029033785, -3.5386069477, 0.1043833501, 2.9643507578]
    satterthwaite = [3.6354944727, 2.7626024516, 2.0343011128, 12.3066114480]
    for one, sample, t, degrees in zip(
        against_control(CONTROL, CANDIDATES).own, CANDIDATES, statistics, satterthwaite, strict=True
    ):
        assert isinstance(one, Contrast)
        assert one.effect / one.standard_error == pytest.approx(t, rel=1e-9)
        assert ttest_ind(sample, CONTROL, equal_var=False).df == pytest.approx(degrees, rel=1e-9)
        assert len(sample) - 1 < one.freedom < degrees
        u, v = sample.var(ddof=1) / len(sample), CONTROL.var(ddof=1) / 10
        w, z, nu = u / (len(sample) - 1), v / 9, len(sample) - 1
        assert one.freedom == pytest.approx((w + z) ** 2 / (w**2 / nu + z**2 / 9))


def test_all_pairs_would_be_games_and_howell() -> None:
    """Our statistic and degrees give scipy's tukey_hsd(equal_var=False), and R's ptukey.

    ptukey(|t| * sqrt(2), 4, df, lower.tail = FALSE): all six pairs of four batches, of which only
    three are asked for, so that it is not what is used.
    """
    theirs = tukey_hsd(STANDARD, *PROCESSES, equal_var=False)
    in_r = [0.1518951514, 0.9083416438, 0.5744339285]
    for place, one in enumerate(against_control(STANDARD, PROCESSES).own):
        assert isinstance(one, Contrast)
        q = math.sqrt(2) * abs(one.effect / one.standard_error)
        p = float(studentized_range.sf(q, 4, one.freedom))
        assert p == pytest.approx(theirs.pvalue[place + 1, 0], rel=1e-9)
        assert p == pytest.approx(in_r[place], abs=1e-6)
