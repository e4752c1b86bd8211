"""Candidates against the control where a batch has no spread of its own."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import ttest_1samp

from tiecoat.compare.contrasts import Contrast, against_control, by_estimates
from tiecoat.evaluate.estimate import Estimate, NotDeterminable

EQUAL = np.full(8, 80.0)
WIDE = np.array([84.0, 79, 88, 93, 81, 76, 90, 85])


@pytest.mark.parametrize(
    ("control", "candidate", "sign"), [(EQUAL, WIDE, 1), (WIDE, EQUAL, -1)], ids=["control", "it"]
)
def test_a_batch_of_equal_values_counts_as_a_number_that_is_known(
    control: np.ndarray, candidate: np.ndarray, sign: int
) -> None:
    """Eight equal values on one side leave the spread of the other: scipy's t test of one sample.

    Its p and interval are those of eight values against 80.
    """
    found = against_control(control, [candidate])
    assert found.own_method == "Welch, Sidak over 1"
    (one,) = found.own
    assert isinstance(one, Contrast)
    plain = ttest_1samp(WIDE, 80.0)
    ends = plain.confidence_interval()
    meant = (ends.low - 80, ends.high - 80) if sign > 0 else (80 - ends.high, 80 - ends.low)
    assert one.effect == pytest.approx(sign * (WIDE.mean() - 80))
    assert one.interval == pytest.approx(meant, rel=1e-9)
    assert one.p == pytest.approx(plain.pvalue, rel=1e-9)
    assert one.freedom == pytest.approx(7)


def test_without_one_variance_equal_values_have_none() -> None:
    """Beside Dunnett's interval of two panels stands that of the candidate's own two."""
    candidate = np.array([83.0, 86.0])
    found = against_control(np.array([80.0, 80.0]), [candidate])
    (alone,) = found.own
    assert isinstance(alone, Contrast)
    ends = ttest_1samp(candidate, 80.0).confidence_interval()
    assert alone.interval == pytest.approx((ends.low - 80, ends.high - 80), rel=1e-9)


def test_two_batches_of_equal_values_are_compared_by_ranks() -> None:
    """Where neither side scatters there is no interval, though a third batch scatters."""
    equal, wide = against_control(EQUAL, [EQUAL + 3, WIDE]).own
    assert isinstance(equal, Contrast)
    assert isinstance(wide, Contrast)
    assert (equal.is_by_ranks, wide.is_by_ranks) == (True, False)
    assert equal.effect == 3
    assert equal.p_alone == pytest.approx(2 / math.comb(16, 8))


def test_numbers_that_are_known_exactly_are_no_panels() -> None:
    """One value against one, both without uncertainty: nothing tells of a spread."""
    (found,) = by_estimates(Estimate(1.0, 0.0), [Estimate(2.0, 0.0)])
    assert isinstance(found, NotDeterminable)
    assert str(found) == "nothing tells of the spread of candidate and control"
