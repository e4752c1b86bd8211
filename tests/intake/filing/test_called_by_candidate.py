"""A batch told by its candidate and dose, a panel by its number beside its batch."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from bad_exports import panel_row, panels
from labs import LabAtWork

Make = Callable[..., LabAtWork]

BATCHES = """Batch;Recipe;Candidate;Dose (%);Role
RB-010;Girder primer;;0;control
RB-011;Girder primer;fine talc;5;candidate
RB-012;Girder primer;fine talc;10;candidate
RB-013;Girder primer;talc;10;candidate
"""


def cup(batch: str = "", beside: str = "") -> str:
    """Return efflux times of one batch, with a line above."""
    titles, cells = ("Batch;", f"{batch};") if batch else ("", "")
    return (
        f"Flow cup ISO 2431 4 mm\n{beside}\n"
        f"{titles}Temp. (°C);Efflux time (s)\n{cells}23,1;61,4\n{cells}23,0;61,9\n"
    )


@pytest.fixture
def at_work(lab: Make) -> LabAtWork:
    """A lab that knows four batches, two of which share a dose and a part of their names."""
    made = lab()
    made.drop("register.csv", BATCHES)
    made.take()
    assert not made.held()
    return made


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("fine talc 10 % monday.csv", cup()),
        ("monday.csv", cup("RB-012 (fine talc 10 %)")),
        ("monday.csv", cup("RB-012 [fine talc]")),
        ("monday.csv", cup("Fine Talc, 10%")),
        ("monday.csv", cup(beside="Candidate: fine talc\nDose: 10 %\n")),
        ("monday.csv", cup("RB-012", "Candidate: fine talc\nDose: 10 %\n")),
    ],
)
def test_candidate_and_dose_tell_the_batch(at_work: LabAtWork, name: str, text: str) -> None:
    """In the name of the file, behind an id, in its place, or in lines above."""
    at_work.drop(name, text)
    told = at_work.take()[name]
    assert told.status == "filed", at_work.held()
    assert {row["batch"] for row in at_work.rows("viscosity")} == {"RB-012"}


@pytest.mark.parametrize(
    ("name", "text", "reason"),
    [
        ("fine talc.csv", cup(), "no-batch"),  # in which dose?
        ("fine talc 7 %.csv", cup(), "no-batch"),
        ("talc 10 % and fine talc 5 %.csv", cup("RB-012 (second can)"), "bad-id"),
        ("monday.csv", cup("RB-011 (fine talc 10 %)"), "other-batch"),
        ("monday.csv", cup("RB-011", "Candidate: fine talc\nDose: 10 %\n"), "other-batch"),
    ],
)
def test_what_the_register_does_not_say_is_held(
    at_work: LabAtWork, name: str, text: str, reason: str
) -> None:
    """A candidate without its dose, a dose nobody made, a remark of one's own, another batch."""
    at_work.drop(name, text)
    at_work.take()
    assert at_work.held()[name]["reason"] == reason
    assert at_work.rows("viscosity") == []


def test_the_number_of_a_panel_beside_its_batch(at_work: LabAtWork) -> None:
    """`Platte 2` in the name of a file whose folder names the batch is its registered panel."""
    at_work.drop("panels.csv", panels(panel_row("RB-012-2", "RB-012")))
    at_work.take()
    pull = "Dolly 20 mm\nTest;Strength (MPa);Failure\n1;6,2;100 % B\n2;6,0;100 % B\n"
    at_work.drop("RB-012/Abriss Platte 2.csv", pull)
    at_work.drop("RB-012/Abriss Platte 7.csv", pull.replace("6,2", "6,4"))
    at_work.take()
    assert {row["panel"] for row in at_work.rows("pull_off")} == {"RB-012-2"}
    assert {one["reason"] for one in at_work.held().values()} == {"no-panel"}
