"""The second study of the example: results of any kind are compared by kind and quantity."""

from __future__ import annotations

from pathlib import Path

import pytest
from example_study import EXPOSURE_STUDY, example_data
from example_truth import RECIPES
from shared_work import SharedWork

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.verdict import Verdict, VerdictWord

EXAMPLE = Path(__file__).parents[2] / "archive_example"
AIR = {recipe.batch: recipe.air for recipe in RECIPES}


@pytest.fixture(scope="module")
def comparison(shared_work: SharedWork) -> Comparison:
    """What the study compares."""
    return example_data(shared_work, EXPOSURE_STUDY).comparison


def verdict(comparison: Comparison, name: str, batch: str) -> Verdict:
    """The verdict on one candidate by one property."""
    (found,) = (
        one for one in comparison.verdicts if one.batch == batch and one.property.startswith(name)
    )
    return found


@pytest.mark.parametrize(
    ("batch", "outcome"), [("RB-016", VerdictWord.BETTER), ("RB-018", VerdictWord.WORSE)]
)
def test_voids_follow_the_air_that_was_stirred_in(
    comparison: Comparison, batch: str, outcome: VerdictWord
) -> None:
    """More air in the paint than in the control, more voids in its film; less, fewer."""
    found = verdict(comparison, "voids", batch)
    assert outcome in {found.outcome, found.if_alike}
    assert (found.low > 0) == (AIR[batch] > AIR["RB-010"])


def test_ratings_are_compared_by_ranks(comparison: Comparison) -> None:
    """Three panels that rate no worse are within the margin of the probability of superiority."""
    found = verdict(comparison, "rust", "RB-014")
    assert found.outcome is VerdictWord.NOT_WORSE
    assert 0 <= found.low <= found.effect <= found.high <= 1
    assert found.n == found.n_control == 3


def test_counts_are_compared_by_rate(comparison: Comparison) -> None:
    """Few craters on two small panels: a wide ratio, and no verdict but how many would do.

    By hand: 3 and 5 craters on two panels each give ln of the ratio a variance of 2/3 + 2/5 for one
    panel each; (1.960 + 0.842)² times that over (ln 1.5)² is 50.9.
    """
    found = verdict(comparison, "craters", "RB-018")
    assert found.effect_is == "ratio"
    assert found.low < 1 < found.high
    assert found.outcome is VerdictWord.CANNOT_TELL
    assert found.because == (
        "n too small for the margin; about 51 panels of each batch would do (power 80 % if both"
        " are equal)"
    )


def test_what_was_not_measured_is_said(comparison: Comparison) -> None:
    """A candidate without a micrograph is undecided, with the reason, and the others are told."""
    found = verdict(comparison, "voids", "RB-014")
    assert found.outcome is VerdictWord.NOT_TESTED
    assert found.because == "RB-014 has no value of void_fraction"
