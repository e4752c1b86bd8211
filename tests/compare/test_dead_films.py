"""Films of known truth that die, fall or hold: what is told of them, and which is called better."""

from __future__ import annotations

import pandas as pd
import pytest
from film_courses import HOURS, SIX, compared, evaluated, steady, verdict
from films import AREA_CM2

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.study_draft import draft
from tiecoat.compare.verdict import Firmness, VerdictWord
from tiecoat.contract.choices import ImpedanceChoices

GOOD, POOR = (f"time to a limit, below {limit} ohm cm2 at 0.1 Hz" for limit in ("1e+08", "1e+06"))
DEAD = [9.0, 3.3, 3.3, 3.3, 3.3]
COURSES = {
    "RB-010": [steady(start, 0.35) for start in SIX],
    "RB-011": [[start, *DEAD[1:]] for start in SIX],
    "RB-012": [steady(start, 0.1) for start in SIX],
}


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    """A control that falls steadily, a candidate dead after the first day, one that holds."""
    return compared(evaluated(COURSES))


def test_a_film_dead_after_a_day_has_no_decline_that_is_better(comparison: Comparison) -> None:
    """From 1e9 to 2e3 ohm cm2 in a day, then flat: a line through that falls less than the control.

    Least squares gives 0.29 decades a day for it and 0.35 for the control. It is not comparable,
    and says why.
    """
    found = verdict(comparison, "RB-011", "modulus decline")
    assert not found.is_comparable
    assert found.outcome is VerdictWord.CANNOT_TELL
    assert found.because.startswith(
        "not comparable: RB-011 has 6 of 6 panels without it: the film failed within 24 h: from "
    )


def test_the_time_to_a_limit_tells_the_dead_film_from_the_others(comparison: Comparison) -> None:
    """Dead by 24 h, against 69 and 206 h of the control: worse on both limits, and firmly so.

    So is the one that holds better: its order is known, and of the size of the ratio little.
    """
    for name in (GOOD, POOR):
        found = verdict(comparison, "RB-011", name)
        assert (found.outcome, found.standing) == (VerdictWord.WORSE, Firmness.FIRM), name
        assert found.high < 1
    held = verdict(comparison, "RB-012", GOOD)
    assert (held.outcome, held.standing) == (VerdictWord.BETTER, Firmness.FIRM)
    assert held.firm_low >= 1


def test_what_falls_straight_has_the_slope_that_was_put_in(comparison: Comparison) -> None:
    """0.35 and 0.1 decades a day: the film that holds is better by 0.25, within its interval."""
    found = verdict(comparison, "RB-012", "modulus decline")
    assert found.outcome is VerdictWord.BETTER
    assert found.low < -0.25 < found.high
    assert found.value_control == pytest.approx(0.35, abs=0.02)


def declines(table: pd.DataFrame, batch: str = "RB-010") -> pd.DataFrame:
    """Return the declines of the panels of a batch."""
    mine = (table["quantity"] == "modulus_decline") & (table["batch"] == batch)
    return table[mine & (table["panel"] != "")]


@pytest.mark.parametrize(
    ("course", "reason"),
    [
        (DEAD, "the film failed within 24 h: from "),
        ([9.0, 9.0, 9.0, 3.4, 3.3], "the film failed between 72 and 168 h: from "),
        ([3.3, 3.4, 3.3, 3.3, 3.3], "the film had failed by the first exposure, 1 h"),
        ([9.5, 7.5, 7.5, 7.5, 7.5], "the course is not straight: off the line by up to "),
        ([9.0, 9.0, 8.9, 7.9, 6.9], "the course is not straight: off the line by up to "),
    ],
    ids=["dead in a day", "holds, then dies", "never a film", "falls and stays", "holds and falls"],
)
def test_a_course_that_is_not_straight_has_no_slope(course: list[float], reason: str) -> None:
    """Six panels of one course: none gets a slope, nor their batch, and each says why."""
    table = evaluated({"RB-010": [course] * 6})
    rows = table[table["quantity"] == "modulus_decline"]
    assert rows["value"].isna().all()
    assert rows["reason"].iloc[0].startswith(reason)
    assert rows["reason"].iloc[-1].startswith("6 of 6 panels without a decline: ")


def test_a_film_that_falls_to_the_floor_has_its_slope_until_then() -> None:
    """Two decades a day from 1e10, and 2e3 ohm cm2 from the fourth day on, where nothing is left.

    A line through all five exposures would say 0.7.
    """
    course = [max(9.9 - 1.5 * hour / 24, 3.3) for hour in HOURS]
    rows = declines(evaluated({"RB-010": [course] * 3}))
    assert rows["value"].to_numpy() == pytest.approx(1.5, abs=0.1)
    assert rows["n"].tolist() == [3, 3, 3]
    assert rows["flags"].str.contains("until 72 h: by 168 h the film had failed").all()


def test_the_limit_of_the_instrument_is_no_film() -> None:
    """Readings at the instrument's largest impedance are lower bounds: the slope is that below.

    Of a film that falls by half a decade a day from 1e12 ohm cm2, an instrument that ends at
    1e10 ohm cm2 shows a level and then the fall. An instrument with such a limit, 5e8 ohm cm2, is
    told of in J. Corros. Sci. Eng. 2 (1999) paper 20.
    """
    course = [min(12 - 0.5 * hour / 24, 10.0) for hour in HOURS]
    seen = evaluated({"RB-010": [course] * 3})
    assert declines(seen)["reason"].str.startswith("the course is not straight").all()
    limit = ImpedanceChoices(instrument_limit_ohm=0.8e10 / AREA_CM2)
    rows = declines(evaluated({"RB-010": [course] * 3}, limit))
    assert rows["value"].to_numpy() == pytest.approx(0.5, abs=0.06)
    assert rows["flags"].str.contains("3 of 5 exposures at the limit of the instrument").all()


def test_of_a_batch_that_lost_a_panel_the_others_do_not_speak() -> None:
    """One of three panels is dead after a day: the decline of the two that are left flatters."""
    courses = {**COURSES, "RB-012": [*COURSES["RB-012"][:2], DEAD]}
    found = verdict(compared(evaluated(courses)), "RB-012", "modulus decline")
    assert found.outcome is VerdictWord.CANNOT_TELL
    assert "RB-012 has 1 of 3 panels without it: the film failed within 24 h" in found.because


LIMITED = '[[property]]\nname = "time to a limit"\nmargin_percent = 50\n'


def in_words(comparison: Comparison) -> list[str]:
    """Return what is told not to be compared, of times."""
    return [one.words for one in comparison.not_compared if one.what.startswith("time to a limit")]


@pytest.mark.parametrize("study", ["", LIMITED], ids=["every property", "named"])
def test_a_limit_that_neither_has_crossed_is_no_missing_evidence(study: str) -> None:
    """Films that hold above 1e6 ohm cm2: no verdict on that limit, and it is told until when.

    The control was last seen after 240 h, and so were all candidates. On 1e8, which the control
    and one candidate cross, there are verdicts on both candidates.
    """
    courses = {
        "RB-010": [steady(start, 0.15) for start in SIX],
        "RB-011": [steady(start, 0.15) for start in SIX[::-1]],
        "RB-012": [steady(start, 0.0) for start in SIX],
    }
    found = compared(evaluated(courses), study)
    assert {one.batch for one in found.verdicts if one.property == GOOD} == {"RB-011", "RB-012"}
    assert POOR not in {one.property for one in found.verdicts}
    assert POOR not in {one.label for one in found.properties}
    assert in_words(found) == [f"{POOR} (RB-010, RB-011, RB-012): no panel has reached it by 240 h"]
    for batch in ("RB-011", "RB-012"):
        assert POOR not in found.does_no_harm(batch)[1]


def test_only_the_candidate_that_has_not_crossed_either_is_left_out() -> None:
    """One candidate dies and one holds, as the control does: one verdict on 1e6, for the dead."""
    courses = {
        "RB-010": [steady(start, 0.0) for start in SIX],
        "RB-011": [[start, *DEAD[1:]] for start in SIX],
        "RB-012": [steady(start, 0.0) for start in SIX[::-1]],
    }
    found = compared(evaluated(courses), LIMITED)
    for limit in (GOOD, POOR):
        (one,) = (one for one in found.verdicts if one.property == limit)
        assert (one.batch, one.outcome) == ("RB-011", VerdictWord.WORSE)
    assert in_words(found) == [
        f"{limit} (RB-010, RB-012): no panel of RB-010, RB-012 has reached it by 240 h"
        for limit in sorted((GOOD, POOR))
    ]
    assert not found.does_no_harm("RB-012")[0]
    assert found.harm("RB-012").open == ()


def test_until_when_is_what_all_panels_were_followed_for() -> None:
    """A candidate seen for 72 h against a control seen for 240 h: neither by 72 h."""
    courses = {name: [steady(start, 0.0) for start in SIX] for name in ("RB-010", "RB-011")}
    table = evaluated(courses)
    times = (table["quantity"] == "time_to_limit") & (table["batch"] == "RB-011")
    table.loc[times, "low"] = 72.0
    found = compared(table, LIMITED)
    assert found.verdicts == ()
    assert [one.partition(": ")[2] for one in in_words(found)] == [
        "no panel has reached it by 72 h"
    ] * 2


def test_a_study_drafted_from_films_that_hold_says_so_too() -> None:
    """The study that is written runs, and the limit that nobody crosses is in no verdict of it."""
    courses = {name: [steady(start, 0.15) for start in SIX] for name in ("RB-010", "RB-011")}
    table = evaluated(courses)
    text = draft(compared(table, ""), {}, {"impedance": table}, {}, "first.toml")
    assert 'name = "time to a limit"' in text
    found = compared(table, text)
    assert {GOOD} == {one.property for one in found.verdicts if one.property.startswith("time")}
    assert len(in_words(found)) == 1
