"""Every comparison is made within one coat system, substrate, dolly and condition."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pandas as pd
import pytest
from scipy.stats import binom, ttest_ind
from study_tables import CRATERS, NONE_FILED, of, panel_rows, register

from tiecoat.compare import comparison as comparison_of
from tiecoat.compare import mean_findings
from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.recommendation import Lack, Missing, ranking_of, recommendations
from tiecoat.compare.study import Study, load_study
from tiecoat.compare.verdict import Firmness, VerdictWord
from tiecoat.errors import UnknownName
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.result import results, together
from tiecoat.report.recommended import application_rows

STEEL = "steel, blasted Sa 2½"
ALONE, TOPPED = "epoxy primer", "epoxy primer, polyurethane topcoat"
STRENGTH = '[[property]]\nname = "pull-off strength"\n'
GLOSS = '[[property]]\nname = "gloss"\nkind = "gloss"\nquantity = "gloss"\nmargin = 5\n'
DAY = pd.Timestamp("2026-09-21", tz="UTC")

# batch, coat system, strength of each panel
PLAN = [
    ("RB-010", ALONE, [7.0, 7.4, 7.2]),
    ("RB-010", TOPPED, [9.0, 9.3, 9.1]),
    ("RB-011", ALONE, [7.1, 7.3, 7.2]),
    ("RB-011", TOPPED, [5.8, 6.0, 6.1]),
]
Plan = list[tuple[str, str, list[float]]]


def registered(plan: Plan, **more: object) -> pd.DataFrame:
    """Return the register of panels of a plan, numbered through each batch."""
    rows = []
    numbers: dict[str, int] = {}
    for batch, system, values in plan:
        for _ in values:
            numbers[batch] = numbers.get(batch, 0) + 1
            panel = f"{batch}-{numbers[batch]}"
            rows.append({"batch": batch, "panel": panel, "coat_system": system} | more)
    return pd.DataFrame(rows).assign(substrate=STEEL)


def pull_offs(plan: Plan, dolly_mm: float = 20.0) -> pd.DataFrame:
    """Return one determination a panel, as filed."""
    rows = registered(plan)[["batch", "panel"]]
    return rows.assign(
        measurement=[f"m{place}" for place in range(len(rows))],
        measured_at=DAY,
        dolly_diameter_mm=dolly_mm,
        strength_mpa=[value for _, _, values in plan for value in values],
        failure="100 % B",
    )


def strengths(plan: Plan, study: str = STRENGTH, **more: pd.DataFrame) -> Comparison:
    """Return the comparison of a plan."""
    return comparison_for(plan, load_study(study), **more)


def comparison_for(plan: Plan, study: Study, **more: pd.DataFrame) -> Comparison:
    """Return the comparison of a plan for a study that is read already."""
    batches = list(dict.fromkeys(batch for batch, _, _ in plan))
    given = {"panels": registered(plan), "filed": NONE_FILED, "rows": pull_offs(plan)} | more
    rows = given.pop("rows")
    return compare(
        study,
        results={"pull_off": panel_rows("strength_mean_censored", {"RB-010": [7.0]})},
        batches=register(batches),
        raw={"pull_off": rows},
        **given,
    )


def labels(comparison: Comparison) -> list[str]:
    """Return the lines that are compared."""
    return [one.label for one in comparison.properties]


def test_a_property_has_a_line_for_each_coat_system() -> None:
    """Each is compared by itself: no harm on the primer alone, 3.2 MPa less under the topcoat."""
    comparison = strengths(PLAN)
    alone, topped = f"pull-off strength, {ALONE}", f"pull-off strength, {TOPPED}"
    assert labels(comparison) == [alone, topped]
    first, second = comparison.verdicts
    assert (first.property, second.property) == (alone, topped)
    assert (first.n, second.n, first.n_control, second.n_control) == (3, 3, 3, 3)
    assert first.outcome is VerdictWord.NOT_WORSE
    assert second.outcome is VerdictWord.WORSE
    p = ttest_ind(PLAN[3][2], PLAN[1][2], equal_var=False).pvalue
    assert second.p_over_candidates == pytest.approx(p)
    assert comparison.does_no_harm("RB-011") == (False, f"worse on {topped}")


def test_a_property_that_exists_once_has_its_plain_name() -> None:
    """Nothing is told apart where there is nothing to tell apart."""
    assert labels(strengths([PLAN[0], PLAN[2]])) == ["pull-off strength"]


def test_a_study_names_the_lines_that_it_wants() -> None:
    """Only that with the topcoat; one that there is not is told with those that exist."""
    asked = f'{STRENGTH}coat_systems = ["{TOPPED}"]\n'
    assert labels(strengths(PLAN, asked)) == [f"pull-off strength, {TOPPED}"]
    wrong = strengths(PLAN[:1] + PLAN[2:], f'{STRENGTH}coat_systems = ["{TOPPED}"]\n')
    assert wrong.problems == (
        (
            f"pull-off strength, {TOPPED}: the control has no coat system '{TOPPED}' with"
            f" it; near it: '{ALONE}'"
        ),
    )
    assert [one.outcome for one in wrong.verdicts] == [VerdictWord.CANNOT_TELL]


@pytest.mark.parametrize(
    ("asked", "who"),
    [
        (f'{STRENGTH}coat_systems = ["epoxy primers"]\n', "the property 'pull-off strength'"),
        (
            STRENGTH
            + '[application.girder.weight]\n"pull-off strength" = { "epoxy primers" = 2 }\n',
            "application.girder",
        ),
    ],
)
def test_a_coat_system_that_no_panel_has_is_refused(asked: str, who: str) -> None:
    """Wherever a study names it, as a batch is that the register does not hold."""
    with pytest.raises(UnknownName) as caught:
        strengths(PLAN, asked)
    assert str(caught.value) == (
        f"{who} names the coat system 'epoxy primers', which no registered panel has;"
        f" near it: '{ALONE}', '{TOPPED}'"
    )


def test_an_application_weighs_one_coat_system_of_a_property() -> None:
    """Its weight, its margin and that it decides are those of the line with these coats alone."""
    asked = f"""{STRENGTH}margin = 1
[application.girder]
weight = {{ "pull-off strength" = {{ "{TOPPED}" = 5 }} }}
margin = {{ "pull-off strength" = {{ "{TOPPED}" = 4 }} }}
decisive = [["pull-off strength", "{TOPPED}"]]
"""
    comparison = strengths(PLAN, asked)
    (one,) = recommendations(comparison, ranking_of(comparison), again(PLAN))
    lines = {line.setting: line for line in one.comparison.properties}
    assert {name: (x.weight, x.margin, x.decisive) for name, x in lines.items()} == {
        ALONE: (1, 1, False),
        TOPPED: (5, 4, True),
    }
    limits = {verdict.property: verdict.limit_low for verdict in one.comparison.verdicts}
    assert limits == {f"pull-off strength, {ALONE}": -1, f"pull-off strength, {TOPPED}": -4}
    told = application_rows([one])[0][1]
    assert told == (
        f"weight of pull-off strength, {TOPPED} 5; margin of pull-off strength, {TOPPED} 4;"
        f" decisive: pull-off strength, {TOPPED}"
    )
    without = strengths(
        [PLAN[0], PLAN[2], ("RB-012", TOPPED, [9.0])], asked.replace("margin = { ", "# ")
    )
    (other,) = recommendations(without, ranking_of(without), again(PLAN))
    assert Missing(f"pull-off strength, {TOPPED}", Lack.UNTESTED) in other.missing
    assert without.problems == (
        (
            f"weight of pull-off strength, {TOPPED} (application girder) has no effect: nothing of"
            " that is compared"
        ),
    )
    assert not comparison.problems


def again(plan: Plan) -> Callable[[Study], Comparison]:
    """Return what compares the plan for a study that is not read from a text."""
    return lambda study: comparison_for(plan, study)


def test_what_shares_nothing_is_not_comparable_and_has_no_number() -> None:
    """A control without a topcoat and a candidate with nothing else: a sentence and no number."""
    comparison = strengths([PLAN[0], PLAN[3]])
    (found,) = comparison.verdicts
    assert found.outcome is VerdictWord.CANNOT_TELL
    assert not found.is_comparable
    assert found.because == f"not comparable: the control has it of {ALONE}, RB-011 of {TOPPED}"
    assert np.isnan([found.effect, found.low, found.high, found.p, found.value]).all()


def test_other_dollies_are_other_lines() -> None:
    """20 and 50 mm on the panels of both batches: each compared by itself."""
    plan = [PLAN[0], PLAN[2]]
    more = pull_offs(plan, 50.0).assign(strength_mpa=lambda rows: rows["strength_mpa"] - 2)
    rows = pd.concat([pull_offs(plan), more.assign(measurement="x")], ignore_index=True)
    comparison = strengths(plan, rows=rows)
    assert labels(comparison) == [
        "pull-off strength, dolly of 20 mm",
        "pull-off strength, dolly of 50 mm",
    ]
    small = strengths(plan, STRENGTH + "dollies_mm = [50]\n", rows=rows)
    assert labels(small) == ["pull-off strength, dolly of 50 mm"]
    assert of(small, "RB-011").value_control == pytest.approx(5.2)


def test_another_substrate_is_another_line() -> None:
    """The same coats on zinc are not compared with those on steel."""
    plan = [PLAN[0], PLAN[2]]
    panels = registered(plan)
    panels.loc[panels["batch"] == "RB-011", "substrate"] = "zinc"
    (found,) = strengths(plan, panels=panels).verdicts
    assert found.because == f"not comparable: the control has it of {STEEL}, RB-011 of zinc"


def test_the_coats_are_those_of_the_day_of_the_determination() -> None:
    """Panels tested before their topcoat came on are compared as primer alone."""
    plan = [("RB-010", TOPPED, PLAN[0][2]), ("RB-011", TOPPED, PLAN[2][2])]
    later = DAY + pd.Timedelta(days=7)
    before = registered(plan, coat_2_on=later)
    rows = pull_offs(plan)
    after = rows.assign(
        measured_at=DAY + pd.Timedelta(days=14),
        strength_mpa=rows["strength_mpa"] + 2,
        measurement=[f"n{place}" for place in range(len(rows))],
    )
    both = pd.concat([rows, after], ignore_index=True).assign(kind="pull_off")
    comparison = strengths(plan, panels=before, rows=both, filed=both)
    assert labels(comparison) == [
        f"pull-off strength, {TOPPED}",
        f"pull-off strength, {TOPPED}, first coat alone",
    ]
    alone = of(comparison, "RB-011", f"pull-off strength, {TOPPED}, first coat alone")
    assert (alone.n, alone.value) == (3, pytest.approx(7.2))


def test_nothing_is_compared_without_the_register_of_panels() -> None:
    """What tells coat systems apart cannot be left out by accident."""
    with pytest.raises(TypeError, match="'panels' and 'filed'"):
        compare(load_study(GLOSS), results={}, batches=register(["RB-010"]))  # type: ignore[call-arg]


def test_what_the_register_does_not_tell_of_panels_is_said() -> None:
    """Panels without a coat system are compared with each other only, and with a caution."""
    told = "that it is the same is taken on trust"
    plan = [PLAN[0], PLAN[2]]
    assert not any(told in one for one in strengths(plan).cautions)
    unknown = strengths(plan, panels=registered(plan).assign(coat_system=None))
    assert unknown.cautions[1] == (
        "the register tells no coat system of the panels compared on pull-off strength: " + told
    )
    half = registered(plan)
    half.loc[half["batch"] == "RB-011", "coat_system"] = None
    (found,) = strengths(plan, panels=half).verdicts
    assert found.because == (
        f"not comparable: the control has it of {ALONE}, RB-011 of no coat system told"
    )


def whole(values: dict[str, float]) -> pd.DataFrame:
    """Return results that are pooled over the panels of each batch."""
    return together(
        [
            results("gloss", {"batch": batch}, value, "GU", standard_error=1.0, low=value - 2,
                    high=value + 2, n=6)
            for batch, value in values.items()
        ]
    )  # fmt: skip


def test_what_was_averaged_over_coat_systems_is_not_compared() -> None:
    """A result of a whole batch whose panels have two coat systems has no line to stand in."""
    of_panels = panel_rows("other", {"RB-010": [1.0] * 6, "RB-011": [1.0] * 6})
    table = pd.concat([whole({"RB-010": 80.0, "RB-011": 60.0}), of_panels], ignore_index=True)
    comparison = compare(
        load_study(GLOSS),
        results={"gloss": table},
        batches=register(["RB-010", "RB-011"]),
        panels=registered(PLAN),
        filed=NONE_FILED,
    )
    assert comparison.problems == (
        (
            "gloss: not comparable: the control RB-010 has it of several together:"
            f" {ALONE} and {TOPPED}"
        ),
    )
    assert [one.outcome for one in comparison.verdicts] == [VerdictWord.CANNOT_TELL]


def test_counts_are_told_apart_too() -> None:
    """Craters with and without a topcoat are two lines."""
    panels = registered(PLAN)
    rows = panels[["batch", "panel"]].assign(craters=5.0, area_cm2=10.0)
    comparison = compare(
        load_study(CRATERS),
        results={},
        batches=register(["RB-010", "RB-011"]),
        panels=panels,
        filed=NONE_FILED,
        raw={"defects": rows},
        conditions={"defects": {}},
    )
    assert labels(comparison) == [f"craters, {ALONE}", f"craters, {TOPPED}"]


MIXES = [
    ((0, 6), (6, 0)),
    ((1, 5), (5, 1)),
    ((2, 4), (4, 2)),
    ((3, 3), (0, 6)),
    ((3, 3), (6, 0)),
    ((3, 3), (3, 3)),
    ((6, 6), (3, 3)),
]  # panels without and with a topcoat: of the control, of each candidate
DIFFERENT = (VerdictWord.BETTER, VerdictWord.WORSE)
Mix = tuple[tuple[int, int], tuple[int, int]]


@dataclass
class MixTally:
    """Of studies of equal paints: those with a firm difference, and with any, conditional too."""

    studies: int
    firm: int = 0
    any_: int = 0
    compared: int = 0  # verdicts that have a number

    def __str__(self) -> str:
        one = 100 / self.studies
        per_study = self.compared / self.studies
        return (
            f"firm {one * self.firm:.2f} %, with conditional {one * self.any_:.2f} %,"
            f" {per_study:g} of at most 8 verdicts with a number"
        )


def mixed_study(rng: np.random.Generator, mix: Mix, candidates: int = 4) -> Comparison:
    """Return a study of equal paints, of which the topcoat lifts the strength by 3 MPa."""
    names = [f"RB-{10 + place:03d}" for place in range(candidates + 1)]
    plan: Plan = []
    for batch in names:
        alone, topped = mix[0] if batch == "RB-010" else mix[1]
        for system, count, mean in ((ALONE, alone, 7.0), (TOPPED, topped, 10.0)):
            if count:
                plan.append((batch, system, np.abs(rng.normal(mean, 0.6, count)).tolist()))
    return strengths(plan)


def tally_of(mix: Mix, studies: int) -> MixTally:
    """Return what so many studies of equal paints, compared by the program, claim of them."""
    rng = np.random.default_rng(31)
    found = MixTally(studies)
    for _ in range(studies):
        told = mixed_study(rng, mix).verdicts
        wrong = {one.standing for one in told if one.outcome in DIFFERENT}
        found.firm += Firmness.FIRM in wrong
        found.any_ += bool(wrong)
        found.compared += sum(not math.isnan(one.effect) for one in told)
        if mix == MIXES[0]:
            assert not any(one.is_comparable for one in told)
    return found


@pytest.fixture
def verdicts_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out what is told beside a verdict: it takes most of the time, and decides none.

    That is how many panels would do, what is filed and not compared, and how far batches of one
    recipe lie apart.
    """
    monkeypatch.setattr(mean_findings, "panels_for_own_scatter", lambda *_, **__: None)
    monkeypatch.setattr(comparison_of, "not_compared", lambda *_: ())
    monkeypatch.setattr(comparison_of, "_scatter", lambda *_: NotDeterminable("left out"))


@pytest.mark.thorough
@pytest.mark.usefixtures("verdicts_alone")
@pytest.mark.parametrize("mix", MIXES, ids=str)
def test_another_mix_of_coats_makes_no_difference_between_equal_paints(mix: Mix) -> None:
    """Ten studies each: where nothing is shared nothing is compared, else at most 6 %."""
    assert tally_of(mix, 10).any_ <= binom.ppf(0.999, 10, 0.06)


@pytest.mark.campaign
@pytest.mark.usefixtures("verdicts_alone")
@pytest.mark.parametrize("mix", MIXES, ids=str)
def test_mixes_of_coats_over_two_thousand_studies(mix: Mix, request: pytest.FixtureRequest) -> None:
    """The same with 2,000 studies of each mix: at most 6 % firm differences."""
    if "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    found = tally_of(mix, 2000)
    print(f"control {mix[0]}, candidates {mix[1]}: {found}", flush=True)
    assert found.firm <= 0.06 * 2000
