"""Words of the trade that name another quantity than the column that they sound like.

No source: what the words mean, from memory; complex viscosity is that of an oscillation.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import HABITS, column, read_lines

from tiecoat.dialect.export import Export
from tiecoat.errors import FileHeld
from tiecoat.schemas.chamber_record import KIND as CHAMBER
from tiecoat.schemas.film_thickness import KIND as FILM_THICKNESS
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.schemas.words.film_thickness import thickness
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (CHAMBER, GLOSS, IMPEDANCE, VISCOSITY)})


@pytest.mark.parametrize(
    "title", ["Complex viscosity", "Komplexe Viskosität", "viscosité complexe", "lepkość zespolona"]
)
def test_a_complex_viscosity_is_none_of_a_flow_curve(tmp_path: Path, title: str) -> None:
    """Beside a shear rate it makes no flow curve: the file is held."""
    head = ("Batch;K1-07", "Date;12.03.2026", "Temperature;23 °C", "")
    rows = (f"Shear rate [1/s];{title} [Pa s]", "1;2.1", "10;1.2", "100;0.8")
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "sweep.csv", *head, *rows)


def test_a_nominal_thickness_is_not_that_of_the_film(tmp_path: Path) -> None:
    """NDFT is what was specified; DFT was measured."""
    rows = ("", "f [Hz];Z' [Ohm];Z'' [Ohm]", "1000;3125.25;-186410", "10;1251000;-12410000")
    for name, thickness_um in (("NDFT", "nan"), ("DFT", "240.0")):
        head = ("Panel;K1-07.b1", "Area;10 cm2", "Immersion;48 h", f"{name};240 µm")
        found = read_lines(READER, tmp_path / "eis.csv", *head, *rows)
        assert set(map(str, column(found, "thickness_um"))) == {thickness_um}


def test_the_make_of_a_gauge_is_no_batch(tmp_path: Path) -> None:
    """Nor is its type."""
    head = ("Make;Type 4", "Panel;K1-07.b1", "Angle;60", "")
    found = read_lines(READER, tmp_path / "gloss.csv", *head, "Spot;Gloss", "1;85", "2;86")
    assert [one.batch for one in found] == [None, None]


def test_an_acidity_is_no_ph(tmp_path: Path) -> None:
    """It may be an amount of acid: the file is held."""
    lines = ("Chamber;SST1", "Date;12.03.2026", "Temperature;35.1 °C", "Collected;1.4 ml/h")
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "record.csv", *lines, "Acidity;7", "NaCl;50 g/l")


def test_words_for_dry_and_wet_are_words_of_their_language() -> None:
    """Such as épaisseur sèche, which is not made by an ending."""
    assert "épaisseur sèche" in thickness("dry")
    assert "épaisseur humide" in thickness("wet")
    assert not [word for word in ("sece", "humidee") if word in thickness("dry") + thickness("wet")]


@pytest.mark.parametrize("unit", ["GU", "GE", "MPa"])
def test_readings_in_the_unit_of_something_else_are_no_thickness(tmp_path: Path, unit: str) -> None:
    """What is told as gloss units or megapascals is no thickness, and without an angle no gloss."""
    reader = AnyTable({kind.name: kind for kind in (FILM_THICKNESS, GLOSS)})
    rows = ("PANEL;R1;R2;R3;AVG", "K1-07.b1;48.9;51.6;50.1;50.2", "K1-07.b2;50.8;50.2;50.4;50.5")
    head = ("METER;V1.0", "DATE;26.03.2026")
    with pytest.raises(FileHeld):
        read_lines(reader, tmp_path / "g.csv", *head, f"UNIT;{unit}", *rows)
    found = read_lines(reader, tmp_path / "d.csv", *head, "UNIT;µm", *rows)
    assert column(found, "thickness_um") == [48.9, 51.6, 50.1, 50.8, 50.2, 50.4]


@pytest.mark.parametrize(
    "lines",
    [
        ("Impact run", "Hammer load: 80 N", "Strike area: 4 cm²"),
        ("Mandrel", "Force: 80 N", "Diameter: 20 mm"),
        ("Chips of ballast", "Pressure: 2 bar", "Field area: 4 cm²"),
    ],
)
def test_a_load_and_an_area_alone_are_no_pull_off(tmp_path: Path, lines: tuple[str, ...]) -> None:
    """Any test has a force and an area; beside a dolly they are a pull-off."""
    reader = AnyTable({PULL_OFF.name: PULL_OFF})
    first, *rest = lines
    head = ("Panel: K1-07.b2", "Tested: 2026-09-21 09:20")
    path = tmp_path / "run.txt"
    path.write_text("\n".join([first, *head, *rest, ""]), encoding="utf-8")
    claim = reader.recognise(Export(path, path.name, "", HABITS))
    assert claim is None or claim.sure < 0.5
    pulled = ("Force: 2200 N", "Dolly diameter: 20 mm", "Failure: 100 % B")
    found = read_lines(reader, tmp_path / "pull.txt", *head, *pulled)
    assert column(found, "force_n") == [2200]
