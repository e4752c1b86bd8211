"""Harm that hides under the topcoat: the study of the example finds it, and tells it first."""

from __future__ import annotations

from pathlib import Path

import pytest
from example_study import example_data
from example_topcoat import ALONE, TOPPED, TOPPED_MPA
from example_truth import RECIPES
from shared_work import SharedWork

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.conclusions import candidate_rows
from tiecoat.report.first_page import AnswerTo, first_page
from tiecoat.report.quality import quality_of

EXAMPLE = Path(__file__).parents[2] / "archive_example"
FEW_FLAKES = "RB-015"
UNDER, ON_ITS_OWN = f"pull-off strength, {TOPPED}", f"pull-off strength, {ALONE}"
BATCHES = [recipe.batch for recipe in RECIPES[1:]]


@pytest.fixture(scope="module")
def data(shared_work: SharedWork) -> StudyData:
    """What the study of the example gives."""
    return example_data(shared_work)


def verdict(data: StudyData, label: str, batch: str = FEW_FLAKES) -> Verdict:
    """Return the verdict on a line of a property."""
    (found,) = (
        one for one in data.comparison.verdicts if (one.property, one.batch) == (label, batch)
    )
    return found


def test_each_coat_system_is_a_line(data: StudyData) -> None:
    """Three panels a batch without a topcoat, four with one; the wet paint has no coats."""
    labels = [one.label for one in data.comparison.properties]
    assert [one for one in labels if one.startswith("pull-off")] == [ON_ITS_OWN, UNDER]
    assert "entrapped air" in labels
    assert data.comparison.problems == ()
    for batch in BATCHES:
        assert [verdict(data, one, batch).n for one in (ON_ITS_OWN, UNDER)] == [3, 4]


def test_few_flakes_gain_on_the_barrier_and_harm_under_the_topcoat_only(data: StudyData) -> None:
    """Better, not worse if all batches scatter alike, and worse: firm but for the second."""
    barrier, alone, under = (
        verdict(data, label) for label in ("modulus after 240 h", ON_ITS_OWN, UNDER)
    )
    assert [one.outcome for one in (barrier, alone, under)] == [
        VerdictWord.BETTER,
        VerdictWord.NOT_WORSE,
        VerdictWord.WORSE,
    ]
    assert [one.standing for one in (barrier, alone, under)] == [
        Firmness.FIRM,
        Firmness.CONDITIONAL,
        Firmness.FIRM,
    ]


@pytest.mark.parametrize("batch", BATCHES)
def test_the_intervals_under_the_topcoat_hold_what_the_generator_put_in(
    data: StudyData, batch: str
) -> None:
    """All eight together, with 95 %; and no verdict on them is false."""
    found = verdict(data, UNDER, batch)
    truth = TOPPED_MPA[batch][0] - TOPPED_MPA["RB-010"][0]
    assert found.low < truth < found.high
    harmed = batch in {"RB-015", "RB-016"}
    assert found.outcome is (VerdictWord.WORSE if harmed else VerdictWord.NOT_WORSE)


def test_few_flakes_are_not_shown_to_do_no_harm(data: StudyData) -> None:
    """By name of the lines on which they do, and of the one that is open."""
    assert data.comparison.does_no_harm(FEW_FLAKES) == (
        False,
        (
            f"worse on {UNDER}; adhesive failure, {TOPPED}; cannot tell on adhesive failure,"
            f" {ALONE}; not firm on {ON_ITS_OWN}"
        ),
    )


def test_the_first_page_names_the_harm(data: StudyData) -> None:
    """Candidate and line stand together under the heading of harm, what it gains under its own."""
    answers = first_page(data, candidate_rows(data, []), quality_of(data))
    by_code = {one.of: one.sentences for one in answers}
    (told,) = (one for one in by_code[AnswerTo.HARM] if FEW_FLAKES in one)
    assert told.startswith(f"{FEW_FLAKES} (5 % glass flake) is worse on {UNDER} (−")
    (gained, *_) = (one for one in by_code[AnswerTo.BENEFIT] if FEW_FLAKES in one)
    assert gained.startswith(f"{FEW_FLAKES} (5 % glass flake) is better on modulus after 240 h (× ")
    assert "entrapped air (−" in gained
