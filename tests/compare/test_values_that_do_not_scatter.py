"""Values that are equal within each batch: cleaner evidence tells no less, and invents nothing."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy.stats import binom, mannwhitneyu, permutation_test
from study_tables import compared, of, panel_rows

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.contrasts import Contrast, against_control, by_estimates
from tiecoat.compare.verdict import ALPHA, Firmness, VerdictWord
from tiecoat.evaluate.estimate import mean_of

ADHESIVE = """
[[property]]
name = "adhesive failure"
margin = 20
"""
GLOSS = """
[[property]]
name = "gloss"
kind = "gloss"
quantity = "gloss_mean"
margin = 5
"""
STATED = '[spreads_alike]\nby = "A. Weber"\nground = "40 panels in 2025"\n'


def shares(**values: list[float]) -> Comparison:
    """Return the comparison of adhesive failure; batches are named by the last two digits."""
    table = panel_rows(
        "failure_adhesive", {f"RB-0{n[1:]}": of_batch for n, of_batch in values.items()}, unit="%"
    )
    return compared(table, ADHESIVE, kind="pull_off")


def gloss(study: str = GLOSS, **values: list[float]) -> Comparison:
    """Return the comparison of gloss, where more is better."""
    rows = {f"RB-0{name[1:]}": of_batch for name, of_batch in values.items()}
    return compared(panel_rows("gloss_mean", rows, unit="GU"), study)


@pytest.mark.parametrize(("m", "n"), [(3, 3), (6, 6), (3, 6), (12, 4), (2, 2)])
def test_p_is_that_of_the_exact_rank_and_permutation_tests(m: int, n: int) -> None:
    """scipy's mannwhitneyu and permutation_test, over all splits of the panels, give the same."""
    control, candidate = np.zeros(m), np.full(n, 100.0)
    (found,) = against_control(control, [candidate]).own
    assert isinstance(found, Contrast)
    ranks = mannwhitneyu(candidate, control, method="exact").pvalue
    shuffled = permutation_test(
        (candidate, control), lambda x, y: x.mean() - y.mean(), n_resamples=np.inf
    ).pvalue
    assert found.p_alone == pytest.approx(ranks, rel=1e-9)
    assert found.p_alone == pytest.approx(shuffled, rel=1e-9)
    assert found.effect == 100.0
    assert found.p == pytest.approx(found.p_alone, rel=1e-9)
    assert all(map(math.isnan, found.interval))


def test_no_adhesive_failure_against_all_of_it_is_firmly_worse() -> None:
    """0 % on six panels and 100 % on six: worse, as it is where two pulls of them are softened."""
    clean = of(shares(b10=[0.0] * 6, b11=[100.0] * 6), "RB-011")
    soft = of(shares(b10=[0.0] * 5 + [2.0], b11=[98.0] + [100.0] * 5), "RB-011")
    for found in (clean, soft):
        assert (found.outcome, found.standing) == (VerdictWord.WORSE, Firmness.FIRM)
    assert clean.because == (
        "within each batch the values are all equal; those of the candidate are worse"
    )
    assert clean.method == "difference of means, panels as unit; exact permutation, Sidak over 1"
    assert clean.p == pytest.approx(2 / math.comb(12, 6))
    assert (clean.n, clean.n_control, clean.effect) == (6, 6, 100.0)
    assert math.isnan(clean.low)


def test_p_is_adjusted_for_the_number_of_candidates() -> None:
    """Four panels each count for one candidate and not for four; five each for four."""
    four = {"b10": [0.0] * 4, "b11": [100.0] * 4}
    assert of(shares(**four), "RB-011").outcome is VerdictWord.WORSE
    others = {"b12": [0.0] * 4, "b13": [0.0] * 4, "b14": [0.0] * 4}
    found = of(shares(**four, **others), "RB-011")
    assert found.p == pytest.approx(1 - (1 - 2 / 70) ** 4)
    assert found.outcome is VerdictWord.SIGNS_OF_HARM
    assert found.because == (
        "worse if it stood alone (p 0.029, adjusted for nothing); 4 panels against 4 could not come"
        " out better or worse: p is 0.029 at the least, 0.11 over 4 candidates; 5 of each would do"
    )
    five = {name: values + values[:1] for name, values in {**four, **others}.items()}
    assert of(shares(**five), "RB-011").outcome is VerdictWord.WORSE


@pytest.mark.parametrize("panels", [2, 3])
def test_where_so_few_panels_reach_no_level_the_warning_comes(panels: int) -> None:
    """Three against three reach 0.1 at the least: signs of harm, and what would do does."""
    found = of(shares(b10=[0.0] * panels, b11=[100.0] * panels), "RB-011")
    assert found.outcome is VerdictWord.SIGNS_OF_HARM
    reached = {2: "0.33", 3: "0.1"}[panels]
    assert found.because == (
        "within each batch the values are all equal; those of the candidate are worse;"
        f" {panels} panels against {panels} could not come out better or worse: p is {reached} at"
        " the least; 4 of each would do"
    )
    assert found.needed == 4
    assert of(shares(b10=[0.0] * 4, b11=[100.0] * 4), "RB-011").outcome is VerdictWord.WORSE


def test_better_is_told_as_well() -> None:
    """All of the control fails and none of the candidate: better, and no sign of harm with few."""
    found = of(shares(b10=[100.0] * 6, b11=[0.0] * 6), "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.BETTER, Firmness.FIRM)
    few = of(shares(b10=[100.0] * 3, b11=[0.0] * 3), "RB-011")
    assert few.outcome is VerdictWord.CANNOT_TELL


def test_two_that_do_not_scatter_beside_one_that_does() -> None:
    """The two are compared by ranks, firmly; the third by its scatter."""
    values = {"b10": [0.0] * 6, "b11": [100.0] * 6, "b12": [0.0, 5, 0, 10, 0, 5]}
    found = shares(**values, b13=[0.0] * 6)
    worse, equal = of(found, "RB-011"), of(found, "RB-013")
    assert (worse.outcome, worse.standing) == (VerdictWord.WORSE, Firmness.FIRM)
    assert worse.p == pytest.approx(1 - (1 - 2 / 924) ** 3)
    assert (equal.outcome, equal.standing) == (VerdictWord.NOT_WORSE, Firmness.CONDITIONAL)
    assert equal.method.startswith("difference of means, panels as unit; Dunnett over 3")
    assert equal.because.endswith("without that condition no interval is known")
    assert of(found, "RB-012").method.endswith("Welch, Sidak over 3")


def test_nothing_on_both_sides_is_no_difference_and_no_proof() -> None:
    """0 % on six panels each: not worse only if they scatter alike; of three panels, cannot tell.

    Six panels without a failure are seen of a candidate of which one in three panels fails in 9 %
    of studies: that it fails no more often is not shown without the condition.
    """
    same = of(shares(b10=[0.0] * 6, b11=[0.0] * 6), "RB-011")
    assert (same.outcome, same.standing) == (VerdictWord.NOT_WORSE, Firmness.CONDITIONAL)
    assert same.because == (
        "within each batch the values are all equal; they are the same in both; without that"
        " condition no interval is known"
    )
    assert same.condition == "if the panels of all batches scatter alike"
    few = of(shares(b10=[0.0] * 3, b11=[0.0] * 3), "RB-011")
    assert few.outcome is VerdictWord.CANNOT_TELL
    assert few.because == (
        "within each batch the values are all equal; they are the same in both; 3 panels against 3"
        " could not come out better or worse: p is 0.1 at the least; 4 of each would do"
    )
    four = of(shares(b10=[0.0] * 4, b11=[0.0] * 4), "RB-011")
    assert four.outcome is VerdictWord.NOT_WORSE
    no_margin = of(gloss(GLOSS.replace("margin = 5", ""), b10=[85.0] * 6, b11=[85.0] * 6), "RB-011")
    assert no_margin.outcome is VerdictWord.CANNOT_TELL
    assert no_margin.because.endswith("they are the same in both; no margin is stated")


def test_the_study_may_state_what_the_condition_asks() -> None:
    """Then "not worse" counts, on the word of who says so."""
    found = of(gloss(STATED + GLOSS, b10=[86.0] * 6, b11=[85.0] * 6), "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.NOT_WORSE, Firmness.STATED)


def test_a_step_of_the_gauge_within_the_margin_is_no_harm() -> None:
    """86 GU on six panels and 85 on six, where 5 GU are harm: not worse, if they scatter alike."""
    found = of(gloss(b10=[86.0] * 6, b11=[85.0] * 6), "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.NOT_WORSE, Firmness.CONDITIONAL)
    assert "both lie within the margin of each other" in found.because
    beyond = of(gloss(b10=[86.0] * 6, b11=[80.0] * 6), "RB-011")
    assert (beyond.outcome, beyond.standing) == (VerdictWord.WORSE, Firmness.FIRM)


def test_means_that_differ_by_rounding_of_binary_numbers_are_the_same() -> None:
    """0.1 + 0.2 is not 0.3 in binary, and no difference for that."""
    found = of(gloss(b10=[0.1 + 0.2] * 6, b11=[0.3] * 6), "RB-011")
    assert found.outcome is VerdictWord.NOT_WORSE
    assert found.effect == 0


def test_few_equal_values_against_more_that_scatter_are_not_firm() -> None:
    """Chance may have made four equal: how twelve others scatter tells nothing of them."""
    control = [0.0, 0, 0, 100, 0, 0, 100, 0, 0, 100, 0, 0]
    found = of(shares(b10=control, b11=[100.0] * 4), "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.WORSE, Firmness.CONDITIONAL)
    assert math.isnan(found.firm_low)
    as_many = of(shares(b10=control[:4], b11=[100.0] * 4), "RB-011")
    assert math.isfinite(as_many.firm_low)


Draw = Callable[[np.random.Generator, int, int], np.ndarray]


def rounded(step: float, shift: float = 0.0, control: float = 1.0) -> Draw:
    """Return normal values as a gauge of so coarse steps shows them; only spreads differ."""
    return lambda rng, batch, n: (
        step * np.round((rng.normal(0, 1.0 if batch else control, n) + shift) / step)
    )


def all_or_nothing(chance: float) -> Draw:
    """Return shares of 0 or 100 %."""
    return lambda rng, _, n: 100.0 * (rng.random(n) < chance)


DESIGNS = {
    "fine": rounded(0.5),
    "coarse": rounded(2.0),
    "at the edge": rounded(3.0, 1.5),
    "wide control": rounded(2.0, control=3.0),
    "wide control at the edge": rounded(2.0, 1.0, 3.0),
    "half fail": all_or_nothing(0.5),
    "one in five fails": all_or_nothing(0.2),
    "one in twenty fails": all_or_nothing(0.05),
}
SIZES = [(3, 3, 1), (6, 6, 1), (4, 4, 1), (3, 3, 4), (6, 6, 4), (12, 4, 1), (4, 12, 1)]


def by_ranks(draw: Draw, sizes: tuple[int, int, int], trials: int) -> int:
    """Return in how many studies of equal means ranks show a false difference."""
    rng, (m, n, candidates), found = np.random.default_rng(20261129), sizes, 0
    for _ in range(trials):
        control = mean_of(draw(rng, 0, m), 0.0)
        of_study = [mean_of(draw(rng, 1, n), 0.0) for _ in range(candidates)]
        found += any(
            isinstance(one, Contrast) and one.is_by_ranks and one.p <= ALPHA
            for one in by_estimates(control, of_study)
        )
    return found


@pytest.mark.parametrize("design", DESIGNS)
def test_ranks_show_a_false_difference_in_few_studies(design: str) -> None:
    """Of rounded and of tied values, at most 5 % of 50 studies in each of seven designs."""
    for sizes in SIZES:
        assert binom.sf(by_ranks(DESIGNS[design], sizes, 50) - 1, 50, ALPHA) > 1e-4


@pytest.mark.campaign
@pytest.mark.parametrize("design", DESIGNS)
def test_ranks_show_a_false_difference_in_few_of_two_thousand(
    design: str, request: pytest.FixtureRequest
) -> None:
    """The same over 2,000 studies each."""
    if "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    for sizes in SIZES:
        found = by_ranks(DESIGNS[design], sizes, 2000)
        print(design, sizes, found)
        assert binom.sf(found - 1, 2000, ALPHA) > 1e-4
