"""Degrees of rusting, grades of ASTM D610 and areas: from each to the others, never too precise."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.contract.notations.rust_scales import (
    Band,
    d610_band,
    d610_of_area,
    ri_band,
    ri_of_area,
    ri_of_band,
    rust_band,
)
from tiecoat.schemas.exposure_rating import creep_mm
from tiecoat.schemas.rating_notation import DefectRating, defects_of, rust_grade

AREAS = st.floats(0, 100)


@given(AREAS)
def test_the_band_of_the_grade_of_an_area_holds_the_area(area: float) -> None:
    """There and back loses precision and nothing else, on both scales."""
    for band in (ri_band(ri_of_area(area)), d610_band(d610_of_area(area))):
        assert band.low <= area <= band.high
        assert band.within(Band(area, area)) == Band(area, area)


@given(AREAS, AREAS)
def test_more_rust_is_never_a_better_grade(one: float, other: float) -> None:
    """The degree rises and the grade of ASTM D610 falls with the area."""
    less, more = sorted((one, other))
    assert ri_of_area(less) <= ri_of_area(more)
    assert d610_of_area(less) >= d610_of_area(more)


@given(AREAS)
def test_a_d610_grade_allows_the_degree_of_every_area_it_stands_for(area: float) -> None:
    """What the grade allows holds the degree that the area itself would have."""
    least, worst = ri_of_band(d610_band(d610_of_area(area)))
    assert least <= ri_of_area(area) <= worst


@given(AREAS)
def test_an_area_has_the_degrees_of_the_pictures_on_both_sides(area: float) -> None:
    """One degree where it is that of a picture or beyond the last, else that below and above."""
    least, worst = ri_of_band(Band(area, area))
    pictures = (0.0, 0.05, 0.5, 1.0, 8.0, 40.0)
    assert worst - least == (0 if area in pictures or area > 40 else 1)
    assert pictures[least] <= area
    assert worst == 5 or area <= pictures[worst]


@given(st.integers(0, 4), AREAS)
def test_a_half_step_stands_for_what_lies_between_its_pictures(below: int, area: float) -> None:
    """Within the bands of both degrees beside it, and both pictures belong to it."""
    band = ri_band(below + 0.5)
    between = ri_band(below).within(ri_band(below + 1))
    assert between is not None
    assert band.within(between) == band
    assert (rust_band(below + 0.5, None, area) is None) == (not band.low <= area <= band.high)


@given(st.integers(0, 5), AREAS)
def test_areas_that_agree_with_a_degree_are_in_its_band(grade: int, area: float) -> None:
    """A degree and an area go together where the area lies from one picture to the next but one."""
    band = ri_band(grade)
    together = rust_band(grade, None, area)
    assert (together is None) == (not band.low <= area <= band.high)


@pytest.mark.parametrize("grade", [-1, 6])
def test_no_degree_is_outside_the_scale(grade: int) -> None:
    """Ri 6 is an error, not the last picture."""
    with pytest.raises(ValueError, match=f"from 0 to 5, found {grade}"):
        ri_band(grade)


@pytest.mark.parametrize("grade", [-1, 11])
def test_no_d610_grade_is_outside_the_scale(grade: int) -> None:
    """Nor is there a grade 11."""
    with pytest.raises(ValueError, match=f"from 10 to 0, found {grade}"):
        d610_band(grade)


@pytest.mark.parametrize("area", [-0.1, 100.1, float("nan")])
def test_no_area_is_outside_of_0_to_100_percent(area: float) -> None:
    """An area of 120 % has no grade."""
    with pytest.raises(ValueError, match="expected an area from 0 to 100 %"):
        ri_of_area(area)
    with pytest.raises(ValueError, match="expected an area from 0 to 100 %"):
        d610_of_area(area)


def test_a_rating_of_nothing_is_an_error() -> None:
    """There is no band without a grade or an area, nor for a third of a degree or half a D610."""
    with pytest.raises(ValueError, match="expected a grade or an area"):
        rust_band(None, None, None)
    with pytest.raises(ValueError, match=r"in steps of 0\.5, found 2\.3"):
        rust_band(2.3, None, None)
    with pytest.raises(ValueError, match=r"expected a whole grade, found 6\.5"):
        rust_band(None, 6.5, None)


STEPS = st.integers(2, 10).map(lambda half: half / 2)


@given(STEPS, STEPS, st.sampled_from(["", "a", "b", "c"]))
def test_what_is_written_in_the_notation_is_read_back(
    quantity: float, size: float, depth: str
) -> None:
    """Quantity, size and depth survive, in capitals, with blanks, a comma and a full stop too."""
    defects = DefectRating(quantity, size, depth)
    assert defects_of(str(defects)) == defects
    assert defects_of(f" {quantity:g} (s {size:g}) {depth.upper()}") == defects
    assert defects_of(f"{quantity:g}(S{size:g}){depth}.".replace(".5", ",5")) == defects


@given(STEPS)
def test_a_degree_is_read_however_it_is_set(degree: float) -> None:
    """With and without Ri, a colon, a full stop; half steps with comma, point and sign."""
    for written in (f"Ri {degree:g}", f"Ri: {degree:g}", f"ri={degree:g}.", f"{degree:g}"):
        assert rust_grade(written) == rust_grade(written.replace(".5", ",5")) == degree
        assert rust_grade(written.replace(".5", "½")) == degree


@given(st.text(max_size=8))
def test_any_text_is_a_rating_or_an_error(text: str) -> None:
    """No text breaks the reading of the notation, and what is read is on the scale."""
    for read, lowest, highest in ((rust_grade, 0, 5), (lambda t: defects_of(t).size, 0, 5)):
        try:
            assert lowest <= read(text) <= highest
        except ValueError as error:
            assert "(ISO 4628" in str(error)  # noqa: PT017 - any text may be either


@pytest.mark.parametrize(
    "text",
    [
        "3(S9)",
        "6(S2)",
        "5.5(S2)",
        "2.3(S2)",
        "3(S4)..",
        "2(S3).b",
        "3",
        "3(S0)",
        "0(S2)",
        "3-4(S2)",
        "(S2)",
        "",
    ],
)
def test_what_is_not_in_the_notation_is_refused(text: str) -> None:
    """Sizes above 5, defects without a size and sizes without defects are no ratings."""
    with pytest.raises(ValueError, match=r"such as 3\(S4\), or 0"):
        defects_of(text)


@given(st.floats(0, 10), st.floats(0, 100))
def test_creep_is_half_of_what_the_damage_is_wider(scribe: float, more: float) -> None:
    """From the creep on both sides and the scribe comes the width."""
    creep = creep_mm(scribe + 2 * more, scribe)
    assert creep == pytest.approx(more, abs=1e-9)


@pytest.mark.parametrize(("damage", "scribe"), [(0.9, 1.0), (3.0, -1.0), (-3.0, -4.0)])
def test_a_scribe_is_not_wider_than_the_damage_over_it(damage: float, scribe: float) -> None:
    """Such widths were mixed up, and negative ones are none."""
    with pytest.raises(ValueError, match="expected a width over the scribe"):
        creep_mm(damage, scribe)
