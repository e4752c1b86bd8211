"""Exports of gauges that say little: units for titles, sorts side by side, ids without their signs.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.schemas.chamber_record import KIND as CHAMBER
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

KINDS = (CHAMBER, DENSITY, RATING, FILM, FOAM, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


def _filed(path: Path, *lines: str) -> list[Measurement]:
    """Return what would be filed of an export: nothing, where it is held or no table is known."""
    try:
        return read_lines(READER, path, *lines)
    except FileHeld:
        return []


@pytest.mark.parametrize(
    ("titles", "cells", "rated"),
    [
        (
            "Rust grade (D610);Creep from scribe (mm)",
            "8;2,3",
            {("rust", "d610_grade"): 8, ("scribe creep", "creep_mm"): 2.3},
        ),
        (
            "Unterwanderung vom Ritz (mm);Rostfläche (%)",
            "1,5;0,4",
            {("scribe creep", "creep_mm"): 1.5, ("rust", "area_percent"): 0.4},
        ),
        (
            "D610;Gesamtbreite (mm);Enthaftung d (mm);Ritzbreite (mm)",
            "9;5;2;1",
            {("rust", "d610_grade"): 9, ("scribe delamination", "damage_width_mm"): 5},
        ),
    ],
)
def test_what_one_rating_alone_has_tells_it_beside_another(
    tmp_path: Path, titles: str, cells: str, rated: dict[tuple[str, str], float]
) -> None:
    """A creep and a grade of rust are two ratings; a width beside delamination is of that."""
    rows = [f"K1-07.b{n};240;{cells}" for n in (1, 2)]
    lines = ("Salt spray", f"Panel;Hours (h);{titles}", *rows)
    found = read_lines(READER, tmp_path / "nss.csv", *lines)
    properties = column(found, "property")
    for (sort, name), value in rated.items():
        values = [v for p, v in zip(properties, column(found, name), strict=True) if p == sort]
        assert values == [value] * 2
    assert len(properties) == 2 * len({sort for sort, _ in rated})


def test_who_has_rated_is_no_rating(tmp_path: Path) -> None:
    """`Bewertung: Aigner` above ratings side by side names a person."""
    lines = (
        "Bewertung: Aigner",
        "Platte;Dauer (h);Rostgrad Ri;Blasengrad",
        "K1-07.b1;240;Ri 1;2(S2)",
        "K1-07.b2;240;Ri 0;0(S0)",
    )
    found = read_lines(READER, tmp_path / "nss.csv", *lines)
    assert sorted(map(str, column(found, "property"))) == ["blisters"] * 2 + ["rust"] * 2


@pytest.mark.parametrize("title", ["cycle_h", "Zork [h]", "kreep_h"])
def test_the_only_hours_are_those_of_exposure(tmp_path: Path, title: str) -> None:
    """Where a kind is told apart by hours, the one column in hours under no other word is that."""
    lines = (f"spec;{title};Ri", "K1-07.b1;240;1", "K1-07.b2;480;2")
    found = read_lines(READER, tmp_path / "salt spray.csv", *lines)
    assert column(found, "exposure_h") == [240, 480]


@pytest.mark.parametrize("titles", ["dry_h;Ri", "Alter [d];Ri", "kreep_h;zork_h;Ri"])
def test_other_hours_are_not_those_of_exposure(tmp_path: Path, titles: str) -> None:
    """Hours of drying, an age, one of two columns: the file is held."""
    cells = "240;" * titles.count(";") + "1"
    lines = (f"spec;{titles}", f"K1-07.b1;{cells}", f"K1-07.b2;{cells}")
    assert not _filed(tmp_path / "salt spray.csv", *lines)


def test_bare_angles_are_no_spots(tmp_path: Path) -> None:
    """20, 60, 85 over gloss units are angles; 58, 59, 60 are not."""
    rows = ("1,K1-07.b1,8.0,34.1,61.5", "2,K1-07.b1,8.3,33.4,60.5")
    found = read_lines(READER, tmp_path / "gm.csv", "unit,GU", "", "idx,name,20,60,85", *rows)
    assert column(found, "angle_deg") == [20, 60, 85] * 2
    assert not _filed(tmp_path / "gm2.csv", "unit,GU", "", "idx,name,58,59,60", *rows)


@pytest.mark.parametrize("title", ["lb/US gal", "kg/l", "g/cm³"])
def test_a_unit_alone_is_the_value_and_not_its_uncertainty(tmp_path: Path, title: str) -> None:
    """A column that is titled by a unit of density is the density."""
    value = "11.67" if "gal" in title else "1.398"
    lines = (f"Batch,{title},Temp (°C)", f"K1-07,{value},23.0", f"K1-08,{value},23.1")
    found = read_lines(READER, tmp_path / "density.csv", *lines)
    assert column(found, "density_g_cm3") == pytest.approx([1.398] * 2, abs=1e-3)


def test_one_value_in_two_units_is_held_where_they_differ(tmp_path: Path) -> None:
    """1.413 g/ml is not 1431 kg/m³."""
    lines = ("K1-07, 23 °C", "go,g/ml,kg/m3", "1,1.412,1412", "2,1.413,1431")
    assert not _filed(tmp_path / "density K1-07.csv", *lines)


@pytest.mark.parametrize("title", ["Theta [°C]", "TF [°C]", "θ [°C]"])
def test_the_only_temperature_is_that_of_the_sample(tmp_path: Path, title: str) -> None:
    """Under a letter for it, and no other column in degrees."""
    lines = (
        f"GammaDot [1/s];Tau [Pa];Eta [mPa.s];{title}",
        *(f"{rate};{rate * 2};2000;23,0" for rate in (1, 10, 100)),
    )
    found = read_lines(READER, tmp_path / "K1-07_fc1.txt", *lines)
    assert column(found, "temperature_c") == [23.0] * 3


@pytest.mark.parametrize("told", ["Group,K1-07B2", "GROUP,K1_07.B2", "Gruppe,K1/07-b2"])
def test_an_id_without_its_signs_is_that_of_the_panel(tmp_path: Path, told: str) -> None:
    """Gauges have no hyphen; the name of the probe is no panel beside it."""
    lines = (told, "Probe,FN-2", "Units,um", "", "No,DFT", "1,242", "2,251", "3,264")
    found = read_lines(READER, tmp_path / "group_021.csv", *lines)
    assert {str(one.panel).lower() for one in found} == {"k1-07.b2"}


def test_statistics_under_titles_of_their_own_are_no_determinations(tmp_path: Path) -> None:
    """`n = 3` over rows for the mean and the deviation, under the titles of the readings."""
    lines = (
        "Diameter\t20.00 mm",
        "",
        "Spec.\tF max\tSigma max\tt break",
        "#\tN\tMPa\ts",
        "1\t2169.4\t6.905\t6.9",
        "2\t2202.4\t7.010\t7.0",
        "3\t2078.8\t6.617\t6.6",
        "",
        "n = 3\tF max\tSigma max",
        "Mean\t2150.2\t6.844",
        "Std dev\t64.0\t0.204",
    )
    found = read_lines(READER, tmp_path / "K1-07.b1_pulloff.txt", *lines)
    assert column(found, "strength_mpa") == pytest.approx([6.905, 7.010, 6.617], abs=1e-3)


def test_a_count_of_readings_beside_their_spread_is_left_out(tmp_path: Path) -> None:
    """`N` of a scanner beside a deviation says how often it has read."""
    lines = (
        "TEST salt spray",
        "T_EXP 504 h",
        "SPEC,N,W_SCRIBE_mm,W_DAMAGE_mm,CREEP_mm,SD_mm",
        "K1-07.b1,12,1.00,3.14,1.07,0.19",
        "K1-07.b2,12,1.00,3.46,1.23,0.18",
    )
    found = read_lines(READER, tmp_path / "scan.csv", *lines)
    assert column(found, "creep_mm") == [1.07, 1.23]
    assert "'N' is left out, which counts the readings" in " ".join(found[0].remarks)


def test_readings_of_a_panel_are_no_paint(tmp_path: Path) -> None:
    """A peak under a panel's id and a unit of pressure is a strength, no stress of a flow curve."""
    lines = (
        "UNIT MPA   DOLLY DIA 20 MM",
        "",
        "GROUP K1-07B2",
        "SEQ  TIME   PEAK   RATE  STS",
        "041  11:41   6.07   0.70  OK",
        "042  11:42   6.52   0.70  OK",
        "043  11:43   6.27   0.70  OK",
    )
    found = read_lines(READER, tmp_path / "MEM 17-MAR-2026.txt", *lines)
    assert column(found, "strength_mpa") == [6.07, 6.52, 6.27]


@pytest.mark.parametrize("title", ["Auffangmenge ml in 24 h (80 cm²)", "Auffangmenge ml in 24 h"])
def test_what_is_collected_in_a_day_is_read_by_the_hour(tmp_path: Path, title: str) -> None:
    """With the unit behind the word, in brackets or in none."""
    lines = (
        "Kammerbuch Salznebel Kammer 1",
        "Charge: K1-07",
        f"Datum;Uhrzeit;Temperatur °C;{title};pH-Wert",
        "18.05.2026;07:30;35,3;32;6,9",
        "19.05.2026;07:30;34,6;36;6,7",
    )
    found = read_lines(READER, tmp_path / "K1.csv", *lines)
    assert column(found, "collected_ml_h") == pytest.approx([32 / 24, 36 / 24])


def test_a_peak_beside_an_empty_least_is_read(tmp_path: Path) -> None:
    """`Min` that holds no number sums nothing up: the peak is the strength in the unit above."""
    lines = (
        "Dolly size: 20 mm\tUnits: psi\tRate: 100 psi/s",
        "",
        "Mem\tLabel\tPeak\tDur s\tFailure\tMin\tMax limit",
        "001\tK1-07.b1\t917\t9.2\tcohesive coat 1\t-\t3000",
        "002\tK1-07.b1\t943\t9.4\tcohesive coat 1\t-\t3000",
    )
    found = read_lines(READER, tmp_path / "MEM_A.txt", *lines)
    assert column(found, "strength_mpa") == pytest.approx([6.3225, 6.5018], abs=1e-3)
