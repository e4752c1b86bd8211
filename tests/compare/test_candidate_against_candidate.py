"""Is one candidate better than another: adjusted for the pairs asked for, the same both ways."""

from __future__ import annotations

import math
from itertools import combinations

import numpy as np
import pandas as pd
import pytest
from scipy.stats import tukey_hsd
from study_tables import CRATERS, compared, panel_rows, register

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.contrasts import against_control
from tiecoat.compare.findings import Family
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.errors import UnknownName

GLOSS = '[[property]]\nname = "gloss"\nkind = "gloss"\nquantity = "gloss"\nmargin = 5\n'
ALIKE = '[spreads_alike]\nby = "A. Weber"\nground = "forty panels"\n'
VALUES = {
    "RB-010": [80.0, 81, 79.5, 80.5],
    "RB-011": [83.0, 84.5, 82],
    "RB-012": [88.0, 87, 89.5, 88.5, 87.5],
    "RB-013": [83.5, 82.5, 84.0, 85],
}
NAMES = {"RB-011": "talc", "RB-012": "talc", "RB-013": "glass flake"}
OTHERS = ("RB-011", "RB-012", "RB-013")
DOSES = {"RB-011": 5.0, "RB-012": 10.0, "RB-013": 5.0}


def study(against: str, more: str = "") -> Comparison:
    """Return the comparison of these values, with whom it compares beside the control."""
    batches = register(list(VALUES), candidates=NAMES, doses=DOSES)
    text = f"against = {against}\n{ALIKE}{GLOSS}{more}"
    return compared(panel_rows("gloss", VALUES, unit="GU"), text, batches=batches)


def by_pair(comparison: Comparison) -> dict[tuple[str, str], Verdict]:
    """Return the verdicts by who is compared with whom."""
    return {(one.batch, one.control): one for one in comparison.pairs}


def test_all_pairs_are_those_of_tukey_and_kramer() -> None:
    """With one scatter for all, interval and p are those of scipy.stats.tukey_hsd.

    It is given the same three candidates, of three, five and four panels.
    """
    assert set(by_pair(study('["all"]'))) == {(a, b) for a in OTHERS for b in OTHERS if a != b}
    panels = [np.array(VALUES[one]) for one in OTHERS]
    theirs = tukey_hsd(*panels)
    ends = theirs.confidence_interval(0.95)
    for x, reference in enumerate(panels):
        others = [y for y in range(3) if y != x]
        found = against_control(reference, [panels[y] for y in others], Family(3, batches=3))
        assert found.alike_method == "Tukey and Kramer over 3 batches, 9 degrees of freedom"
        for y, told in zip(others, found.alike, strict=True):
            assert told is not None
            assert told.effect == pytest.approx(theirs.statistic[y, x], rel=1e-12)
            assert told.interval == pytest.approx((ends.low[y, x], ends.high[y, x]), rel=1e-5)
            assert told.p == pytest.approx(theirs.pvalue[y, x], rel=1e-5, abs=1e-9)


def test_welch_over_all_pairs_is_on_the_safe_side_of_games_and_howell() -> None:
    """What is firm has no smaller p than scipy.stats.tukey_hsd with unequal variances gives."""
    text = 'against = ["all"]\n' + GLOSS
    found = by_pair(compared(panel_rows("gloss", VALUES), text))
    theirs = tukey_hsd(*(VALUES[one] for one in OTHERS), equal_var=False)
    for (x, one), (y, other) in combinations(enumerate(OTHERS), 2):
        told = found[other, one]
        assert told.firm_low < theirs.confidence_interval(0.95).low[y, x]
        assert told.firm_high > theirs.confidence_interval(0.95).high[y, x]


def test_a_pair_says_the_same_both_ways() -> None:
    """Who is better than the other leaves the other worse, by as much."""
    found = by_pair(study('["all"]'))
    for (one, other), told in found.items():
        back = found[other, one]
        assert (told.effect, told.p) == pytest.approx((-back.effect, back.p))
        assert (told.low, told.high) == pytest.approx((-back.high, -back.low))
    words = {pair: told.outcome for pair, told in found.items()}
    assert words["RB-012", "RB-011"] is VerdictWord.BETTER
    assert words["RB-011", "RB-012"] is VerdictWord.WORSE


def test_each_way_of_a_pair_tells_the_interval_of_the_other_way() -> None:
    """Both intervals stand on each side and mirror each other, of shares too.

    B is not worse than A firmly, and A is worse than B only if all scatter alike: the two verdicts
    rest on two intervals, and each side has both.
    """
    shares = {
        "RB-010": [10.0, 12, 14],
        "RB-011": [20.0, 24, 22],
        "RB-012": [36.0, 46, 56],
        "RB-013": [22.0, 30, 26],
    }
    batches = register(list(shares), candidates=NAMES, doses=DOSES)
    table = panel_rows("failure_adhesive", shares, unit="%")
    text = 'against = ["all"]\n[[property]]\nname = "adhesive failure"\nmargin = 20\n'
    found = by_pair(compared(table, text, kind="pull_off", batches=batches))
    assert len(found) == 6
    mixed = 0
    for (one, other), told in found.items():
        back = found[other, one]
        if told.standing is back.standing:
            assert (told.low, told.high) == pytest.approx((-back.high, -back.low))
        elif told.standing is Firmness.FIRM:
            mixed += 1
            mirrored = f"{-back.high:.3g} to {-back.low:.3g}".replace("-", "−")
            assert (
                "if the panels of all batches scatter alike the interval is"
                f" {mirrored}, as told the other way round"
            ) in told.because
            mirrored = f"{-told.high:.3g} to {-told.low:.3g}".replace("-", "−")
            assert f"without that condition the interval is {mirrored}" in back.because
    assert mixed


def test_what_the_panels_of_one_contradict_holds_neither_way_of_a_pair() -> None:
    """Where one scatters seven times as widely, neither way is concluded as if both were alike."""
    values = {
        "RB-010": [80.0, 81, 79.5, 80.5],
        "RB-011": [83.00, 83.02, 83.01, 83.03],
        "RB-012": [84.0, 86.0, 83.0, 87.0],
        "RB-013": [83.5, 82.5, 84.0, 85],
    }
    found = by_pair(compared(panel_rows("gloss", values, unit="GU"), f'against = ["all"]\n{GLOSS}'))
    assert len(found) == 6
    for pair in (("RB-011", "RB-012"), ("RB-012", "RB-011")):
        assert found[pair].standing is Firmness.FIRM
        assert math.isnan(found[pair].p_alone_if_alike)


def test_one_other_candidate_is_compared_with_as_a_control_is() -> None:
    """The verdicts are those of a study without the control whose control it is."""
    against = study('["10 % Talc"]').pairs
    table = panel_rows("gloss", {name: of for name, of in VALUES.items() if name != "RB-010"})
    alone = compared(
        table,
        f'control = "RB-012"\n{ALIKE}{GLOSS}',
        batches=register(["RB-011", "RB-012", "RB-013"], candidates=NAMES, doses=DOSES),
    )
    for one, other in zip(against, alone.verdicts, strict=True):
        assert (one.batch, one.control, one.outcome) == (other.batch, "RB-012", other.outcome)
        assert (one.low, one.high, one.p) == (other.low, other.high, other.p)
        assert one.method == other.method


@pytest.mark.parametrize(
    ("against", "references"),
    [
        ('["RB-013"]', ("RB-013",)),
        ('["rb-013", "Glass flake"]', ("RB-013",)),
        ('["talc"]', ("RB-011", "RB-012")),
        ('["5 % talc"]', ("RB-011",)),
        ('["all"]', ("RB-011", "RB-012", "RB-013")),
    ],
)
def test_who_is_meant_by_a_name(against: str, references: tuple[str, ...]) -> None:
    """A batch, a candidate with all its doses, a candidate at a dose, or every one."""
    assert study(against).references == references


@pytest.mark.parametrize(
    ("against", "told"),
    [
        (
            '["glas flake"]',
            (
                "against names 'glas flake', which is no candidate of the study; near it: glass"
                " flake, 5 % glass flake"
            ),
        ),
        (
            '["RB-010"]',
            "against names RB-010, the control: every candidate is compared with it anyway",
        ),
    ],
)
def test_who_is_no_candidate_is_told(against: str, told: str) -> None:
    """With names near it; and that the control needs no naming."""
    with pytest.raises(UnknownName) as raised:
        study(against)
    assert str(raised.value) == told


def test_where_the_control_is_wanted_no_candidate_is_the_better_one() -> None:
    """A property with a target is left out of the pairs: nothing is worse for being different."""
    found = study('["all"]', 'direction = "target"\n')
    assert found.pairs == ()
    assert len(found.verdicts) == 3


def test_verdicts_against_the_control_stay_what_they_are() -> None:
    """Asking for pairs changes nothing of them."""
    pd.testing.assert_frame_equal(study('["all"]').table(), study("[]").table())


OF_RATINGS = """
[[property]]
name = "rust"
kind = "gloss"
quantity = "rust"
direction = "lower"
method = "ratings"
margin = 0.2
"""


@pytest.mark.thorough
def test_equal_candidates_are_seldom_called_different_in_any_pair() -> None:
    """Counts and ratings of four equal paints of six panels, all six pairs at once, by simulation.

    At most 5 % of studies may have a false difference; of 200 then fewer than 18 with 99 %.
    """
    random = np.random.default_rng(20261130)
    false = dict.fromkeys(("counts", "ratings"), 0)
    batches = [f"RB-{n:03}" for n in range(10, 15)]
    for _ in range(200):
        counts = random.poisson(12, (5, 6)).astype(float)
        raw = pd.DataFrame(
            {
                "batch": np.repeat(batches, 6),
                "panel": [f"{one}-{n}" for one in batches for n in range(6)],
                "craters": counts.ravel(),
                "area_cm2": 100.0,
            }
        )
        grades = dict(zip(batches, random.integers(0, 4, (5, 6)).astype(float), strict=True))
        for name, found in (
            (
                "counts",
                compared(
                    panel_rows("gloss", {one: [1.0] for one in batches}),
                    'against = ["all"]\n' + CRATERS,
                    raw={"defects": raw},
                    kind="defects",
                ),
            ),
            ("ratings", compared(panel_rows("rust", grades), 'against = ["all"]\n' + OF_RATINGS)),
        ):
            assert len(found.pairs) == 12
            words = {one.outcome for one in found.pairs if one.standing is Firmness.FIRM}
            false[name] += bool(words & {VerdictWord.BETTER, VerdictWord.WORSE})
    assert max(false.values()) < 18
    assert not math.isnan(found.pairs[0].p)
