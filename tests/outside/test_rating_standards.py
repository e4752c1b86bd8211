"""Tables and worked numbers of the standards for ratings and salt spray; all from memory."""

from __future__ import annotations

import pandas as pd
import pytest

from tiecoat.contract.notations.rust_scales import d610_band, d610_of_area, ri_band, ri_of_area
from tiecoat.evaluate.exposure.chamber_record import broken_limits
from tiecoat.schemas.exposure_rating import creep_mm


@pytest.mark.parametrize(
    ("degree", "percent"), [(0, 0.0), (1, 0.05), (2, 0.5), (3, 1.0), (4, 8.0), (5, 40.0), (5, 50.0)]
)
def test_the_areas_of_iso_4628_3(degree: int, percent: float) -> None:
    """ISO 4628-3:2016, table 1 (from memory): the area of each picture has the picture's degree."""
    assert ri_of_area(percent) == degree
    band = ri_band(degree)
    assert band.low <= percent <= band.high


def test_bands_of_degrees_reach_from_picture_to_picture() -> None:
    """ISO 4628-3 names no limits between degrees: each band ends at the pictures beside its own."""
    pictures = [0.0, 0.05, 0.5, 1.0, 8.0]
    for degree in range(1, 4):
        band = ri_band(degree)
        assert (band.low, band.high) == (pictures[degree - 1], pictures[degree + 1])


@pytest.mark.parametrize(
    ("grade", "above", "up_to"),
    [
        (9, 0.01, 0.03),
        (8, 0.03, 0.1),
        (7, 0.1, 0.3),
        (6, 0.3, 1.0),
        (5, 1.0, 3.0),
        (4, 3.0, 10.0),
        (3, 10.0, 16.0),
        (2, 16.0, 33.0),
        (1, 33.0, 50.0),
        (0, 50.0, 100.0),
    ],
)
def test_the_areas_of_astm_d610(grade: int, above: float, up_to: float) -> None:
    """ASTM D610-08, table 1 (from memory): above the one area, up to the other."""
    band = d610_band(grade)
    assert (band.low, band.high) == (above, up_to)
    assert (d610_of_area(above), d610_of_area(up_to)) == (grade + 1, grade)


def test_no_more_than_a_hundredth_of_a_percent_is_grade_10() -> None:
    """ASTM D610-08, table 1 (from memory)."""
    assert (d610_of_area(0.0), d610_of_area(0.01)) == (10, 10)


def test_the_formulas_of_iso_4628_8() -> None:
    """ISO 4628-8:2012 (from memory): d = (d1 - w)/2 and c = (wc - w)/2, here (6.4 - 0.8)/2."""
    assert creep_mm(6.4, 0.8) == pytest.approx(2.8)
    assert creep_mm(0.8, 0.8) == 0.0


@pytest.mark.parametrize(
    ("column", "within", "outside"),
    [
        ("temperature_c", (33.0, 35.0, 37.0), (32.9, 37.1)),
        ("collected_ml_h", (1.0, 1.5, 2.0), (0.9, 2.1)),
        ("ph", (6.5, 7.0, 7.2), (6.4, 7.3)),
        ("salt_g_l", (45.0, 50.0, 55.0), (44.9, 55.1)),
    ],
)
def test_the_limits_of_iso_9227(
    column: str, within: tuple[float, ...], outside: tuple[float, ...]
) -> None:
    """ISO 9227:2017, neutral salt spray (from memory): the ends are within, beyond is broken."""
    sound = {"temperature_c": 35.0, "collected_ml_h": 1.5, "ph": 6.8, "salt_g_l": 50.0}
    rows = pd.DataFrame([{**sound, column: value} for value in (*within, *outside)])
    told = broken_limits(rows).tolist()
    assert told[: len(within)] == [""] * len(within)
    assert all(
        f"{value:g}" in text for value, text in zip(outside, told[len(within) :], strict=True)
    )
