"""Studies from result tables to verdicts, the ordinary and the odd ones."""

from __future__ import annotations

import math
import re

import numpy as np
import pandas as pd
import pytest
from panels_elsewhere import against_a_control
from scipy.stats import chi2, chisquare, dunnett, ttest_ind
from scipy.stats import t as student
from study_tables import CRATERS, NONE_FILED, compared, of, panel_rows, panels_of, register

from tiecoat.ask.study_data import no_panels
from tiecoat.compare.comparison import compare
from tiecoat.compare.shares import CUT_RATE
from tiecoat.compare.study import Study, load_study
from tiecoat.compare.verdict import Firmness, VerdictWord
from tiecoat.errors import UnknownName
from tiecoat.evaluate.result import results, together

GLOSS = """
[[property]]
name = "gloss"
kind = "gloss"
quantity = "gloss"
margin = 5
"""
ONE_BATCH = (
    "Each batch is compared as it was made. Panels of one batch tell how panels scatter, not how"
    " batches do: the verdicts are about these batches, not about every batch of the recipe."
)
SUPPORT = (
    "These verdicts support the judgement of the responsible person. They replace neither that nor"
    " the acceptance test of a standard or specification."
)
NEAR = {"RB-010": [80, 81, 79.0], "RB-011": [80.5, 79.5, 80], "RB-012": [60, 61, 59.0]}


def gloss(values: dict[str, list[float]], **more: object) -> pd.DataFrame:
    """Return gloss of panels."""
    return panel_rows("gloss", values, unit="GU", **more)  # type: ignore[arg-type]


def few_panels(needed: int, units: str = "panels") -> str:
    """Return the reason of a verdict that so many panels would decide."""
    return (
        f"n too small for the margin; about {needed} {units} of each batch would do"
        " (power 80 % if both are equal)"
    )


def test_a_verdict_tells_everything_it_rests_on() -> None:
    """Numbers, effect, simultaneous interval, margin, p, outcome, method and cautions."""
    found = of(compared(gloss(NEAR), GLOSS), "RB-012")
    assert (found.n, found.n_control, found.units, found.unit) == (3, 3, "panels", "GU")
    assert found.effect == pytest.approx(-20)
    assert found.low < -20 < found.high < found.limit_low == -5
    assert found.outcome is VerdictWord.WORSE
    assert found.p_alone < found.p_over_candidates == found.p < 1e-3
    assert found.because == "the interval excludes equality and lies beyond the margin"
    assert (found.standing, found.condition, found.if_alike) == (Firmness.FIRM, "", None)
    assert (found.firm_low, found.firm_high) == (found.low, found.high)
    assert found.method == "difference of means, panels as unit; Welch, Sidak over 2"
    assert found.cautions == ()
    table = compared(gloss(NEAR), GLOSS).table()
    assert table["outcome"].tolist() == ["not worse (within the margin)", "worse"]


def test_the_output_says_what_it_cannot_say() -> None:
    """That batches stand behind it and not recipes, and that it replaces nobody's judgement."""
    assert compared(gloss(NEAR), GLOSS).cautions == (ONE_BATCH, SUPPORT)


def test_readings_do_not_pass_for_panels() -> None:
    """A hundred readings of each panel give the verdict of one reading of each."""
    once = compared(gloss(NEAR), GLOSS).table()
    often = compared(pd.concat([gloss(NEAR)] * 100, ignore_index=True), GLOSS).table()
    pd.testing.assert_frame_equal(once, often)


def test_more_readings_of_one_panel_do_not_weigh_more() -> None:
    """The mean of a batch is that of its panels, however often one was read."""
    odd = pd.concat([gloss(NEAR), gloss({"RB-011": [80.5]})], ignore_index=True)
    assert of(compared(odd, GLOSS), "RB-011").value == pytest.approx(80.0)


def test_each_batch_keeps_its_own_scatter() -> None:
    """One batch scatters ten times as much: the others keep their narrow intervals, by Welch."""
    rng = np.random.default_rng(1)
    values = {
        "RB-010": rng.normal(80, 1, 12).tolist(),
        "RB-011": rng.normal(80, 1, 12).tolist(),
        "RB-012": rng.normal(80, 10, 12).tolist(),
    }
    comparison = compared(gloss(values), GLOSS)
    found = of(comparison, "RB-011")
    assert found.method == "difference of means, panels as unit; Welch, Sidak over 2"
    p = 1 - ttest_ind(values["RB-011"], values["RB-010"], equal_var=False).pvalue
    assert found.p == pytest.approx(1 - p**2)  # Sidak over two candidates
    assert (found.outcome, found.standing) == (VerdictWord.NOT_WORSE, Firmness.FIRM)
    widths = {b: of(comparison, b).high - of(comparison, b).low for b in ("RB-011", "RB-012")}
    assert widths["RB-012"] > 4 * widths["RB-011"]


NARROW = {"RB-010": [80, 81, 79.0], "RB-011": [83, 86, 83.5], "RB-012": [80, 81, 79.5]}
OPEN = GLOSS.replace("margin = 5\n", "")
IF_ALIKE = "if the panels of all batches scatter alike"


def test_what_stands_only_if_all_batches_scatter_alike_is_conditional() -> None:
    """Three panels: Dunnett's interval excludes equality, Welch's does not."""
    comparison = compared(gloss(NARROW), OPEN)
    found = of(comparison, "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.BETTER, Firmness.CONDITIONAL)
    assert found.condition == IF_ALIKE
    assert found.method == (
        "difference of means, panels as unit; Dunnett over 2, 6 degrees of freedom"
    )
    welch = ttest_ind(NARROW["RB-011"], NARROW["RB-010"], equal_var=False)
    ends = welch.confidence_interval(0.95**0.5)  # Sidak over two candidates
    assert (found.firm_low, found.firm_high) == pytest.approx((ends.low, ends.high))
    assert found.firm_low < 0 < found.low < found.high < found.firm_high
    theirs = dunnett(
        NARROW["RB-011"], NARROW["RB-012"], control=NARROW["RB-010"], rng=np.random.default_rng(1)
    ).confidence_interval()
    assert (found.low, found.high) == pytest.approx((theirs.low[0], theirs.high[0]), abs=0.02)
    told = f"{ends.low:.3g} to {ends.high:.3g}".replace("-", "−")
    assert found.because == (
        "the interval excludes equality; without that condition the interval is " + told
    )


def test_no_harm_is_shown_by_firm_verdicts_alone() -> None:
    """What is better only if all batches scatter alike is no firm claim, and is told apart."""
    comparison = compared(gloss(NARROW), OPEN)
    assert comparison.does_no_harm("RB-011") == (False, "not firm on gloss")
    assert comparison.would_do_no_harm("RB-011") == (True, "better or not worse on gloss")


def test_the_study_may_say_that_spreads_are_alike() -> None:
    """Then the verdict stands on that word, which is told with it, and counts."""
    said = '[spreads_alike]\nby = "A. Weber"\nground = "40 panels in 2025"\n'
    comparison = compared(gloss(NARROW), said + GLOSS)
    found = of(comparison, "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.BETTER, Firmness.STATED)
    assert found.condition == f"{IF_ALIKE}, as A. Weber says: 40 panels in 2025"
    assert comparison.does_no_harm("RB-011") == (True, "better or not worse on gloss")


def test_a_firm_not_worse_stays_where_better_is_conditional() -> None:
    """It says what it would be if all batches scattered alike; on the study's word it is that."""
    values = {**NARROW, "RB-011": [81.6, 82.6, 82.0], "RB-012": [80, 80.1, 80.2]}
    study = GLOSS.replace("margin = 5", "margin = 3")
    found = of(compared(gloss(values), study), "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.NOT_WORSE, Firmness.FIRM)
    assert (found.if_alike, found.condition) == (VerdictWord.BETTER, IF_ALIKE)
    within, better = found.because.split("; ")
    assert within == "the whole interval lies within the margin"
    assert re.fullmatch(rf"better, {IF_ALIKE} \(p 0\.0\d+\)", better)
    said = '[spreads_alike]\nby = "A. Weber"\nground = "known"\n'
    stated = of(compared(gloss(values), said + study), "RB-011")
    assert (stated.outcome, stated.standing) == (VerdictWord.BETTER, Firmness.STATED)


def test_an_interval_that_leaves_out_equality_says_why_nothing_is_claimed() -> None:
    """It is adjusted over the candidates; p over both properties too, and that is not enough."""
    haze = {"RB-010": [5.0, 5.2, 4.8], "RB-011": [5.1, 4.9, 5.3]}
    values = {"RB-010": [80, 80.5, 79.5], "RB-011": [81.6, 82.2, 80.9]}
    table = pd.concat([gloss(values), panel_rows("haze", haze)], ignore_index=True)
    study = GLOSS.replace("margin = 5", "margin = 20") + GLOSS.replace("gloss", "haze")
    comparison = compared(table, study.replace('kind = "haze"', 'kind = "gloss"'))
    (found,) = [one for one in comparison.verdicts if one.property == "gloss"]
    assert 0 < found.low < found.high
    assert found.p_over_candidates < 0.05 < found.p
    assert found.outcome is VerdictWord.NOT_WORSE
    assert found.because.endswith(
        f"; the interval leaves out equality on this property alone; over all 2 p is {found.p:.2g}"
    )
    assert comparison.adjusted.startswith(
        "Intervals (95 %) are those of each property apart; p is adjusted over all 2 properties"
    )
    unmeasured = '[[property]]\nname = "none"\nkind = "gloss"\nquantity = "none"\n'
    three = compared(table, study.replace('kind = "haze"', 'kind = "gloss"') + unmeasured)
    assert len(three.verdicts) == 3
    assert three.adjusted == comparison.adjusted  # as many as Holm's adjustment counts


def test_harm_beyond_the_margin_that_other_properties_keep_back_names_no_panels() -> None:
    """All of the interval lies beyond the margin: more panels for the margin would not help."""
    haze = {"RB-010": [5.0, 5.2, 4.8], "RB-011": [5.1, 4.9, 5.3]}
    values = {"RB-010": [80, 80.5, 79.5], "RB-011": [78.4, 77.8, 79.1]}
    table = pd.concat([gloss(values), panel_rows("haze", haze)], ignore_index=True)
    study = GLOSS.replace("margin = 5", "margin = 0.1") + GLOSS.replace("gloss", "haze")
    comparison = compared(table, study.replace('kind = "haze"', 'kind = "gloss"'))
    (found,) = [one for one in comparison.verdicts if one.property == "gloss"]
    assert found.high < found.limit_low == -0.1
    assert found.p_over_candidates < 0.05 < found.p
    assert found.outcome is VerdictWord.SIGNS_OF_HARM
    assert found.because == (
        f"worse if it stood alone (p {found.p_alone:.2g}, adjusted for nothing); the interval lies"
        " beyond the margin on this property alone; what stands in the way is the adjustment over"
        f" all 2: p is {found.p:.2g}"
    )
    assert found.needed is None
    whole = compared(gloss(values), GLOSS.replace("margin = 5", "margin = 0.1"))
    assert of(whole, "RB-011").outcome is VerdictWord.WORSE


def test_harm_that_stands_alone_only_is_a_sign_of_harm() -> None:
    """Adjusted for candidates and properties it is not shown; by itself it is, and that is told."""
    rng = np.random.default_rng(3)
    values = {f"RB-{n:03d}": (80 + rng.normal(0, 1, 6)).tolist() for n in range(10, 18)}
    low = np.array(values["RB-010"])
    values["RB-011"] = (low - 1.6 + np.array([0.6, -0.4, 0.3, -0.6, 0.4, -0.3])).tolist()
    found = of(compared(gloss(values), GLOSS.replace("margin = 5", "margin = 1")), "RB-011")
    assert found.outcome is VerdictWord.SIGNS_OF_HARM
    p = ttest_ind(values["RB-011"], values["RB-010"], equal_var=False).pvalue
    assert found.p_alone == pytest.approx(p)
    assert found.p_alone_if_alike == pytest.approx(by_one_scatter(values, "RB-011"))
    assert found.p_alone_if_alike <= 0.05 < found.p_alone < found.p
    assert found.because.startswith(
        f"worse if it stood alone, {IF_ALIKE} (p {found.p_alone_if_alike:.2g}, adjusted for"
        " nothing);"
        " n too small for"
    )


def by_one_scatter(values: dict[str, list[float]], batch: str) -> float:
    """Return p of Student's t of two batches with the scatter within all of them."""
    freedom = sum(len(one) - 1 for one in values.values())
    variance = sum(np.var(one) * len(one) for one in values.values()) / freedom
    each = variance * (1 / len(values[batch]) + 1 / len(values["RB-010"]))
    statistic = (np.mean(values[batch]) - np.mean(values["RB-010"])) / each**0.5
    return float(2 * student.sf(abs(statistic), freedom))


def test_p_alone_is_that_of_the_way_by_which_the_interval_stands() -> None:
    """Welch's beside Welch's interval; that with one scatter for all has a name of its own."""
    values = {"RB-010": [80, 80.5, 79.5], "RB-011": [60, 61.5, 59], "RB-012": [80, 80.5, 79.5]}
    firm = of(compared(gloss(values), GLOSS.replace("margin = 5", "margin = 2")), "RB-011")
    assert firm.method.endswith("; Welch, Sidak over 2")
    welch = ttest_ind(values["RB-011"], values["RB-010"], equal_var=False).pvalue
    assert firm.p_alone == pytest.approx(welch)
    assert firm.p_alone_if_alike == pytest.approx(by_one_scatter(values, "RB-011"))
    assert firm.p_alone_if_alike < firm.p_alone <= firm.p_over_candidates
    conditional = of(compared(gloss(NARROW), OPEN), "RB-011")
    assert conditional.standing is Firmness.CONDITIONAL
    alike = by_one_scatter(NARROW, "RB-011")
    assert (conditional.p_alone, conditional.p_alone_if_alike) == pytest.approx((alike, alike))


def test_a_benefit_that_stands_alone_only_is_told_like_harm() -> None:
    """Not worse, and better if it stood alone: the same words, and the same p, as harm has."""
    rng = np.random.default_rng(3)
    values = {f"RB-{n:03d}": (80 + rng.normal(0, 1, 6)).tolist() for n in range(10, 18)}
    high = np.array(values["RB-010"])
    values["RB-011"] = (high + 1.6 + np.array([0.6, -0.4, 0.3, -0.6, 0.4, -0.3])).tolist()
    found = of(compared(gloss(values), GLOSS), "RB-011")
    assert (found.outcome, found.if_alike) == (VerdictWord.NOT_WORSE, None)
    assert found.p_alone_if_alike <= 0.05 < found.p
    assert found.because == (
        f"the whole interval lies within the margin; better if it stood alone, {IF_ALIKE}"
        f" (p {found.p_alone_if_alike:.2g}, adjusted for nothing)"
    )
    alone = of(compared(gloss(values), GLOSS.replace("margin = 5", "")), "RB-011")
    assert alone.outcome is VerdictWord.CANNOT_TELL
    assert alone.because == (
        f"better if it stood alone, {IF_ALIKE} (p {found.p_alone_if_alike:.2g}, adjusted for"
        " nothing)"
    )


@pytest.mark.parametrize(
    ("missed", "outcome"), [(1.5, VerdictWord.CANNOT_TELL), (4, VerdictWord.SIGNS_OF_HARM)]
)
def test_a_target_missed_by_less_than_half_the_margin_shows_no_sign_of_harm(
    missed: float, outcome: VerdictWord
) -> None:
    """Its own interval, which leaves out the target, ends at twice that at the farthest."""
    scatter = missed * np.array([-0.4, 0, 0.4])
    batches = [f"RB-{n:03d}" for n in range(10, 18)]
    values = {batch: (80 + 3 * scatter).tolist() for batch in batches}
    values["RB-011"] = (80 + missed + scatter).tolist()
    asked = GLOSS + 'direction = "target"\ntarget = 80\n'
    found = of(compared(gloss(values), asked), "RB-011")
    assert found.p_alone <= 0.05 < found.p
    assert found.high > found.limit_high == 5
    assert found.outcome is outcome


def test_another_exposure_than_the_one_asked_for_is_told() -> None:
    """Measured after 1008 h for 1000: that stands with the verdict, and 1000.5 h does not."""
    table = gloss({**NEAR}, exposure_h=1008.0)
    found = of(compared(table, GLOSS + "exposure_h = [1000]\n"), "RB-011")
    assert found.property == "gloss after 1000 h"
    assert "3 of 3: measured after 1008 h, taken for 1000 h" in found.cautions
    near = of(compared(table.assign(exposure_h=1000.5), GLOSS + "exposure_h = [1000]\n"), "RB-011")
    assert not any("taken for" in one for one in near.cautions)


def test_cannot_tell_says_how_many_panels_would_do() -> None:
    """Three scattered panels and a narrow margin: the reckoning stands in the verdict."""
    values = {"RB-010": [80, 90, 70.0], "RB-011": [81, 90, 72.0]}
    found = of(compared(gloss(values), GLOSS), "RB-011")
    assert found.outcome is VerdictWord.CANNOT_TELL
    deviation = math.sqrt((np.var([80, 90, 70], ddof=1) + np.var([81, 90, 72], ddof=1)) / 2)
    assert found.needed == against_a_control(5, deviation)
    assert found.because == few_panels(found.needed)


def test_without_a_margin_no_harm_is_never_concluded() -> None:
    """A property whose margin is not stated can be better or worse, but not "not worse"."""
    study = GLOSS.replace("margin = 5\n", "")
    found = of(compared(gloss(NEAR), study), "RB-011")
    assert found.outcome is VerdictWord.CANNOT_TELL
    assert found.because == "no difference is shown, and no margin is stated"


def test_ratios_are_compared_by_logarithms() -> None:
    """Ten times the modulus is a ratio of 10 with an interval that is even in lg."""
    study = GLOSS.replace("margin = 5", 'scale = "ratio"\nmargin_percent = 50')
    values = {"RB-010": [1e8, 2e8, 0.5e8], "RB-011": [1e9, 2e9, 0.5e9]}
    found = of(compared(gloss(values), study), "RB-011")
    assert found.effect_is == "ratio"
    assert found.effect == pytest.approx(10)
    assert found.effect**2 == pytest.approx(found.low * found.high)
    assert found.limit_low == pytest.approx(0.5)
    zero = of(compared(gloss({**values, "RB-011": [0.0, 1e9, 1e9]}), study), "RB-011")
    assert zero.because == "RB-011 has the value 0: ratios need values above 0"


def test_a_target_is_kept_or_missed_on_both_sides() -> None:
    """Neither more nor less is better; with a number the candidate is held against that."""
    study = GLOSS.replace("margin = 5", 'margin = 5\ndirection = "target"')
    assert of(compared(gloss(NEAR), study), "RB-011").outcome is VerdictWord.NOT_WORSE
    assert of(compared(gloss(NEAR), study), "RB-012").outcome is VerdictWord.WORSE
    against = compared(gloss(NEAR), study + "target = 60\n")
    assert of(against, "RB-012").outcome is VerdictWord.NOT_WORSE
    assert of(against, "RB-011").outcome is VerdictWord.WORSE
    assert of(against, "RB-011").method == (
        "difference of means, panels as unit; t against the target 60, Sidak over 2"
    )


def test_a_margin_in_percent_of_a_difference_says_what_it_is_of() -> None:
    """Ten per cent of a control of 80 is 8, and the caution says that 80 is not known exactly."""
    found = of(compared(gloss(NEAR), GLOSS.replace("margin = 5", "margin_percent = 10")), "RB-011")
    assert found.limit_low == pytest.approx(-8)
    assert found.cautions == (
        "the margin in % is taken of the control's mean as if that were known",
    )


def test_exposure_times_are_compared_one_by_one() -> None:
    """Each time that the study states is a property of its own; near times count as that time."""
    rows = pd.concat(
        [gloss(NEAR, exposure_h=24.2), gloss(NEAR, exposure_h=239), gloss(NEAR, exposure_h=500)]
    )
    comparison = compared(rows, "exposure_h = [24, 240]\n" + GLOSS)
    labels = [one.label for one in comparison.properties]
    assert labels == ["gloss after 24 h", "gloss after 240 h"]
    assert {one.property for one in comparison.verdicts} == set(labels)
    own = compared(rows, GLOSS + "exposure_h = [500]\n")
    assert [one.label for one in own.properties] == ["gloss after 500 h"]


def test_without_times_the_last_one_that_is_shared_counts() -> None:
    """The control was measured for longer than the candidates: their last common time is taken."""
    rows = pd.concat(
        [gloss(NEAR, exposure_h=240.0), gloss({"RB-010": [1, 2, 3.0]}, exposure_h=500.0)]
    )
    assert [one.label for one in compared(rows, GLOSS).properties] == ["gloss after 240 h"]


def test_no_shared_exposure_time_is_said_and_the_rest_is_reported() -> None:
    """The times of both are named, and the other property still has its verdicts."""
    rows = pd.concat(
        [
            gloss({"RB-010": NEAR["RB-010"]}, exposure_h=24.0),
            gloss({"RB-011": NEAR["RB-011"]}, exposure_h=240.0),
            panel_rows("hardness", {"RB-010": [5, 6, 5.5], "RB-011": [8, 9, 8.5]}),
        ]
    )
    hardness = '[[property]]\nname = "hardness"\nkind = "gloss"\nquantity = "hardness"\nmargin = 1'
    comparison = compared(rows, GLOSS + hardness)
    assert comparison.problems == (
        "gloss: no exposure time is shared: the control RB-010 has 24 h, the candidates have 240 h",
    )
    assert of(comparison, "RB-011", "gloss").outcome is VerdictWord.CANNOT_TELL
    assert of(comparison, "RB-011", "hardness").outcome is VerdictWord.BETTER
    asked = compared(rows, "exposure_h = [24]\n" + GLOSS)
    assert of(asked, "RB-011").because == "RB-011 has no exposure near 24 h; there are 240 h"


@pytest.mark.parametrize(
    ("control", "study", "told"),
    [
        ((), "", "no batch compared has the role control; name one in the study"),
        (
            ("RB-010", "RB-012"),
            "",
            "2 batches have the role control: RB-010, RB-012; name one as control in the study",
        ),
        (
            ("RB-010",),
            'batches = ["RB-011"]',
            (
                "no batch compared has the role control; the register has RB-010; name one in the"
                " study"
            ),
        ),
    ],
)
def test_without_one_control_nothing_is_compared_and_it_is_said(
    control: tuple[str, ...], study: str, told: str
) -> None:
    """Missing, named twice or left out: a sentence, and no verdict."""
    comparison = compared(
        gloss(NEAR), study + "\n" + GLOSS, batches=register(list(NEAR), control=control)
    )
    assert comparison.problems == (f"{told}: nothing is compared",)
    assert comparison.verdicts == ()
    assert len(comparison.table()) == 0


def test_the_study_may_name_the_control() -> None:
    """Of two batches with the role control the one named is it, and the other is compared."""
    batches = register(list(NEAR), control=("RB-010", "RB-012"))
    comparison = compared(gloss(NEAR), 'control = "rb-012"\n' + GLOSS, batches=batches)
    assert of(comparison, "RB-010").outcome is VerdictWord.BETTER
    assert comparison.cautions == (
        ONE_BATCH,
        "further batches with the role control: RB-010",
        SUPPORT,
    )


def test_batches_and_panels_can_be_chosen() -> None:
    """Only those named are compared; unknown ones are told with the nearest."""
    comparison = compared(gloss(NEAR), 'batches = ["RB-010", "RB-011"]\n' + GLOSS)
    assert {one.batch for one in comparison.verdicts} == {"RB-011"}
    assert comparison.problems == ()
    for wrong, what in (
        ('batches = ["RB-010", "RB-011", "RB-019"]\n', "batch"),
        ('control = "RB-019"\n', "control"),
    ):
        with pytest.raises(UnknownName) as refused:
            compared(gloss(NEAR), wrong + GLOSS)
        assert str(refused.value) == (
            f"the study names the {what} RB-019, which the register does not hold; near it: RB-012,"
            " RB-011, RB-010"
        )
    panels = [f'"{b}-{n}"' for b in NEAR for n in (1, 2)]
    some = compared(gloss(NEAR), f'panels = [{", ".join(panels)}, "RB-010-9"]\n{GLOSS}')
    assert of(some, "RB-011").n == 2
    assert some.problems == (
        "the panel RB-010-9 has no data; near it: RB-010-3, RB-010-2, RB-010-1",
    )


def test_data_without_a_register_entry_are_named_and_left_out() -> None:
    """A batch that nobody registered is no candidate; the others are compared."""
    comparison = compared(gloss(NEAR), GLOSS, batches=register(["RB-010", "RB-011"]))
    assert comparison.problems == (
        "RB-012 has data (gloss) but is not in the register: it is left out",
    )
    assert {one.batch for one in comparison.verdicts} == {"RB-011"}
    nothing = compared(gloss(NEAR), GLOSS, batches=register([]))
    assert nothing.problems == (
        "the register holds no batch: file it first, with the role of each batch",
        "no batch compared has the role control; name one in the study: nothing is compared",
        *(f"{one} has data (gloss) but is not in the register: it is left out" for one in NEAR),
    )


def test_one_panel_tells_no_spread() -> None:
    """A candidate with one panel gets a sentence, the others their verdicts."""
    comparison = compared(gloss({**NEAR, "RB-011": [80.0]}), GLOSS)
    assert of(comparison, "RB-011").because == (
        "RB-011 has one panel only: nothing tells its spread"
    )
    assert of(comparison, "RB-012").outcome is VerdictWord.WORSE
    control = compared(gloss({**NEAR, "RB-010": [80.0]}), GLOSS)
    assert control.problems == (
        "gloss: the control RB-010 has one panel only: nothing tells its spread",
    )
    assert {one.outcome for one in control.verdicts} == {VerdictWord.CANNOT_TELL}


def test_equal_values_tell_no_spread() -> None:
    """All values of all batches equal: cannot tell. Of one batch: its own caution."""
    same = compared(gloss({"RB-010": [80.0] * 3, "RB-011": [80.0] * 3}), GLOSS)
    assert of(same, "RB-011").outcome is VerdictWord.CANNOT_TELL
    assert of(same, "RB-011").because == (
        "within each batch the values are all equal; they are the same in both; 3 panels against 3"
        " could not come out better or worse: p is 0.1 at the least; 4 of each would do"
    )
    one = of(compared(gloss({**NEAR, "RB-011": [80.0] * 3}), GLOSS), "RB-011")
    assert one.cautions == ("all 3 values of RB-011 are equal: their spread is not resolved",)


def test_two_panels_each_are_compared_on_a_condition() -> None:
    """Two panels bear a verdict only if they scatter alike, and it says so."""
    values = {"RB-010": [80, 81.0], "RB-011": [60, 65.0]}
    found = of(compared(gloss(values), GLOSS), "RB-011")
    assert found.method == (
        "difference of means, panels as unit; Dunnett over 1, 2 degrees of freedom"
    )
    assert (found.outcome, found.standing) == (VerdictWord.WORSE, Firmness.CONDITIONAL)


def test_equal_values_on_both_sides_are_compared_by_the_scatter_of_the_others() -> None:
    """Nothing tells how these two scatter: 10 GU less is worse only if they do as the third does.

    By hand: 2 GU² over 6 degrees of freedom, so the difference is known to 0.47 GU.
    """
    values = {"RB-010": [80.0] * 3, "RB-011": [70.0] * 3, "RB-012": [59.0, 60.0, 61.0]}
    found = of(compared(gloss(values), GLOSS), "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.WORSE, Firmness.CONDITIONAL)
    assert found.effect == pytest.approx(-10)
    assert math.isnan(found.firm_low)
    assert found.method == (
        "difference of means, panels as unit; Dunnett over 2, 6 degrees of freedom"
    )


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (('quantity = "gloss"', 'quantity = "glos"'), "gloss gives no 'glos'; near it: 'gloss'"),
        (
            ('quantity = "gloss"', 'quantity = "gloss"\ncondition = "60"'),
            "gloss has no condition: leave condition out",
        ),
        (('kind = "gloss"', 'kind = "colour"'), "there are no results of colour"),
        (
            ("margin = 5", "margin = 5\nexposure_h = [24]"),
            "gloss has no exposure times; leave them out",
        ),
    ],
)
def test_a_property_without_data_is_said_with_what_is_near(
    change: tuple[str, str], told: str
) -> None:
    """It is told once as a problem, and every candidate has its "cannot tell"."""
    comparison = compared(gloss(NEAR), GLOSS.replace(*change))
    assert comparison.problems == (f"gloss: {told}",)
    assert [one.outcome for one in comparison.verdicts] == [VerdictWord.CANNOT_TELL] * 2
    assert comparison.does_no_harm("RB-011") == (False, "cannot tell on gloss")


def test_a_candidate_without_data_is_said() -> None:
    """Registered, but not measured; and measured without a result, with the reason of that."""
    batches = register([*NEAR, "RB-013"])
    comparison = compared(gloss({**NEAR, "RB-012": [math.nan, 60, 61]}), GLOSS, batches=batches)
    assert of(comparison, "RB-013").because == "RB-013 has no value of gloss"
    assert of(comparison, "RB-012").cautions == ("1 of 3 without a value: no spectrum",)
    assert of(comparison, "RB-012").n == 2


def test_flags_of_results_come_along() -> None:
    """What weakens a result weakens the verdict."""
    rows = gloss(NEAR, flags="fails the Kramers-Kronig test")
    cautions = of(compared(rows, GLOSS), "RB-011").cautions
    assert cautions == ("3 of 3: fails the Kramers-Kronig test",)


def test_a_flag_that_counts_itself_is_told_in_one_sentence() -> None:
    """Not "3 of 3: 1 of 4 spectra: ..."."""
    rows = gloss(NEAR, flags="1 of 4 spectra: fails the Kramers-Kronig test")
    cautions = of(compared(rows, GLOSS), "RB-011").cautions
    assert cautions == ("3 of 3 with 1 of 4 spectra: fails the Kramers-Kronig test",)


def test_no_harm_needs_every_property() -> None:
    """Better on one and worse on another is harm; not worse on all is none."""
    rows = pd.concat(
        [gloss(NEAR), panel_rows("haze", {"RB-010": [5, 6, 5.5], "RB-011": [5, 6, 5.6]})]
    )
    haze = (
        '[[property]]\nname = "haze"\nkind = "gloss"\nquantity = "haze"\nmargin = 3\n'
        'direction = "lower"'
    )
    comparison = compared(rows, GLOSS + haze)
    assert comparison.does_no_harm("RB-011") == (
        True,
        "better or not worse on gloss, haze",
    )
    assert comparison.does_no_harm("RB-012") == (
        False,
        "worse on gloss; not tested on haze",
    )
    assert of(comparison, "RB-011", "haze").method.endswith("; Holm over 2 properties")


def test_batches_of_one_recipe_are_not_thrown_together() -> None:
    """Each is compared by itself, and it is said that they are of one recipe."""
    batches = register(list(NEAR)).assign(
        recipe=["base", "base + x", "base + x"], candidate=[None, "x", "x"]
    )
    comparison = compared(gloss(NEAR), GLOSS, batches=batches)
    assert comparison.cautions == (
        ONE_BATCH,
        (
            "base + x: RB-011, RB-012 are batches of one recipe; each is compared by itself, and"
            " how they differ tells of the scatter among batches"
        ),
        SUPPORT,
    )
    assert len(comparison.verdicts) == 2


def test_batches_without_a_recipe_are_not_taken_for_one_recipe() -> None:
    """A register may name no recipe: the batches are compared, and nothing is said of recipes."""
    batches = register(list(NEAR)).assign(recipe=pd.Series([None] * len(NEAR), dtype="str"))
    comparison = compared(gloss(NEAR), GLOSS, batches=batches)
    assert [one for one in comparison.cautions if "batches of one recipe" in one] == []
    named = compared(gloss(NEAR), GLOSS, batches=register(list(NEAR)))
    assert comparison.verdicts == named.verdicts
    assert len(comparison.verdicts) == 2


def determination_rows(values: dict[str, list[float]]) -> pd.DataFrame:
    """Return wet-paint results, one a determination."""
    return together(
        [
            results(
                "cup",
                {"batch": batch, "measurement": [f"{batch}.{n}" for n in range(len(of_batch))]},
                of_batch,
                "s",
                standard_error=0.5,
                low=np.array(of_batch) - 1,
                high=np.array(of_batch) + 1,
            )
            for batch, of_batch in values.items()
        ]
    )


CUP = GLOSS.replace('quantity = "gloss"', 'quantity = "cup"')


def test_wet_paint_is_compared_by_determinations_with_a_caution() -> None:
    """Several determinations of a batch are the unit, and mixing again is not in the interval."""
    rows = determination_rows({"RB-010": [40, 41, 40.5], "RB-011": [60, 61, 60.5]})
    found = of(compared(rows, CUP), "RB-011")
    assert (found.n, found.units, found.outcome) == (3, "determinations", VerdictWord.BETTER)
    assert found.cautions == (
        "determinations of one batch: mixing it again is not in the interval",
    )


def test_one_determination_decides_nothing() -> None:
    """The scatter within one curve is no scatter of curves: the effect is told, no outcome."""
    found = of(compared(determination_rows({"RB-010": [40], "RB-011": [60]}), CUP), "RB-011")
    assert found.outcome is VerdictWord.CANNOT_TELL
    assert found.because == "one determination: nothing tells how another one differs"
    assert found.effect == pytest.approx(20)
    assert math.isnan(found.p)


def test_a_reported_result_brings_its_own_uncertainty() -> None:
    """Result, standard error and the freedom behind its interval give Welch's comparison."""
    half = 4.302653 * 0.2  # Student's t for 2 degrees of freedom
    rows = together(
        [
            results(
                "cup",
                {"batch": batch},
                value,
                "s",
                standard_error=0.2,
                low=value - half,
                high=value + half,
                n=3,
            )
            for batch, value in (("RB-010", 40.0), ("RB-011", 45.0))
        ]
    )
    found = of(compared(rows, CUP), "RB-011")
    # equal errors with 2 degrees each have 4 together: t = 2.776445
    assert found.high - 5 == pytest.approx(2.776445 * 0.2 * math.sqrt(2), rel=1e-5)
    assert (found.n, found.outcome) == (3, VerdictWord.BETTER)


def pull_offs(values: dict[str, list[list[tuple[float, str]]]]) -> pd.DataFrame:
    """Return rows of the kind pull_off: batch, panels, strengths with their failures."""
    return pd.DataFrame(
        [
            {
                "batch": batch,
                "panel": f"{batch}-{place}",
                "determination": float(number),
                "dolly_diameter_mm": 20.0,
                "strength_mpa": strength,
                "failure": failure,
            }
            for batch, panels in values.items()
            for place, panel in enumerate(panels, 1)
            for number, (strength, failure) in enumerate(panel, 1)
        ]
    ).astype({"batch": "str", "panel": "str", "failure": "str"})


FILM, GLUE = "100 % B", "100 % Y"
STRENGTH = '[[property]]\nname = "pull-off strength"\n'
PLAIN = [[(7.0, FILM), (7.4, FILM)], [(7.1, FILM), (7.7, FILM)], [(6.9, FILM), (7.6, FILM)]]


def strength_comparison(candidate: list[list[tuple[float, str]]], study: str = STRENGTH):  # type: ignore[no-untyped-def]
    """Return the comparison of a candidate's pull-offs with those of a plain control."""
    rows = pull_offs({"RB-010": PLAIN, "RB-011": candidate})
    return compare(
        load_study(study),
        results={"pull_off": panel_rows("strength_mean_censored", {"RB-010": [7.0]})},
        batches=register(["RB-010", "RB-011"]),
        panels=panels_of(rows),
        filed=NONE_FILED,
        raw={"pull_off": rows},
    )


def test_glue_failures_lift_the_strength_as_lower_bounds() -> None:
    """Bounds raise the mean above the plain one, and the caution counts them."""
    candidate = [[(8.0, FILM), (9.0, GLUE)], [(8.2, FILM), (9.1, GLUE)], [(7.9, FILM), (8.8, FILM)]]
    found = of(strength_comparison(candidate), "RB-011")
    plain = np.mean([value for panel in candidate for value, _ in panel])
    assert found.value > plain
    assert found.cautions == ("2 of 6 determinations are lower bounds, the glue failed",)
    assert found.method == (
        "difference of means with lower bounds as such (censored normal), panels as unit; Welch,"
        " Sidak over 1"
    )


def test_nothing_but_glue_failures_can_show_better_but_never_worse() -> None:
    """Every strength is a lower bound: the interval has no upper end."""
    strong = of(strength_comparison([[(9.0, GLUE), (9.5, GLUE)]] * 2 + [[(9.2, GLUE)]]), "RB-011")
    assert strong.high == math.inf
    assert strong.outcome is VerdictWord.BETTER
    assert strong.cautions == (
        "5 of 5 determinations are lower bounds, the glue failed",
        "only a lower bound of the strength is known: all 5 are lower bounds",
    )
    weak = of(strength_comparison([[(3.0, GLUE), (3.5, GLUE)]] * 2 + [[(3.2, GLUE)]]), "RB-011")
    assert weak.outcome is VerdictWord.CANNOT_TELL
    assert weak.p == 1  # below the control, and how much above that nobody knows
    rows = pull_offs({"RB-010": [[(9.0, GLUE)], [(9.1, GLUE)]], "RB-011": PLAIN})
    control = compare(
        load_study(STRENGTH),
        results={},
        batches=register(["RB-010", "RB-011"]),
        panels=panels_of(rows),
        filed=NONE_FILED,
        raw={"pull_off": rows},
    )
    assert control.problems == (
        (
            "pull-off strength: of the control RB-010 only a lower bound is known: too often the"
            " glue failed"
        ),
    )


def counts(values: dict[str, list[int]], area_cm2: float = 10.0) -> pd.DataFrame:
    """Return raw rows with a count and an area, two halves of each panel."""
    rows = [
        {"batch": batch, "panel": f"{batch}-{place}", "craters": part, "area_cm2": area_cm2 / 2}
        for batch, panels in values.items()
        for place, count in enumerate(panels, 1)
        for part in (count // 2, count - count // 2)
    ]
    return pd.DataFrame(rows).astype({"batch": "str", "panel": "str"})


def count_comparison(values: dict[str, list[int]], study: str = CRATERS):  # type: ignore[no-untyped-def]
    """Return the comparison of counts."""
    return compare(
        load_study(study),
        results={},
        batches=register(list(values)),
        panels=panels_of(counts(values)),
        filed=NONE_FILED,
        raw={"defects": counts(values)},
        conditions={"defects": {}},
    )


def test_counts_are_compared_as_rates() -> None:
    """Firm by the own scatter of each batch, else on a condition: alike, or by chance alone."""
    even = of(count_comparison({"RB-010": [40, 42, 38], "RB-011": [10, 12, 11]}), "RB-011")
    assert even.effect == pytest.approx(33 / 120)
    assert even.value == pytest.approx(1.1)
    assert (even.outcome, even.standing) == (VerdictWord.BETTER, Firmness.FIRM)
    assert even.method == (
        "ratio of rates, panels as unit; Welch of the logarithms of the rates, Sidak over 1"
    )
    open_ = CRATERS.replace("margin_percent = 50\n", "")
    few = of(count_comparison({"RB-010": [20, 21, 19], "RB-011": [10, 12, 11]}, open_), "RB-011")
    assert (few.outcome, few.standing) == (VerdictWord.BETTER, Firmness.CONDITIONAL)
    assert few.condition == "if panels differ by chance alone"
    # Fisher's index by hand: 2/20 + 2/11 with 4 degrees of freedom
    assert few.method == (
        "ratio of rates, panels as unit; Poisson, exact interval; panels agree (dispersion p"
        f" {chi2.sf(2 / 20 + 2 / 11, 4):.2g}), Sidak over 1"
    )
    odd = of(count_comparison({"RB-010": [10, 90, 20], "RB-011": [2, 30, 1]}), "RB-011")
    assert odd.high / odd.low > 4 * even.high / even.low
    assert odd.outcome is VerdictWord.CANNOT_TELL
    none = of(count_comparison({"RB-010": [0, 0], "RB-011": [0, 0]}), "RB-011")
    assert none.because == "nothing was counted on the candidate nor on the control"


def test_counts_that_differ_from_panel_to_panel_are_conditional_on_alike_scatter() -> None:
    """A clear difference between scattered counts: by profile, and it says on what it stands."""
    values = {"RB-010": [21, 25, 18], "RB-011": [1, 0, 4]}
    open_ = CRATERS.replace("margin_percent = 50\n", "")
    found = of(count_comparison(values, open_), "RB-011")
    square = sum(chisquare(one).statistic for one in values.values())
    assert (found.outcome, found.standing) == (VerdictWord.BETTER, Firmness.CONDITIONAL)
    assert found.condition == IF_ALIKE
    assert found.method == (
        "ratio of rates, panels as unit; negative binomial, interval by profile; panels differ"
        f" (dispersion p {chi2.sf(square, 4):.2g}), Sidak over 1"
    )


@pytest.mark.parametrize("margin", ["margin_percent = 50", "margin = 0.05"])
def test_why_chance_alone_is_not_assumed_is_told_with_the_panels_that_show_it(margin: str) -> None:
    """A batch of which one panel has all craters changes what the others allow to conclude."""
    values = {"RB-010": [4, 3, 4], "RB-011": [0, 1, 0], "RB-012": [0, 12, 0]}
    study = CRATERS.replace("margin_percent = 50", margin)
    without = {batch: values[batch] for batch in ("RB-010", "RB-011")}
    quiet = of(count_comparison(without, study), "RB-011").cautions
    assert not any("by more than chance" in one for one in quiet)
    square = sum(chisquare(one).statistic for one in values.values())
    for batch in ("RB-011", "RB-012"):
        assert (
            "panels differ by more than chance over all batches (dispersion p"
            f" {chi2.sf(square, 6):.2g}), most those of RB-012 with 0, 12, 0: that chance alone is"
            " at work is not assumed of any"
        ) in of(count_comparison(values, study), batch).cautions


def test_no_rate_of_counts_is_told_below_none() -> None:
    """No candidate has fewer than the control by more than the control has; and it is said."""
    study = CRATERS.replace("margin_percent = 50", "margin = 0.05")
    found = of(count_comparison({"RB-010": [2, 3, 6], "RB-011": [1, 0, 9]}, study), "RB-011")
    rate = found.value_control
    assert (found.low, found.firm_low) == (pytest.approx(-rate), pytest.approx(-rate))
    assert found.high > 0.05
    assert CUT_RATE in found.cautions
    assert found.outcome is VerdictWord.CANNOT_TELL


def test_counts_that_cannot_be_are_refused_by_name() -> None:
    """A column that is not there is answered with the nearest; halves are no counts."""
    study = CRATERS.replace('quantity = "craters"', 'quantity = "crater"')
    values = {"RB-010": [1, 2], "RB-011": [3, 4]}
    assert count_comparison(values, study).problems == (
        "craters: defects has no column 'crater'; near it: 'craters'",
    )
    rows = counts(values).assign(craters=0.5)
    halves = compare(
        load_study(CRATERS),
        results={},
        batches=register(list(values)),
        panels=panels_of(rows),
        filed=NONE_FILED,
        raw={"defects": rows},
        conditions={"defects": {}},
    )
    assert halves.problems == (
        (
            "craters: the control has no data: RB-010: craters must be whole numbers from 0 on,"
            " area_cm2 above 0"
        ),
    )


def test_ratings_are_compared_by_rank() -> None:
    """Seven panels that are all rated better: a probability of superiority of 1, also for grades
    where less is better."""
    study = GLOSS.replace("margin = 5", 'method = "ratings"\ndirection = "lower"\nmargin = 0.3')
    rows = gloss({"RB-010": [3, 3, 4, 3, 4, 3, 3], "RB-011": [1, 1, 2, 1, 1, 2, 1]})
    found = of(compared(rows, study), "RB-011")
    assert found.effect_is == "probability of superiority"
    assert (found.effect, found.high, found.limit_low) == (1.0, 1.0, 0.2)
    assert (found.value, found.value_control) == (1, 3)
    assert found.outcome is VerdictWord.BETTER
    few = of(compared(gloss({"RB-010": [3, 4, 3], "RB-011": [1, 1, 2]}), study), "RB-011")
    assert few.p == pytest.approx(0.1)  # three of each: no rank test can do better
    assert few.outcome is VerdictWord.NOT_WORSE


def test_the_values_behind_it_can_be_plotted() -> None:
    """A row a panel, with the unit, for each property."""
    values = compared(gloss(NEAR), GLOSS).values()
    assert len(values) == 9
    assert values["unit"].unique().tolist() == ["GU"]
    assert values.loc[values["batch"] == "RB-012", "value"].tolist() == [60, 61, 59]
    assert len(compared(gloss(NEAR), GLOSS, batches=register([])).values()) == 0


def test_an_empty_study_of_an_empty_archive_is_no_error() -> None:
    """Nothing measured yet: no verdicts, and no traceback."""
    comparison = compare(
        Study(),
        results={},
        batches=register(["RB-010", "RB-011"]),
        panels=no_panels(),
        filed=NONE_FILED,
    )
    assert comparison.verdicts == ()
    assert comparison.does_no_harm("RB-011") == (False, "cannot tell on any property")


def test_nothing_is_concluded_as_if_all_scattered_alike_of_one_that_plainly_does_not() -> None:
    """Seven times the control's scatter: the batches that scatter little lend it no certainty."""
    quiet = np.array([-1.5, -0.5, 0.0, 0.0, 0.5, 1.5])
    alike = {f"RB-01{n}": list(60 + quiet) for n in range(4)}
    wide = 54 + 7 * quiet
    found = compared(gloss(alike | {"RB-014": list(wide)}), GLOSS)
    assert ttest_ind(wide, 60 + quiet, equal_var=False).pvalue > 0.05
    groups = [60 + quiet] * 4 + [wide]
    pooled = np.sqrt(np.mean([one.var(ddof=1) for one in groups]))
    assert 2 * student.sf(6 / (pooled * np.sqrt(2 / 6)), 25) < 0.05  # what would be lent
    verdict = of(found, "RB-014")
    assert (verdict.outcome, verdict.if_alike) == (VerdictWord.CANNOT_TELL, None)
    assert any(one.startswith("scatters 7 times as widely") for one in verdict.cautions)
    assert of(found, "RB-011").outcome is VerdictWord.NOT_WORSE
