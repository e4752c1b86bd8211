"""When two column titles are the same."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.dialect.titles import Header, cut_unit, fold, wanted


def columns(titles: list[str], *names: str) -> list[int]:
    return Header(0, titles).columns(wanted({"key": names})[0])


@pytest.mark.parametrize(
    ("title", "name", "unit"),
    [
        ("Density [g/cm³]", "Density", "g/cm³"),
        ("Density[g/cm³]", "Density", "g/cm³"),
        ("Z' (Ohm)", "Z'", "Ohm"),
        ("-Z'' / Ohm", "-Z''", "Ohm"),
        ("Freq / Hz", "Freq", "Hz"),
        ("f/Hz", "f", "Hz"),
        ("rho / g/cm³", "rho", "g/cm³"),
        ("Zeit in s", "Zeit", "s"),
        ("Density, g/cm³", "Density", "g/cm³"),
        ("Re / Ohm cm2", "Re", "Ohm cm2"),
        ("Temp (C)", "Temp", "C"),
        ("Density [odd unit]", "Density", "odd unit"),
        ("Density (g/ccm)", "Density", "g/ccm"),
        ("Temp (bath)", "Temp (bath)", None),
        ("Im(Z)", "Im(Z)", None),
        ("B/C", "B/C", None),
        ("Z'", "Z'", None),
        ("Made in Germany", "Made in Germany", None),
    ],
)
def test_only_what_looks_like_a_unit_is_cut_off(title: str, name: str, unit: str | None) -> None:
    """Square brackets always hold a unit, the others only if it has the looks of one."""
    assert cut_unit(title) == (name, unit)


def test_case_blanks_dots_and_underscores_do_not_matter() -> None:
    """Sample temp. is sample_Temp; primes are primes however they are typed."""
    assert fold("Sample temp.") == fold("sample_Temp") == fold("SAMPLE\u00a0TEMP")
    assert fold("-Z''") == fold("−Z″") == fold('- Z"') == fold("-Z′′")


def test_the_sign_and_the_primes_tell_columns_apart() -> None:
    """Z', -Z'' and Z'' are three columns."""
    titles = ["Z' [Ohm]", "-Z'' [Ohm]", "Z'' [Ohm]"]
    assert [columns(titles, name) for name in ("Z'", "-Z''", "Z''")] == [[0], [1], [2]]


def test_the_name_itself_comes_before_the_name_with_a_unit() -> None:
    """Asked for Temp (bath), the other Temp is none of it."""
    assert columns(["Temp (bath)", "Temp"], "Temp") == [1]
    assert columns(["Temp (bath)", "Temp"], "Temp (bath)") == [0]


def test_letters_tell_columns_apart_where_case_alone_does() -> None:
    """t [s] is a time and T [°C] a temperature."""
    titles = ["t [s]", "T [°C]"]
    assert columns(titles, "t") == [0]
    assert columns(titles, "T") == [1]
    assert columns(titles, "time", "T") == [1]


def test_two_columns_of_one_name_are_both_found() -> None:
    """So that it can be told."""
    assert columns(["Force [N]", "Force [kN]"], "Force") == [0, 1]


@given(st.text(max_size=40))
def test_any_title_is_its_own_name(title: str) -> None:
    """A column that is asked for by exactly its title is found."""
    if title.strip() and fold(title):
        assert columns(["other", title], title) in ([1], [0, 1])
