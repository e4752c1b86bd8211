"""What a design can reach at all: told before the data, and where panels lie apart in vain."""

from __future__ import annotations

import io
import math
from dataclasses import replace
from itertools import product

import numpy as np
import pandas as pd
import pytest
from rich.console import Console
from scipy.stats import PermutationMethod, binomtest, mannwhitneyu, permutation_test
from study_tables import CRATERS, NONE_FILED, compared, of, panel_rows, panels_of, register

from tiecoat.cli.verdict_screen import show_verdicts
from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.reach import LeastP, panels_by_ranks
from tiecoat.compare.study import load_study
from tiecoat.compare.time_ranks import p_of_order, ratio_by_order
from tiecoat.compare.times import Times
from tiecoat.compare.verdict import Firmness, VerdictWord

RUST = """
[[property]]
name = "rust"
kind = "gloss"
quantity = "rust_grade"
method = "ratings"
direction = "lower"
margin = 0.3
"""


@pytest.mark.parametrize(("m", "n"), [(2, 2), (3, 3), (4, 4), (3, 5), (6, 6)])
def test_the_smallest_p_is_that_of_scipys_exact_test(m: int, n: int) -> None:
    """All of one batch above all of the other: nothing gives a smaller p."""
    x, y = np.arange(m, dtype=float), np.arange(n, dtype=float) + 100
    exact = mannwhitneyu(x, y, method="exact").pvalue
    assert LeastP.by_ranks(m, n, 1).alone == pytest.approx(exact)
    rng = np.random.default_rng(m + n)
    for _ in range(20):
        drawn = rng.permutation(m + n).astype(float)
        assert mannwhitneyu(drawn[:m], drawn[m:], method="exact").pvalue >= exact - 1e-12


@pytest.mark.parametrize(("comparisons", "properties"), list(product((1, 4, 8), (1, 5, 10))))
def test_so_many_panels_are_the_fewest_that_do(comparisons: int, properties: int) -> None:
    """One fewer cannot reach 5 % after Sidak and Holm, by scipy's p; so many can."""

    def least(n: int) -> float:
        p = mannwhitneyu(np.arange(n), np.arange(n) + 100, method="exact").pvalue
        return float(properties * (1 - (1 - p) ** comparisons))

    n = panels_by_ranks(comparisons, properties)
    assert least(n) <= 0.05 < least(n - 1)


def rust(control: list[float], candidate: list[float]) -> pd.DataFrame:
    """Return the grades of panels."""
    return panel_rows("rust_grade", {"RB-010": control, "RB-011": candidate}, unit="")


def test_three_against_three_that_cannot_be_better_are_told_so() -> None:
    """Ri 5, 5, 5 of the control against 0, 0, 1: as far apart as can be, and only not worse."""
    found = compared(rust([5, 5, 5], [0, 0, 1]), RUST)
    one = of(found, "RB-011")
    assert one.outcome is VerdictWord.NOT_WORSE
    assert one.because == (
        "the whole interval lies within the margin; 3 panels against 3 could not come out better"
        " or worse: p is 0.1 at the least; 4 of each would do"
    )
    (reach,) = found.reaches
    assert (reach.n, reach.n_control, reach.enough, reach.is_never) == (3, 3, 4, True)
    four = compared(rust([5] * 4, [0, 0, 1, 0]), RUST)
    assert of(four, "RB-011").outcome is VerdictWord.BETTER
    assert four.reaches[0].is_reached
    overlapping = of(compared(rust([5, 1, 5], [0, 0, 2]), RUST), "RB-011")
    assert "could not" not in overlapping.because


def test_what_is_claimed_all_the_same_is_not_called_out_of_reach() -> None:
    """Nothing by order alone, and worse if all scatter alike: one statement, not two."""
    table = pd.concat(
        panel_rows("time", {batch: middles}, unit="h").assign(low=low, high=high)
        for batch, low, high, middles in (
            ("RB-010", 96.0, 168.0, [132.0] * 3),
            ("RB-011", 1.0, 24.0, [12.0] * 3),
        )
    )
    study = RUST.replace("rust_grade", "time").replace("ratings", "times")
    study = study.replace("lower", "higher").replace("margin = 0.3", "margin_percent = 30")
    comparison = compared(table, study)
    found = of(comparison, "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.WORSE, Firmness.CONDITIONAL)
    assert [one.label for one in comparison.reaches] == ["rust"]
    assert comparison.out_of_reach == ()
    assert (found.value_control_low, found.value_control_high) == (96.0, 168.0)
    assert "control RB-010: 96 to 168 h, n 3" in shown(comparison)


def shown(comparison: Comparison) -> str:
    """Return what the terminal shows of a comparison."""
    console = Console(width=100, file=io.StringIO())
    with console.capture() as caught:
        show_verdicts(comparison, console)
    assert "What so many panels can show" not in caught.get()
    return caught.get()


def test_what_can_come_out_only_after_other_properties_is_told_apart() -> None:
    """Five against five reach 0.0079: enough alone, and too much to be one of ten."""
    one = replace(compared(rust([5] * 5, [0] * 5), RUST).reaches[0], properties=10)
    assert (one.is_never, one.is_reached) == (False, False)
    assert one.told.startswith(
        "5 panels against 5 can come out better or worse only after other properties have: p is"
    )
    counted = replace(one, counted=11)
    assert counted.told.startswith(
        "none, against 11 counted on the control, can come out better only after other properties"
    )


def test_before_the_data_the_registered_panels_tell_it() -> None:
    """Nothing is rated yet: three panels each of the control and of two candidates, one of four."""
    panels = {"RB-010": 3, "RB-011": 3, "RB-012": 4}
    names = [(batch, f"{batch}-{n}") for batch, count in panels.items() for n in range(count)]
    found = compare(
        load_study(RUST),
        results={},
        batches=register(list(panels)),
        panels=pd.DataFrame(names, columns=["batch", "panel"]).assign(
            coat_system="epoxy primer", substrate="steel"
        ),
        filed=NONE_FILED,
    )
    told = [(one.batches, one.n, one.n_control, round(one.least.alone, 4)) for one in found.reaches]
    assert told == [(("RB-011",), 3, 3, 0.1), (("RB-012",), 4, 3, round(2 / 35, 4))]
    assert found.reaches[0].words == (
        "rust: 3 panels against 3 cannot come out better or worse: p is 0.1 at the least, 0.19 over"
        " 2 candidates; 5 of each would do"
    )


ENDS = np.array([0.0, 1, 24, 72, 168, 336, math.inf])


def seen(*places: int) -> Times:
    """Return times between the inspections, by their place."""
    at = np.array(places)
    return Times(ENDS[at], ENDS[at + 1])


@pytest.mark.parametrize("seed", range(4))
def test_the_order_of_times_is_judged_as_scipys_permutations_do(seed: int) -> None:
    """The scores of Mantel, written out here, given to scipy's exact permutation test."""
    rng = np.random.default_rng(seed)
    control, candidate = seen(*rng.integers(0, 6, 5)), seen(*rng.integers(0, 6, 4))
    low = np.concatenate([candidate.low, control.low])
    high = np.concatenate([candidate.high, control.high])
    scores = np.array(
        [
            sum(a >= d for d in high) - sum(c >= b for c in low)
            for a, b in zip(low, high, strict=True)
        ]
    )
    theirs = permutation_test(
        (scores[:4].astype(float), scores[4:].astype(float)),
        lambda x, y: x.sum() - y.sum(),
        n_resamples=np.inf,
    )
    assert p_of_order(control, candidate) == pytest.approx(theirs.pvalue)


def test_times_known_to_the_hour_are_those_of_wilcoxon_mann_and_whitney() -> None:
    """Without ties and open ends it is their exact test."""
    rng = np.random.default_rng(2)
    x, y = np.exp(rng.normal(4, 1, 6)), np.exp(rng.normal(5, 1, 6))
    exact = mannwhitneyu(x, y, method="exact").pvalue
    assert p_of_order(Times(x, x), Times(y, y)) == pytest.approx(exact)
    by_splits = mannwhitneyu(x, y, method=PermutationMethod(n_resamples=np.inf)).pvalue
    assert p_of_order(Times(x, x), Times(y, y)) == pytest.approx(by_splits)


def test_the_interval_of_a_ratio_ends_where_the_order_changes() -> None:
    """By hand: divided by 4 to 168 the times of (96, 168] and (1, 24] h can be of one order."""
    early, late = (
        Times(np.full(4, 1.0), np.full(4, 24.0)),
        Times(np.full(4, 96.0), np.full(4, 168.0)),
    )
    found = ratio_by_order(early, late, 2.0)
    assert math.exp(found.low) == pytest.approx(96 / 24)
    assert math.exp(found.high) == pytest.approx(168 / 1)
    assert found.p == pytest.approx(2 / 70)
    other = ratio_by_order(late, early, -2.0)
    assert (other.low, other.high) == pytest.approx((-found.high, -found.low))


def test_times_that_touch_are_told_apart_and_their_ratio_is_just_not_one() -> None:
    """From 24 to 72 h, and from 72 to 168 h: one after the other, by who knows how little."""
    found = ratio_by_order(seen(2, 2, 2, 2), seen(3, 3, 3, 3), 1.0)
    assert 0 < found.low < 1e-6
    assert found.p == pytest.approx(2 / 70)
    three = ratio_by_order(seen(2, 2, 2), seen(3, 3, 3), 1.0)
    assert (three.low, three.high) == (-math.inf, math.inf)


def test_what_never_happened_has_no_upper_end() -> None:
    """Panels that held out until they were taken away lasted longer by any ratio."""
    found = ratio_by_order(seen(1, 1, 2, 2), seen(5, 5, 5, 5), math.inf)
    assert found.high == math.inf
    assert math.exp(found.low) == pytest.approx(336 / 72)


@pytest.mark.parametrize(
    ("on_control", "enough"), [([1.0, 2.0], 4), ([4.0, 5.0], 2), ([0.0, 0.0], None)]
)
def test_so_few_counts_on_the_control_that_none_would_be_no_fewer(
    on_control: list[float], enough: int | None
) -> None:
    """Three craters against none on as much: scipy's binomial test gives 0.25, six would give 0.03.

    Nine on two panels give 0.004; of a control without any nothing can be better.
    """
    counts = {"RB-010": on_control, "RB-011": [0.0, 0.0]}
    raw = pd.DataFrame(
        [
            {"batch": batch, "panel": f"{batch}-{n}", "craters": one, "area_cm2": 100.0}
            for batch, of_batch in counts.items()
            for n, one in enumerate(of_batch)
        ]
    ).astype({"batch": "str", "panel": "str"})
    found = compare(
        load_study(CRATERS),
        results={},
        batches=register(list(counts)),
        panels=panels_of(raw),
        filed=NONE_FILED,
        raw={"defects": raw},
        conditions={"defects": {}},
    )
    (reach,) = found.reaches
    whole = int(sum(on_control))
    assert reach.least.alone == pytest.approx(binomtest(0, whole, 0.5).pvalue if whole else 1)
    assert reach.counted == whole
    assert reach.enough == enough
    assert reach.is_reached == (reach.least.alone <= 0.05)
