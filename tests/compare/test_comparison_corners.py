"""Corners of a comparison: what is pooled, missing, counted once, zero, or left out by choice."""

from __future__ import annotations

import math
from dataclasses import fields

import numpy as np
import pandas as pd
import pytest
from panels_elsewhere import against_a_control
from scipy.stats import norm, ttest_ind
from study_tables import CRATERS, NONE_FILED, compared, of, panel_rows, panels_of, register

from tiecoat.compare.cautions import if_equal
from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.properties import Property
from tiecoat.compare.ranking import rank
from tiecoat.compare.raw_samples import checked_counts
from tiecoat.compare.result_rows import is_near, result_rows
from tiecoat.compare.study import load_study
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.result import results

GLOSS = """
[[property]]
name = "gloss"
kind = "gloss"
quantity = "gloss"
margin = 5
"""
VALUES = {"RB-010": [80, 81, 79.0], "RB-011": [80.5, 79.5, 80], "RB-012": [60, 61, 59.0]}
PANELS = panel_rows("gloss", VALUES, unit="GU")


def whole(quantity: str, values: dict[str, float], n: int, **more: object) -> pd.DataFrame:
    """Return a result of each batch as a whole, with a standard error of 0.5."""
    listed = np.array(list(values.values()))
    return results(
        quantity,
        {"batch": list(values), **more},
        listed,
        "GU",
        standard_error=0.5,
        low=listed - 1,
        high=listed + 1,
        n=n,
    )


def naming(*batches: str) -> str:
    """Return the line of a study that names the three panels of some batches."""
    return f"panels = {[f'{batch}-{n}' for batch in batches for n in (1, 2, 3)]}\n"


def test_a_ratio_without_a_margin_has_no_limits() -> None:
    """No margin is stated: the limits are missing, not infinite."""
    found = of(compared(PANELS, GLOSS.replace("margin = 5", 'scale = "ratio"')), "RB-011")
    assert math.isnan(found.limit_low)
    assert math.isnan(found.limit_high)
    assert found.because == "no difference is shown, and no margin is stated"


def test_a_control_alone_has_nobody_to_be_compared_with() -> None:
    """It is said, and neither verdict nor property is made up; an empty table has all columns."""
    found = compared(PANELS[PANELS["batch"] == "RB-010"], GLOSS)
    assert found.problems == ("there is no candidate to compare with the control",)
    assert found.verdicts == ()
    assert found.properties == ()
    assert list(found.table()) == [one.name for one in fields(Verdict)]


def test_where_more_panels_would_not_help_no_number_of_them_is_told() -> None:
    """No margin is stated: the column of the table holds no number, and is one of numbers."""
    needed = compared(PANELS, GLOSS.replace("margin = 5", 'scale = "ratio"')).table()["needed"]
    assert needed.dtype == float
    assert needed.isna().all()


def test_no_results_at_all_are_told_as_such() -> None:
    """A kind of which nothing was computed is named, and no list of nothing."""
    with pytest.raises(NotDeterminable, match=r"^there are no results of gloss$"):
        result_rows(PANELS[:0], Property("gloss", "gloss", "gloss"))


def test_a_verdict_for_want_of_data_claims_nothing() -> None:
    """A candidate without results gets no number but the control's n, and a reason."""
    table = PANELS[PANELS["batch"] != "RB-012"]
    found = of(compared(table, GLOSS, batches=register(list(VALUES))), "RB-012")
    assert (found.outcome, found.standing) == (VerdictWord.NOT_TESTED, Firmness.FIRM)
    assert (found.n, found.n_control, found.needed, found.if_alike) == (0, 3, None, None)
    assert (found.units, found.unit, found.method, found.condition) == ("", "", "", "")
    assert (found.cautions, found.is_comparable) == ((), True)
    numbers = ("value", "value_control", "effect", "low", "high", "firm_low", "firm_high")
    numbers += ("limit_low", "limit_high", "p", "p_over_candidates", "p_alone")
    numbers += ("p_alone_if_alike",)
    assert [name for name in numbers if not math.isnan(getattr(found, name))] == []


def test_holm_counts_the_properties_that_have_a_p() -> None:
    """One determination each gives no p: the other property is not adjusted, and says so."""
    cup = whole("cup", {"RB-010": 40.0, "RB-011": 60.0}, 1, measurement=["a", "b"])
    both = GLOSS + GLOSS.replace('"gloss"', '"cup"').replace('kind = "cup"', 'kind = "gloss"')
    found = of(compared(pd.concat([PANELS, cup], ignore_index=True), both), "RB-012", "gloss")
    assert "Holm" not in found.method
    assert found.p == found.p_over_candidates


def test_panels_that_the_study_leaves_out_do_not_come_back_pooled() -> None:
    """A candidate none of whose panels is named has no value, though its batch has a result."""
    table = pd.concat([PANELS, whole("gloss", dict.fromkeys(VALUES, 80.0), 9)], ignore_index=True)
    found = compared(table, naming("RB-010", "RB-011") + GLOSS)
    assert of(found, "RB-012").because == "RB-012 has no value of gloss"
    method = of(found, "RB-011").method
    assert method == "difference of means, panels as unit; Welch, Sidak over 1"


def test_wet_paint_has_no_panels_to_name() -> None:
    """A study that names panels still compares what belongs to the batch."""
    cups = whole("gloss", {"RB-010": 80.0, "RB-011": 70.0}, 3)
    found = of(compared(cups, naming("RB-010", "RB-011") + GLOSS), "RB-011")
    assert (found.value_control, found.value) == (80.0, 70.0)


def test_what_is_only_pooled_is_compared_of_all_panels_or_not_at_all() -> None:
    """It counts panels, and is refused where the study names some of them."""
    pooled = whole("gloss_over_panels", {"RB-010": 80.0, "RB-011": 70.0}, 3)
    table = pd.concat([PANELS, pooled], ignore_index=True)
    study = GLOSS.replace('quantity = "gloss"', 'quantity = "gloss_over_panels"')
    found = of(compared(table, study), "RB-011")
    assert (found.n, found.units, found.outcome) == (3, "panels", VerdictWord.WORSE)
    assert found.cautions == ("one result, pooled over 3 panels",)
    (told,) = compared(table, naming("RB-010", "RB-011") + study).problems
    assert told == (
        "gloss: the panels that the study names have no value of gloss_over_panels; what is pooled"
        " over all panels of a batch does not serve"
    )


def test_a_mean_of_determinations_is_no_further_determination() -> None:
    """Wet paint: beside three determinations of a batch its mean does not count."""
    values = {"RB-010": [40, 41, 42.0], "RB-011": [60, 61, 62.0]}
    each = pd.concat(
        [
            whole("gloss", dict.fromkeys([batch], value), 1, measurement=f"{batch}.{value}")
            for batch, of_batch in values.items()
            for value in of_batch
        ],
        ignore_index=True,
    )
    mean = whole("gloss", {"RB-010": 41.0, "RB-011": 61.0}, 3)
    with_mean = pd.concat([mean, each], ignore_index=True)
    pd.testing.assert_frame_equal(compared(with_mean, GLOSS).table(), compared(each, GLOSS).table())
    assert of(compared(each, GLOSS), "RB-011").n == 3


def test_one_determination_of_the_control_does_not_matter_to_a_target() -> None:
    """A candidate is held against the number, whatever is known of the control."""
    each = [
        whole("gloss", {batch: value}, 1, measurement=f"{batch}.{value}")
        for batch, value in (("RB-010", 70.0), ("RB-011", 80.0), ("RB-011", 81), ("RB-011", 79.5))
    ]
    study = GLOSS + 'direction = "target"\ntarget = 80\n'
    found = of(compared(pd.concat(each, ignore_index=True), study), "RB-011")
    assert (found.n, found.outcome) == (3, VerdictWord.NOT_WORSE)


@pytest.mark.parametrize(
    ("control", "candidate", "margin", "told"),
    [
        # five would do and the candidate has three, though the control has six
        (
            [80, 81, 79.0, 80.5, 79.5, 80],
            [79, 78, 80.0],
            2.0,
            (
                "n too small for the margin; about 5 panels of each batch would do (power 80 % if"
                " both are equal)"
            ),
        ),
        # five would do and five there are: it is the effect that stands in the way
        (
            [80, 81, 79, 80.5, 79.5],
            [79.1, 80.1, 78.1, 79.6, 78.6],
            1.75,
            "too near the margin: 5 panels would do if both were equal, and there are 5",
        ),
    ],
)
def test_the_smaller_batch_decides_whether_more_panels_would_help(
    control: list[float], candidate: list[float], margin: float, told: str
) -> None:
    """The number that would do is held against that of the batch with fewer panels."""
    table = panel_rows("gloss", {"RB-010": control, "RB-011": candidate})
    study = GLOSS.replace("margin = 5", f"margin = {margin}")
    assert of(compared(table, study), "RB-011").because == told


def test_what_weakens_the_control_weakens_each_verdict() -> None:
    """A flag of the control's results stands with every candidate, as the control's."""
    flagged = panel_rows("gloss", {"RB-010": VALUES["RB-010"]}, flags="dirty")
    table = pd.concat([flagged, PANELS[PANELS["batch"] != "RB-010"]], ignore_index=True)
    for batch in ("RB-011", "RB-012"):
        assert of(compared(table, GLOSS), batch).cautions == ("control: 3 of 3: dirty",)


def test_early_times_that_count_as_one_are_told() -> None:
    """Half an hour matters little after a day, and much in the first hour."""
    early = [panel_rows("gloss", VALUES, exposure_h=hours) for hours in (0.5, 1.0)]
    found = of(
        compared(pd.concat(early, ignore_index=True), "exposure_h = [1]\n" + GLOSS), "RB-011"
    )
    assert found.cautions == ("readings after 0.5, 1 h count as one time",)
    late = [panel_rows("gloss", VALUES, exposure_h=hours) for hours in (239.0, 241.0)]
    found = of(
        compared(pd.concat(late, ignore_index=True), "exposure_h = [240]\n" + GLOSS), "RB-011"
    )
    assert found.cautions == ()


def test_a_time_that_is_not_near_is_no_substitute() -> None:
    """25 hours are not a day by 2 %, and 24.4 are."""
    for hours, told in (
        (24.4, "the whole interval lies within the margin"),
        (25.0, "RB-011 has no exposure near 24 h; there are 25 h"),
    ):
        table = panel_rows("gloss", VALUES, exposure_h=24.0)
        table.loc[table["batch"] == "RB-011", "exposure_h"] = hours
        assert of(compared(table, "exposure_h = [24]\n" + GLOSS), "RB-011").because == told


def test_a_time_counts_as_another_within_half_an_hour_or_two_per_cent() -> None:
    """Up to that and no further, on both sides."""
    assert is_near(np.array([0.499, 0.5, 1.5, 1.501]), 1.0).tolist() == [False, True, True, False]
    late = is_near(np.array([244.9, 245.0, 255.0, 255.1]), 250.0)
    assert late.tolist() == [False, True, True, False]


def test_a_batch_without_any_value_at_a_time_says_why() -> None:
    """The reasons of its results stand in the verdict."""
    values = {**VALUES, "RB-011": [math.nan] * 3}
    table = panel_rows("gloss", values, exposure_h=24.0)
    found = of(compared(table, "exposure_h = [24]\n" + GLOSS), "RB-011")
    assert found.because == "RB-011 has no value: no spectrum"


def test_a_share_of_a_target_is_taken_of_the_target() -> None:
    """10 % of 100 is 10 to both sides, wherever the control is."""
    study = GLOSS.replace("margin = 5", 'margin_percent = 10\ndirection = "target"\ntarget = 100')
    found = of(compared(PANELS, study), "RB-011")
    assert (found.limit_low, found.limit_high) == pytest.approx((-10, 10))
    assert found.cautions == ("the margin in % is taken of the target",)


def test_not_worse_that_rests_on_equal_spreads_says_so() -> None:
    """The interval by one variance lies within the margin, that by Welch's test does not."""
    values = {"RB-010": [80, 81, 79.0], "RB-011": [80, 81.2, 78.8], "RB-012": [80, 80.4, 79.6]}
    study = GLOSS.replace("margin = 5", "margin = 2.5")
    found = of(compared(panel_rows("gloss", values), study), "RB-011")
    assert (found.outcome, found.standing) == (VerdictWord.NOT_WORSE, Firmness.CONDITIONAL)
    welch = ttest_ind(values["RB-011"], values["RB-010"], equal_var=False)
    ends = welch.confidence_interval(0.95**0.5)  # Sidak over two candidates
    assert found.because == (
        "the whole interval lies within the margin; without that condition the interval is"
        f" {ends.low:.3g} to {ends.high:.3g}".replace("-", "−")
    )
    assert ends.low < -2.5 < found.low
    wide = of(compared(panel_rows("gloss", values), GLOSS.replace("= 5", "= 50")), "RB-011")
    assert (wide.standing, wide.cautions) == (Firmness.FIRM, ())


def test_reported_results_are_compared_by_ratio_with_their_relative_errors() -> None:
    """40 and 50, each with 0.5: the interval and the number needed follow from 1/80 and 1/100."""
    table = whole("gloss", {"RB-010": 40.0, "RB-011": 50.0}, 4)
    study = GLOSS.replace("margin = 5", 'scale = "ratio"\nmargin_percent = 3')
    found = of(compared(table, study), "RB-011")
    error = math.hypot(0.5 / 40, 0.5 / 50)
    half = norm.ppf(0.975) * error  # `whole` states 2 standard errors: as good as certain
    assert found.effect == pytest.approx(1.25)
    assert math.log(found.high / found.effect) == pytest.approx(half, rel=0.03)
    deviation = math.sqrt(4 * error**2 / 2)
    assert found.needed == against_a_control(-math.log(0.97), deviation)


def test_a_condition_that_is_not_stated_gives_a_line_for_each() -> None:
    """Gloss at two angles is two lines, each with its verdicts; one can be asked for by itself."""
    table = pd.concat(
        [panel_rows("gloss", VALUES, condition=angle) for angle in ("60 deg", "85 deg")]
    )
    comparison = compared(table, GLOSS)
    assert comparison.problems == ()
    labels = [one.label for one in comparison.properties]
    assert labels == ["gloss, 60 deg", "gloss, 85 deg"]
    assert [of(comparison, "RB-012", one).n for one in labels] == [3, 3]
    alone = compared(table, GLOSS + 'condition = "85 deg"\n')
    assert [one.label for one in alone.properties] == ["gloss"]
    wrong = compared(table, GLOSS + 'condition = "80 deg"\n').problems
    assert wrong == (
        "gloss: there is no gloss with the condition '80 deg'; near it: '85 deg', '60 deg'",
    )


def test_no_harm_names_the_property_it_speaks_of() -> None:
    """Of one property as of several."""
    told = compared(PANELS, GLOSS).does_no_harm("RB-011")
    assert told == (True, "better or not worse on gloss")


def counted(values: dict[str, list[float]], hours: list[float] | None = None) -> Comparison:
    """Return the comparison of counts on panels of 10 cm², each at every one of some times."""
    rows = pd.DataFrame(
        [
            {"batch": batch, "panel": f"{batch}-{place}", "craters": count, "area_cm2": 10.0}
            | ({} if hours is None else {"exposure_h": time})
            for time in hours or [0.0]
            for batch, counts in values.items()
            for place, count in enumerate(counts)
        ]
    ).astype({"batch": "str", "panel": "str"})
    batches = register([*values, "RB-019"])
    return compare(
        load_study(CRATERS),
        results={},
        batches=batches,
        panels=panels_of(rows),
        filed=NONE_FILED,
        raw={"defects": rows},
        conditions={"defects": {}},
    )


def test_counts_of_one_panel_say_that_it_is_one() -> None:
    """Poisson counts tell of one panel, and nothing of how another one differs."""
    found = of(counted({"RB-010": [40, 42, 44], "RB-011": [2]}), "RB-011")
    once = "one panel only: how another one would differ is not in the interval"
    assert found.cautions == (once,)
    both = counted({"RB-010": [40], "RB-011": [2], "RB-012": [3]})
    for batch in ("RB-011", "RB-012"):
        assert of(both, batch).cautions == (once, f"control: {once}")
    assert of(counted({"RB-010": [40, 42], "RB-011": [2, 3]}), "RB-011").cautions == ()


def rates_of(values: dict[str, list[float]], least_mm: dict[str, float], keys: str) -> Comparison:
    """Return the comparison of craters on panels of 50 cm² that were counted from a size on."""
    rows = pd.DataFrame(
        [
            {
                "batch": batch,
                "panel": f"{batch}-{place}",
                "craters": count,
                "evaluated_mm2": 5000.0,
                "least_diameter_mm": least_mm[batch],
            }
            for batch, counts in values.items()
            for place, count in enumerate(counts)
        ]
    ).astype({"batch": "str", "panel": "str"})
    study = CRATERS.replace("area_cm2", "evaluated_mm2").replace("margin_percent = 50", keys)
    return compare(
        load_study(study),
        results={},
        batches=register([*values, "RB-019"]),
        panels=panels_of(rows),
        filed=NONE_FILED,
        raw={"defects": rows},
        conditions={"defects": {}},
    )


def test_counts_are_told_per_square_decimetre_and_from_which_size_on() -> None:
    """9 craters on three panels of half a dm² are 6 per dm²."""
    values = {"RB-010": [3, 3, 3], "RB-011": [9, 9, 9]}
    least = dict.fromkeys(values, 0.3)
    found = of(rates_of(values, least, "margin_percent = 50"), "RB-011")
    assert (found.unit, found.effect_is) == ("per dm2, from 0.3 mm on", "ratio")
    assert (found.value, found.value_control, found.effect) == (18.0, 6.0, pytest.approx(3.0))
    unlike = of(rates_of(values, least | {"RB-011": 0.1}, "margin_percent = 50"), "RB-011")
    assert unlike.unit == "per dm2, from 0.3 mm on"
    assert unlike.cautions[0] == (
        "counted from between 0.1 and 0.3 mm on: rates of unlike sizes do not compare"
    )


def test_counts_may_have_a_margin_in_their_unit() -> None:
    """Then the difference of the rates is compared, also with a control that has none."""
    values = {"RB-010": [0, 0, 0, 0], "RB-011": [0, 1, 0, 0], "RB-012": [20, 24, 22, 25]}
    least = dict.fromkeys(values, 0.3)
    found = rates_of(values, least, "margin = 5")
    few, many = of(found, "RB-011"), of(found, "RB-012")
    assert few.effect_is == many.effect_is == "difference"
    assert few.effect == pytest.approx(0.5)
    assert few.outcome is VerdictWord.NOT_WORSE
    assert few.condition == "if panels differ by chance alone"
    assert many.effect == pytest.approx(45.5)
    assert many.outcome is VerdictWord.WORSE
    assert (many.limit_low, many.limit_high) == (-math.inf, 5.0)
    assert of(rates_of(values, least, "margin = 0.5"), "RB-011").outcome is VerdictWord.CANNOT_TELL


def test_counts_that_scatter_more_than_chance_rest_on_their_own_scatter() -> None:
    """Then no exact Poisson interval is claimed, not even on a condition."""
    values = {"RB-010": [2, 18, 9, 30, 4], "RB-011": [40, 90, 61, 20, 75]}
    found = of(rates_of(values, dict.fromkeys(values, 0.3), "margin = 5"), "RB-011")
    assert "Welch of the rates" in found.method
    alone = {"RB-010": [2, 18, 9], "RB-011": [40]}
    told = of(rates_of(alone, dict.fromkeys(alone, 0.3), "margin = 5"), "RB-011")
    assert told.outcome is VerdictWord.CANNOT_TELL
    assert "state margin_percent, not margin" in told.because


def test_counts_of_several_times_are_not_added_up() -> None:
    """A panel looked at three times is no larger panel; one time is compared as any count."""
    values = {"RB-010": [4, 5, 4], "RB-011": [9, 8, 7]}
    (told,) = counted(values, [24.0, 240.0]).problems
    assert told == (
        "craters: craters were counted after 24, 240 h: counts of several times are not added up"
    )
    once, without = counted(values, [24.0]), counted(values)
    pd.testing.assert_frame_equal(once.table(), without.table())


def test_what_was_not_counted_does_not_sound_like_none() -> None:
    """ "RB-019 has no craters" would be praise."""
    because = of(counted({"RB-010": [4, 5], "RB-011": [9, 8]}), "RB-019").because
    assert because == "on no panel of RB-019 were craters counted"


def test_a_kind_without_rows_has_none_to_count() -> None:
    """An empty table is told as such, not as a column that it lacks."""
    wanted = Property("craters", "defects", "craters", method="counts", area="area_cm2")
    for rows in (None, pd.DataFrame()):
        with pytest.raises(NotDeterminable, match=r"^there are no rows of defects$"):
            checked_counts(rows, wanted)


def test_rows_that_were_not_counted_are_told() -> None:
    """A panel without a count is left out, and of how many it is one stands beside the verdict."""
    found = of(counted({"RB-010": [4, 5, 6], "RB-011": [9, math.nan, 8]}), "RB-011")
    assert (found.n, found.cautions) == (2, ("1 of 3 rows without count or area",))


@pytest.mark.parametrize(
    ("flags", "told"),
    [
        (["a", "b", "c"], ("1 of 4: a", "1 of 4: b", "1 of 4: c")),
        (["a", "a", "b", "c"], ("2 of 4: a", "1 of 4: b", "1 of 4: c")),
        (["a", "b", "c", "d"], ("1 of 4: a", "1 of 4: b", "1 of 4: c", "1 of 4: d")),
    ],
)
def test_each_flag_is_told_with_how_many_carry_it(flags: list[str], told: tuple[str, ...]) -> None:
    """What the results of a batch carry weakens its verdict; none of it is passed over."""
    table = panel_rows("gloss", {"RB-010": [80, 81, 79.0], "RB-011": [80, 81, 79, 80.5]})
    table.loc[table["batch"] == "RB-011", "flags"] = [*flags, ""][:4]
    assert of(compared(table, GLOSS), "RB-011").cautions == told


def test_a_panel_without_a_value_says_why_or_that_nobody_said() -> None:
    """The reason of the result stands beside the verdict."""
    table = panel_rows("gloss", {"RB-010": [80, 81, 79.0], "RB-011": [80, 81, math.nan]})
    assert of(compared(table, GLOSS), "RB-011").cautions == ("1 of 3 without a value: no spectrum",)
    assert of(compared(table.assign(reason=""), GLOSS), "RB-011").cautions == (
        "1 of 3 without a value: no reason given",
    )


def test_a_control_without_data_at_a_time_leaves_nothing_to_compare() -> None:
    """The time is that of the study; what the control lacks there is told once."""
    table = panel_rows("gloss", VALUES, exposure_h=24.0)
    table.loc[table["batch"] == "RB-010", "exposure_h"] = 240.0
    found = compared(table, "exposure_h = [24]\n" + GLOSS)
    assert found.problems == (
        (
            "gloss after 24 h: the control has no data at this time: RB-010 has no exposure near"
            " 24 h; there are 240 h"
        ),
    )
    assert found.in_the_way == found.problems


@pytest.mark.parametrize("count", [-1, 1.5])
def test_what_is_no_count_is_refused(count: float) -> None:
    """Less than nothing, and half a crater, are mistakes of whoever counted."""
    because = of(counted({"RB-010": [4, 5], "RB-011": [9, count]}), "RB-011").because
    assert because == "RB-011: craters must be whole numbers from 0 on, area_cm2 above 0"


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ([80.0], ()),
        ([80.0, 80.0], ("all 2 values of RB-011 are equal: their spread is not resolved",)),
        ([80.0, 80.1], ()),
        ([0.0, 0.0, 0.0], ("all 3 values of RB-011 are equal: their spread is not resolved",)),
    ],
)
def test_equal_values_are_told_where_there_are_several(
    values: list[float], told: tuple[str, ...]
) -> None:
    """One value has no spread to be resolved."""
    assert if_equal(np.array(values), "RB-011") == told


STRENGTH = '[[property]]\nname = "pull-off strength"\nscale = "ratio"\nmargin_percent = 20\n'


def strengths(
    candidate: list[float], study: str = STRENGTH, failure: str = "100 % B"
) -> Comparison:
    """Return the comparison of strengths, one determination a panel; the control's film fails."""
    values = {"RB-010": [7.0, 7.4, 7.2], "RB-011": candidate}
    rows = pd.DataFrame(
        [
            {
                "batch": batch,
                "panel": f"{batch}-{place}",
                "dolly_diameter_mm": 20.0,
                "strength_mpa": value,
                "failure": failure if batch == "RB-011" else "100 % B",
            }
            for batch, of_batch in values.items()
            for place, value in enumerate(of_batch)
        ]
    ).astype({"batch": "str", "panel": "str", "failure": "str"})
    return compare(
        load_study(study),
        results={},
        batches=register(list(values)),
        panels=panels_of(rows),
        filed=NONE_FILED,
        raw={"pull_off": rows},
    )


def test_no_pull_off_tests_at_all_are_told() -> None:
    """A study that asks for strengths where nothing was pulled off has nothing to compare."""
    found = compare(
        load_study(STRENGTH),
        results={},
        batches=register(list(VALUES)),
        panels=panels_of(PANELS),
        filed=NONE_FILED,
        raw={"pull_off": PANELS[:0]},
    )
    assert found.problems == ("pull-off strength: there are no rows of pull_off",)


def test_strengths_are_of_no_exposure_time() -> None:
    """They are taken from the rows as filed; a study that asks for times is told so."""
    asked = STRENGTH + "exposure_h = [240]\n"
    (told,) = strengths([7.0, 7.2, 7.1], asked).problems
    assert told == "pull-off strength: strengths are not compared by exposure_h"


def test_strengths_can_be_compared_by_ratio() -> None:
    """Half the strength is a ratio of a half, and the method says so; none at all has no ratio."""
    found = of(strengths([3.5, 3.7, 3.6]), "RB-011")
    assert found.effect == pytest.approx(0.5)
    assert found.method == "ratio of geometric means, panels as unit; Welch, Sidak over 1"
    nothing = of(strengths([0.0, 3.7, 3.6]), "RB-011")
    assert nothing.because == "RB-011 has the value 0: ratios need values above 0"


def test_lower_bounds_have_no_variance_in_common_with_strengths() -> None:
    """They scatter as the glue does: each batch keeps its own."""
    found = of(
        strengths([8.1, 8.2, 8.6], '[[property]]\nname = "pull-off strength"\n', "100 % Y"),
        "RB-011",
    )
    assert found.method == (
        "difference of means with lower bounds as such (censored normal), panels as unit; Welch,"
        " Sidak over 1"
    )
    assert found.high == math.inf


BUBBLE = """
[[property]]
name = "bubble"
kind = "gloss"
quantity = "bubble"
direction = "lower"
scale = "ratio"
margin_percent = 20
"""


@pytest.mark.parametrize("held", [3, 2])
def test_what_lies_above_a_bound_is_worse_where_less_is_better(held: int) -> None:
    """A paint that holds every bubble of the film is not one of which nothing is known.

    It is worse by more than the margin, without an upper end; and has its place in the ranking.
    """
    released = [95.0][: 3 - held]
    rows = panel_rows(
        "bubble",
        {
            "RB-010": [18.5, 18.7, 18.9],
            "RB-011": [math.nan] * held + released,
            "RB-012": [22.0, 22.1, 22.3],
        },
        unit="um",
    )
    is_held = rows["value"].isna()
    reason = "the yield stress of 2.7 Pa holds every bubble that fits into a film of 200 µm"
    rows = rows.assign(low=rows["low"].mask(is_held, 100.0), reason=np.where(is_held, reason, ""))
    comparison = compared(rows, BUBBLE)
    found = of(comparison, "RB-011")
    assert found.outcome is VerdictWord.WORSE
    assert (found.side, found.high) == ("above", math.inf)
    assert found.value == pytest.approx((100.0**held * math.prod(released)) ** (1 / 3))
    assert found.low > 1.2
    assert f"{held} of 3: a lower bound: {reason}" in found.cautions
    assert not any("spread is not resolved" in one for one in found.cautions)
    assert found.method.startswith("ratio of geometric means of lower bounds, panels as unit")
    ranking = rank(comparison)
    assert ranking.table["batch"].tolist() == ["RB-010", "RB-012", "RB-011"]
    assert ranking.problems == ("RB-011: bubble is only a lower bound, and ranked by that",)


def test_of_a_control_that_is_a_bound_the_glue_is_not_to_blame() -> None:
    """Only where it is the strength."""
    rows = panel_rows("bubble", {"RB-010": [math.nan] * 3, "RB-011": [22.0, 22.1, 22.3]}, unit="um")
    rows = rows.assign(low=rows["low"].mask(rows["value"].isna(), 100.0))
    assert "bubble: of the control RB-010 only a lower bound is known" in (
        compared(rows, BUBBLE).problems
    )


def test_a_lower_bound_tells_nothing_where_the_control_is_wanted() -> None:
    """How much above the bound the strength lies is not known."""
    study = '[[property]]\nname = "pull-off strength"\ndirection = "target"\n'
    found = of(strengths([7.1, 7.2, 7.3], study, "100 % Y"), "RB-011")
    assert found.because == "of RB-011 only a lower bound is known"


def test_a_lower_bound_is_ranked_by_that_and_said() -> None:
    """The true strength lies above; the ranking says of whom."""
    ranking = rank(strengths([7.1, 7.2, 7.3], STRENGTH, "100 % Y"))
    assert ranking.problems == (
        "RB-011: pull-off strength is only a lower bound, and ranked by that",
    )


@pytest.mark.parametrize(("panels", "splits"), [(8, "all splits"), (9, "20,000 random splits")])
def test_the_rank_test_says_from_which_splits_it_comes(panels: int, splits: str) -> None:
    """Nine panels each have 48,620 splits: more than are gone through."""
    rng = np.random.default_rng(8)
    values = {batch: rng.integers(0, 5, panels).tolist() for batch in ("RB-010", "RB-011")}
    study = GLOSS.replace("margin = 5", 'method = "ratings"')
    found = of(compared(panel_rows("gloss", values), study), "RB-011")
    assert found.method == (
        "probability that a panel of the candidate is rated better than one of the control;"
        f" Wilcoxon-Mann-Whitney from {splits}, Sidak over 1; interval: Newcombe"
    )


def test_signs_on_a_condition_are_told_without_another_verdict_on_the_same() -> None:
    """Worse if it stood alone and all scatter alike: no "not worse" stands beside it on that.

    Of twelve properties none is worse with all of them looked at together.
    """
    names = [f"p{number}" for number in range(12)]
    alike = {f"RB-01{number}": [5.1, 5, 4.9] for number in range(6)}
    wider = {**alike, "RB-011": [6.5, 6, 5.5]}
    tables = [panel_rows(one, wider if one == "p0" else alike, unit="GU") for one in names]
    study = "".join(
        f'[[property]]\nname = "{one}"\nkind = "film"\nquantity = "{one}"\ndirection = "lower"\n'
        "margin = 2\n"
        for one in names
    )
    comparison = compared(pd.concat(tables), study, kind="film", batches=register(sorted(alike)))
    (found,) = (one for one in comparison.verdicts if (one.batch, one.property) == ("RB-011", "p0"))
    assert found.outcome is VerdictWord.SIGNS_OF_HARM
    assert found.p_alone_if_alike < 0.05 < found.p_alone
    assert "if the panels of all batches scatter alike" in found.because
    assert (found.if_alike, found.condition) == (None, "")
