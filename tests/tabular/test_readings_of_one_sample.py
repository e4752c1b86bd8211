"""Several readings of one sample: in alternating rows, listed in a cell or line, with their mean.

No source: how laboratories write, from common practice.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.plugin import Measurement
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

KINDS = (DENSITY, FILM, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


def read(folder: Path, name: str, *lines: str) -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / name, *lines)


@pytest.mark.parametrize(
    ("strength", "failure"),
    [("Prova {}", "Rottura {}"), ("MPa", "Bruch")],
)
def test_strength_and_failure_alternate_below_panels(
    tmp_path: Path, strength: str, failure: str
) -> None:
    """Rows that come again in turn are determinations of the panels above the columns."""
    found = read(
        tmp_path,
        "pulls.csv",
        "Pull-off, dolly 20 mm",
        "",
        ";K7-01.b1;K7-02.b1",
        f"{strength.format(1)};7,5;7,7",
        f"{failure.format(1)};100% B;80% B 20% A/B",
        f"{strength.format(2)};7,0;8,6",
        f"{failure.format(2)};90% B 10% A/B;100% B",
    )
    assert [one.panel for one in found] == ["K7-01.b1"] * 2 + ["K7-02.b1"] * 2
    assert column(found, "strength_mpa") == [7.5, 7.0, 7.7, 8.6]
    assert column(found, "failure")[0] == "100% B"
    assert column(found, "determination") == [1, 2, 1, 2]


def test_units_below_the_ids_of_a_matrix_part_no_tables(tmp_path: Path) -> None:
    """A row of nothing but units is none of titles that come again."""
    found = read(
        tmp_path,
        "dft.csv",
        "Grubość suchej powłoki",
        "Punkt;K7-01.b1;K7-02.b1",
        ";µm;µm",
        "1;102,2;107,6",
        "2;96,6;102,8",
    )
    assert sorted(column(found, "thickness_um")) == [96.6, 102.2, 102.8, 107.6]


def test_a_sentence_with_commas_is_no_row_of_titles(tmp_path: Path) -> None:
    """It tells what it says of the table that is parted by commas below it."""
    found = read(
        tmp_path,
        "rho.csv",
        "Density by pycnometer, as mixed, 10 min after mixing",
        "Batch,Temp (°C),Density (g/ml)",
        "K7-01,23.0,1.382",
        "K7-02,23.0,1.394",
    )
    assert column(found, "density_g_cm3") == [1.382, 1.394]
    assert column(found, "elapsed_s") == [600.0, 600.0]


@pytest.mark.parametrize("form", ["(h:min)", "[hh:mm]"])
def test_a_title_says_that_times_are_of_hours(tmp_path: Path, form: str) -> None:
    """Else 0:20 is twenty seconds."""
    found = read(
        tmp_path,
        "rho.csv",
        "Density at 23 °C, as mixed",
        f"Batch;Time after mixing {form};Density (g/ml)",
        "K7-01;0:20;1.382",
        "K7-02;1:20;1.394",
    )
    assert column(found, "elapsed_s") == [1200.0, 4800.0]


def test_readings_listed_behind_a_name_are_rows_of_their_own(tmp_path: Path) -> None:
    """A record with three readings is three rows with the rest the same."""
    records = ["Vzorek: K7-01.b1", "Geometrie: 60°", "Lesk (GU): 36,2; 36,4; 38,8", ""]
    found = read(tmp_path, "gloss.txt", *records, *(r.replace("01", "02") for r in records))
    assert column(found, "gloss_gu") == [36.2, 36.4, 38.8] * 2
    assert column(found, "spot") == [1, 2, 3] * 2


def test_a_value_stands_behind_what_it_is_of(tmp_path: Path) -> None:
    """State and time before a colon are those of the value behind it."""
    found = read(
        tmp_path,
        "note.txt",
        "Batch K7-01",
        "Density at 23 °C",
        "",
        "as mixed, 15 min rest: 1.361 g/cm3",
        "deaerated, 60 min rest: 1.398 g/cm3",
    )
    assert column(found, "state") == ["as mixed", "deaerated"]
    assert column(found, "elapsed_s") == [900.0, 3600.0]


def test_a_line_with_an_id_heads_the_counted_lines_below_it(tmp_path: Path) -> None:
    """What it tells beside the id is of all of them."""
    block = ["Platte K7-01.b1   Winkel 60°", "   Stelle 1   42,5 GE", "   Stelle 2   43,5 GE", ""]
    found = read(tmp_path, "glanz.txt", *block, *(b.replace("01", "02") for b in block))
    assert column(found, "gloss_gu") == [42.5, 43.5] * 2
    assert set(column(found, "angle_deg")) == {60.0}


def test_angle_and_spot_stand_in_one_title(tmp_path: Path) -> None:
    """`60° spot 2` tells both."""
    found = read(
        tmp_path,
        "gloss.csv",
        "Panel;60° spot 1;60° spot 2;85° spot 1;85° spot 2",
        "K7-01.b1;70,1;70,5;85,1;85,4",
    )
    assert column(found, "angle_deg") == [60, 60, 85, 85]
    assert column(found, "spot") == [1, 2, 1, 2]


def test_ids_in_titles_tell_curves_apart(tmp_path: Path) -> None:
    """Pairs of columns whose titles name the panel are a spectrum each."""
    found = read(
        tmp_path,
        "eis.csv",
        "Impedance in 3.5% NaCl at 168 h; cell 15 cm²",
        "f (Hz);K7-01.b1 |Z| (ohm);K7-01.b1 phase (deg);K7-02.b1 |Z| (ohm);K7-02.b1 phase (deg)",
        "100000;3.1749e+03;-87.4;3.2478e+03;-87.5",
        "63100;4.9848e+03;-87.5;5.0968e+03;-87.4",
        "39810;7.8292e+03;-87.8;7.9966e+03;-87.6",
    )
    assert [str(one.panel).lower() for one in found] == ["k7-01.b1", "k7-02.b1"]
    assert set(column(found, "area_cm2")) == {15.0}


@pytest.mark.parametrize(
    "line",
    ["Film: 104 um dry", "dry film 104 µm", "DFT ~104 um", "Schicht: 104 µm trocken"],
)
def test_a_thickness_is_told_as_notes_say_it(tmp_path: Path, line: str) -> None:
    """A wet one is none."""
    lines = [
        "Panel: K7-01.b1",
        "Immersed 24 h",
        "Wetted area: 12.6 cm2",
        line,
        "",
        "Freq (Hz),Z' (ohm),-Z'' (ohm)",
        "100000,5.8e+02,5.1e+03",
        "63096,8.0e+02,7.9e+03",
        "39811,1.1e+03,1.2e+04",
    ]
    assert set(column(read(tmp_path, "eis.csv", *lines), "thickness_um")) == {104.0}
    lines[3] = "Film: 210 um wet"
    assert not {210.0} & set(column(read(tmp_path, "eis.csv", *lines), "thickness_um"))


def test_one_value_in_two_units_is_read_once(tmp_path: Path) -> None:
    """In the unit that is filed, if both are the same; else the file is held."""
    lines = [
        "Panel,Dolly (mm),Test,psi,MPa,Failure",
        "K7-01.b1,20,1,1253,8.64,100% B",
        "K7-01.b1,20,2,1300,8.96,100% B",
    ]
    assert column(read(tmp_path, "pulls.csv", *lines), "strength_mpa") == [8.64, 8.96]


def test_a_mean_below_each_other_is_compared_with_its_readings(tmp_path: Path) -> None:
    """One that is not theirs is remarked at its row."""
    found = read(
        tmp_path,
        "dft.csv",
        "Panel,Spot,DFT (um),Mean (um)",
        "K7-01.b1,1,100,102",
        "K7-01.b1,2,104,102",
        "K7-02.b1,1,90,99",
        "K7-02.b1,2,94,",
    )
    told = [[text for text in one.remarks if "mean" in text] for one in found]
    assert [bool(each) for each in told] == [False, False, True, False]


def test_a_number_that_comes_late_where_a_value_lacks_is_remarked(tmp_path: Path) -> None:
    """Two readings may have been given one number: 1, 3, 2 with nothing in a cell of the last."""
    lines = ["Gloss at 60°", "Spot\tK7-01.b1\tK7-02.b1", "1\t59.3\t63.0", "3\t58.6\t59.8"]
    late = read(tmp_path, "gloss.txt", *lines, "2\t\t58.9")
    assert any("number 2 behind 3" in text for text in late[0].remarks)
    whole = read(tmp_path, "gloss.txt", *lines, "2\t59.1\t58.9")
    assert not any("behind" in text for text in whole[0].remarks)
