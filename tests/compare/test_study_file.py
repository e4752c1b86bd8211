"""The study file: what it asks for, and what is said of one that cannot be followed."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.compare import study as study_module
from tiecoat.compare.properties import CATALOGUE
from tiecoat.compare.study import Study, load_study
from tiecoat.errors import SettingInvalid


def test_the_example_of_the_module_can_be_loaded() -> None:
    """The file in the docstring is a valid study and means what its comments say."""
    text = (study_module.__doc__ or "").split("\n\n", 1)[1].rsplit("\n\n", 1)[0]
    study = load_study("\n".join(line.removeprefix("    ") for line in text.splitlines()))
    modulus, levelling = (one.made() for one in study.property)
    assert study.control == "RB-010"
    assert study.exposure_h == (24, 240)
    assert (modulus.scale, modulus.margin_percent, modulus.weight) == ("ratio", 30, 2)
    assert (levelling.kind, levelling.direction, levelling.margin) == ("viscosity", "lower", 5)
    assert study.kinds() == ("impedance", "viscosity")


def test_an_empty_study_asks_for_everything() -> None:
    """Without a file every property of the catalogue is compared."""
    study = load_study("")
    assert study == Study()
    assert study.kinds() == ("impedance", "pull_off", "density", "viscosity")
    assert study.raw_kinds() == ("pull_off",)


def test_a_margin_of_the_study_takes_the_place_of_the_usual_one() -> None:
    """An absolute margin does not stand beside the percentage of the catalogue, nor the reverse."""
    text = '[[property]]\nname = "pull-off strength"\nmargin_percent = 20\n'
    made = load_study(text).property[0].made()
    assert (made.margin, made.margin_percent) == (None, 20)
    assert CATALOGUE["pull-off strength"].margin == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('[[property]]\nname = "modulos"', r"line 1: property.1.*'modulos'.*'modulus'"),
        ('[[property]]\nname = "gloss"', "no property 'gloss' is known; near it"),
        ('[[property]]\nname = "x"\nkind = "gloss"', "quantity is missing"),
        ("contrl = 1", "line 1: contrl: there is no such key; did you mean 'control'"),
        ("exposure_h = 240", "line 1: exposure_h = 240: allowed is a list"),
        ("exposure_h = [-1]", r"line 1: exposure_h\.1 = -1"),
        ('control = "A"\ncontrol = "B"', "not valid TOML"),
        ('batches = ["RB-011", "rb-011"]', "batches names RB-011 twice"),
        ('[[property]]\nname = "modulus"\nmargin = 3', "allowed is margin_percent, not margin"),
        (
            '[[property]]\nname = "modulus decline"\nmargin = 3\nmargin_percent = 3',
            "both margin and margin_percent",
        ),
        (
            '[[property]]\nname = "modulus"\nmargin_percent = 0',
            r"line 3: property.1.margin_percent = 0: allowed is greater than 0",
        ),
        ('[[property]]\nname = "modulus"\nmargin_percent = nan', "margin_percent"),
        ('[[property]]\nname = "modulus"\nmargin_percent = 100', "cannot fall by 100 %"),
        ('[[property]]\nname = "modulus"\ntarget = 3', 'direction = "target"'),
        (
            '[[property]]\nname = "modulus"\nideal = 3\nunacceptable = 3',
            "ideal and unacceptable are equal",
        ),
        (
            '[[property]]\nname = "shear-thinning index"\nideal = 3',
            "a target has its margin in the place of ideal",
        ),
        (
            '[[property]]\nname = "modulus"\n[[property]]\nname = "modulus"',
            "two \\[\\[property\\]\\] tables have the name 'modulus'",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="counts"\nmargin_percent=3',
            "counts need area",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="ratings"\nmargin=0.5',
            "below 0.5",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="ratings"\nmargin_percent=5',
            "ratings have no percent",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="ratings"\ndirection="target"',
            "ratings have no target",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="counts"\nscale="ratio"',
            "compared by the ratio of their rates; leave scale out",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="ratings"\nscale="ratio"',
            "compared by ranks; leave scale out",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="counts"\ncondition="60"',
            "taken from the rows themselves; leave condition out",
        ),
        (
            '[[property]]\nname="c"\nkind="gloss"\nquantity="gloss_mean"\nmethod="strengths"',
            "strengths are those of kind 'pull_off' and quantity 'strength_mean_censored'",
        ),
        (
            '[[property]]\nname = "pull-off strength"\nquantity = "strength_median"',
            "for any other result leave method out",
        ),
        (
            '[[property]]\nname = "shear-thinning index"\ntarget = -1',
            "target = -1: by ratio allowed is above 0",
        ),
        ('[[property]]\nname = "modulus"\ndirection = "up"', "line 3: .*'higher'"),
    ],
)
def test_a_study_that_cannot_be_followed_says_where_and_what_is_allowed(
    text: str, told: str
) -> None:
    """Key, line, what was found and what is allowed; for an unknown property the nearest names."""
    with pytest.raises(SettingInvalid, match=told) as caught:
        load_study(text, "fillers.toml")
    assert str(caught.value).startswith("fillers.toml")


@given(st.text())
def test_any_text_is_a_study_or_a_fault_of_the_file(text: str) -> None:
    """Nothing but the one error comes out."""
    with suppress(SettingInvalid):
        assert isinstance(load_study(text), Study)
