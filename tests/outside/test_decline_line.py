"""The line through lg modulus against certified values and scipy.stats."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import scipy.stats
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.evaluate.impedance.group_estimates import decline, mean_of_groups

NORRIS = Path(scipy.stats.__file__).parent / "tests/data/nist_linregress/Norris.dat"


def test_the_certified_line_comes_out() -> None:
    """NIST StRD Norris: slope 1.00211681802045, standard error 0.429796848199937E-03.

    Certified values from the file, which scipy carries; to ten digits, since the slope is found by
    sums of squared differences in double precision. Our decline is the slope with its sign turned.
    """
    lines = NORRIS.read_text().splitlines()
    data = np.array([[float(cell) for cell in line.split()] for line in lines[60:96]])
    assert data.shape == (36, 2)
    found = decline(data[:, 1], data[:, 0], np.zeros(36, dtype=np.int64), 1)
    assert -found.value[0] == pytest.approx(1.00211681802045, rel=1e-10)
    assert found.standard_error[0] == pytest.approx(0.429796848199937e-03, rel=1e-10)


@settings(deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(0, 400), st.floats(3, 12)),
        min_size=3,
        max_size=30,
        unique_by=lambda point: round(point[0], 2),
    )
)
def test_it_is_the_line_of_scipy(points: list[tuple[float, float]]) -> None:
    """Slope, standard error and the 95 % interval by Student's t are those of linregress."""
    days, lg = np.array(points).T
    found = decline(days, lg, np.zeros(len(points), dtype=np.int64), 1)
    line = scipy.stats.linregress(days, lg)
    half = scipy.stats.t.ppf(0.975, len(points) - 2) * line.stderr
    size = np.ptp(lg) / np.ptp(days)
    assert found.value[0] == pytest.approx(-line.slope, rel=1e-9, abs=1e-9 * size)
    assert found.high[0] - found.low[0] == pytest.approx(2 * half, rel=1e-5, abs=1e-6 * size)


@settings(deadline=None)
@given(st.lists(st.floats(-5, 5), min_size=2, max_size=10))
def test_the_mean_over_panels_is_that_of_scipy(values: list[float]) -> None:
    """Mean and interval are those of a one-sample t-test."""
    found = mean_of_groups(np.array(values), np.zeros(len(values), dtype=np.int64), 1)
    if np.ptp(values) < 1e-6:
        return
    interval = scipy.stats.ttest_1samp(values, 0).confidence_interval(0.95)
    assert (found.low[0], found.high[0]) == pytest.approx(tuple(interval), rel=1e-9, abs=1e-9)
