"""What is told of the batches of a study: several of one recipe, further controls, names."""

from __future__ import annotations

import math

import pandas as pd
import pytest
from study_tables import NONE_FILED

from tiecoat.compare.selection import refuse_unknown, repeated_recipes
from tiecoat.compare.study import load_study
from tiecoat.errors import UnknownName


def register(*rows: tuple[str, str | None, str]) -> pd.DataFrame:
    """Return a register of batches with recipe and role."""
    table = pd.DataFrame(list(rows), columns=["batch", "recipe", "role"])
    return table.assign(candidate=None, dose_percent=math.nan)


@pytest.mark.parametrize(
    ("rows", "told"),
    [
        ([("RB-010", "A", "control"), ("RB-011", "B", "candidate")], []),
        (
            [
                ("RB-010", "A", "control"),
                ("RB-012", "B", "candidate"),
                ("RB-011", "B", "candidate"),
            ],
            [
                (
                    "B: RB-011, RB-012 are batches of one recipe; each is compared by itself, and"
                    " how they differ tells of the scatter among batches"
                )
            ],
        ),
        (
            [("RB-010", None, "control"), ("RB-011", None, "candidate")],
            [],
        ),
        (
            [("RB-010", "A", "control"), ("RB-013", "C", "control"), ("RB-012", "B", "control")],
            ["further batches with the role control: RB-012, RB-013"],
        ),
    ],
)
def test_what_the_register_has_more_than_once_is_told(
    rows: list[tuple[str, str | None, str]], told: list[str]
) -> None:
    """Two batches are enough to be several of a recipe; further controls are told if there are."""
    assert repeated_recipes(register(*rows), "RB-010") == told


def test_without_a_control_none_is_a_further_one() -> None:
    """Where no batch is the control, those of the role are told elsewhere."""
    rows = register(("RB-010", "A", "control"), ("RB-011", "B", "control"))
    assert repeated_recipes(rows, "") == []


@pytest.mark.parametrize(
    ("batches", "listed"),
    [
        (8, "QX-1, QX-2, QX-3, QX-4, QX-5, QX-6, QX-7, QX-8"),
        (9, "QX-1, QX-2, QX-3, QX-4, QX-5, QX-6, QX-7, QX-8 and 1 more"),
    ],
)
def test_eight_names_are_told_and_the_others_counted(batches: int, listed: str) -> None:
    """Of a name that is near none, those that there are stand there, and how many more."""
    rows = register(*((f"QX-{n}", None, "candidate") for n in range(1, batches + 1)))
    with pytest.raises(UnknownName) as refused:
        refuse_unknown(load_study('batches = ["RB-0100"]'), rows, NONE_FILED)
    assert str(refused.value) == (
        f"the study names the batch RB-0100, which the register does not hold; there are {listed}"
    )


def test_all_that_the_register_does_not_hold_is_told_at_once() -> None:
    """Batch and control; of one with data it is said that registering it is what is lacking."""
    rows = register(("RB-010", "A", "control"))
    study = load_study('control = "RB-01"\nbatches = ["RB-010", "rb-020"]')
    with pytest.raises(UnknownName) as refused:
        refuse_unknown(study, rows, pd.DataFrame({"batch": ["RB-020"]}))
    assert str(refused.value) == (
        "the study names the batch RB-020, which has data but is not in the register: register it"
        " first\n"
        "the study names the control RB-01, which the register does not hold; near it: RB-010"
    )
