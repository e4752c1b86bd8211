"""A study of some panels, coat systems and doses: only they count, and the rest is told."""

from __future__ import annotations

import pandas as pd
import pytest
from study_tables import panel_rows, register

from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.restriction import ExcludedBy, Exclusion
from tiecoat.compare.study import load_study
from tiecoat.errors import UnknownName

GLOSS = '[[property]]\nname = "gloss"\nkind = "gloss"\nquantity = "gloss"\nmargin = 5\n'
AIR = '[[property]]\nname = "entrapped air"\n'
BATCHES = ("RB-010", "RB-011", "RB-012")
SYSTEMS = ["primer", "primer", "primer and topcoat", "primer and topcoat", ""]


def studied(text: str) -> Comparison:
    """Return a comparison of three batches of five panels: two bare, two coated, one untold."""
    gloss = panel_rows("gloss", {one: [80.0, 82, 60, 61, 90] for one in BATCHES})
    air = panel_rows("entrapped_air", {one: [2.0] for one in BATCHES}, condition="as mixed")
    air = air.assign(panel="", measurement=[f"air {one}" for one in BATCHES], standard_error=0.1)
    panels = gloss[["batch", "panel"]].assign(coat_system=SYSTEMS * 3, substrate="steel")
    filed = panels[["batch", "panel"]].assign(
        measurement=[f"m{n}" for n in range(15)], kind="gloss", measured_at=pd.NaT
    )
    return compare(
        load_study(text),
        results={"gloss": gloss, "density": air},
        batches=register(BATCHES, doses={"RB-011": 5.0, "RB-012": 10.0}),
        panels=panels,
        filed=filed,
    )


def test_only_the_coat_systems_named_count_and_wet_paint_stays() -> None:
    """The bare panels alone; the air in the wet paint has no coats and is compared as before."""
    found = studied(f'coat_systems = ["primer"]\n{GLOSS}{AIR}')
    assert [one.label for one in found.properties] == ["gloss", "entrapped air"]
    assert {(one.n, one.n_control) for one in found.verdicts if one.property == "gloss"} == {(2, 2)}
    assert found.left_out == (
        Exclusion(ExcludedBy.COAT_SYSTEMS, "", 3, ("gloss",)),
        Exclusion(ExcludedBy.COAT_SYSTEMS, "primer and topcoat", 6, ("gloss",)),
    )
    assert found.not_compared == ()
    assert "gloss" not in found.never_measured


def test_only_the_doses_named_are_compared() -> None:
    """The control stays, whatever its dose; who is left out is told by dose."""
    found = studied(f"doses_percent = [5]\n{GLOSS}")
    assert list(found.batches.index) == ["RB-010", "RB-011"]
    assert {one.batch for one in found.verdicts} == {"RB-011"}
    assert found.left_out == (Exclusion(ExcludedBy.DOSES, "10", 1, ("gloss",)),)


def test_panels_and_coat_systems_hold_together() -> None:
    """Of the panels named those with the coat system; each is told by what leaves it out."""
    named = ", ".join(f'"{one}-{n}"' for one in BATCHES for n in (1, 2, 3))
    found = studied(f'panels = [{named}]\ncoat_systems = ["primer"]\n{GLOSS}')
    assert found.panels == {f"{one}-{n}" for one in BATCHES for n in (1, 2)}
    (told,) = {one.count for one in found.left_out if one.name == "primer and topcoat"}
    assert told == 6


def test_panels_that_it_does_not_name_are_told() -> None:
    """Thirteen of fifteen, and what was measured on them."""
    found = studied(f'panels = ["RB-010-1", "RB-011-1"]\n{GLOSS}')
    assert found.left_out == (Exclusion(ExcludedBy.PANELS, "", 13, ("gloss",)),)


def test_a_study_that_names_nothing_leaves_nothing_out() -> None:
    """All panels, all doses."""
    found = studied(GLOSS)
    assert (found.left_out, found.panels) == ((), None)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            'coat_systems = ["primer & topcoat"]\n',
            (
                "the study names the coat system 'primer & topcoat', which no registered panel has;"
                " near it: primer and topcoat, primer"
            ),
        ),
        (
            "doses_percent = [7.5]\n",
            "the study names the dose 7.5 %, which none of its batches has; there are 0, 5, 10",
        ),
    ],
)
def test_what_nothing_has_is_told_with_what_there_is(text: str, told: str) -> None:
    """A slip of the pen does not compare nothing in silence."""
    with pytest.raises(UnknownName) as raised:
        studied(text + GLOSS)
    assert str(raised.value) == told
