"""What a title parts into: its name, unit, sign and logarithm; and codes, which part into nothing.

No source: what is expected is how laboratories write titles, from common practice.
"""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.dialect.units import plain_unit
from tiecoat.tabular.plain_words import bare, code_of, tokens
from tiecoat.tabular.title_parts import is_unit_title, parted, readings

UNITS = ("µm", "MPa", "N/mm²", "kgf/cm2", "psi", "kN", "GU", "%", "Hz", "kOhm", "°C", "h", "mils")
NAMES = st.sampled_from(["Thickness", "Épaisseur sèche", "Haftzugfestigkeit", "Síla při odtrhu"])
JOINTS = ("{} [{}]", "{} ({})", "{} / {}", "{}, {}", "{} in {}", "{} en {}", "{} w {}", "{} v {}")


@given(name=NAMES, unit=st.sampled_from(UNITS), joint=st.sampled_from(JOINTS))
def test_a_unit_is_parted_from_its_title_however_they_are_joined(
    name: str, unit: str, joint: str
) -> None:
    """Brackets, slash, comma and the word for in all join a title and its unit."""
    title = parted(joint.format(name, unit))

    assert (bare(title.name), plain_unit(title.unit or "?")) == (bare(name), plain_unit(unit))


@pytest.mark.parametrize(
    ("raw", "name", "unit", "turned", "log"),
    [
        ("-Z'' [Ohm]", "Z''", "Ohm", True, False),
        ("(-) Zimag / Ohm", "Zimag", "Ohm", True, False),
        ("log10(|Z| / Ohm)", "|Z|", "Ohm", False, True),
        ("lg f (Hz)", "f", "Hz", False, True),
        ("Panel:", "Panel", None, False, False),
        ("sigma en N/mm2", "sigma", "N/mm2", False, False),
        ("Made in Germany", "Made in Germany", None, False, False),
    ],
)
def test_a_title_is_parted_from_its_sign_and_logarithm(
    raw: str, name: str, unit: str | None, turned: bool, log: bool
) -> None:
    """A minus and a logarithm in front are said apart from the name."""
    title = parted(raw)

    assert (title.name, title.unit, title.turned, title.log) == (name, unit, turned, log)


@given(st.text(max_size=60))
def test_any_text_can_be_parted(text: str) -> None:
    """Whatever stands in a title cell, it parts into a name that is not longer than it."""
    title = parted(text)

    assert title.raw == text
    assert len(title.name) <= len(text)


@given(st.sampled_from(["Dry-Film Thickness", "Prüfdauer", "Síla při odtrhu", "Z' real"]))
def test_case_accents_blanks_and_marks_make_no_other_word(word: str) -> None:
    """A title is the same word in capitals, with dots and underscores, and without accents."""
    assert bare(word.upper().replace(" ", "_")) == bare(f"{word}.") == bare(bare(word))


def test_primes_and_bars_make_other_words() -> None:
    """Z', Z'' and |Z| are three quantities, however the primes are typed."""
    assert len({bare("Z'"), bare("Z''"), bare("|Z|"), bare("Z")}) == 4
    assert bare("Z″") == bare('Z"') == bare("Z''")


@given(st.text(max_size=40))
def test_the_words_of_a_title_make_its_bare_text(text: str) -> None:
    """What is compared as a whole and word by word is the same."""
    assert "".join(tokens(text)) == bare(text)


@pytest.mark.parametrize(
    ("title", "code"),
    [
        ("B/C", "b/c"),
        ("-/Y", "-/y"),
        ("B/C in %", "b/c"),
        ("B/C (%)", "b/c"),
        ("% B/C", "b/c"),
        ("share B/C [%]", "shareb/c"),
        ("C / %", None),
        ("Y", None),
        ("failure", None),
    ],
)
def test_a_code_keeps_its_slash_and_its_dash(title: str, code: str | None) -> None:
    """Places of failure differ by slash and dash; percent is no part.

    B, B/C as in ASTM D4541, 8.3, printed in a published report; `-/Y` from memory.
    """
    assert code_of(title) == code


@pytest.mark.parametrize(
    ("title", "name", "unit"),
    [
        ("Force N", "Force", "N"),
        ("Épaisseur du film sec mil", "Épaisseur du film sec", "mil"),
        ("T degC", "T", "degC"),
    ],
)
def test_the_last_word_of_a_title_may_be_its_unit(title: str, name: str, unit: str) -> None:
    """Nothing but a blank may stand between a title and its unit: that is one way to read it."""
    ways = [parted(title), *readings(parted(title))]

    assert (name, unit) in [(way.name, way.unit) for way in ways]


@pytest.mark.parametrize("title", ["µm", "[MPa]", "kN", "N/mm2"])
def test_a_unit_may_be_a_whole_title(title: str) -> None:
    """Some tables say nothing of a quantity but its unit."""
    assert is_unit_title(title)


@pytest.mark.parametrize("title", ["P1", "N.", "n", "min", "Panel", ""])
def test_a_symbol_or_a_word_is_no_unit(title: str) -> None:
    """P1 is the first point, N. the number, min the least: none of them is a unit by itself."""
    assert not is_unit_title(title)


@pytest.mark.parametrize(
    ("raw", "name", "unit"),
    [
        ("rho_kgm3", "rho", "kg/m3"),
        ("RHO_GCC", "RHO", "g/cc"),
        ("FALL_ML_H", "FALL", "ml/h"),
        ("NACL_G_L", "NACL", "g/l"),
        ("SR_1/S", "SR", "1/s"),
        ("D_1/s", "D", "1/s"),
        ("ETA_MPAS", "ETA", "mPas"),
        ("TAU_PA", "TAU", "Pa"),
        ("Tp_C", "Tp", "°C"),
        ("T_AVG_C", "T_AVG", "°C"),
        ("T.in C", "T.in", "°C"),
        ("TIME_IMMERSED_H", "TIME_IMMERSED", "H"),
        ("RUN_MMSS", "RUN", None),
        ("Zre_ohm_cm2", "Zre", "ohm cm2"),  # an area is multiplied
        ("run_A", "run_A", None),
        ("coat_C", "coat_C", None),
    ],
)
def test_units_that_programs_glue_to_a_title(raw: str, name: str, unit: str | None) -> None:
    """By an underscore or a blank, in capitals, without the slash of a quotient."""
    assert (parted(raw).name, parted(raw).unit) == (name, unit)
