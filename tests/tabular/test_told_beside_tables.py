"""What stands above a table, or in its titles, is taken for what it is: no value, no id by mistake.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable
from tiecoat.tabular.title_parts import parted

KINDS = (DENSITY, FILM, FOAM, IMPEDANCE, PULL_OFF, RATING, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


def test_the_memory_of_a_gauge_is_no_batch(tmp_path: Path) -> None:
    """A mere number above columns of panels; one that is like an id is kept, and contradicts."""
    rows = (
        "Type\tDry film",
        "Unit\tmil",
        "",
        "No.\tK1-07.b1\tK1-07.b2",
        "1\t4.1\t4.4",
        "2\t4.3\t4.2",
    )
    found = read_lines(READER, tmp_path / "a.txt", "Batch\t12", *rows)
    assert {one.batch for one in found} == {None}
    assert {one.panel for one in found} == {"K1-07.b1", "K1-07.b2"}
    other = read_lines(READER, tmp_path / "b.txt", "Batch\tK1-08", *rows)
    assert {one.batch for one in other} == {"K1-08"}


def test_a_number_in_a_sentence_is_no_film_above_readings_at_places(tmp_path: Path) -> None:
    """EP is a word for a thickness, and here of a paint."""
    found = read_lines(
        READER,
        tmp_path / "comb.txt",
        "Wet film by comb, EP 77 on steel, readings in um",
        "",
        "Panel\tWFT left\tWFT right",
        "K1-07.b1\t140\t150",
        "K1-07.b2\t135\t145",
    )
    assert column(found, "thickness_um") == [140, 150, 135, 145]


def test_a_row_with_one_panel_heads_the_table_below_it(tmp_path: Path) -> None:
    """A name, its id and who pulled when are no titles over those below."""
    found = read_lines(
        READER,
        tmp_path / "pulls.csv",
        "Dollies 20 mm;;;",
        ";;;",
        "Panel;K1-07.b1;;pulled by Jo",
        "Dolly;Strength (MPa);% A/B;% B",
        "1;7,9;20;80",
        "2;8,3;0;100",
    )
    assert {one.panel for one in found} == {"K1-07.b1"}
    assert column(found, "failure") == ["20 % A/B, 80 % B", "100 % B"]


def test_percent_before_a_title_is_its_unit(tmp_path: Path) -> None:
    """% rusted; a place of failure keeps its sign."""
    assert (parted("% rusted").unit, parted("% A/B").unit, parted("% w/w").name) == (
        "%",
        None,
        "% w/w",
    )
    found = read_lines(
        READER,
        tmp_path / "rust.csv",
        "Salt spray;;;",
        "Panel;Hours;Rust grade D610;% rusted",
        "K1-07.b1;240;9;0,03",
        "K1-07.b2;240;7;0,3",
    )
    assert column(found, "area_percent") == [0.03, 0.3]


@pytest.mark.parametrize(
    ("title", "unit"),
    [
        ("density_g_cm3", "g/cm3"),
        ("strength_N_mm2", "N/mm2"),
        ("Zre_ohm_cm2", "ohm cm2"),
        ("solids_g_l", "g/l"),
    ],
)
def test_underscores_join_what_a_slash_parts(title: str, unit: str) -> None:
    """Mass over volume and force over area; an impedance times an area stays a product."""
    assert parted(title).unit == unit


def test_runs_side_by_side_are_of_what_their_unit_says(tmp_path: Path) -> None:
    """Seconds of a cup below a line that speaks of viscosity, and no foam without a word for it."""
    found = read_lines(
        READER,
        tmp_path / "mai.csv",
        "Viscosité à la coupe ISO 2431 n° 6, primaire à 23,0 °C",
        "Lot;1er essai (s);2e essai (s)",
        "K1-07;46,7;46,2",
        "K1-08;57,6;58,9",
    )
    assert column(found, "efflux_s") == [46.7, 46.2, 57.6, 58.9]
    assert column(found, "viscosity_pa_s") == pytest.approx([float("nan")] * 4, nan_ok=True)
    silent = read_lines(
        READER,
        tmp_path / "cups.csv",
        "ISO 2431 n° 6;;;",
        ";;;",
        ";;Temps d'écoulement (min:s);",
        "Lot;Temp. (°C);1;2",
        "K1-07;22,9;1:12;1:14",
        "K1-08;23,0;1:21;1:20",
    )
    assert {one.kind for one in silent} == {"viscosity"}


def test_numbered_readings_below_what_a_heading_says(tmp_path: Path) -> None:
    """Messung 1 and 2 of a width over the scribe."""
    found = read_lines(
        READER,
        tmp_path / "scribe.csv",
        "Enthaftung am Ritz nach 720 h Salzsprühnebel",
        "Ritzbreite 0,5 mm; gesamte Breite der Enthaftung über den Ritz in mm",
        "Platte;Messung 1;Messung 2",
        "K1-07.b1;3,7;4,9",
        "K1-07.b2;2,9;4,1",
    )
    assert column(found, "damage_width_mm") == [3.7, 4.9, 2.9, 4.1]
    assert column(found, "reading") == [1, 2, 1, 2]


def test_wide_gaps_part_names_and_values_of_a_line(tmp_path: Path) -> None:
    """A name of two words behind a value with its unit."""
    found = read_lines(
        READER,
        tmp_path / "cup.txt",
        "Czas wypływu z kubka DIN 4 mm",
        "",
        "Szarża: K1-07   temperatura: 19,8 °C   czas wypływu: 65 s",
        "Szarża: K1-08   temperatura: 19,9 °C   czas wypływu: 66 s",
    )
    assert column(found, "efflux_s") == [65, 66]
    assert column(found, "temperature_c") == [19.8, 19.9]


def test_ids_typed_with_a_blank_stay_whole(tmp_path: Path) -> None:
    """K1-07 b2 is a panel, and no determination 2 of a batch."""
    found = read_lines(
        READER,
        tmp_path / "pulls.csv",
        "Dolly: 20 mm",
        "",
        "Provino;Prova;Resistenza (MPa);Rottura",
        "K1-07 b1;1;7,9;100 % B",
        "K1-07 b2;1;8,3;100 % B",
    )
    assert {one.panel for one in found} == {"K1-07 b1", "K1-07 b2"}


def test_hours_between_two_times_above_a_sweep(tmp_path: Path) -> None:
    """Immersed and scanned; the one area of a line is that of the cell which it names."""
    sweep = [f"{10 ** (4 - n)};{10 ** (5 + n)};{80 - 10 * n}" for n in range(6)]
    lines = (
        "Panel: K1-07.b1",
        "Immersed: 16/03/2026 09:00",
        "Scan started: 23/03/2026 09:00",
        "",
        "Frequency (Hz);|Z| (ohm);-Phase (deg)",
        *sweep,
    )
    cell = "Cell: glass tube, 4.0 cm wide (12.6 cm²), 5 % NaCl"
    found = read_lines(READER, tmp_path / "a.txt", cell, *lines)
    assert {*column(found, "exposure_h")} == {168}
    assert {*column(found, "area_cm2")} == {12.6}
    two = "Cell: glass tube, 4.0 cm wide (12.6 cm²), counter electrode 9 cm²"
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "b.txt", two, *lines)
    assert held.value.reason is Reason.MISSING_COLUMN


def test_hours_of_an_inspection_stand_in_the_heading_beside_its_start(tmp_path: Path) -> None:
    """When the exposure began alone tells no hours; the heading does."""
    found = read_lines(
        READER,
        tmp_path / "inspection.csv",
        "Neutral salt spray, inspection at 500 h;;",
        "Start 4 March 2026, cabinet 2;;",
        ";;",
        "Panel;Rust (Ri);Blistering",
        "K1-07.b1;Ri 3;4(S3)",
        "K1-07.b2;Ri 0;1(S2)",
    )
    assert {*column(found, "exposure_h")} == {500}
    assert column(found, "rating") == ["Ri 3", "4(S3)", "Ri 0", "1(S2)"]


def test_an_area_without_the_scribe_is_no_result_where_grades_stand(tmp_path: Path) -> None:
    """Two tables below each other, each named by the line above it, hours in their titles."""
    found = read_lines(
        READER,
        tmp_path / "grades.csv",
        "Salzsprühnebel;;",
        ";;",
        "Rostgrad Ri, Fläche ohne Ritz;;",
        "Platte;240 h;480 h",
        "K1-07.b1;Ri 1;Ri 3",
        "K1-07.b2;Ri 0;Ri 1",
        ";;",
        "Blasengrad, Menge (Größe), ISO 4628-2;;",
        "Platte;240 h;480 h",
        "K1-07.b1;2 (S2);3 (S3)",
        "K1-07.b2;0 (S0);2 (S2)",
    )
    assert column(found, "property") == ["rust"] * 4 + ["blisters"] * 4
    assert column(found, "exposure_h") == [240, 480] * 4


def test_who_measured_when_below_a_heading_is_no_value(tmp_path: Path) -> None:
    """A lone line that is long enough for a title, and a day below it."""
    found = read_lines(
        AnyTable({"film_thickness": FILM}),
        tmp_path / "film.csv",
        "Schichtdicke trocken (µm) nach 7 Tagen Aushärtung;;",
        "22-04-2026, A. Ruiz;;",
        ";;",
        "Punkt;K1-07.b1;K1-07.b2",
        "1;101;98",
        "2;104;97",
    )
    assert column(found, "thickness_um") == [101, 98, 104, 97]


def test_a_gauge_that_shows_no_place_of_failure(tmp_path: Path) -> None:
    """Blocks of panels from a memory; the failure is not stated, and each test says so."""
    lines = (
        "PULL LOG   UNITS=PSI   DOLLY=20MM",
        "",
        "BATCH 03  NAME K1-07.b1",
        "  #   PSI   TIME",
        "  1  1180   12.1",
        "  2  1240   12.6",
        "  AVG 1210  SD 42",
        "",
        "BATCH 04  NAME K1-07.b2",
        "  #   PSI   TIME",
        "  1  1300   13.2",
        "  2  1270   12.9",
        "  AVG 1285  SD 21",
    )
    found = read_lines(READER, tmp_path / "dump.txt", *lines)
    assert [one.panel for one in found] == ["K1-07.b1"] * 2 + ["K1-07.b2"] * 2
    assert column(found, "strength_mpa") == pytest.approx(
        [psi * 0.00689475729 for psi in (1180, 1240, 1300, 1270)]  # NIST SP 811, Appendix B
    )
    assert {*column(found, "failure")} == {"not stated"}
    said = (
        "assumed: failure not stated, so that it is in no share, and a lower bound if glue failed"
    )
    assert all(said in one.remarks for one in found)


@pytest.mark.parametrize(
    ("line", "note"), [("all failures 100 % B", "ok"), ("gauge zeroed", "glue"), ("x", "cohesive")]
)
def test_a_failure_that_the_file_speaks_of_is_not_left_out(
    tmp_path: Path, line: str, note: str
) -> None:
    """What is told in words beside the table, or in a note, is asked for."""
    with pytest.raises(FileHeld) as held:
        read_lines(
            READER,
            tmp_path / "pulls.csv",
            f"Dolly 20 mm;{line};",
            "Panel;Strength (MPa);Note",
            f"K1-07.b1;7,9;{note}",
            "K1-07.b2;8,3;",
        )
    assert held.value.reason is Reason.MISSING_COLUMN


def test_a_diameter_alone_is_no_pull_off(tmp_path: Path) -> None:
    """A film in mm by a letter, beside a mode of the gauge that is a word for how it broke."""
    found = read_lines(
        READER,
        tmp_path / "stick.txt",
        "<file>K1-07.b1</file>",
        "",
        "No.;d(mm);Mode",
        "1;0.1587;cont",
        "2;0.1568;cont",
    )
    assert column(found, "thickness_um") == pytest.approx([158.7, 156.8])
