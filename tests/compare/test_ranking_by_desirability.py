"""The overall ranking and how stable it is."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import gamma
from scipy.stats import t as student
from study_tables import CRATERS, NONE_FILED, compared, panel_rows, panels_of, register

from tiecoat.compare.comparison import compare
from tiecoat.compare.desirability import one_sided, overall, two_sided
from tiecoat.compare.ranking import Ranking, rank
from tiecoat.compare.study import load_study
from tiecoat.compare.verdict import VerdictWord
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.result import results, together

STUDY = """
[[property]]
name = "gloss"
kind = "film"
quantity = "gloss"
margin = 10
[[property]]
name = "haze"
kind = "film"
quantity = "haze"
direction = "lower"
margin = 2
"""
VALUES = {
    "gloss": {"RB-010": [80, 81, 79.0], "RB-011": [90, 91, 89.0], "RB-012": [60, 61, 59.0]},
    "haze": {"RB-010": [5, 5.2, 4.8], "RB-011": [4, 4.2, 3.8], "RB-012": [3, 3.1, 2.9]},
}
HARDLY = 1e-4  # of the scatter: then what is expected over the draws is that of the means, by hand
BY_HAND = 1e-3


def rows(values: dict[str, dict[str, list[float]]] = VALUES) -> pd.DataFrame:
    """Return gloss and haze of panels."""
    return pd.concat([panel_rows(name, one, unit="GU") for name, one in values.items()])


def alike(values: dict[str, dict[str, list[float]]] = VALUES) -> pd.DataFrame:
    """Return the same of panels that hardly scatter."""
    return rows(
        {
            name: {
                batch: [np.mean(one) + HARDLY * (x - np.mean(one)) for x in one]
                for batch, one in of.items()
            }
            for name, of in values.items()
        }
    )


def test_the_best_comes_first_and_harm_on_one_property_comes_last() -> None:
    """Haze of RB-012 is the best of all, but its gloss is worse by more than the margin: 0."""
    ranking = rank(compared(alike(), STUDY, kind="film"))
    assert ranking.table["batch"].tolist() == ["RB-011", "RB-010", "RB-012"]
    assert ranking.table["desirability"].iloc[-1] == 0
    d = ranking.desirabilities
    # gloss from 70 (control less margin) to 90 (best), haze from 7 down to 3
    assert d.loc["RB-010"].tolist() == pytest.approx([10 / 20, 2 / 4], abs=BY_HAND)
    assert d.loc["RB-011"].tolist() == pytest.approx([1, 3 / 4], abs=BY_HAND)
    expected = pytest.approx([0.75**0.5, 0.5, 0], abs=BY_HAND)
    assert ranking.table["desirability"].tolist() == expected


def test_what_is_compared_by_ratio_is_ranked_by_its_geometric_mean() -> None:
    """By hand: the cube root of 50 x 80 x 128 is 80, half way from 40 to 160 on its scale.

    Student's t about it is even on that scale, and so is what is cut at 0 and 1: the mean of 20,000
    draws is half, to 0.01.
    """
    study = ONLY_GLOSS.replace("margin = 10", 'scale = "ratio"\nideal = 160\nunacceptable = 40')
    values = {"RB-010": [79.9, 80.0, 80.1], "RB-011": [50.0, 80.0, 128.0]}
    comparison = compared(panel_rows("gloss", values, unit="GU"), study, kind="film")
    found = rank(comparison, draws=20_000)
    assert found.desirabilities["gloss"].tolist() == pytest.approx([0.5, 0.5], abs=0.01)


def test_chances_are_shares_and_follow_the_scatter() -> None:
    """Every batch has some rank and every rank some batch; scatter makes ranks less sure."""
    sure = rank(compared(rows(), STUDY, kind="film")).chances
    assert sure.sum(axis=0).tolist() == pytest.approx([1.0] * 3)
    assert sure.sum(axis=1).tolist() == pytest.approx([1.0] * 3)
    assert sure.loc["RB-011", 1] > 0.99
    wide = {
        **VALUES,
        "gloss": {"RB-010": [70, 81, 95.0], "RB-011": [75, 91, 99.0], "RB-012": [50, 61, 69.0]},
    }
    assert 0.5 < rank(compared(rows(wide), STUDY, kind="film")).chances.loc["RB-011", 1] < 0.98


def test_the_same_data_give_the_same_digits() -> None:
    """Random numbers begin at the same place; another seed moves chances only a little."""
    comparison = compared(rows(), STUDY, kind="film")
    first, second = rank(comparison).chances, rank(comparison).chances
    pd.testing.assert_frame_equal(first, second)
    other = rank(comparison, seed=1).chances
    assert np.abs(other - first).to_numpy().max() < 0.05


def test_equal_batches_share_their_ranks_evenly() -> None:
    """Two that are unacceptable are both last, neither before the other."""
    values = {"gloss": {**VALUES["gloss"], "RB-013": [60, 61, 59.0]}}
    only_gloss = STUDY[: STUDY.index('[[property]]\nname = "haze"')]
    ranking = rank(compared(rows(values), only_gloss, kind="film"))
    assert ranking.table["rank"].tolist() == [1, 2, 3, 3]
    assert ranking.chances.loc["RB-012", 3] == pytest.approx(0.5, abs=0.05)


def test_weights_and_limits_come_from_the_study() -> None:
    """A weight of 0 leaves a property out; stated limits take the place of the margin's."""
    text = STUDY.replace("margin = 2", "margin = 2\nweight = 0")
    text = text.replace("margin = 10", "margin = 10\nideal = 100\nunacceptable = 50")
    ranking = rank(compared(alike(), text, kind="film"))
    assert list(ranking.desirabilities) == ["gloss"]
    assert ranking.desirabilities["gloss"].loc["RB-010"] == pytest.approx(0.6, abs=BY_HAND)
    assert ranking.table["batch"].tolist() == ["RB-011", "RB-010", "RB-012"]


def test_a_weight_of_two_counts_double_beside_one_that_is_not_stated() -> None:
    """The geometric mean of three: gloss, gloss again, and haze."""
    text = STUDY.replace("margin = 10", "margin = 10\nweight = 2")
    ranking = rank(compared(alike(), text, kind="film"), draws=50)
    by_batch = ranking.table.set_index("batch")["desirability"]
    for batch, of_each in ranking.desirabilities.iterrows():
        expected = (of_each["gloss"] ** 2 * of_each["haze"]) ** (1 / 3)
        assert by_batch[batch] == pytest.approx(expected, abs=BY_HAND)
    assert 0 < by_batch["RB-010"] < by_batch["RB-011"]


def test_what_cannot_be_ranked_is_said() -> None:
    """A property without margin, a batch without a value, and nothing left at all."""
    text = STUDY.replace("margin = 2\n", "")
    ranking = rank(compared(rows(), text, kind="film"))
    assert ranking.problems == (
        "haze is left out of the ranking: state ideal and unacceptable, or a margin, in the study",
    )
    gap = {**VALUES, "haze": {k: v for k, v in VALUES["haze"].items() if k != "RB-012"}}
    assert rank(compared(rows(gap), STUDY, kind="film")).problems == (
        "RB-012 is not ranked: no value of haze",
    )
    with pytest.raises(NotDeterminable) as caught:
        rank(compared(rows(), text.replace("margin = 10\n", ""), kind="film"))
    lacks = "is left out of the ranking: state ideal and unacceptable, or a margin, in the study"
    assert str(caught.value) == f"nothing can be ranked; gloss {lacks}; haze {lacks}"
    upside_down = STUDY.replace("margin = 10", "ideal = 10\nunacceptable = 50")
    (told,) = rank(compared(rows(), upside_down, kind="film")).problems
    assert told == (
        "gloss is left out of the ranking: ideal 10 is no better than unacceptable 50; state both"
        " in the study"
    )


@pytest.mark.parametrize("haze", [{"RB-011": [4, 4.2, 3.8]}, {"RB-010": [4, 4.2, 3.8]}])
def test_a_property_of_one_side_alone_is_not_ranked(haze: dict[str, list[float]]) -> None:
    """Without the control, or without any candidate, there is nothing to set against it."""
    ranking = rank(compared(rows({**VALUES, "haze": haze}), STUDY, kind="film"))
    assert ranking.problems == (
        "haze is left out of the ranking: control or candidates have no data",
    )


def test_a_ranking_says_how_it_was_made_and_what_it_lacks() -> None:
    """The method with its draws; a control without values, a single panel, limits of ratios."""
    ranking = rank(compared(rows(), STUDY, kind="film"), draws=50)
    assert ranking.method == (
        "desirability (Derringer and Suich 1980) over 2 properties, expected over 50 draws of the"
        " means of all batches, by Student's t of their panels and by the chance of their counts"
    )
    single = {**VALUES, "haze": {**VALUES["haze"], "RB-012": [3.0]}}
    assert rank(compared(rows(single), STUDY, kind="film")).problems == (
        "RB-012: haze is known from one panel; its chances look too sure",
    )
    below = ONLY_GLOSS.replace("margin = 10", 'scale = "ratio"\nideal = 100\nunacceptable = -1')
    with pytest.raises(NotDeterminable) as caught:
        rank(compared(rows(), below, kind="film"))
    assert str(caught.value) == (
        "nothing can be ranked; gloss is left out of the ranking: it is compared by ratio: ideal"
        " and unacceptable must be above 0"
    )


def test_a_target_is_best_in_the_middle() -> None:
    """Desirability falls to both sides of the target, to 0 at the margin."""
    text = STUDY.replace("margin = 10", 'margin = 20\ndirection = "target"\ntarget = 80')
    ranking = rank(compared(alike(), text, kind="film"))
    found = ranking.desirabilities["gloss"].tolist()
    assert found == pytest.approx([1.0, 0.5, 0.0], abs=BY_HAND)


ONLY_GLOSS = STUDY[: STUDY.index('[[property]]\nname = "haze"')]


def test_a_ratio_of_which_less_is_better_is_ranked_by_logarithms() -> None:
    """From half as much again as the control, 0, to the least, 1; no lower limit is needed."""
    text = ONLY_GLOSS.replace("margin = 10", "margin_percent = 50")
    text += 'scale = "ratio"\ndirection = "lower"\n'
    ranking = rank(compared(alike(), text, kind="film"))
    d = ranking.desirabilities["gloss"]
    expected = np.log(80 * 1.5 / 80) / np.log(80 * 1.5 / 60)
    assert d.loc["RB-012"] == pytest.approx(1, abs=BY_HAND)
    assert d.loc["RB-010"] == pytest.approx(expected, rel=1e-3)  # means are geometric


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (
            'direction = "lower"\nmargin = 10\nideal = 95',
            "ideal 95 is no better than unacceptable 90; state both in the study",
        ),
        (
            'method = "ratings"\nmargin = 0.2',
            (
                "the margin of ratings is one of probability: state ideal and unacceptable in the"
                " study"
            ),
        ),
    ],
)
def test_why_a_property_is_not_ranked_is_said_with_its_numbers(asked: str, told: str) -> None:
    """The limit on the worse side is named; a margin of probability is no limit of grades."""
    comparison = compared(rows(), ONLY_GLOSS.replace("margin = 10", asked), kind="film")
    with pytest.raises(NotDeterminable) as caught:
        rank(comparison)
    left_out = "nothing can be ranked; gloss is left out of the ranking"
    assert str(caught.value) == f"{left_out}: {told}"


def test_a_share_of_a_control_of_zero_is_no_margin() -> None:
    """20 % of nothing leaves no room for harm: limits have to be stated."""
    values = {"gloss": {"RB-010": [-1, 0, 1.0], "RB-011": [0, 1, 2.0]}}
    text = ONLY_GLOSS.replace("margin = 10", "margin_percent = 20")
    comparison = compared(rows(values), text, kind="film")
    assert comparison.verdicts[0].because == (
        "the margin is a share of a control of 0, and so is 0 itself"
    )
    with pytest.raises(NotDeterminable) as caught:
        rank(comparison)
    assert str(caught.value) == (
        "nothing can be ranked; gloss is left out of the ranking: the margin is 0 here: state ideal"
        " and unacceptable"
    )


def counted(counts: dict[str, list[float]], areas: list[float]) -> pd.DataFrame:
    """Return the craters of panels on areas in cm²."""
    rows = [
        {"batch": batch, "panel": f"{batch}-{place}", "craters": one, "area_cm2": area}
        for batch, of in counts.items()
        for place, (one, area) in enumerate(zip(of, areas, strict=True))
    ]
    return pd.DataFrame(rows).astype({"batch": "str", "panel": "str"})


def ranked_counts(counts: dict[str, list[float]], areas: list[float], text: str) -> Ranking:
    """Return the ranking of such panels by their craters."""
    raw = counted(counts, areas)
    return rank(
        compare(
            load_study(text),
            results={},
            batches=register(sorted(counts)),
            panels=panels_of(raw),
            filed=NONE_FILED,
            raw={"defects": raw},
            conditions={"defects": {}},
        ),
        draws=20_000,
    )


def test_draws_of_counts_carry_their_chance() -> None:
    """Whichever panels there are, a rate is as well known as all craters tell: scipy's gamma.

    40 and 160 craters on 80 cm² of panels that agree, with limits stated from 4 to 0 in 1 cm²: what
    20,000 draws give of the ends is asked for to 3 % of the width.
    """
    areas = [10.0, 20.0, 50.0]
    counts = {
        batch: [in_ten * area / 10 for area in areas]
        for batch, in_ten in {"RB-010": 5, "RB-011": 20}.items()
    }
    ranking = ranked_counts(counts, areas, CRATERS + "ideal = 1e-9\nunacceptable = 4\n")
    table = ranking.table.set_index("batch")
    for batch, whole in {"RB-010": 40, "RB-011": 160}.items():
        low, high = 1 - gamma.ppf([0.975, 0.025], whole + 0.5) / 80 / 4
        assert table.loc[batch, "low"] == pytest.approx(low, abs=0.03 * (high - low))
        assert table.loc[batch, "high"] == pytest.approx(high, abs=0.03 * (high - low))


def test_what_a_verdict_cannot_tell_is_not_unacceptable() -> None:
    """14 craters against 5 of the control, on as much, with a margin of 50 %: none is told.

    The count alone is worse by more than the margin; the verdict says that so few craters tell
    nothing. What is expected is reckoned here from 400,000 draws of numpy.
    """
    counts = {"RB-010": [2.0, 3.0], "RB-011": [6.0, 8.0]}
    raw = counted(counts, [100.0, 100.0])
    comparison = compare(
        load_study(CRATERS),
        results={},
        batches=register(sorted(counts)),
        panels=panels_of(raw),
        filed=NONE_FILED,
        raw={"defects": raw},
        conditions={"defects": {}},
    )
    assert comparison.verdicts[0].outcome is VerdictWord.CANNOT_TELL
    ranking = ranked_counts(counts, [100.0, 100.0], CRATERS)
    rng = np.random.default_rng(7)
    control, mine = rng.gamma(5.5, size=400_000), rng.gamma(14.5, size=400_000)
    best = 5  # the mean of the control, which is the better one
    expected = np.where(
        1.5 * control > best, np.clip((1.5 * control - mine) / (1.5 * control - best), 0, 1), 0
    )
    expected[(1.5 * control <= best) & (mine < 1.5 * control)] = 1
    assert ranking.table["desirability"].iloc[-1] == pytest.approx(expected.mean(), abs=0.01)
    assert ranking.table["desirability"].iloc[-1] > 0.01


def reported(errors: dict[str, float]) -> pd.DataFrame:
    """Return a result of each batch, 80 GU, whose uncertainty has 4 degrees of freedom."""
    return together(
        [
            results(
                "gloss",
                {"batch": batch},
                80.0,
                "GU",
                standard_error=error,
                low=80 - student.ppf(0.975, 4) * error,
                high=80 + student.ppf(0.975, 4) * error,
                n=5,
            )
            for batch, error in errors.items()
        ]
    )


@pytest.mark.parametrize("scale", ["difference", "ratio"])
def test_draws_of_reported_results_scatter_by_their_uncertainty(scale: str) -> None:
    """95 % of the draws lie within scipy's t of 4 degrees times the standard error of each.

    By ratio the standard error of the logarithm is that of the value over the value. 20,000 draws
    know the ends to about 2 %; 5 % are allowed.
    """
    errors = {"RB-010": 0.5, "RB-011": 2.0}
    text = ONLY_GLOSS.replace("margin = 10", f'ideal = 160\nunacceptable = 20\nscale = "{scale}"')
    ranking = rank(compared(reported(errors), text, kind="film"), draws=20_000)
    table = ranking.table.set_index("batch")
    reach = student.ppf(0.975, 4)
    for batch, error in errors.items():
        # in shares of the way from 20 to 160 GU: 140, or three times ln 2
        middle, half = (
            (60 / 140, reach * error / 140)
            if scale == "difference"
            else (2 / 3, reach * error / 80 / (3 * np.log(2)))
        )
        low, desirability, high = table.loc[batch, ["low", "desirability", "high"]]
        assert desirability == pytest.approx(middle, abs=BY_HAND)
        assert (middle - low, high - middle) == pytest.approx((half, half), rel=0.05)


@given(
    st.lists(st.floats(-10, 10), min_size=1, max_size=5),
    st.floats(-5, 5),
    st.floats(0.1, 5),
)
def test_desirability_never_falls_towards_the_ideal(
    values: list[float], unacceptable: float, away: float
) -> None:
    """It rises from 0 to 1, and for "lower is better" it is the mirror image."""
    rising = np.sort(values)
    up = one_sided(rising, unacceptable, unacceptable + away)
    down = one_sided(-rising, -unacceptable, -unacceptable - away)
    assert ((up >= 0) & (up <= 1) & (np.diff(up, prepend=0.0) >= -1e-12)).all()
    assert down == pytest.approx(up, abs=1e-9)


def test_what_lies_far_beyond_limits_next_to_each_other_overflows_nothing() -> None:
    """It is 0 on the one side and 1 on the other, without a warning, whichever way is better."""
    next_to_0 = np.nextafter(0.0, 1.0)
    values = np.array([-300.0, 0.0, next_to_0, 300.0])
    with np.errstate(all="raise"):
        assert one_sided(values, 0.0, next_to_0).tolist() == [0.0, 0.0, 1.0, 1.0]
        assert one_sided(values, next_to_0, 0.0).tolist() == [1.0, 1.0, 0.0, 0.0]
        assert two_sided(values, -next_to_0, 0.0, 600.0).tolist() == [0.0, 1.0, 1.0, 0.5]


@given(
    st.lists(st.tuples(st.floats(0.01, 1), st.floats(0.1, 5)), min_size=1, max_size=6),
    st.floats(0.1, 10),
)
def test_the_overall_desirability_is_a_mean(pairs: list[tuple[float, float]], k: float) -> None:
    """Between the least and the greatest, the same for weights in another unit, 0 if one is 0."""
    d, w = np.array([one for one, _ in pairs]), np.array([one for _, one in pairs])
    whole = float(overall(d, w))
    assert d.min() - 1e-12 <= whole <= d.max() + 1e-12
    assert float(overall(d, k * w)) == pytest.approx(whole)
    assert float(overall([*d, 0.0], [*w, 1.0])) == 0.0
    assert float(overall([*d, 0.0], [*w, 0.0])) == pytest.approx(whole)


def test_nonsense_is_refused() -> None:
    """Equal limits, a target outside them, no weight at all."""
    with pytest.raises(ValueError, match="two limits that differ"):
        one_sided([1], 2, 2)
    with pytest.raises(ValueError, match="between its limits"):
        two_sided([1], 2, 1, 3)
    with pytest.raises(ValueError, match="not all 0"):
        overall([0.5], [0.0])
