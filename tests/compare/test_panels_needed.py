"""How many panels a margin asks for that limits both sides, also about a number."""

from __future__ import annotations

import math

import numpy as np
import pytest
from panels_elsewhere import against_a_control, against_a_number
from scipy.special import stdtrit
from study_tables import compared, of, panel_rows

from tiecoat.compare.many_to_one import critical_value, single_confidence
from tiecoat.compare.power import (
    panels_by_normal,
    panels_for_margin,
    panels_for_own_scatter,
    panels_for_ratings,
    panels_for_target,
    power_for_margin,
    power_for_target,
)
from tiecoat.compare.ranks import interval

TARGET = """
[[property]]
name = "gloss"
kind = "gloss"
quantity = "gloss"
direction = "target"
margin = 2
"""
VALUES = {"RB-010": [80, 82.0, 78], "RB-011": [77, 83.0, 80]}
REPEATS = 20_000  # a share is known to three standard errors of 0.4 %, or 1.1 %


@pytest.mark.parametrize(("panels", "margin", "candidates"), [(23, 1.0, 1), (9, 2.0, 4)])
def test_both_ends_inside_a_margin(panels: int, margin: float, candidates: int) -> None:
    """The share of simulated studies in which the whole interval lies inside."""
    rng = np.random.default_rng(6)
    draws = rng.normal(0, 1, (REPEATS, candidates + 1, panels))
    spread = np.sqrt(draws.var(axis=2, ddof=1).mean(axis=1))
    means = draws.mean(axis=2)
    freedom = float((candidates + 1) * (panels - 1))
    half = critical_value((panels,) * candidates, panels, freedom) * spread * math.sqrt(2 / panels)
    inside = np.abs(means[:, 1] - means[:, 0]) + half < margin
    power = power_for_margin(panels, margin, 1.0, candidates, both_sides=True)
    assert power == pytest.approx(inside.mean(), abs=0.011)


@pytest.mark.parametrize(("panels", "margin", "candidates"), [(13, 1.0, 1), (8, 2.0, 4)])
def test_near_a_target_that_is_known(panels: int, margin: float, candidates: int) -> None:
    """The same of one batch against a number, by its own spread."""
    draws = np.random.default_rng(7).normal(0, 1, (REPEATS, panels))
    critical = float(stdtrit(panels - 1, 0.5 + single_confidence(candidates) / 2))
    half = critical * draws.std(axis=1, ddof=1) / math.sqrt(panels)
    inside = np.abs(draws.mean(axis=1)) + half < margin
    power = power_for_target(panels, margin, 1.0, candidates)
    assert power == pytest.approx(inside.mean(), abs=0.011)


@pytest.mark.parametrize(("margin", "candidates", "panels"), [(0.3, 1, 11), (0.3, 8, 17)])
def test_ratings_ask_for_enough_panels(margin: float, candidates: int, panels: int) -> None:
    """Four of five equal batches are shown to be not worse, and the verdict names that number.

    2,000 simulated pairs without ties: 80 % to three standard errors, 2.7 %, and 2 % for what the
    number is rounded up by.
    """
    assert panels_for_ratings(margin, candidates) == panels
    rng = np.random.default_rng(8)
    control, candidate = rng.normal(0, 1, (2, 2000, panels))
    values = (candidate[:, :, None] > control[:, None, :]).mean(axis=(1, 2)).tolist()
    ends = {one: interval(one, panels, panels, candidates)[0] for one in set(values)}
    shown = np.mean([ends[one] > 0.5 - margin for one in values])
    assert shown == pytest.approx(0.8, abs=0.047)


def test_the_verdict_on_ratings_names_the_number() -> None:
    """One candidate and a margin of 0.3: about 11 panels would do."""
    rated = panel_rows("gloss", {"RB-010": [3, 4, 3, 2.0], "RB-011": [4, 3, 3, 2.0]})
    asked = TARGET.replace('"target"', '"higher"').replace("= 2", '= 0.3\nmethod = "ratings"')
    assert of(compared(rated, asked), "RB-011").because == (
        "n too small for the margin; about 11 panels of each batch would do (power 80 % if both"
        " are equal)"
    )


def test_one_panel_less_has_too_little_power() -> None:
    """The number found is the least one, and a margin that no thousand panels serve has none."""
    for margin in (0.4, 1.0, 2.5):
        both, known = (
            panels_for_margin(margin, 1.0, 3, both_sides=True),
            panels_for_target(margin, 1),
        )
        assert both is not None
        assert known is not None
        assert power_for_margin(both, margin, 1.0, 3, both_sides=True) >= 0.8
        assert power_for_margin(both - 1, margin, 1.0, 3, both_sides=True) < 0.8
        assert (
            power_for_target(known, margin, 1.0) >= 0.8 > power_for_target(known - 1, margin, 1.0)
        )
    assert panels_for_margin(0.01, 1.0, both_sides=True) is panels_for_target(0.01, 1.0) is None


@pytest.mark.parametrize(
    ("margin", "deviation"), [(1.0, 0.0), (0.0, 1.0), (math.inf, 1.0), (1e-300, 1.0)]
)
def test_no_number_is_named_without_scatter_or_without_a_margin(
    margin: float, deviation: float
) -> None:
    """Panels that do not scatter tell of no number, nor does a margin of nothing or of anything."""
    assert panels_for_margin(margin, deviation) is None
    assert panels_for_own_scatter(margin, deviation) is None
    assert panels_for_target(margin, deviation) is None
    assert panels_by_normal(margin, deviation**2, 1) is None


@pytest.mark.parametrize(
    ("margin", "variance", "comparisons", "panels"),
    [
        (1.0, 2.0, 1, 16),
        (2.0, 8.0, 1, 16),
        (1.0, 2.0, 4, 23),
        (10.0, 2.0, 1, 2),
        (1.0, 127.4, 1, 1000),
        (1.0, 127.5, 1, None),
    ],
)
def test_a_normal_limit_asks_for_the_panels_of_the_textbook(
    margin: float, variance: float, comparisons: int, panels: int | None
) -> None:
    """Lehr's rule, 16 a group where the margin is one standard deviation; two at least.

    By hand: (1.960 + 0.842)^2 * 2 = 15.7; of four, Sidak's 1.27 %: (2.491 + 0.842)^2 * 2 = 22.2;
    7.849 * 127.4 = 999.96, and more than 1000 are not named.
    """
    assert panels_by_normal(margin, variance, comparisons) == panels


def test_a_target_asks_for_more_panels_than_one_side() -> None:
    """Both ends have to lie inside; against a number only the candidate scatters.

    The numbers are those of statsmodels for standard deviations of 2 and 3 GU.
    """
    table = panel_rows("gloss", VALUES, unit="GU")
    deviation = math.sqrt((2**2 + 3**2) / 2)
    both = of(compared(table, TARGET), "RB-011").needed
    assert both == against_a_control(2, deviation, both_sides=True) == 36
    known = of(compared(table, TARGET + "target = 80\n"), "RB-011").needed
    assert known == against_a_number(2, 3) == 26
    higher = of(compared(table, TARGET.replace('"target"', '"higher"')), "RB-011").needed
    assert higher == against_a_control(2, deviation) == 27


@pytest.mark.parametrize(
    ("margin", "deviation", "known", "one_side", "both_sides"),
    [(1.0, 3.0, 97, 143, 191), (2.0, 0.7, 4, 4, 4), (0.5, 1.2, 63, 92, 123)],
)
def test_the_number_follows_from_margin_and_deviation(
    margin: float, deviation: float, known: int, one_side: int, both_sides: int
) -> None:
    """What scatters more than the margin asks for many panels; as statsmodels has it."""
    assert panels_for_target(margin, deviation) == against_a_number(margin, deviation) == known
    assert panels_for_margin(margin, deviation) == against_a_control(margin, deviation) == one_side
    reached = panels_for_margin(margin, deviation, both_sides=True)
    assert reached == against_a_control(margin, deviation, both_sides=True) == both_sides


def test_several_candidates_about_a_number_are_adjusted() -> None:
    """Three candidates, a margin of 2.5 and a deviation of 4: 38 panels by statsmodels."""
    assert panels_for_target(2.5, 4.0, 3) == against_a_number(2.5, 4.0, 3) == 38
