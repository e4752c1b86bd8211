"""The third study of the example: harm that hides under the topcoat is found and told first."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from example_topcoat import ALONE, TOPCOAT_RECIPES, TOPPED
from labs import make_lab

import tiecoat
from tiecoat.ask.study_data import StudyData, read_study, study_data
from tiecoat.compare.verdict import Firmness, Verdict, VerdictWord
from tiecoat.report.conclusions import candidate_rows
from tiecoat.report.first_page import AnswerTo, first_page
from tiecoat.report.quality import quality_of

EXAMPLE = Path(__file__).parents[2] / "archive_example"
CONTROL, TREATED, HARMLESS = TOPCOAT_RECIPES
UNDER = f"pull-off strength, {TOPPED}"
ON_ITS_OWN = f"pull-off strength, {ALONE}"


@pytest.fixture(scope="module")
def data(tmp_path_factory: pytest.TempPathFactory) -> StudyData:
    """What the study gives in a lab that took in the trial."""
    lab = make_lab(tmp_path_factory.mktemp("topcoat") / "lab")
    for folder in ("register", "pull-off", "density"):
        shutil.copytree(EXAMPLE / "topcoat" / folder, lab.inbox / folder)
        lab.take()
    assert lab.held() == {}
    return study_data(tiecoat.open(lab.root), read_study(EXAMPLE / "topcoat_study.toml"))


def verdict(data: StudyData, label: str, batch: str) -> Verdict:
    """Return the verdict on a line of a property."""
    (found,) = (
        one for one in data.comparison.verdicts if (one.property, one.batch) == (label, batch)
    )
    return found


def test_each_coat_system_is_a_line(data: StudyData) -> None:
    """Four panels a batch without a topcoat, five with one, and the wet paint."""
    labels = [one.label for one in data.comparison.properties]
    assert labels == ["entrapped air", ON_ITS_OWN, UNDER]
    assert data.comparison.problems == ()
    numbers = [verdict(data, label, TREATED.batch).n for label in labels]
    assert numbers == [4, 4, 5]


def test_the_treated_talc_gains_on_air_and_harms_under_the_topcoat_only(data: StudyData) -> None:
    """Better, not worse and worse, all firm; the intervals hold what the generator put in."""
    air, alone, under = (
        verdict(data, label, TREATED.batch) for label in ("entrapped air", ON_ITS_OWN, UNDER)
    )
    assert [one.outcome for one in (air, alone, under)] == [
        VerdictWord.BETTER,
        VerdictWord.NOT_WORSE,
        VerdictWord.WORSE,
    ]
    assert {one.standing for one in (air, alone, under)} == {Firmness.FIRM}
    truths = (
        100 * (TREATED.air - CONTROL.air),
        TREATED.alone_mpa - CONTROL.alone_mpa,
        TREATED.topped_mpa - CONTROL.topped_mpa,
    )
    for one, truth in zip((air, alone, under), truths, strict=True):
        assert one.low < truth < one.high


def test_only_the_harmless_candidate_is_shown_to_do_no_harm(data: StudyData) -> None:
    """By name of the properties; the other one by name of the line that it harms."""
    on = f"entrapped air, {ON_ITS_OWN}, {UNDER}"
    comparison = data.comparison
    assert comparison.does_no_harm(HARMLESS.batch) == (True, f"better or not worse on {on}")
    assert comparison.does_no_harm(TREATED.batch) == (False, f"worse on {UNDER}")


def test_the_first_page_names_the_harm(data: StudyData) -> None:
    """Candidate and line stand together under the heading of harm."""
    answers = first_page(data, candidate_rows(data, []), quality_of(data))
    (harm,) = (one for one in answers if one.of is AnswerTo.HARM)
    assert any(TREATED.batch in told and TOPPED in told for told in harm.sentences)
    assert not any(HARMLESS.batch in told for told in harm.sentences)
