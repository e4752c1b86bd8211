"""Intervals of differences of shares hold nothing that no share can be."""

from __future__ import annotations

import math

import pytest
from made_up_studies import compared, panel_rows

from tiecoat.compare.shares import CUT, cut_to_shares
from tiecoat.compare.verdict import Limits, Verdict, VerdictWord

STUDY = '[[property]]\nname = "adhesive failure"\nmargin = 20\n'


def verdict_on(control: list[float], candidate: list[float], more: str = "") -> Verdict:
    """Return the verdict on shares of adhesive failure."""
    rows = panel_rows("failure_adhesive", {"RB-010": control, "RB-011": candidate}, unit="%")
    (one,) = compared(rows, STUDY + more, kind="pull_off").verdicts
    return one


def test_an_interval_ends_where_a_share_would_leave_0_to_100() -> None:
    """With the control at 20 % no candidate is lower by more than 20 points, and it is said."""
    found = verdict_on([10.0, 20.0, 30.0], [0.0, 25.0, 50.0])
    assert found.low == pytest.approx(-20)
    assert found.firm_low == pytest.approx(-20)
    assert 0 < found.high <= 80
    assert CUT in found.cautions
    assert found.outcome is VerdictWord.CANNOT_TELL


def test_an_interval_within_is_left_as_it_is() -> None:
    """What shares can be is not cut, and nothing is said."""
    found = verdict_on([48.0, 50.0, 52.0], [50.0, 51.0, 52.0])
    assert found.low == pytest.approx(2 * found.effect - found.high)
    assert CUT not in found.cautions


def test_a_cut_makes_no_claim() -> None:
    """An end beyond the margin stays beyond it, though the control's mean leaves less room."""
    assert cut_to_shares(-30.0, 60.0, 85.0, Limits(-math.inf, 20.0)) == (-30.0, 60.0)
    assert cut_to_shares(-30.0, 160.0, 85.0, Limits(-math.inf, 20.0)) == (-30.0, 100.0)
    assert cut_to_shares(-30.0, 60.0, 85.0, None) == (-30.0, 15.0)


def test_values_that_are_no_shares_are_not_cut() -> None:
    """Where measurement gives less than nothing, the scale has no ends."""
    found = verdict_on([-5.0, 1.0, 4.0], [0.0, 25.0, 50.0])
    assert found.low < -20
    assert CUT not in found.cautions
