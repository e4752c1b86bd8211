"""What an interval, a p and a margin allow to conclude."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.compare.verdict import Limits, VerdictWord, decide, holm
from tiecoat.contract.study_property import Direction

UP = Limits(-0.5, math.inf)
DOWN = Limits(-math.inf, 0.5)
BOTH = Limits(-0.5, 0.5)

SHOWN = "the interval excludes equality"
WITHIN = "the whole interval lies within the margin"
BUT_LESS = f"{WITHIN}; different for certain, but by less"
BEYOND = f"{SHOWN} and lies beyond the margin"
OPEN = f"{SHOWN}; whether by more than the margin is open"
NOTHING = "no difference is shown, and no margin is stated"
UNDECIDED = (VerdictWord.CANNOT_TELL, "")  # for want of panels, which the caller words


@pytest.mark.parametrize(
    ("interval", "p", "direction", "limits", "expected"),
    [
        ((0.1, 0.9), 0.01, "higher", UP, (VerdictWord.BETTER, SHOWN)),
        ((0.1, 0.9), 0.05, "higher", UP, (VerdictWord.BETTER, SHOWN)),
        ((0.1, 0.9), 0.20, "higher", UP, (VerdictWord.NOT_WORSE, WITHIN)),
        ((0.0, 0.9), 0.01, "higher", UP, (VerdictWord.NOT_WORSE, WITHIN)),
        ((-0.4, 0.9), 0.9, "higher", UP, (VerdictWord.NOT_WORSE, WITHIN)),
        ((-0.5, 0.9), 0.9, "higher", UP, UNDECIDED),
        ((-0.6, 0.9), 0.9, "higher", UP, UNDECIDED),
        ((-0.4, -0.1), 0.01, "higher", UP, (VerdictWord.NOT_WORSE, BUT_LESS)),
        ((-0.7, -0.1), 0.01, "higher", UP, (VerdictWord.WORSE, OPEN)),
        ((-0.7, -0.5), 0.01, "higher", UP, (VerdictWord.WORSE, OPEN)),
        ((-0.9, -0.6), 0.01, "higher", UP, (VerdictWord.WORSE, BEYOND)),
        ((-0.7, -0.1), 0.20, "higher", UP, UNDECIDED),
        ((-0.7, -0.1), 0.01, "lower", DOWN, (VerdictWord.BETTER, SHOWN)),
        ((0.1, 0.7), 0.01, "lower", DOWN, (VerdictWord.WORSE, OPEN)),
        ((0.5, 0.7), 0.01, "lower", DOWN, (VerdictWord.WORSE, OPEN)),
        ((0.6, 0.7), 0.01, "lower", DOWN, (VerdictWord.WORSE, BEYOND)),
        ((0.1, 0.7), 0.20, "lower", DOWN, UNDECIDED),
        ((-0.7, 0.4), 0.9, "lower", DOWN, (VerdictWord.NOT_WORSE, WITHIN)),
        ((-0.7, 0.5), 0.9, "lower", DOWN, UNDECIDED),
        ((0.1, 0.4), 0.01, "target", BOTH, (VerdictWord.NOT_WORSE, BUT_LESS)),
        ((0.1, 0.7), 0.01, "target", BOTH, (VerdictWord.WORSE, OPEN)),
        ((-0.7, -0.6), 0.01, "target", BOTH, (VerdictWord.WORSE, BEYOND)),
        ((0.1, 0.7), 0.20, "target", BOTH, UNDECIDED),
        ((-0.7, 0.1), 0.9, "target", BOTH, UNDECIDED),
        ((-0.7, 0.1), 0.9, "higher", None, (VerdictWord.CANNOT_TELL, NOTHING)),
        ((0.1, 0.7), 0.20, "higher", None, (VerdictWord.CANNOT_TELL, NOTHING)),
        ((-0.7, -0.1), 0.01, "higher", None, (VerdictWord.WORSE, f"{SHOWN}; no margin is stated")),
        ((0.1, 0.7), 0.01, "higher", None, (VerdictWord.BETTER, SHOWN)),
        # of a lower bound, and of counts of which one is 0, the interval is open
        ((0.1, math.inf), 0.01, "higher", UP, (VerdictWord.BETTER, SHOWN)),
        ((-0.4, math.inf), 0.9, "higher", UP, (VerdictWord.NOT_WORSE, WITHIN)),
        ((-0.6, math.inf), 0.9, "higher", UP, UNDECIDED),
        ((-math.inf, 0.4), 0.9, "lower", DOWN, (VerdictWord.NOT_WORSE, WITHIN)),
        ((-math.inf, 0.6), 0.9, "lower", DOWN, UNDECIDED),
        ((-math.inf, 0.4), 0.9, "higher", UP, UNDECIDED),
        ((-0.4, math.inf), 0.9, "lower", DOWN, UNDECIDED),
        ((-math.inf, 0.4), 0.9, "target", BOTH, UNDECIDED),
        ((-0.4, math.inf), 0.9, "target", BOTH, UNDECIDED),
    ],
)
def test_each_outcome_by_its_rule(
    interval: tuple[float, float],
    p: float,
    direction: Direction,
    limits: Limits | None,
    expected: tuple[VerdictWord, str],
) -> None:
    """A difference needs interval and p; "not worse" needs the whole interval inside the margin.

    The reason is that of the outcome and nothing more.
    """
    assert decide(*interval, p, direction, limits) == expected


@given(
    st.floats(-5, 5),
    st.floats(0, 5),
    st.floats(0, 1),
    st.sampled_from(["higher", "lower", "target"]),
)
def test_a_large_p_alone_never_shows_that_it_does_no_harm(
    low: float, width: float, p: float, direction: Direction
) -> None:
    """Where the interval reaches beyond the margin on the side of harm, it is not "not worse"."""
    limits = {"higher": UP, "lower": DOWN, "target": BOTH}[direction]
    found, _ = decide(low, low + width, p, direction, limits)
    harm = {
        "higher": low <= -0.5,
        "lower": low + width >= 0.5,
        "target": low <= -0.5 or low + width >= 0.5,
    }[direction]
    if harm:
        assert found is not VerdictWord.NOT_WORSE
    if found in {VerdictWord.BETTER, VerdictWord.WORSE}:
        assert p <= 0.05
        assert not low <= 0 <= low + width


@given(st.lists(st.floats(0, 1), min_size=1, max_size=9))
def test_with_one_candidate_it_is_holms_procedure(p: list[float]) -> None:
    """The slow way: each ordered p times what is left, and never below the one before."""
    order = sorted(range(len(p)), key=lambda place: (p[place], place))
    expected, reached = [0.0] * len(p), 0.0
    for step, place in enumerate(order):
        reached = max(reached, min(1.0, p[place] * (len(p) - step)))
        expected[place] = reached
    assert holm(p, list(range(len(p)))) == pytest.approx(expected)


@given(st.lists(st.tuples(st.floats(0, 1), st.integers(0, 3)), min_size=1, max_size=12))
def test_over_properties_it_lies_between_none_and_bonferroni(
    pairs: list[tuple[float, int]],
) -> None:
    """No p falls, none rises above p times the number of properties, and their order stays."""
    p, families = [one for one, _ in pairs], [one for _, one in pairs]
    adjusted = holm(p, families)
    count = len(set(families))
    for before, after in zip(p, adjusted, strict=True):
        assert before <= after <= min(1.0, count * before) + 1e-15 or after <= max(
            min(1.0, count * one) for one in p if one <= before
        )
    ranked = sorted(zip(p, adjusted, strict=True))
    assert [one for _, one in ranked] == sorted(adjusted)


def test_a_property_counts_until_all_its_candidates_are_through() -> None:
    """One clear candidate does not free the others of its property from the adjustment."""
    assert holm([0.001, 0.03, 0.02], ["a", "a", "b"]) == pytest.approx([0.002, 0.04, 0.04])
    assert holm([0.001, math.nan, 0.02], ["a", "a", "b"])[2] == pytest.approx(0.02)
