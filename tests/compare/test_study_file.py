"""The study file: what it asks for, and what is said of one that cannot be followed."""

from __future__ import annotations

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st
from offered_study import CATALOGUE, load_study

from tiecoat.compare import study as study_module
from tiecoat.compare.study import StatedSpreads, Study, WantedProperty
from tiecoat.compare.study_faults import EXAMPLES
from tiecoat.errors import SettingInvalid


def test_the_example_of_the_module_can_be_loaded() -> None:
    """The file in the docstring is a valid study and means what its comments say."""
    text = (study_module.__doc__ or "").split("\n\n", 1)[1].rsplit("\n\n", 1)[0]
    study = load_study("\n".join(line.removeprefix("    ") for line in text.splitlines()))
    modulus, strength, levelling, pinholes = (one.made() for one in study.property)
    assert study.property[1].only() == {
        "coat_system": ("epoxy primer",),
        "substrate": (),
        "made_with": ("dolly of 20 mm",),
    }
    assert strength.method == "strengths"
    assert study.control == "RB-010"
    assert study.exposure_h == (24, 240)
    assert (modulus.scale, modulus.margin_percent, modulus.weight) == ("ratio", 30, 2)
    assert (levelling.kind, levelling.direction, levelling.margin) == ("viscosity", "lower", 5)
    assert (pinholes.method, pinholes.area, pinholes.margin) == ("counts", "evaluated_mm2", 5)
    assert study.kinds() == ("impedance", "pull_off", "viscosity", "defects")


def test_an_empty_study_asks_for_everything() -> None:
    """Without a file every property of the catalogue is compared."""
    study = load_study("")
    assert study == Study().knowing(CATALOGUE)
    assert study.kinds() == ("impedance", "pull_off", "density", "foam", "viscosity")
    assert study.raw_kinds() == ("pull_off",)


def test_a_margin_of_the_study_takes_the_place_of_the_usual_one() -> None:
    """An absolute margin does not stand beside the percentage of the catalogue, nor the reverse."""
    text = '[[property]]\nname = "pull-off strength"\nmargin_percent = 20\n'
    made = load_study(text).property[0].made()
    assert (made.margin, made.margin_percent) == (None, 20)
    assert CATALOGUE.usual["pull-off strength"].margin == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            '[[property]]\nname = "modulos"',
            (
                "line 1: property.1: no property 'modulos' is known; near it: 'modulus'. For any"
                " other result state kind and quantity"
            ),
        ),
        (
            '[[property]]\nname = "gloss"',
            (
                "line 1: property.1: no property 'gloss' is known; near it: 'modulus', 'modulus"
                " decline', 'time to a limit', 'water uptake', 'pull-off strength',"
                " 'adhesive failure', 'entrapped air', 'initial foam', 'foam half-life',"
                " 'shear-thinning index', 'time to a rust grade', 'time to a blister grade',"
                " 'smallest escaping bubble'. For any other result state kind and quantity"
            ),
        ),
        (
            '[[property]]\nname = "x"\nkind = "gloss"',
            "line 1: property.1: 'x' needs both kind and quantity; quantity is missing",
        ),
        (
            "contrl = 1",
            (
                "line 1: contrl: there is no such key; did you mean 'control'? allowed are name,"
                " control, batches, panels, coat_systems, doses_percent, exposure_h, against, why,"
                ' spreads_alike, property, application; such as control = "RB-010"'
            ),
        ),
        (
            "exposure_h = 240",
            "line 1: exposure_h = 240: allowed is a list, such as exposure_h = [24, 240]",
        ),
        (
            "exposure_h = [-1]",
            (
                "line 1: exposure_h.1 = -1: allowed is greater than or equal to 0,"
                " such as exposure_h = [24, 240]"
            ),
        ),
        (
            'batches = ["RB-011", "rb-011"]',
            "file: batches names RB-011 twice; allowed is once",
        ),
        (
            '[[property]]\nname = "modulus"\nmargin = 3',
            "line 1: property.1: it is compared by ratio; allowed is margin_percent, not margin",
        ),
        (
            '[[property]]\nname = "modulus decline"\nmargin = 3\nmargin_percent = 3',
            "line 1: property.1: both margin and margin_percent; allowed is one of them",
        ),
        (
            '[[property]]\nname = "modulus"\nmargin_percent = 0',
            (
                "line 3: property.1.margin_percent = 0: allowed is greater than 0,"
                " such as margin_percent = 30"
            ),
        ),
        (
            '[[property]]\nname = "modulus"\nmargin_percent = nan',
            (
                "line 3: property.1.margin_percent = nan: allowed is a finite number,"
                " such as margin_percent = 30"
            ),
        ),
        (
            '[[property]]\nname = "modulus"\nmargin_percent = 100',
            (
                "line 1: property.1: a ratio cannot fall by 100 % or more;"
                " allowed is margin_percent < 100"
            ),
        ),
        (
            '[[property]]\nname = "modulus"\ntarget = 3',
            'line 1: property.1: a target is given; allowed with it is direction = "target"',
        ),
        (
            '[[property]]\nname = "modulus"\nideal = 3\nunacceptable = 3',
            "line 1: property.1: ideal and unacceptable are equal; allowed are two values",
        ),
        (
            '[[property]]\nname = "shear-thinning index"\nideal = 3',
            "line 1: property.1: a target has its margin in the place of ideal and unacceptable",
        ),
        (
            '[[property]]\nname = "modulus"\n[[property]]\nname = "modulus"',
            (
                "file: two [[property]] tables have the name 'modulus'; allowed"
                " is one each: several exposure times go into one list"
            ),
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="counts"\nmargin_percent=3',
            "line 1: property.1: counts need area: the column with the area that was looked at",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="ratings"\nmargin=0.5',
            "line 1: property.1: margin = 0.5: allowed for ratings is below 0.5",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="ratings"\nmargin_percent=5',
            (
                "line 1: property.1: ratings have no percent; allowed is margin, above 0 and below"
                " 0.5"
            ),
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="ratings"\ndirection="target"',
            "line 1: property.1: ratings have no target; allowed are higher and lower",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="counts"\nscale="ratio"',
            "line 1: property.1: counts are compared by the ratio of their rates; leave scale out",
        ),
        (
            '[[property]]\nname="c"\nkind="d"\nquantity="n"\nmethod="ratings"\nscale="ratio"',
            "line 1: property.1: ratings are compared by ranks; leave scale out",
        ),
        (
            '[[property]]\nname="c"\nkind="gloss"\nquantity="gloss_mean"\nmethod="strengths"',
            (
                "line 1: property.1: strengths are those of kind 'pull_off' and quantity"
                " 'strength_mean_censored', without a condition; for any other"
                " result leave method out"
            ),
        ),
        (
            '[[property]]\nname = "pull-off strength"\nquantity = "strength_median"',
            (
                "line 1: property.1: strengths are those of kind 'pull_off' and quantity"
                " 'strength_mean_censored', without a condition; for any other"
                " result leave method out"
            ),
        ),
        (
            '[[property]]\nname = "shear-thinning index"\ntarget = -1',
            "line 1: property.1: target = -1: by ratio allowed is above 0",
        ),
        (
            '[[property]]\nname = "modulus"\ndirection = "up"',
            (
                "line 3: property.1.direction = 'up': allowed is 'higher', 'lower' or 'target',"
                ' such as direction = "lower"'
            ),
        ),
    ],
)
def test_a_study_that_cannot_be_followed_says_where_and_what_is_allowed(
    text: str, told: str
) -> None:
    """Key, line, what was found and what is allowed; for an unknown property the nearest names."""
    with pytest.raises(SettingInvalid) as caught:
        load_study(text, "fillers.toml")
    assert str(caught.value) == f"fillers.toml:\n  {told}"


def test_a_study_that_is_no_toml_says_so() -> None:
    """What is wrong with it is said with its line, what was found and what is expected."""
    with pytest.raises(SettingInvalid) as caught:
        load_study('control = "A"\ncontrol = "B"', "fillers.toml")
    assert str(caught.value) == (
        'fillers.toml: not valid TOML: line 2: control = "B": found a key that stands above'
        " already; expected each key once in a table"
    )


@pytest.mark.parametrize(
    ("written", "line", "found", "mended"),
    [
        ("margin = 1,5", 3, "a decimal comma", "margin = 1.5"),
        ("margin = 1 MPa", 3, "words behind a number", "margin = 1"),
        ("margin = 1,5 MPa", 3, "words behind a number", "margin = 1.5"),
        ("margin percent = 5", 3, "a key with a blank", "margin_percent = 5"),
        ("margin: 5", 3, "a colon behind the key", "margin = 1.5"),
        ("margin 5", 3, "no equals sign behind the key", "margin = 1.5"),
        ("margin =", 3, "no value", "margin = 1.5"),
        ("direction = lower", 3, "a text without quotes", 'direction = "lower"'),
        ("direction = “lower”", 3, "curly quotes", 'direction = "lower"'),
        ('direction = "lower', 3, "a text without its closing quote", 'direction = "lower"'),
        ('coat_systems = ["A", "B"', 3, "a list without its end", 'coat_systems = ["A", "B"]'),
    ],
)
def test_what_is_no_toml_is_told_with_what_would_be(
    written: str, line: int, found: str, mended: str
) -> None:
    """Line, what stands there, what is expected; and what is expected is a study that loads."""
    start = '[[property]]\nname = "adhesive failure"\n'
    with pytest.raises(SettingInvalid) as caught:
        load_study(f"{start}{written}\nweight = 2\n", "fillers.toml")
    told = str(caught.value)
    assert told.startswith(f"fillers.toml: not valid TOML: line {line}: {written}: found {found}")
    assert told.endswith(mended)
    load_study(f"{start}{mended}\nweight = 2\n")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (
            '[property]\nname = "modulus"',
            (
                "line 1: property: found [property], a single table; expected [[property]] with"
                ' name = "modulus" below it'
            ),
        ),
        (
            '[[spreads_alike]]\nby = "A"',
            (
                "line 1: spreads_alike: found [[spreads_alike]]; expected [spreads_alike] with"
                ' by = "A. Weber" and ground = "..." below it'
            ),
        ),
        (
            'spreads_alike = "yes"',
            (
                "line 1: spreads_alike: found spreads_alike = 'yes'; expected [spreads_alike] with"
                ' by = "A. Weber" and ground = "..." below it'
            ),
        ),
        (
            'property = ["modulus"]',
            (
                "line 1: property.1: found property = 'modulus'; expected [[property]] with"
                ' name = "modulus" below it'
            ),
        ),
        (
            '[spreads_alike]\nby = "A"',
            (
                "line 1: spreads_alike.ground: is missing and needed, such as"
                ' ground = "40 panels of this primer in 2025"'
            ),
        ),
        (
            "margin = 1",
            (
                "line 1: margin: there is no such key; margin belongs below [[property]],"
                " such as margin = 1.5"
            ),
        ),
        (
            '[[property]]\nname = "modulus"\nmargin_percent = "30"',
            (
                "line 3: property.1.margin_percent = '30': allowed is a number, such as"
                " margin_percent = 30"
            ),
        ),
        (
            '[[property]]\nname = "modulus"\nweight = true',
            "line 3: property.1.weight = true: allowed is a number, such as weight = 2",
        ),
        (
            "control = 10",
            'line 1: control = 10: allowed is a text in quotes, such as control = "RB-010"',
        ),
        (
            'batches = [""]',
            (
                "line 1: batches.1 = '': allowed is a text that is not empty, such as"
                ' batches = ["RB-010", "RB-011"]'
            ),
        ),
    ],
)
def test_a_wrong_type_or_table_is_told_with_an_example(text: str, told: str) -> None:
    """What was found, what may stand there, and an example; nothing in the words of a library."""
    with pytest.raises(SettingInvalid) as caught:
        load_study(text, "fillers.toml")
    assert str(caught.value) == f"fillers.toml:\n  {told}"


def test_each_key_of_a_study_has_an_example() -> None:
    """What is told as an example names its key and can be loaded where it belongs."""
    assert set(EXAMPLES) == {
        *Study.model_fields,
        *WantedProperty.model_fields,
        *StatedSpreads.model_fields,
    }
    own = {"kind", "quantity", "name"}
    for key in Study.model_fields.keys() - {"property", "spreads_alike", "application"}:
        assert load_study(EXAMPLES[key]).model_fields_set == {key}
    more = {"direction": "", "target": '\ndirection = "target"', "area": '\nmethod = "counts"'}
    more["method"] = "\nmargin = 0.3"
    for key in WantedProperty.model_fields.keys() - own:
        text = '[[property]]\nname = "x"\nkind = "k"\nquantity = "q"\n'
        load_study(f"{text}{EXAMPLES[key]}{more.get(key, '')}")


@given(st.text())
def test_any_text_is_a_study_or_a_fault_of_the_file(text: str) -> None:
    """Nothing but the one error comes out."""
    with suppress(SettingInvalid):
        assert isinstance(load_study(text), Study)


@pytest.mark.parametrize(("key", "most"), [("margin_percent", 1000), ("weight", 1000)])
def test_a_number_out_of_all_proportion_is_refused(key: str, most: int) -> None:
    """The greatest that is allowed passes, and one above it is told with what is allowed."""
    text = f'[[property]]\nname = "water uptake"\n{key} = '
    assert getattr(load_study(text + str(most)).property[0], key) == most
    with pytest.raises(SettingInvalid) as caught:
        load_study(text + f"{most}.5")
    assert str(caught.value) == (
        f"study:\n  line 3: property.1.{key} = {most}.5: allowed is less than or equal to {most},"
        f" such as {EXAMPLES[key]}"
    )
