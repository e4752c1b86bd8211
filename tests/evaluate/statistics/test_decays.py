"""Decays of known truth: found again, chosen between, and with intervals that hold it."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.optimize import brentq

from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.statistics.decays import (
    MODELS,
    ONE,
    ONE_TO_PLATEAU,
    TWO,
    TWO_TO_PLATEAU,
    DecayModel,
    Scatter,
    chosen_fit,
    fit,
)
from tiecoat.evaluate.statistics.fit_statistics import Floats

MINUTES = np.array([0.0, 0.5, 1, 2, 3, 5, 7, 10, 15, 20, 30, 45])
TRUTHS = {
    ONE: [80.0, 0.08],
    ONE_TO_PLATEAU: [60.0, 0.17, 15.0],
    TWO: [50.0, 0.5, 40.0, 0.04],
    TWO_TO_PLATEAU: [50.0, 0.7, 30.0, 0.09, 8.0],
}


def half_gone(course: Callable[[float], float]) -> float:
    """Return when half of a course is left, by bisection."""
    return float(brentq(lambda time: course(time) - course(0.0) / 2, 1e-6, 1e4))


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.name)
def test_what_was_put_in_comes_out(model: DecayModel) -> None:
    """Without noise every model gives back its parameters, is chosen, and tells the half-life."""
    truth = np.array(TRUTHS[model])
    amounts = model.at(truth, MINUTES)
    choice = chosen_fit(MINUTES, amounts)
    assert choice.fit.model is model
    assert choice.better == ()
    assert choice.fit.parameters == pytest.approx(truth, rel=1e-5)
    found, (low, high) = choice.half_life()
    assert isinstance(found, Estimate)
    half = half_gone(lambda time: float(model.at(truth, np.array([time]))[0]))
    assert found.value == pytest.approx(half, rel=1e-6)
    assert low <= found.value <= high


def test_the_interval_of_one_exponential_is_that_of_its_rate() -> None:
    """ln 2 over the ends of the interval of the rate, which hold by themselves."""
    noise = np.array([0.8, -1.1, 0.3, 0.9, -0.4, -0.7, 0.2, 0.6, -0.9, 0.1, 0.5, -0.3])
    found = fit(ONE, MINUTES, ONE.at(np.array([80.0, 0.08]), MINUTES) + noise)
    slow, fast = found.rates[0].interval
    half, (low, high) = found.half_life()
    assert isinstance(half, Estimate)
    assert (low, high) == pytest.approx((math.log(2) / fast, math.log(2) / slow), rel=1e-6)
    rate = found.rates[0]
    assert half.standard_error == pytest.approx(half.value * rate.standard_error / rate.value, 1e-4)


def test_what_does_not_fall_to_half_has_no_half_life() -> None:
    """Foam of which 60 % stays, and amounts that wander about a level, tell why."""
    stays = fit(ONE_TO_PLATEAU, MINUTES, 40 * np.exp(-MINUTES / 5) + 60)
    found, (low, high) = stays.half_life()
    assert isinstance(found, NotDeterminable)
    assert str(found) == "half of it or more may stay: 60 % by the fit"
    assert (low, high) == (0.0, math.inf)
    level = np.array([50.0, 51, 49, 50, 52, 48, 50, 49, 51, 50, 49, 51])
    found, (low, high) = fit(ONE, MINUTES, level).half_life()
    assert isinstance(found, NotDeterminable)
    assert "holds zero" in str(found)
    assert low > 45
    assert math.isinf(high)
    found, _ = fit(ONE, MINUTES, 10 * np.exp(MINUTES / 20)).half_life()
    assert str(found) == "no decay: there is more with time"


def test_too_few_times_are_told() -> None:
    """As many times as parameters, and one reading more where these tell their scatter."""
    with pytest.raises(NotDeterminable, match="2 times are too few for one exponential"):
        fit(ONE, MINUTES[:2], MINUTES[:2])
    with pytest.raises(NotDeterminable, match="4 times are too few for two exponentials"):
        fit(TWO, MINUTES[:4], np.array([10.0, 8, 6, 4]))


def test_readings_that_are_rounded_are_not_known_better_than_that() -> None:
    """Heights that fall on the curve by chance keep the uncertainty of their rounding."""
    times, exact = np.array([0.0, 1, 2, 3, 4]), np.array([64.0, 32, 16, 8, 4])
    rounding = 1 / math.sqrt(12)
    assert fit(ONE, times, exact, Scatter(least=rounding)).scatter == rounding
    assert fit(ONE, times, exact).scatter < 1e-6


def held(course: Callable[[Floats], Floats], times: Floats, cases: int) -> float:
    """Return how many of the intervals of the half-life hold it, as a share."""
    random, held_it = np.random.default_rng(7), 0
    half = half_gone(lambda time: float(course(np.array([time]))[0]))
    for _ in range(cases):
        read = np.maximum(np.round(course(times) + random.normal(0, 1.5, len(times))), 0)
        _, (low, high) = chosen_fit(times, read, Scatter(least=1 / math.sqrt(12))).half_life()
        held_it += low <= half <= high
    return held_it / cases


COURSES: dict[str, Callable[[Floats], Floats]] = {
    **{one.name: lambda t, one=one: one.at(np.array(TRUTHS[one]), t) for one in MODELS},  # type: ignore[misc]
    "stretched": lambda t: np.asarray(80 * np.exp(-((t / 10) ** 0.6))),
}


@pytest.mark.parametrize("course", COURSES)
def test_intervals_of_the_half_life_hold_it(course: str) -> None:
    """Of 40 courses, read to 1 mm with a scatter of 1.5 mm, at most 7 miss it (p < 0.003)."""
    assert held(COURSES[course], MINUTES, 40) >= 1 - 7 / 40


@pytest.mark.campaign
@pytest.mark.thorough
@pytest.mark.parametrize("many", [6, 8, 12])
@pytest.mark.parametrize("course", COURSES)
def test_intervals_of_the_half_life_hold_it_as_often_as_they_say(course: str, many: int) -> None:
    """Of 1,000 courses 92 % or more; of six readings of what is no model 80 %."""
    times = MINUTES[:: 12 // many] if many != 8 else MINUTES[[0, 2, 3, 5, 7, 9, 10, 11]]
    share = held(COURSES[course], times, 1000)
    print(f"{course}, {many} readings: {share:.1%}")
    assert share >= (0.8 if course == "stretched" and many == 6 else 0.92)


def test_known_errors_choose_the_plateau_seldom_where_there_is_none() -> None:
    """Of 400 decays without a plateau, 5 % get one: at most 35 (p < 0.001)."""
    random, times = np.random.default_rng(8), np.array([0.0, 30, 60, 120, 240])
    known = Scatter(np.eye(5) * 0.05**2)
    chosen = [
        chosen_fit(
            times, 3 * np.exp(-times / 80) + random.normal(0, 0.05, 5), known, MODELS[:2]
        ).fit.model
        for _ in range(400)
    ]
    assert 5 <= chosen.count(ONE_TO_PLATEAU) <= 35
