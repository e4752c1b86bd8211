"""Sheets on their side and titles over titles, as people lay them out before anything is read.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.schemas.batches import KIND as BATCHES
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.panels import KIND as PANELS
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

READER = AnyTable(
    {kind.name: kind for kind in (BATCHES, DENSITY, FILM, FOAM, GLOSS, PANELS, VISCOSITY)}
)


def test_goes_stand_below_batches_across(tmp_path: Path) -> None:
    """Their average is no third; a cup gone for calibration makes no water of the paint."""
    found = read_lines(
        READER, tmp_path / "wpl.csv",
        "weight per litre - 100cc cup,,", ",,", ",K1-07,K1-08", "paint temp (C),22.6,22.7",
        "1st go (kg/L),1.407,1.408", "2nd go (kg/L),1.405,1.407", "average,1.4060,1.4075",
        ",,", "cup no 2 - the dented one has gone for calibration,,",
    )  # fmt: skip
    assert [one.batch for one in found] == ["K1-07", "K1-07", "K1-08", "K1-08"]
    assert column(found, "density_g_cm3") == [1.407, 1.405, 1.408, 1.407]
    assert {*column(found, "state")} == {"not stated"}


@pytest.mark.parametrize("group", ["20°", "60 °"])
def test_an_angle_spans_the_readings_beside_it_down_a_sheet(tmp_path: Path, group: str) -> None:
    """What spans several rows of titles stands in the first of them alone."""
    found = read_lines(
        READER, tmp_path / "gloss.csv",
        "Gloss units;;K1-07.b2;K1-07.b3", "85°;reading 1;48.6;49.3", ";reading 2;50.4;49.4",
        ";av.;49.5;49.4", f"{group};reading 1;18.4;18.6", ";reading 2;18.8;18.2", ";av.;18.6;18.4",
    )  # fmt: skip
    assert column(found, "gloss_gu") == [48.6, 50.4, 18.4, 18.8, 49.3, 49.4, 18.6, 18.2]
    assert column(found, "angle_deg") == [85, 85, *[float(group[:2])] * 2] * 2


def test_a_register_on_its_side_may_lack_the_last_cells(tmp_path: Path) -> None:
    """A row that ends before the others holds nothing for the last panels."""
    found = read_lines(
        READER, tmp_path / "panels.csv",
        "Panel;K1-07.b1;K1-07.b2;K1-07.b3", "Substrate;steel;steel;steel",
        "Coat system;two coats;two coats;two coats", "DFT um;227;240;246",
        "In salt water since;2025-12-01 11:00;2025-12-01 11:00;", "Note;;;spare",
    )  # fmt: skip
    assert column(found, "note") == [None, None, "spare"]
    assert [moment is None for moment in column(found, "immersed_at")] == [False, False, True]


def test_letters_that_count_below_wet_and_dry_are_no_units(tmp_path: Path) -> None:
    """h1 and h2 are readings of the wet film, s1 to s3 of the dry one."""
    found = read_lines(
        READER, tmp_path / "film.csv",
        ";Film humide (µm);;Film sec (µm);;;moy. sec", "Panneau;h1;h2;s1;s2;s3;",
        "K1-07.b1;155;160;90;85;89;88.0", "K1-07.b2;160;165;92;91;90;91.0",
    )  # fmt: skip
    assert column(found, "thickness_um") == [155, 160, 90, 85, 89, 160, 165, 92, 91, 90]
    assert column(found, "spot") == [1, 2, 1, 2, 3] * 2
    assert column(found, "state") == ["wet", "wet", "dry", "dry", "dry"] * 2


def test_places_below_two_coats_are_the_spots_of_each(tmp_path: Path) -> None:
    """`1st coat wet (um)` tells the coat, the state and the unit."""
    found = read_lines(
        READER, tmp_path / "comb.csv",
        "Wet film by comb,,,,", ",1st coat wet (um),,2nd coat wet (um),", "panel,top,mid,top,mid",
        "K1-07.b1,150,175,175,225", "K1-07.b2,150,150,200,225",
    )  # fmt: skip
    assert column(found, "coat") == ["coat 1", "coat 1", "coat 2", "coat 2"] * 2
    assert column(found, "spot") == [1, 2, 1, 2] * 2
    assert {*column(found, "state")} == {"wet"}


def test_an_id_in_the_corner_names_the_panel_of_a_grid(tmp_path: Path) -> None:
    """So many places per plate are no name of a plate."""
    found = read_lines(
        READER, tmp_path / "grid.csv",
        "dry film, microns, 4 places per plate", "", "K1-07.b1;left;right", "top;226;241",
        "bottom;233;232", "", "K1-07.b2;left;right", "top;241;251", "bottom;243;253",
    )  # fmt: skip
    assert [str(one.panel).lower() for one in found] == ["k1-07.b1"] * 4 + ["k1-07.b2"] * 4
    assert column(found, "thickness_um") == [226, 241, 233, 232, 241, 251, 243, 253]


def test_blocks_of_bare_readings_in_mils_are_no_means(tmp_path: Path) -> None:
    """A last reading that lies half a mil beside the mean of the others is none."""
    found = read_lines(
        READER, tmp_path / "dir.txt",
        "   *** THICKNESS ***", "   UNITS: mils   SUBSTR: Fe", "", "   DIR K1-07.b1",
        "   5.68  5.23  5.24  5.26  5.27", "   5.71  5.25  5.38  5.41  5.28",
        "   AVE 5.37  HI 5.71  LO 5.23  N 10", "", "   DIR K1-07.b2",
        "   5.27  5.47  5.38  5.53  5.09", "   5.20  5.58  5.46  5.42  5.40",
        "   AVE 5.38  HI 5.58  LO 5.09  N 10",
    )  # fmt: skip
    assert column(found, "spot") == [*range(1, 11)] * 2
    assert column(found, "thickness_um")[0] == pytest.approx(5.68 * 25.4)


def test_blocks_in_the_unit_of_all_are_what_is_measured_in_it(tmp_path: Path) -> None:
    """Nothing but UNIT mil says of what a memory is; its other words are no units."""
    found = read_lines(
        READER, tmp_path / "dump.txt",
        "** MEMORY DUMP **", "F PROBE / CAL 2PT / UNIT mil", "", "BLK 01  K1-07.b1  N=6",
        "   9.82   9.64   9.59", "   9.66   9.73   9.46", "  AVG 9.65  SD 0.12", "",
        "BLK 02  K1-07.b2  N=6", "   9.07   8.97   8.82", "   9.28   9.48   9.12",
        "  AVG 9.12  SD 0.23", "", "** END **",
    )  # fmt: skip
    assert column(found, "spot") == [*range(1, 7)] * 2
    assert column(found, "thickness_um")[0] == pytest.approx(9.82 * 25.4)


def test_a_mean_by_an_equals_sign_ends_readings_without_titles(tmp_path: Path) -> None:
    """M=47.2 is the mean of the five before it, and no reading."""
    found = read_lines(
        READER, tmp_path / "print.txt",
        "GLOSS PRINT-OUT", "GEOMETRY  60 deg", "",
        "K1-07.b1   46.5  46.4  47.5  47.2  48.5   M=47.2 S=0.85",
        "K1-07.b2   47.8  47.3  46.6  47.0  47.3   M=47.2 S=0.44",
    )  # fmt: skip
    assert column(found, "gloss_gu") == [46.5, 46.4, 47.5, 47.2, 48.5, 47.8, 47.3, 46.6, 47, 47.3]
    assert {*column(found, "angle_deg")} == {60}


def test_runs_below_seconds_are_efflux_times_of_the_cup_above(tmp_path: Path) -> None:
    """What stands below a unit in two rows of titles, the line above them says."""
    found = read_lines(
        READER, tmp_path / "cups.csv",
        "Flow cup times - ISO 2431 cup, 6 mm jet, 23 C", "", "Batch;secs;;mean", ";run 1;run 2;",
        "K1-07;52.4;52.6;52.5", "K1-08;61.5;61.8;61.7",
    )  # fmt: skip
    assert column(found, "efflux_s") == [52.4, 52.6, 61.5, 61.8]
    assert column(found, "run") == [1, 2, 1, 2]


def test_bare_numbers_across_are_in_the_unit_that_the_line_above_ends_with(tmp_path: Path) -> None:
    """How long the sample was shaken is no time since."""
    found = read_lines(
        READER, tmp_path / "shake.csv",
        "Shake test - 100 ml in, 30 s shaking by hand", "", ";;Foam volume (ml) after ... min;;",
        "Batch;Shake no;0;1;10", "K1-07;1;56;50;14", "K1-07;2;58;49;16",
    )  # fmt: skip
    assert column(found, "elapsed_s") == [0, 60, 600] * 2
    assert column(found, "determination") == [1, 1, 1, 2, 2, 2]
    assert column(found, "foam_volume_ml") == [56, 50, 14, 58, 49, 16]
