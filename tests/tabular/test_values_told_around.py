"""What stands around a table and says otherwise holds the file; what nobody reads is told."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.exposure_rating import KIND as EXPOSURE
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

KINDS = (DENSITY, EXPOSURE, FILM, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})
AT_60 = ("Panel;Reading;Gloss 60° (GU)", "K1-07.b1;1;18.7", "K1-07.b1;2;23.7")
PULLED = ("Panel;Dolly;Diameter (mm);Strength (MPa);Failure", "K1-07.b1;1;20;8.2;100 % B")
SPECTRUM = ("", "f [Hz];Z' [Ohm];Z'' [Ohm]", "1000;3125.25;-186410", "10;1251000;-12410000")
CELL = ("Panel;K1-07.b1", "Area;10 cm2", "Immersion;48 h")
PAINT = ("Batch;State;Rest (min);Temp (°C);Density (g/ml)", "K1-07;as mixed;5;23;1.360")
U = ("Batch;State;Rest (min);Temp (°C);Density (g/ml);u (g/ml)", "K1-07;as mixed;5;23;1.360;0.002")
WITH_U = (
    "Batch\tState\tRest (min)\tTemp (°C)\tDensity (g/ml)",
    "K1-07\tas mixed\t5\t23\t1.360 ± 0.002",
)


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("glans.csv", ("Glansmeting bij 20°", *AT_60)),
        ("Glanz 20 Grad.csv", AT_60),
        ("gloss_85deg.csv", AT_60),
        ("b.csv", ("Brillant, géométrie 20°", "Panneau;Lecture;Brillant à 60°", "K1-07.b1;1;18,7")),
        ("f.csv", ("Wet film thickness", "Panel;Spot;Dry film thickness (µm)", "K1-07.b1;1;118")),
        ("DFT coat 1.csv", ("Panel;Spot;Coat;DFT (µm)", "K1-07.b1;1;system;118")),
        ("Salznebel 480 h.csv", ("Platte;Stunden;Blasen", "K1-07.b1;720;2(S3)")),
        ("cup.csv", ("Flow cup ISO 2431, 5 mm", "Batch;DIN 4 (s);Temp (°C)", "K1-07;43;23")),
        ("p.csv", ("Dollies 50 mm", *PULLED)),
        ("dolly 50 mm.csv", PULLED),
        ("d.csv", ("Density at 30 °C", *PAINT)),
    ],
)
def test_a_text_that_tells_another_value_holds_the_file(
    tmp_path: Path, name: str, lines: tuple[str, ...]
) -> None:
    """A line, a title or the name of the file against a column: one of the two is wrong."""
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / name, *lines)


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("gloss 20 60 85.csv", AT_60),
        ("gloss.csv", ("Gloss at 20° and 60°", *AT_60)),
        ("dolly 20 mm.csv", PULLED),
        ("d.csv", ("Density at 23 °C", *PAINT)),
        ("d 37QF.csv", ("Ware 37QF", *PAINT)),
    ],
)
def test_a_text_that_tells_the_value_too_holds_nothing(
    tmp_path: Path, name: str, lines: tuple[str, ...]
) -> None:
    """Of several values it may tell all, or one; the letters of a code are no unit."""
    assert read_lines(READER, tmp_path / name, *lines)


def test_a_folder_of_fresh_panels_says_nothing_of_wet_films(tmp_path: Path) -> None:
    """Fresh is a panel too, and a paint; a film is dry unless it is called wet."""
    folder = tmp_path / "fresh"
    folder.mkdir()
    found = read_lines(READER, folder / "fresh.csv", "Panel;Spot;Thickness (um)", "K1-07.b1;1;231")
    assert column(found, "state") == ["dry"]


@pytest.mark.parametrize(
    "line",
    [
        "area 10 cm2; coating 77 um dry; FM",
        "Fläche 10 cm², Schicht 77 µm trocken",
        "surface 10 cm² ; couche 77 µm sèche",
        "oppervlak 10 cm², laag 77 µm droog",
        "area 10 cm2, 77 µm dry coating",
        "Coating: 77 µm dry, area 10 cm2",
    ],
)
def test_a_dry_coating_of_some_micrometres_is_its_thickness(tmp_path: Path, line: str) -> None:
    """In any order, with or without a colon."""
    head = ("Panel K1-07.b1, immersion 48 h", line)
    found = read_lines(READER, tmp_path / "eis.csv", *head, *SPECTRUM)
    assert set(column(found, "thickness_um")) == {77.0}
    assert set(column(found, "area_cm2")) == {10.0}


@pytest.mark.parametrize(
    ("head", "rows"),
    [
        (("primer 77 µm", *CELL), SPECTRUM),
        (("Impedance normalised to the area", *CELL), SPECTRUM),
        (("values times area, ohm cm2", *CELL), SPECTRUM),
        (("Density cup; u = 0.0008 g/ml (k = 1)",), PAINT),
        (("Density cup. Expanded uncertainty 0.0016 g/ml, k = 2",), PAINT),
        (("All uncertainties are expanded, k = 2",), U),
        (
            ("Dollies 20 mm, forces in kN",),
            ("Panel;No;Force (N);Failure", "K1-07.b1;1;2.5;100 % B"),
        ),
        (("Mean of five readings each",), ("Panel;Gloss 60°", "K1-07.b1;85.2", "K1-07.b2;84.2")),
    ],
)
def test_what_lines_say_of_the_values_and_nobody_reads_holds_the_file(
    tmp_path: Path, head: tuple[str, ...], rows: tuple[str, ...]
) -> None:
    """An amount of a quantity that the kind knows, another unit, another uncertainty, means."""
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "x.csv", *head, *rows)


@pytest.mark.parametrize(
    ("said", "uncertainty"),
    [("± is the standard uncertainty", 0.002), ("± expanded uncertainty, k = 2", 0.001)],
)
def test_what_stands_behind_plus_minus_is_read_where_a_line_says_what_it_is(
    tmp_path: Path, said: str, uncertainty: float
) -> None:
    """The standard uncertainty as it stands, the expanded one halved."""
    found = read_lines(READER, tmp_path / "d.txt", said, "", *WITH_U)
    assert column(found, "uncertainty_g_cm3") == [pytest.approx(uncertainty)]


def test_what_stands_behind_plus_minus_is_not_guessed(tmp_path: Path) -> None:
    """Where nothing says what it is, the value is filed without it, and that is remarked."""
    found = read_lines(READER, tmp_path / "d.txt", *WITH_U)
    assert [str(one) for one in column(found, "uncertainty_g_cm3")] == ["nan"]
    assert "±" in found[0].remarks[0]


def test_two_properties_at_two_times_stand_side_by_side(tmp_path: Path) -> None:
    """Titles that name a property and hours are ratings at each of these times."""
    rows = ("Platte;Rost 240 h;Blasen 240 h;Rost 480 h;Blasen 480 h",)
    rows += ("K1-07.b1;Ri 0;0(S0);Ri 1;2(S2)", "K1-07.b2;Ri 0;0(S0);Ri 1;2(S2)")
    found = read_lines(READER, tmp_path / "r.csv", "Salzsprühnebel", *rows)
    told = list(zip(column(found, "exposure_h"), column(found, "property"), strict=True))
    assert told[:4] == [(240.0, "rust"), (240.0, "blisters"), (480.0, "rust"), (480.0, "blisters")]


def test_an_impedance_of_the_area_is_divided_by_it(tmp_path: Path) -> None:
    """Also where the title says so in words."""
    head = ("Panel;K1-07.b1", "Area;10 cm2", "Auslagerungsdauer in NaCl 5 % (h);48")
    title = "Frequenz [Hz];|Z| flächenbezogen [Ω·cm²];Phasenwinkel [°]"
    rows = (title, "1000;20000000;-80", "10;200000000;-60")
    found = read_lines(READER, tmp_path / "z.csv", *head, "", *rows)
    assert sorted(column(found, "z_real_ohm"))[1] == pytest.approx(1e7)
    assert set(column(found, "exposure_h")) == {48.0}


def test_a_line_of_a_note_that_is_not_understood_is_not_lost(tmp_path: Path) -> None:
    """With an amount like those of the other lines it holds the note."""
    head = ("Density 2.6.2026, 23 °C", "", "K1-07")
    rows = ("10 min after mixing: 1.398 g/ml", "30 min after mixing: 1.411 g/ml")
    assert len(read_lines(READER, tmp_path / "a.txt", *head, *rows)) == 2
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "b.txt", *head, *rows, "a while later, shaken 1.432 g/ml")


@pytest.mark.parametrize(
    ("line", "temperature_c"),
    [
        ("Bath;23 °C", 23.0),
        ("Bad;25 °C", 25.0),
        ("Electrolyte;3.5 % NaCl, 23 °C", 23.0),
        ("Bath;3", None),
        ("Bath;3.5 % NaCl", None),
    ],
)
def test_a_bath_of_so_many_degrees_tells_the_temperature(
    tmp_path: Path, line: str, temperature_c: float | None
) -> None:
    """An entry that names the bath alone tells its temperature by the unit, and no number else."""
    (one,) = read_lines(READER, tmp_path / "z.csv", line, *CELL, *SPECTRUM)
    told = math.nan if temperature_c is None else temperature_c
    assert one.columns["temperature_c"] == pytest.approx([told] * 2, nan_ok=True)
    assert one.remarks == ()
