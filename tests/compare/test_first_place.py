"""Who is first overall, and whether other margins, weights or batches would change that."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM
from study_tables import compared, panel_rows, register

from tiecoat.compare.batch_scatter import BatchScatter, batch_scatter, same_recipes, told_scatter
from tiecoat.compare.first_place import (
    Desirabilities,
    Doubt,
    NoFirst,
    RankingChange,
    changed,
    clear_first,
)
from tiecoat.compare.properties import Property
from tiecoat.compare.ranking import Ranking, rank
from tiecoat.compare.samples import Sample, Samples
from tiecoat.evaluate.estimate import NotDeterminable

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
SURE = {
    "gloss": {"RB-010": [80, 81, 79.0], "RB-011": [90, 91, 89.0], "RB-012": [60, 61, 59.0]},
    "haze": {"RB-010": [5, 5.2, 4.8], "RB-011": [4, 4.2, 3.8], "RB-012": [3, 3.1, 2.9]},
}
GLOSS = Property("gloss", "film", "gloss", margin=10)


def ranked(
    values: dict[str, dict[str, list[float]]],
    study: str = STUDY,
    batches: pd.DataFrame | None = None,
) -> Ranking:
    """Return the ranking of gloss and haze of panels."""
    table = pd.concat([panel_rows(name, one, unit="GU") for name, one in values.items()])
    return rank(compared(table, study, kind="film", batches=batches))


def test_each_margin_and_weight_is_halved_and_doubled() -> None:
    """Two properties: eight changes, each with its name, and the first stays the first."""
    found = ranked(SURE)
    assert [one.what for one in found.changes] == [
        f"{key} of {name} {change}"
        for name in ("gloss", "haze")
        for key in ("margin", "weight")
        for change in ("halved", "doubled")
    ]
    assert {one.first for one in found.changes} == {"RB-011"}
    assert (found.first, found.no_first) == ("RB-011", None)


def test_a_first_place_that_hangs_on_a_weight_is_no_clear_first() -> None:
    """One is better in gloss, the other in haze: whoever weighs them otherwise ranks otherwise.

    By hand, desirability of gloss from 70 to 90 and of haze from 7 to 3: RB-011 has 1 and 0.45,
    RB-012 0.5 and 1; their roots are 0.671 and 0.707. With half the weight of haze RB-011 has
    0.45^(1/3) = 0.766 and RB-012 0.5^(2/3) = 0.630.
    """
    values = {
        "gloss": {"RB-010": [80, 80.2, 79.8], "RB-011": [90, 90.2, 89.8], "RB-012": [80, 80, 80]},
        "haze": {"RB-010": [5, 5.01, 4.99], "RB-011": [5.2, 5.21, 5.19], "RB-012": [3, 3.01, 2.99]},
    }  # fmt: skip
    found = ranked(values)
    assert found.table["batch"].iloc[0] == "RB-012"
    by_name = {one.what: one for one in found.changes}
    assert by_name["weight of haze halved"].first == "RB-011"
    assert by_name["weight of haze doubled"].first == "RB-012"
    assert found.first == ""
    assert found.no_first is not None
    assert (found.no_first.doubt, found.no_first.leading) == (Doubt.CHANGE, "RB-012")
    assert found.no_first.change in found.changes
    assert found.no_first.change is not None
    assert found.no_first.change.first == "RB-011"


def test_the_control_can_be_first() -> None:
    """Where every candidate does harm, the control is the clear first."""
    values = {
        "gloss": {"RB-010": [80, 81, 79.0], "RB-011": [60, 61, 59.0]},
        "haze": {"RB-010": [5, 5.2, 4.8], "RB-011": [4, 4.2, 3.8]},
    }
    found = ranked(values, STUDY.replace("margin = 10", "margin = 4\nideal = 90"))
    assert found.first == "RB-010"


def test_scatter_that_lets_another_be_first_leaves_no_clear_first() -> None:
    """First in fewer than four of five draws."""
    wide = {"gloss": {"RB-010": [70, 80, 90.0], "RB-011": [74, 84, 92.0]}}
    found = ranked(wide, STUDY[: STUDY.index('[[property]]\nname = "haze"')])
    assert found.table["batch"].iloc[0] == "RB-011"
    assert found.no_first is not None
    assert (found.no_first.doubt, found.no_first.leading) == (Doubt.DRAWS, "RB-011")
    share = found.chances.loc["RB-011", 1]
    assert found.no_first.share == pytest.approx(share, abs=0.015)  # equal ones are shared
    assert share < 0.8


@pytest.mark.parametrize(
    ("stated", "changes", "batches", "expected"),
    [
        (("", 0.5), [], None, NoFirst(Doubt.SHARED)),
        (("A", 0.6), [], None, NoFirst(Doubt.DRAWS, "A", 0.6)),
        (("A", 0.8), [], ("A", 0.8), None),
        (
            ("A", 0.9),
            [("A", 0.6), ("B", 0.9)],
            None,
            NoFirst(Doubt.CHANGE, "A", 0.9, RankingChange("change", "B", 0.9)),
        ),
        (("A", 0.9), [("A", 0.6)], None, None),
        (
            ("A", 0.9),
            [("", 0.5)],
            None,
            NoFirst(Doubt.CHANGE, "A", 0.9, RankingChange("change", "", 0.5)),
        ),
        (("A", 0.9), [], ("A", 0.6), NoFirst(Doubt.BATCHES, "A", 0.6)),
        (("A", 0.9), [], ("A", 0.85), None),
    ],
)
def test_what_makes_a_clear_first(
    stated: tuple[str, float],
    changes: list[tuple[str, float]],
    batches: tuple[str, float] | None,
    expected: NoFirst | None,
) -> None:
    """Four of five draws, every change, and batches made again where their scatter is known."""
    found = clear_first(
        RankingChange("as stated", *stated),
        [RankingChange("change", *one) for one in changes],
        None if batches is None else RankingChange("batches", *batches),
    )
    assert found == expected


def test_one_number_is_changed_at_a_time() -> None:
    """Each margin and each weight, to half and to twice; where limits are stated, no margin."""
    seen: list[list[tuple[float | None, float | None, float]]] = []

    def found(properties: Sequence[Property]) -> Desirabilities:
        seen.append([(one.margin, one.margin_percent, one.weight) for one in properties])
        return Desirabilities(np.ones((2, 1, 1)), np.ones(1))

    haze = Property("haze", "film", "haze", margin_percent=8.0, weight=3.0, unacceptable=9, ideal=2)
    changes = list(changed([GLOSS, haze], found, ["RB-010", "RB-011"]))
    assert [(one.what, one.first, one.share) for one in changes] == [
        (what, "", 0.5)
        for what in (
            "margin of gloss halved",
            "margin of gloss doubled",
            "weight of gloss halved",
            "weight of gloss doubled",
            "weight of haze halved",
            "weight of haze doubled",
        )
    ]
    assert seen == [
        [(5.0, None, 1.0), (None, 8.0, 3.0)],
        [(20.0, None, 1.0), (None, 8.0, 3.0)],
        [(10, None, 0.5), (None, 8.0, 3.0)],
        [(10, None, 2.0), (None, 8.0, 3.0)],
        [(10, None, 1.0), (None, 8.0, 1.5)],
        [(10, None, 1.0), (None, 8.0, 6.0)],
    ]


def sample(batch: str, values: np.ndarray) -> Sample:
    """Return a value a panel."""
    names = tuple(f"{batch}-{place}" for place in range(len(values)))
    return Sample(batch, names, values, "panels", "GU")


def test_the_scatter_of_batches_is_the_variance_component_of_statsmodels() -> None:
    """Balanced batches of one recipe: REML of a random batch, by MixedLM, gives the same."""
    rng = np.random.default_rng(41)
    values = rng.normal(80, 0.5, (8, 4)) + rng.normal(0, 2.0, 8)[:, None]
    batches: Samples = {f"RB-{n:03d}": sample(f"RB-{n:03d}", one) for n, one in enumerate(values)}
    found = batch_scatter(GLOSS, [batches])
    groups = np.repeat(np.arange(8), 4)
    theirs = MixedLM(values.ravel(), np.ones((32, 1)), groups).fit(reml=True)
    assert found.deviation == pytest.approx(math.sqrt(float(theirs.cov_re[0, 0])), rel=1e-3)
    assert (found.freedom, found.batches) == (7, 8)


def test_batches_that_differ_no_more_than_panels_do_have_no_scatter() -> None:
    """Less than what panels explain counts as none; a single batch tells nothing."""
    alike: Samples = {b: sample(b, np.array([79.0, 81.0, 80.0])) for b in ("RB-010", "RB-020")}
    assert batch_scatter(GLOSS, [alike]) == BatchScatter(0.0, 1, 2)
    with pytest.raises(NotDeterminable) as caught:
        batch_scatter(GLOSS, [{"RB-010": sample("RB-010", np.array([79.0, 81.0]))}])
    assert str(caught.value) == (
        "no recipe has two batches with it: how batches differ is not known"
    )


def test_recipes_of_one_known_batch_tell_nothing_of_the_scatter_of_batches() -> None:
    """By hand: means 80 and 84, panels one off them, so 8 / 1 - 4 / 2 * 1 / 2; nothing else counts.

    Neither a batch of another recipe, nor lower bounds, counts, or a batch of one panel.
    """
    known: Samples = {
        "RB-010": sample("RB-010", np.array([79.0, 81.0])),
        "RB-020": sample("RB-020", np.array([83.0, 85.0])),
        "RB-021": NotDeterminable("no values"),
        "RB-022": replace(sample("RB-022", np.array([10.0, 90.0])), is_floor=True),
        "RB-023": replace(sample("RB-023", np.array([10.0, 90.0])), areas=np.array([1.0, 1.0])),
        "RB-024": sample("RB-024", np.array([10.0])),
    }
    alone: Samples = {"RB-030": sample("RB-030", np.array([10.0, 90.0]))}
    assert batch_scatter(GLOSS, [known, alone]) == BatchScatter(math.sqrt(7), 1, 2)


@pytest.mark.parametrize(
    ("found", "told"),
    [
        ({}, "no recipe in the archive has several batches: how batches differ is not known"),
        (
            {"gloss": NotDeterminable("")},
            "no recipe in the archive has several batches: how batches differ is not known",
        ),
        (
            {"gloss": NotDeterminable(""), "haze": BatchScatter(1.0, 1, 2)},
            "how batches differ is not known of gloss",
        ),
        ({"haze": BatchScatter(1.0, 1, 2)}, ""),
    ],
)
def test_why_the_scatter_of_batches_is_not_known(
    found: dict[str, BatchScatter | NotDeterminable], told: str
) -> None:
    """Of no property, of some, or of none that is asked about."""
    assert told_scatter(found) == told


def test_batches_made_again_can_take_the_first_place_away() -> None:
    """Two batches of the control's recipe lie 12 GU apart: a lead of 5 GU is no clear one then."""
    values = {
        "gloss": {
            "RB-010": [80, 80.2, 79.8],
            "RB-011": [85, 85.2, 84.8],
            "RB-020": [92, 92.2, 91.8],
        }
    }
    only_gloss = STUDY[: STUDY.index('[[property]]\nname = "haze"')]
    study = 'batches = ["RB-010", "RB-011"]\n' + only_gloss
    batches = register(["RB-010", "RB-011", "RB-020"]).assign(
        recipe="base", candidate=[None, "x", None], dose_percent=[0.0, 5.0, 0.0]
    )
    assert same_recipes(batches) == [["RB-010", "RB-020"]]
    found = ranked(values, study, batches)
    assert found.chances.loc["RB-011", 1] > 0.99
    assert found.with_batches is not None
    assert found.with_batches.share < 0.8
    assert found.first == ""
    assert found.no_first == NoFirst(Doubt.BATCHES, "RB-011", found.with_batches.share)
    without = ranked(values, study, batches.assign(recipe=["a", "b", "c"]))
    assert (without.first, without.with_batches) == ("RB-011", None)
    assert without.no_batches == (
        "no recipe in the archive has several batches: how batches differ is not known"
    )
