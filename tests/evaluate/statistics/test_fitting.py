"""The fitting core: many small nonlinear problems at once."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import optimize

from tiecoat.evaluate.statistics.fit_statistics import corrected_aic, correlations
from tiecoat.evaluate.statistics.least_squares_many import Model, best_of_starts, least_squares

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

X = np.linspace(0.1, 6.0, 25)


def decay(parameters: Floats) -> tuple[Floats, Floats]:
    """y = a exp(-b x) + c and its derivatives."""
    a, b, c = (parameters[:, [place]] for place in range(3))
    falling = np.exp(-b * X)
    return a * falling + c, np.stack([falling, -a * X * falling, np.ones_like(falling)], axis=1)


def decays(count: int, seed: int = 1) -> tuple[Floats, Model]:
    """Return true parameters and the model of noisy decays."""
    chance = np.random.default_rng(seed)
    truth = chance.uniform([1, 0.3, -1], [5, 3, 1], size=(count, 3))
    y = decay(truth)[0] + 0.02 * chance.normal(size=(count, len(X)))

    def model(parameters: Floats, which: Integers) -> tuple[Floats, Floats]:
        found, slopes = decay(parameters)
        return found - y[which], slopes

    return truth, model


def by_scipy(
    model: Model, number: int, start: list[float], low: Floats, high: Floats
) -> optimize.OptimizeResult:
    one = np.array([number])
    return optimize.least_squares(
        lambda p: model(p[None], one)[0][0],
        start,
        bounds=(low, high),
        xtol=1e-14,
        ftol=1e-14,
        gtol=1e-14,
    )


@pytest.mark.thorough
@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 10**6),
    low=st.tuples(st.floats(0.0, 2.0), st.floats(0.0, 1.0), st.floats(-2.0, 0.0)),
    room=st.tuples(st.floats(0.5, 6.0), st.floats(0.2, 4.0), st.floats(0.2, 3.0)),
)
def test_within_any_bounds_the_end_is_a_minimum(
    seed: int, low: tuple[float, ...], room: tuple[float, ...]
) -> None:
    """No small step within the bounds goes lower; from scipy's optimum the end is not above it.

    Within bounds there may be several minima: another start may end in another one.
    """
    _, model = decays(4, seed)
    lows = np.array(low)
    highs = lows + np.array(room)
    everyone = np.arange(4)
    start = np.tile((lows + highs) / 2, (4, 1))
    found = least_squares(model, start, lows, highs, tolerance=1e-14)
    assert ((found.parameters >= lows) & (found.parameters <= highs)).all()
    assert found.settled.all()
    for place in range(3):
        for step in (-1e-4, 1e-4):
            moved = found.parameters.copy()
            moved[:, place] = np.clip(moved[:, place] + step, lows[place], highs[place])
            chi_square = (model(moved, everyone)[0] ** 2).sum(axis=1)
            assert (chi_square >= found.chi_square * (1 - 1e-9) - 1e-12).all()
    plain = [by_scipy(model, number, start[0].tolist(), lows, highs) for number in range(4)]
    again = least_squares(model, [one.x for one in plain], lows, highs, tolerance=1e-14)
    assert (again.chi_square <= [2 * one.cost * (1 + 1e-9) + 1e-12 for one in plain]).all()


def test_without_bounds_the_optimum_is_that_of_scipy() -> None:
    """Parameters agree to six digits or better."""
    _, model = decays(20)
    found = least_squares(model, np.tile([2.0, 1.0, 0.0], (20, 1)), -np.inf, np.inf)
    for number in range(20):
        plain = by_scipy(model, number, [2.0, 1.0, 0.0], np.full(3, -np.inf), np.full(3, np.inf))
        np.testing.assert_allclose(found.parameters[number], plain.x, rtol=1e-5, atol=1e-6)


def test_errors_and_correlations_are_those_of_scipy() -> None:
    """The inverse of J^T J is the covariance that curve_fit gives."""
    _, model = decays(5)
    found = least_squares(model, np.tile([2.0, 1.0, 0.0], (5, 1)), -np.inf, np.inf, tolerance=1e-16)
    for number in range(5):
        plain = by_scipy(model, number, [2.0, 1.0, 0.0], np.full(3, -np.inf), np.full(3, np.inf))
        inverse = np.linalg.inv(plain.jac.T @ plain.jac)
        np.testing.assert_allclose(found.inverse[number], inverse, rtol=1e-5)
        scale = np.sqrt(np.diag(inverse))
        np.testing.assert_allclose(
            correlations(found.inverse)[number], inverse / np.outer(scale, scale), rtol=1e-5
        )
    assert found.settled.all()
    assert found.free.all()


def test_a_problem_fares_the_same_alone_and_among_many() -> None:
    """What is fitted beside a problem does not change its result."""
    _, model = decays(40)
    together = least_squares(model, np.tile([2.0, 1.0, 0.0], (40, 1)), -10, 10)
    for number in (0, 17, 39):
        alone = least_squares(
            lambda p, which, number=number: model(p, which + number), [[2.0, 1.0, 0.0]], -10, 10
        )
        np.testing.assert_allclose(alone.parameters[0], together.parameters[number], rtol=1e-12)


def test_a_parameter_at_a_bound_lies_on_it_and_has_no_error() -> None:
    """Held parameters are exactly at the bound, marked, and without variance."""
    truth, model = decays(6)
    high = np.array([10.0, 0.2, 5.0])  # all true rates lie above
    found = least_squares(model, np.tile([2.0, 0.1, 0.0], (6, 1)), [0.0, 0.0, -5.0], high)
    assert (truth[:, 1] > 0.2).all()
    assert (found.parameters[:, 1] == 0.2).all()
    assert not found.free[:, 1].any()
    assert (found.inverse[:, 1] == 0).all()
    assert (np.einsum("npp->np", found.inverse)[:, [0, 2]] > 0).all()


def test_a_parameter_that_moves_nothing_gets_an_immense_error() -> None:
    """Nonsense in does not give a small number out."""

    def model(parameters: Floats, which: Integers) -> tuple[Floats, Floats]:
        slopes = np.zeros((len(parameters), 2, len(X)))
        slopes[:, 0] = X
        return parameters[:, :1] * X - 3 * X + 0.01 * np.cos(9 * X), slopes

    found = least_squares(model, [[1.0, 1.0]], -5, 5)
    assert found.parameters[0, 0] == pytest.approx(3, abs=0.01)
    assert found.inverse[0, 1, 1] > 1e20


def test_two_parameters_that_do_the_same_get_immense_errors_and_correlate() -> None:
    """Only their sum is known."""

    def model(parameters: Floats, which: Integers) -> tuple[Floats, Floats]:
        slopes = np.ones((len(parameters), 2, len(X))) * X
        return parameters.sum(axis=1)[:, None] * X - 3 * X + 0.01 * np.cos(9 * X), slopes

    found = least_squares(model, [[1.0, 1.0]], -50, 50)
    assert found.parameters.sum() == pytest.approx(3, abs=0.01)
    assert (np.einsum("npp->np", found.inverse) > 1e6).all()
    assert correlations(found.inverse)[0, 0, 1] == pytest.approx(-1)


def test_a_step_into_nonsense_is_taken_back() -> None:
    """A model that is not finite somewhere is fitted where it is."""

    def model(parameters: Floats, which: Integers) -> tuple[Floats, Floats]:
        b = parameters[:, :1]
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.log(b) * np.ones(4) + 3.0, (1 / b)[:, None] * np.ones(4)

    found = least_squares(model, [[5.0]], -np.inf, np.inf)
    assert found.parameters[0, 0] == pytest.approx(np.exp(-3.0), rel=1e-6)


def test_the_longest_step_is_kept() -> None:
    """No parameter changes by more than allowed in one step."""
    _, model = decays(3)
    seen: list[Floats] = []

    def watched(parameters: Floats, which: Integers) -> tuple[Floats, Floats]:
        seen.append(parameters.copy())
        return model(parameters, which)

    start = np.array([[0.1, 6.0, 0.0]])
    least_squares(watched, start, -50, 50, largest_step=[0.5, 0.1, np.inf], most_steps=1)
    assert np.abs(seen[1] - start)[0, 0] <= 0.5 + 1e-12
    assert np.abs(seen[1] - start)[0, 1] <= 0.1 + 1e-12


def test_several_starts_find_the_deeper_valley() -> None:
    """Where one start ends in a side valley, several give the best of their ends."""

    def model(parameters: Floats, which: Integers) -> tuple[Floats, Floats]:
        w = parameters[:, :1]
        return np.sin(w * X) - np.sin(2.5 * X), (X * np.cos(w * X))[:, None, :]

    one = least_squares(model, [[9.0]], 0, 10)
    assert one.chi_square[0] > 1
    starts = np.array([[[9.0], [6.0], [2.2]]])
    low, high = np.zeros((1, 1)), np.full((1, 1), 10.0)
    several = best_of_starts(model, model, starts, low, high)
    assert several.parameters[0, 0] == pytest.approx(2.5)
    assert several.chi_square[0] < 1e-12


def test_bounds_that_cross_are_refused() -> None:
    """The message says what is wrong with the bounds."""
    _, model = decays(1)
    with pytest.raises(ValueError, match="a lower bound is above its upper bound"):
        least_squares(model, [[1.0, 1.0, 0.0]], 1.0, [2.0, 0.5, 3.0])
    with pytest.raises(ValueError, match="or one of them is not a number"):
        least_squares(model, [[1.0, 1.0, 0.0]], np.nan, 3.0)


def test_a_start_in_nonsense_is_refused() -> None:
    """A model must be finite where it starts."""

    def model(parameters: Floats, which: Integers) -> tuple[Floats, Floats]:
        return np.full((1, 3), np.nan), np.ones((1, 1, 3))

    with pytest.raises(ValueError, match="not finite at the start"):
        least_squares(model, [[1.0]], 0.0, 2.0)


def test_corrected_criterion_is_the_plain_formula() -> None:
    """AICc = N ln(chi²/N) + 2K + 2K(K+1)/(N-K-1), K counting the variance; NaN without room."""
    n, p, chi_square = 30, 4, 0.2
    k = p + 1
    expected = n * np.log(chi_square / n) + 2 * k + 2 * k * (k + 1) / (n - k - 1)
    assert corrected_aic([chi_square], [n], p)[0] == pytest.approx(expected)
    assert np.isnan(corrected_aic([chi_square], [6], p)[0])
