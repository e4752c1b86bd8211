"""Harm cannot hide by omission: what is filed for the batches and not compared is listed."""

from __future__ import annotations

import math

import pandas as pd
from study_tables import NONE_FILED, compared, panel_rows, panels_of, register

from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.harm import HarmAccount
from tiecoat.compare.study import load_study
from tiecoat.compare.uncompared import UNNAMED, NotCompared

VALUES = {"RB-010": [80, 81, 79.0], "RB-011": [80.5, 79.5, 80]}
GLOSS = '[[property]]\nname = "gloss"\nkind = "gloss"\nquantity = "gloss"\nmargin = 5\n'
BOTH = ("RB-010", "RB-011")


def filed(**kinds: int) -> pd.DataFrame:
    """Return a list of measurements, so many of each kind and batch."""
    rows = [
        {"kind": kind, "batch": batch, "measurement": f"{kind}{number}", "measured_at": pd.NaT}
        for kind, count in kinds.items()
        for batch in (*BOTH, "RB-019")
        for number in range(count)
    ]
    return pd.DataFrame(rows)


def told(comparison: Comparison) -> list[NotCompared]:
    """Return what is listed."""
    return list(comparison.not_compared)


def test_a_kind_that_no_property_is_of_is_listed() -> None:
    """Ten measurements of these two batches; a batch that is not in the study does not count."""
    comparison = compare(
        load_study(GLOSS),
        results={"gloss": panel_rows("gloss", VALUES)},
        batches=register(BOTH),
        panels=panels_of(panel_rows("gloss", VALUES)),
        filed=filed(gloss=3, pull_off=5, panels=3, batches=1),
    )
    assert told(comparison) == [NotCompared("pull off, 10 measurements", "pull_off", BOTH, UNNAMED)]
    assert comparison.not_compared[0].words == (
        "pull off, 10 measurements (RB-010, RB-011): the study does not name it"
    )


def test_what_was_measured_and_is_not_determinable_says_why() -> None:
    """It is not called never measured: its reasons stand there, alike but for numbers once."""
    modulus = panel_rows("modulus", {b: [1e9, 2e9, 3e9] for b in BOTH}, condition="0.1 Hz")
    decline = panel_rows("modulus_decline", {b: [math.nan] * 3 for b in BOTH}, condition="0.1 Hz")
    decline["reason"] = [f"{n} exposure times, 3 are needed" for n in (1, 2, 1, 2, 2, 2)]
    table = pd.concat([modulus, decline], ignore_index=True)
    comparison = compared(table, '[[property]]\nname = "modulus"\n', kind="impedance")
    why = "not determinable: 1 to 2 exposure times, 3 are needed"
    assert told(comparison) == [NotCompared("modulus decline", "impedance", BOTH, why)]
    assert "modulus decline" not in comparison.never_measured
    assert "water uptake" in comparison.never_measured


def test_what_no_evaluation_gives_is_a_problem_and_not_called_never_measured() -> None:
    """The spectra are there; that they were never measured would lead astray."""
    modulus = panel_rows("modulus", {b: [1e9, 2e9, 3e9] for b in BOTH}, condition="0.1 Hz")
    study = '[[property]]\nname = "modulus"\n[[property]]\nname = "water uptake"\n'
    comparison = compared(modulus, study, kind="impedance")
    assert "impedance gives no 'water_uptake'" in " ".join(comparison.problems)
    assert "water uptake" not in comparison.never_measured
    assert "pull-off strength" in comparison.never_measured


def test_a_known_property_of_the_same_kind_is_listed() -> None:
    """The modulus is compared, and the water uptake that the same spectra give is not."""
    table = pd.concat(
        [
            panel_rows("modulus", {b: [1e9, 2e9, 3e9] for b in BOTH}, condition="0.1 Hz"),
            panel_rows("water_uptake", {"RB-011": [1.0, 2, 3]}, condition="10000 Hz"),
        ],
        ignore_index=True,
    )
    comparison = compared(table, '[[property]]\nname = "modulus"\n', kind="impedance")
    assert told(comparison) == [NotCompared("water uptake", "impedance", ("RB-011",), UNNAMED)]


def test_other_times_and_conditions_are_listed() -> None:
    """Gloss at another angle, and after other hours, than what is compared."""
    table = pd.concat(
        [
            panel_rows("gloss", VALUES, condition=angle, exposure_h=hours)
            for angle, hours in (("60 deg", 24.0), ("60 deg", 240.0), ("85 deg", 240.0))
        ],
        ignore_index=True,
    )
    comparison = compared(table, GLOSS + 'condition = "60 deg"\nexposure_h = [240]\n')
    assert told(comparison) == [
        NotCompared("gloss, 85 deg", "gloss", BOTH, UNNAMED),
        NotCompared("gloss after 24 h", "gloss", BOTH, "compared at other times only"),
    ]


def test_what_the_control_has_none_of_is_listed() -> None:
    """A topcoat on panels of the candidate only cannot be compared, and does not vanish."""
    table = panel_rows("gloss", {"RB-010": [80, 81, 79.0], "RB-011": [80, 81, 79, 60, 61, 62.0]})
    panels = pd.DataFrame(
        {
            "batch": ["RB-010"] * 3 + ["RB-011"] * 6,
            "panel": [*(f"RB-010-{n}" for n in (1, 2, 3)), *(f"RB-011-{n}" for n in range(1, 7))],
            "coat_system": ["primer"] * 6 + ["primer, topcoat"] * 3,
            "substrate": "steel",
        }
    )
    comparison = compare(
        load_study(GLOSS),
        results={"gloss": table},
        batches=register(BOTH),
        panels=panels,
        filed=NONE_FILED,
    )
    assert [one.label for one in comparison.properties] == ["gloss, primer"]
    assert told(comparison) == [
        NotCompared(
            "gloss, primer, topcoat", "gloss", ("RB-011",), "the control RB-010 has none of it"
        )
    ]


def test_nothing_is_listed_where_all_is_compared() -> None:
    """No kind, condition, time or coat system is left."""
    comparison = compare(
        load_study(GLOSS),
        results={"gloss": panel_rows("gloss", VALUES)},
        batches=register(BOTH),
        panels=panels_of(panel_rows("gloss", VALUES)),
        filed=filed(gloss=3, panels=1),
    )
    assert told(comparison) == []


def test_a_candidate_of_which_nothing_is_known_has_its_account() -> None:
    """Only "cannot tell" is told as such, property by property."""
    values = {"RB-010": [80, 90, 70.0], "RB-011": [81, 90, 72.0]}
    comparison = compared(panel_rows("gloss", values), GLOSS)
    account = comparison.harm("RB-011")
    assert account == HarmAccount((), (), (), (), (), ("gloss",), ())
    assert account.told == ("cannot tell on gloss",)
    assert comparison.does_no_harm("RB-011") == (False, "cannot tell on gloss")


def test_the_joint_error_of_not_worse_is_stated() -> None:
    """Over four properties at most 10 %; of one there is nothing joint."""
    rows = [panel_rows(name, VALUES) for name in "abcd"]
    each = [
        f'[[property]]\nname = "{name}"\nkind = "gloss"\nquantity = "{name}"\nmargin = 5\n'
        for name in "abcd"
    ]
    comparison = compared(pd.concat(rows, ignore_index=True), "".join(each))
    assert comparison.joint_error == (
        'Each "not worse" is wrong in at most 2.5 % of studies; that one or more on 4 properties is'
        " wrong, in at most 10 %. That a candidate passes on all of them and does harm on one:"
        " 2.5 %."
    )
    assert compared(rows[0], each[0]).joint_error == ""
    claiming_nothing = "".join(each).replace("margin = 5", "")
    assert compared(pd.concat(rows, ignore_index=True), claiming_nothing).joint_error == ""
