"""A wrong name in a study is answered with names near it, else with those that there are."""

from __future__ import annotations

from pathlib import Path

import pytest

import tiecoat
from tiecoat.ask.query import Archive
from tiecoat.ask.study_data import study_data
from tiecoat.compare.result_rows import near_words
from tiecoat.compare.study import load_study
from tiecoat.errors import SettingInvalid, UnknownName

EXAMPLE = Path(__file__).parents[2] / "archive_example"
GLOSS = """
[[property]]
name = "shine"
kind = "gloss"
quantity = "gloss_mean"
condition = "60 deg"
direction = "target"
margin = 5
"""
RATING = """
[[property]]
name = "creep"
kind = "exposure_rating"
quantity = "scribe_creep"
direction = "lower"
margin = 1
"""
CRATERS = """
[[property]]
name = "holes"
kind = "defects"
quantity = "craters"
area = "evaluated_mm2"
method = "counts"
direction = "lower"
margin_percent = 50
"""
BATCHES = 'batches = ["RB-010", "RB-011"]\n'
THERE = ", ".join(f"RB-0{place}" for place in range(10, 18)) + " and 1 more"


@pytest.fixture(scope="module")
def archive() -> Archive:
    """The archive of the example."""
    return tiecoat.open(EXAMPLE)


def told(archive: Archive, study: str) -> list[str]:
    """Return what is told of a study that cannot be compared as it asks."""
    data = study_data(archive, load_study(study))
    return [*data.comparison.problems, *data.left_out]


@pytest.mark.every(3)
@pytest.mark.parametrize(
    ("study", "sentence"),
    [
        (
            'panels = ["RB-010-1", "RB-011-9"]\n' + BATCHES + GLOSS,
            "the panel RB-011-9 has no data; near it: RB-011-3, RB-011-2, RB-011-1",
        ),
        (
            BATCHES + GLOSS.replace('"gloss"', '"glos"'),
            "there is no kind 'glos'; near it: gloss",
        ),
        (
            BATCHES + GLOSS.replace('"gloss"', '"thermography"'),
            (
                "there is no kind 'thermography'; there are chamber_record, cross_section,"
                " defect_regions, defects, density, exposure_rating, film_thickness, foam and 6"
                " more"
            ),
        ),
        (
            BATCHES + GLOSS.replace("gloss_mean", "gloss_maen"),
            (
                "shine: gloss gives no 'gloss_maen'; near it: 'gloss_mean', 'gloss_sd',"
                " 'gloss_readings'"
            ),
        ),
        (
            BATCHES + GLOSS.replace("gloss_mean", "x"),
            "shine: gloss gives no 'x'; there are 'gloss_mean', 'gloss_readings', 'gloss_sd'",
        ),
        (
            BATCHES + RATING,
            (
                "creep: exposure_rating gives no 'scribe_creep'; near it: 'scribe_corrosion',"
                " 'scribe_delamination'"
            ),
        ),
        (
            BATCHES + GLOSS.replace("60 deg", "6 deg"),
            "shine: there is no gloss_mean with the condition '6 deg'; near it: '60 deg'",
        ),
        (
            BATCHES + CRATERS.replace('"craters"', '"crater"'),
            "holes: defects has no column 'crater'; near it: 'craters', 'reader', 'parameters'",
        ),
        (
            BATCHES + CRATERS.replace("evaluated_mm2", "evaluated_cm2"),
            "holes: defects has no column 'evaluated_cm2'; near it: 'evaluated_mm2'",
        ),
    ],
)
def test_a_wrong_name_is_told_with_those_near_it(
    archive: Archive, study: str, sentence: str
) -> None:
    """Panel, kind, quantity, condition and column, word for word."""
    assert sentence in told(archive, study)


@pytest.mark.parametrize(
    ("study", "sentence"),
    [
        (
            'control = "RB-0100"\n' + GLOSS,
            (
                "the study names the control RB-0100, which the register does not hold; near it:"
                " RB-010, RB-018, RB-017"
            ),
        ),
        (
            'control = "X"\n' + GLOSS,
            ("the study names the control X, which the register does not hold; there are " + THERE),
        ),
        (
            'batches = ["RB-010", "RB-0111"]\n' + GLOSS,
            (
                "the study names the batch RB-0111, which the register does not hold; near it:"
                " RB-011, RB-018, RB-017"
            ),
        ),
    ],
)
def test_a_batch_that_nobody_registered_is_refused(
    archive: Archive, study: str, sentence: str
) -> None:
    """Control and batch: such a study is not compared at all."""
    with pytest.raises(UnknownName) as refused:
        told(archive, study)
    assert str(refused.value) == sentence


@pytest.mark.parametrize(
    ("study", "words"),
    [
        ('[[property]]\nname = "modulas"\n', "near it: 'modulus'"),
        ('[[property]]\nname = "gloss"\nmargn = 5\n', "did you mean 'margin'?"),
        (GLOSS.replace('"target"', '"targt"'), "allowed is 'higher', 'lower' or 'target'"),
        (
            GLOSS + 'method = "mean"\n',
            "allowed is 'means', 'strengths', 'counts', 'ratings' or 'times'",
        ),
        (GLOSS + 'scale = "ratios"\n', "allowed is 'difference' or 'ratio'"),
    ],
)
def test_a_wrong_key_or_choice_is_refused_with_those_allowed(study: str, words: str) -> None:
    """Such a file is not run at all."""
    with pytest.raises(SettingInvalid) as refused:
        load_study(study)
    assert words in str(refused.value)


def test_names_of_which_none_is_near_are_told_up_to_eight() -> None:
    """And how many more there are."""
    names = [f"quantity {n}" for n in range(11)]
    told_names = ", ".join(map(repr, names[:8]))
    assert near_words("xyz", names) == f"there are {told_names} and 3 more"
    assert near_words("xyz", names[:8]) == f"there are {told_names}"
