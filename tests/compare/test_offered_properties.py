"""Properties that evaluations bring."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
import pytest

from tiecoat.compare.offered import with_offered
from tiecoat.compare.properties import CATALOGUE
from tiecoat.compare.study import Study, load_study
from tiecoat.errors import SettingInvalid
from tiecoat.plugin import Evaluation, Nature, StudyProperty

HIDING = StudyProperty(
    "hiding power",
    "contrast_ratio",
    scale="ratio",
    margin_percent=5,
    nature=Nature(lost_by_failure=True),
)
ASKED = '[[property]]\nname = "hiding power"\nmargin_percent = 2\n'


def _nothing(_: Mapping[str, pd.DataFrame], __: Any) -> pd.DataFrame:
    return pd.DataFrame()


def evaluation(*properties: StudyProperty) -> Evaluation:
    """Return an evaluation of a stranger's kind."""
    return Evaluation("hiding", "hiding", _nothing, properties=properties)


def test_a_study_names_what_an_evaluation_brings() -> None:
    """By its name alone, with all that is said of it; what the study states goes before."""
    offered = with_offered([evaluation(HIDING)])
    assert offered.problems == ()
    (made,) = (one.made() for one in load_study(ASKED, "a", offered.catalogue).property)
    assert (made.kind, made.quantity) == ("hiding", "contrast_ratio")
    assert (made.scale, made.margin_percent) == ("ratio", 2)
    assert made.nature.lost_by_failure
    with pytest.raises(SettingInvalid, match="no property 'hiding power' is known"):
        load_study(ASKED)


def test_without_properties_a_study_asks_for_it_too() -> None:
    """It stands behind those that are known anyway, unless it is compared only by its name."""
    catalogue = with_offered([evaluation(HIDING)]).catalogue
    assert Study().knowing(catalogue).kinds()[-1] == "hiding"
    by_name = StudyProperty("hiding power", "contrast_ratio", margin=1, only_by_name=True)
    catalogue = with_offered([evaluation(by_name)]).catalogue
    assert "hiding" not in Study().knowing(catalogue).kinds()
    assert load_study(ASKED, "a", catalogue).kinds() == ("hiding",)


def test_an_application_keeps_what_is_known() -> None:
    """A property that an evaluation brings can be weighed for an application."""
    catalogue = with_offered([evaluation(HIDING)]).catalogue
    study = load_study(f'{ASKED}[application.roller.weight]\n"hiding power" = 3\n', "a", catalogue)
    (made,) = (one.made() for one in study.in_use("roller").property)
    assert (made.kind, made.weight) == ("hiding", 3)


@pytest.mark.parametrize(
    ("wrong", "why"),
    [
        (StudyProperty("modulus", "x", margin=1), "another property has this name"),
        (StudyProperty("hiding power", "", margin=1), "'hiding power' needs both kind and"),
        (StudyProperty("hiding power", "x"), "it needs margin or margin_percent"),
        (StudyProperty("hiding power", "x", margin=-1), "margin = -1: Input should be greater"),
        (StudyProperty("hiding power", "x", scale="ratio", margin=1), "it is compared by ratio"),
        (StudyProperty("hiding power", "x", method="counts", margin=1), "counts need area"),
        (
            StudyProperty("hiding power", "x", direction="up", margin=1),  # type: ignore[arg-type]
            "direction = 'up': Input should be 'higher', 'lower' or 'target'",
        ),
    ],
)
def test_what_no_study_could_state_is_left_out_and_told(wrong: StudyProperty, why: str) -> None:
    """By the rules of a study file; all else is as it was."""
    offered = with_offered([evaluation(wrong)])
    (told,) = offered.problems
    assert told.startswith(f"property {wrong.name!r} of evaluation 'hiding' was left out: {why}")
    assert dict(offered.catalogue.known) == dict(CATALOGUE.known)


def test_a_study_that_names_what_was_left_out_is_told_why() -> None:
    """Of properties, and of plugins that could not be loaded."""
    broken = "plugin evaluate_hiding was left out: SyntaxError"
    offered = with_offered([evaluation(StudyProperty("hiding power", "x"))], [broken])
    with pytest.raises(SettingInvalid) as told:
        load_study(ASKED, "a", offered.catalogue)
    said = str(told.value)
    assert "no property 'hiding power' is known" in said
    assert "'hiding power' of evaluation 'hiding' was left out: it needs margin or margin" in said
    assert broken in said
