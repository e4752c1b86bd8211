"""Which results go together: batches or panels as units, never panels as if they were batches."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd
import pytest
from study_tables import NONE_FILED, panel_rows

from tiecoat.compare.circumstances import PanelRegister
from tiecoat.compare.links import Link, PairableResult, links, links_table, pairable
from tiecoat.compare.study import load_study
from tiecoat.compare.tables import StudyTables
from tiecoat.contract.choices import Choices
from tiecoat.errors import UnknownName
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.rank_correlation import RankCorrelation, rank_correlation

BATCHES = [f"RB-{n:03}" for n in range(10, 17)]
Values = Mapping[str, Sequence[float]]


def wet(air: Mapping[str, float]) -> pd.DataFrame:
    """Return the air in the wet paint of each batch."""
    table = panel_rows(
        "entrapped_air", {one: [of] for one, of in air.items()}, condition="as mixed", unit="%"
    )
    return table.assign(panel="", measurement=[f"air {one}" for one in air], standard_error=0.1)


def linked(
    tables: Mapping[str, pd.DataFrame], why: str, systems: Mapping[str, str] | None = None
) -> list[Link]:
    """Return the links of some result tables, of panels with one coat system or these."""
    panels = pd.concat(one[["batch", "panel"]] for one in tables.values()).drop_duplicates()
    panels = panels[panels["panel"] != ""]
    coats = panels["panel"].map(lambda one: (systems or {}).get(one, "primer"))
    register = PanelRegister.of(panels.assign(coat_system=coats, substrate="steel"), NONE_FILED)
    study = load_study(f"why = {why}")
    of = StudyTables.of(None, tables, {}, register, Choices(), conditions={})
    return links(study, of, sorted({*pd.concat(tables.values())["batch"]}))


def test_what_belongs_to_the_batch_is_held_against_means() -> None:
    """Air is known of batches, voids of panels: the batches are the units, whatever the panels."""
    air = {one: float(place) for place, one in enumerate(BATCHES)}
    voids = {one: [place + 0.1, place - 0.1] for place, one in enumerate(BATCHES)}
    tables = {"density": wet(air), "cross_section": panel_rows("void_fraction", voids, unit="%")}
    (found,) = linked(tables, '[["entrapped air", "void fraction"]]')
    assert isinstance(found.between, RankCorrelation)
    assert (found.between.value, found.between.n, found.panels) == (1.0, 7, 0)
    assert isinstance(found.within, NotDeterminable)
    assert found.points["second"].tolist() == pytest.approx(list(air.values()))


def test_between_and_within_batches_are_told_apart() -> None:
    """Thick batches are worse, and yet within each batch the thick panels are the better ones."""
    thickness = {one: [100.0 + place, 101.0 + place] for place, one in enumerate(BATCHES)}
    modulus = {
        one: [10.0 ** (9 - place), 10.0 ** (9.3 - place)] for place, one in enumerate(BATCHES)
    }
    tables = {
        "film_thickness": panel_rows("thickness_mean", thickness, unit="um"),
        "impedance": panel_rows("modulus", modulus, condition="0.1 Hz", exposure_h=240.0),
    }
    (found,) = linked(tables, '[["film thickness", "modulus"]]')
    assert isinstance(found.between, RankCorrelation)
    assert isinstance(found.within, RankCorrelation)
    assert (found.between.value, found.between.n) == (-1.0, 7)
    assert (found.within.value, found.within.n) == (pytest.approx(1.0), 14)
    assert found.means["second"].to_numpy() == pytest.approx(10.0 ** (9.15 - np.arange(7)))
    table = links_table([found])
    assert table["level"].tolist() == ["between batches", "within batches"]
    assert table["panels"].tolist() == [14, 14]


def test_panels_of_other_coats_are_held_apart() -> None:
    """With and without topcoat are two links, each of its own panels."""
    first = {one: [1.0 + place, 9.0 - place] for place, one in enumerate(BATCHES)}
    systems = {f"{one}-2": "primer and topcoat" for one in BATCHES}
    tables = {
        "film_thickness": panel_rows("thickness_mean", first, unit="um"),
        "gloss": panel_rows("gloss", {one: [5.0 + n, 50.0 + n] for n, one in enumerate(BATCHES)}),
    }
    study = '[["film thickness", "gloss"]]\n[[property]]\nname = "gloss"\nkind = "gloss"\n'
    found = linked(tables, study + 'quantity = "gloss"', systems)
    assert [one.second.setting for one in found] == ["primer", "primer and topcoat"]
    values = [one.between.value for one in found if isinstance(one.between, RankCorrelation)]
    assert values == [1.0, -1.0]


def test_too_few_batches_say_so() -> None:
    """Four pairs are no sign of anything: the number that it takes is told."""
    values: Values = {one: [1.0 + place] for place, one in enumerate(BATCHES[:4])}
    tables = {
        "film_thickness": panel_rows("thickness_mean", values),
        "cross_section": panel_rows("void_fraction", values),
    }
    (found,) = linked(tables, '[["film thickness", "void fraction"]]')
    assert str(found.between) == "4 pairs are too few: it takes 5"


def test_a_name_that_is_none_is_told_with_those_near_it() -> None:
    """Names are those of the study's properties and of what tiecoat knows."""
    with pytest.raises(
        UnknownName, match=r"^why names 'void fractoin', .*near it: 'void fraction'"
    ):
        linked({"density": wet({"RB-010": 1.0})}, '[["void fractoin", "modulus"]]')


def test_every_result_can_be_held_against_another() -> None:
    """By its quantity in words, with its condition where it has several; batches against panels."""
    gloss = {one: [80.0 - place, 81.0 - place] for place, one in enumerate(BATCHES)}
    angles = [panel_rows("gloss_mean", gloss, condition=f"{at} deg", unit="GU") for at in (20, 60)]
    flow = {one: [1.0 + place] for place, one in enumerate(BATCHES)}
    stress = panel_rows("yield_stress", flow, condition="down; Casson", unit="Pa")
    pooled = angles[0].assign(panel="", quantity="gloss_mean", condition="of all")
    tables = {
        "gloss": pd.concat([*angles, pooled], ignore_index=True),
        "viscosity": stress.assign(panel="", measurement=[f"flow {one}" for one in BATCHES]),
    }
    (found,) = linked(tables, '[["yield stress", "gloss, 60 deg"]]')
    assert isinstance(found.between, RankCorrelation)
    assert (found.between.value, found.between.n) == (-1.0, len(BATCHES))
    both = linked(tables, '[["yield stress, down; Casson", "gloss"]]')
    assert [one.second.condition for one in both] == ["20 deg", "60 deg"]
    register = PanelRegister.of(NONE_FILED.assign(coat_system=""), NONE_FILED)
    of = StudyTables.of(None, tables, {}, register, Choices(), conditions={})
    assert pairable(load_study(""), of, BATCHES) == [
        PairableResult("gloss", "gloss", ("20 deg", "60 deg"), len(BATCHES), 2 * len(BATCHES)),
        PairableResult("yield stress", "viscosity", ("down; Casson",), len(BATCHES), 0),
    ]


def test_panels_of_one_batch_are_no_independent_pairs() -> None:
    """Two results that differ from batch to batch by chance, each for itself: by simulation.

    Taken as independent the 24 panels of six batches would call them linked in a third of all
    studies; between batches and within them that is seldom (5 % at most; of 300 with 99 % up to
    24).
    """
    random = np.random.default_rng(20261130)
    naive = between = within = 0
    names = [f"RB-{n:03}" for n in range(10, 16)]
    for _ in range(300):
        sides = random.normal(size=(2, 6, 1)) * 3 + random.normal(size=(2, 6, 4))
        one = rank_correlation(sides[0].ravel(), sides[1].ravel())
        naive += one.low > 0 or one.high < 0
        two = rank_correlation(sides[0].mean(axis=1), sides[1].mean(axis=1))
        between += two.low > 0 or two.high < 0
        off = sides - sides.mean(axis=2, keepdims=True)
        three = rank_correlation(off[0].ravel(), off[1].ravel(), len(names))
        within += three.low > 0 or three.high < 0
    assert naive > 75
    assert max(between, within) <= 24


@pytest.mark.parametrize(("n", "rho"), [(8, 0.0), (8, 0.8), (20, 0.5)])
def test_intervals_hold_the_true_rank_correlation(n: int, rho: float) -> None:
    """Of normal pairs the true one is 6 / pi asin(rho / 2) (Pearson 1907; from memory).

    4,000 studies in each of 44 designs gave 93.6 to 100 %; here 300, of which 270 at least.
    """
    random = np.random.default_rng(n)
    true, held = 6 / math.pi * math.asin(rho / 2), 0
    for _ in range(300):
        first = random.normal(size=n)
        second = rho * first + math.sqrt(1 - rho**2) * random.normal(size=n)
        found = rank_correlation(first, second)
        held += found.low <= true <= found.high
    assert held >= 270
