"""Flow fits on measurements that others published, against scipy and R's figures."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import curve_fit

from tiecoat.evaluate.estimate import Estimate
from tiecoat.evaluate.statistics.least_squares_one import solve
from tiecoat.evaluate.wet_paint.flow_fits import FlowFit, best, fit
from tiecoat.evaluate.wet_paint.flow_fits_many import fit_all
from tiecoat.evaluate.wet_paint.flow_rivals import rivals_of

# Calibration of a paint viscometer with falling weights: viscosity of the liquid, weight in g, time
# of 100 turns in s. E. J. Williams, Regression Analysis (1959); data set `stormer` of the R package
# MASS (Venables and Ripley, Modern Applied Statistics with S, section 8.1)
STORMER = np.array(
    [
        (14.7, 20, 35.6), (27.5, 20, 54.3), (42.0, 20, 75.6), (75.7, 20, 121.2), (89.7, 20, 150.8),
        (146.6, 20, 229.0), (158.3, 20, 270.0), (14.7, 50, 17.6), (27.5, 50, 24.3),
        (42.0, 50, 31.4), (75.7, 50, 47.2), (89.7, 50, 58.3), (146.6, 50, 85.6), (158.3, 50, 101.1),
        (161.1, 50, 92.2), (298.3, 50, 187.2), (75.7, 100, 24.6), (89.7, 100, 30.0),
        (146.6, 100, 41.7), (158.3, 100, 50.3), (161.1, 100, 45.1), (298.3, 100, 89.0),
        (298.3, 100, 86.5),
    ]
)  # fmt: skip

# Shear rate in 1/s and stress in Pa of a dense emulsion, volume fractions 0.80 and 0.68: every
# other point of figure 1 of Paredes, Michels and Bonn, Phys. Rev. Lett. 111 (2013) 015701,
# doi 10.1103/PhysRevLett.111.015701, as digitised in the collection rheopy-rheodata 0.1.1 (MIT
# licence), to four and five digits
DENSE = np.array(
    [
        (0.0001275, 39.2), (0.0003225, 39.2), (0.0007989, 39.2), (0.002021, 39.2), (0.00506, 39.2),
        (0.01267, 39.581), (0.03205, 39.2), (0.08025, 40.352), (0.323, 42.759), (1.273, 48.011),
        (3.186, 52.369), (8.061, 61.117), (25.45, 78.556), (63.73, 100), (159.5, 136.2),
        (399.4, 200.39), (1011, 318.53),
    ]
)  # fmt: skip
LESS_DENSE = np.array(
    [
        (0.0001275, 1.4156), (0.0003191, 1.4432), (0.0008074, 1.4713), (0.002064, 1.5146),
        (0.00506, 1.5742), (0.01267, 1.6521), (0.03239, 1.7676), (0.08025, 1.9847),
        (0.2009, 2.2285), (0.5083, 2.6772), (1.259, 3.2789), (3.22, 4.2553), (8.147, 5.9087),
        (20.4, 8.6101), (40.06, 11.727), (100.3, 18.821), (259.2, 31.699), (648.9, 57.677),
    ]
)  # fmt: skip


def test_the_solver_gives_the_published_fit_of_the_viscometer() -> None:
    """T = B1 v/(W - B2) by least squares: R's nls gives 29.4013 and 2.2182, errors 0.9155, 0.6655.

    The residual standard error is 6.268 on 21 degrees of freedom there. scipy gives the same.
    """
    liquid, weight, time = STORMER.T

    def law(_: object, b1: float, b2: float) -> np.ndarray:
        return b1 * liquid / (weight - b2)

    values, covariance = curve_fit(law, liquid, time, p0=(28.876, 2.8437), xtol=1e-12)
    solved = solve(
        lambda b: law(None, *b) - time,
        lambda b: np.column_stack([liquid / (weight - b[1]), b[0] * liquid / (weight - b[1]) ** 2]),
        np.array([28.876, 2.8437]),
    )
    assert solved.parameters == pytest.approx([29.4013, 2.2182], abs=1e-4)  # nls stops early
    assert solved.parameters == pytest.approx(values, rel=1e-6)
    variance = solved.squares / 21
    assert math.sqrt(variance) == pytest.approx(6.268, abs=5.1e-4)
    errors = np.sqrt(np.diag(solved.inverse) * variance)
    assert errors == pytest.approx([0.9155, 0.6655], abs=5.1e-5)
    assert errors == pytest.approx(np.sqrt(np.diag(covariance)), rel=1e-4)


def test_the_weights_of_the_viscometer_are_a_flow_curve() -> None:
    """W = B2 + B1 (v/T): a rate v/T, a weight that turns nothing, and an index of one.

    Herschel-Bulkley with relative weights as scipy has it; the published B1 and B2 and the index of
    one of its law lie in the intervals.
    """
    liquid, weight, time = STORMER.T
    rates = liquid / time
    found = fit("Herschel-Bulkley", rates, weight).parameters
    values, covariance = curve_fit(
        lambda r, y, k, n: y + k * r**n, rates, weight, p0=(2.2, 29.4, 1.0), sigma=weight
    )
    names = ("yield_stress", "consistency", "flow_index")
    for place, (name, truth) in enumerate(zip(names, (2.2182, 29.4013, 1.0), strict=True)):
        one = found[name].found
        assert isinstance(one, Estimate)
        assert one.value == pytest.approx(values[place], rel=1e-4)
        assert one.standard_error == pytest.approx(math.sqrt(covariance[place, place]), rel=1e-3)
        low, high = found[name].interval
        assert low <= truth <= high


@pytest.mark.parametrize("points", [DENSE, LESS_DENSE])
def test_published_emulsions_are_fitted_as_scipy_fits_them(points: np.ndarray) -> None:
    """Herschel-Bulkley is chosen, as the paper has it, with scipy's parameters and errors."""
    rates, stresses = points.T
    chosen = best(fit_all(rates, stresses))
    assert chosen.model.name == "Herschel-Bulkley"
    values, covariance = curve_fit(
        lambda r, y, k, n: y + k * r**n, rates, stresses, p0=(10, 3, 0.5), sigma=stresses
    )
    for place, one in enumerate(chosen.parameters.values()):
        assert isinstance(one.found, Estimate)
        assert one.found.value == pytest.approx(values[place], rel=1e-4)
        error = math.sqrt(covariance[place, place])
        assert one.found.standard_error == pytest.approx(error, rel=2e-3)


def test_the_yield_stress_of_a_published_emulsion_is_told_from_rates_that_reach_low() -> None:
    """Down to 0.0001 1/s no law without a yield stress does as well; from 10 1/s on some do.

    The few points from 10 1/s on hold no word of the plateau of the stress that lies below.
    """
    rates, stresses = LESS_DENSE.T
    assert rivals_of(fit_all(rates, stresses), rates, stresses).tell_a_yield_stress
    high, far = rates[rates >= 10], stresses[rates >= 10]
    fits = fit_all(high, far)
    assert any(isinstance(one, FlowFit) for one in fits.values())
    assert not rivals_of(fits, high, far).tell_a_yield_stress
