"""Steps from strongly better to strongly worse: by margins and intervals, and never against the
verdict.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study_tables import CRATERS, compared, of, panel_rows, register

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.properties import Property
from tiecoat.compare.strength import (
    InMargins,
    StrengthStep,
    in_margins,
    step_of,
    step_words,
    steps_rule,
)
from tiecoat.compare.verdict import EffectIs, Verdict, VerdictWord
from tiecoat.report.labels import step_sign
from tiecoat.report.strength_figure import strength_words, strengths_table
from tiecoat.report.verdict_page import overview

GLOSS = '[[property]]\nname = "gloss"\nkind = "gloss"\nquantity = "gloss"\n'
MODULUS = '[[property]]\nname = "modulus"\nmargin_percent = 50\n'
ALLOWED = {  # the one verdict that each step may stand for
    StrengthStep.STRONGLY_BETTER: VerdictWord.BETTER,
    StrengthStep.CLEARLY_BETTER: VerdictWord.BETTER,
    StrengthStep.BETTER: VerdictWord.BETTER,
    StrengthStep.NOT_WORSE: VerdictWord.NOT_WORSE,
    StrengthStep.SIGNS_OF_HARM: VerdictWord.SIGNS_OF_HARM,
    StrengthStep.WORSE: VerdictWord.WORSE,
    StrengthStep.CLEARLY_WORSE: VerdictWord.WORSE,
    StrengthStep.STRONGLY_WORSE: VerdictWord.WORSE,
    StrengthStep.CANNOT_TELL: VerdictWord.CANNOT_TELL,
    StrengthStep.NOT_TESTED: VerdictWord.NOT_TESTED,
}


def told(
    outcome: VerdictWord,
    low: float,
    high: float,
    limits: tuple[float, float],
    effect_is: EffectIs = "difference",
) -> Verdict:
    """Return a verdict with an interval and the margin on both sides of no effect."""
    return Verdict(
        *("x", "RB-011", "talc", 5.0, "RB-010", effect_is, outcome, ""),
        effect=(low + high) / 2,
        low=low,
        high=high,
        limit_low=limits[0],
        limit_high=limits[1],
    )


BETTER, WORSE = VerdictWord.BETTER, VerdictWord.WORSE
OPEN = math.inf
HIGHER: tuple[float, float] = (-1.0, OPEN)  # a margin of 1 where higher is better
LOWER: tuple[float, float] = (-OPEN, 1.0)


@pytest.mark.parametrize(
    ("direction", "outcome", "interval", "limits", "step"),
    [
        ("higher", BETTER, (0.1, 5.0), HIGHER, "better"),
        ("higher", BETTER, (1.1, 5.0), HIGHER, "clearly better"),
        ("higher", BETTER, (3.1, 5.0), HIGHER, "strongly better"),
        ("higher", WORSE, (-9.0, -0.1), HIGHER, "worse"),
        ("higher", WORSE, (-9.0, -1.1), HIGHER, "clearly worse"),
        ("higher", WORSE, (-9.0, -3.1), HIGHER, "strongly worse"),
        ("lower", WORSE, (0.1, 9.0), LOWER, "worse"),
        ("lower", WORSE, (3.1, 9.0), LOWER, "strongly worse"),
        ("lower", BETTER, (-9.0, -1.1), LOWER, "clearly better"),
        ("target", WORSE, (1.1, 9.0), (-1.0, 1.0), "clearly worse"),
        ("higher", BETTER, (3.1, 5.0), (math.nan, math.nan), "better"),  # no margin is stated
        ("higher", BETTER, (math.nan, math.nan), HIGHER, "better"),  # values that do not scatter
        ("higher", VerdictWord.NOT_WORSE, (0.1, 0.2), HIGHER, "not worse"),
        ("higher", VerdictWord.SIGNS_OF_HARM, (-9.0, -3.1), HIGHER, "signs of harm"),
        ("higher", VerdictWord.CANNOT_TELL, (-9.0, 9.0), HIGHER, "cannot tell"),
    ],
)
def test_steps_count_margins_between_the_interval_and_equality(
    direction: Literal["higher", "lower", "target"],
    outcome: VerdictWord,
    interval: tuple[float, float],
    limits: tuple[float, float],
    step: str,
) -> None:
    """One margin is clearly, three are strongly; less, or no margin, is plain."""
    wanted = Property("x", "gloss", "x", direction=direction)
    assert step_of(told(outcome, *interval, limits), wanted).value == step


def test_of_ratios_the_logarithms_count() -> None:
    """With 50 % as the margin three margins are a factor of 8 up, and an eighth down."""
    wanted = Property("x", "gloss", "x", scale="ratio", margin_percent=50)
    limits = (0.5, OPEN)
    steps = [
        step_of(told(outcome, low, high, limits, "ratio"), wanted).value
        for outcome, low, high in (
            (BETTER, 7.9, 30.0),
            (BETTER, 8.1, 30.0),
            (WORSE, 0.01, 0.126),
            (WORSE, 0.0, 0.124),
        )
    ]
    assert steps == ["clearly better", "strongly better", "clearly worse", "strongly worse"]


def test_a_factor_of_18_and_one_of_729_are_told_apart() -> None:
    """Both are strongly better; in margins one is four and the other nine and a half."""
    values = {"RB-010": [1.0, 1.01, 0.99], "RB-011": [18.0, 18.1, 17.9], "RB-012": [729, 730, 728]}
    found = compared(panel_rows("modulus", values, condition="0.1 Hz"), MODULUS, kind="impedance")
    (wanted,) = found.properties
    sizes = [in_margins(of(found, batch), wanted) for batch in ("RB-011", "RB-012")]
    assert [one.effect for one in sizes if one] == pytest.approx(
        [math.log2(18), math.log2(729)], rel=1e-3
    )
    assert {step_of(one, wanted).value for one in found.verdicts} == {"strongly better"}


def test_what_was_not_tested_is_empty_and_what_is_open_is_not() -> None:
    """A batch without a value was not tested; one whose panels gave none, or too few, was."""
    values = {"RB-010": [80, 81, 79.0], "RB-011": [80.0], "RB-012": [math.nan, math.nan]}
    batches = register(["RB-010", "RB-011", "RB-012", "RB-013"])
    found = compared(panel_rows("gloss", values), GLOSS, batches=batches)
    (wanted,) = found.properties
    steps = {one.batch: step_of(one, wanted).value for one in found.verdicts}
    assert steps == {"RB-011": "cannot tell", "RB-012": "cannot tell", "RB-013": "not tested"}


@pytest.mark.thorough
@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.lists(st.floats(1, 100).map(lambda one: round(one, 1)), min_size=2, max_size=4),
        min_size=2,
        max_size=4,
    ),
    st.sampled_from(["higher", "lower", "target"]),
    st.sampled_from(["difference", "ratio"]),
    st.sampled_from([None, 5, 40]),
)
def test_no_step_contradicts_its_verdict(
    panels: list[list[float]], direction: str, scale: str, margin: int | None
) -> None:
    """Whatever the panels say, a step is of the verdict, and of no other one."""
    values = {f"RB-{10 + place:03}": of_batch for place, of_batch in enumerate(panels)}
    study = GLOSS + f'direction = "{direction}"\nscale = "{scale}"\n'
    study += "" if margin is None else f"margin_percent = {margin}\n"
    found = compared(panel_rows("gloss", values), study)
    for one in found.verdicts:
        step = step_of(one, found.properties[0])
        assert ALLOWED[step] is one.outcome
        if step.value in {"clearly worse", "strongly worse"}:  # all of it beyond the margin
            assert one.high < one.limit_low or one.low > one.limit_high


def test_ratings_say_that_they_tell_no_size() -> None:
    """The rule has a sentence on them only where there are any."""
    ratings = Property("rust", "gloss", "rust", method="ratings")
    assert len(steps_rule([ratings])) == len(steps_rule([])) + 1


def test_both_margins_of_a_target_are_one_margin_away() -> None:
    """Half of the control is as far off as one and a half times it, if 50 % are the margin."""
    wanted = Property("x", "gloss", "x", direction="target", scale="ratio", margin_percent=50)
    verdict = told(VerdictWord.CANNOT_TELL, 0.5, 1.5, (0.5, 1.5), "ratio")
    assert in_margins(verdict, wanted) == InMargins(0.0, -1.0, 1.0)


def test_counts_that_are_nought_have_a_step() -> None:
    """A rate of 0 is at minus infinity by its logarithm: what counts is the other end."""
    counts = {"RB-010": [40, 42, 38], "RB-011": [0, 0, 0]}
    rows = [
        {"batch": batch, "panel": f"{batch}-{n}", "craters": float(one), "area_cm2": 100.0}
        for batch, of_batch in counts.items()
        for n, one in enumerate(of_batch)
    ]
    table = panel_rows("gloss", {batch: [1.0] for batch in counts})
    found = compared(table, CRATERS, raw={"defects": pd.DataFrame(rows)}, kind="defects")
    (wanted,) = found.properties
    assert found.verdicts[0].effect == 0
    assert step_of(found.verdicts[0], wanted) is StrengthStep.STRONGLY_BETTER


ALIKE = "if the panels of all batches scatter alike"


def hiding() -> Comparison:
    """A candidate that is firmly not worse, and better if all panels scatter alike."""
    values = {"RB-010": [80, 80.5, 79.5], "RB-011": [88, 91, 85], "RB-012": [80, 80.5, 79.5]}
    return compared(panel_rows("gloss", values), GLOSS + "margin = 30\n")


def test_a_firm_not_worse_hides_no_better_that_rests_on_a_condition() -> None:
    """Both stand in the tables and the figure, the condition in words."""
    found = hiding()
    one, (wanted,) = of(found, "RB-011"), found.properties
    assert (one.outcome, one.if_alike) == (VerdictWord.NOT_WORSE, VerdictWord.BETTER)
    assert step_words(one, wanted) == f"not worse; better, {ALIKE}"
    assert step_sign(one, wanted) == "●△"
    assert strengths_table(found)["gloss"].tolist()[0] == f"not worse; better, {ALIKE}"
    ((_, _, (cell,)), _) = overview(found)
    assert cell is not None
    assert (cell.sign, cell.words) == ("●△", "not worse; better, if")
    assert strength_words(found) == f"Better, {ALIKE}: 5 % filler RB-011 on gloss."


def test_the_step_of_a_conditional_verdict_is_told_with_its_condition() -> None:
    """Also in the table, where no mark can be hollow."""
    one = replace(told(VerdictWord.WORSE, -4.9, -3.1, (-1.0, math.inf)), condition=ALIKE)
    wanted = Property("gloss", "gloss", "gloss", margin=1.0)
    assert step_words(one, wanted) == f"strongly worse, {ALIKE}"
