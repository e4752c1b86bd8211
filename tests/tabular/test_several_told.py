"""Two values of one quantity in a text around a table leave open of which rows each is."""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.schemas.exposure_rating import KIND as EXPOSURE
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (EXPOSURE, IMPEDANCE, PULL_OFF, VISCOSITY)})
PULLED = ("", "Platte;Nr;Kraft (kN);Bruchbild", "K1-07.b1;1;1,32;100 % B", "K1-07.b1;2;1,8;100 % B")
POURED = ("", "Lot;Temps (s)", "K1-07;43", "K1-08;51")
BLISTERED = ("", "Panel;Blisters", "K1-07.b1;2(S2)", "K1-07.b2;3(S2)")
SPECTRUM = ("", "f [Hz];Z' [Ohm];Z'' [Ohm]", "1000;3125.25;-186410", "10;1251000;-12410000")


@pytest.mark.parametrize(
    ("heading", "table"),
    [
        ("Essais, plots de 14 mm et de 20 mm selon la place", PULLED),
        ("Abreißversuch, Stempel 14 mm oder 20 mm", PULLED),
        ("Pull-off, dolly diameter 14 and 20 mm", PULLED),
        ("Pull-off, dolly 14/20 mm", PULLED),
        ("Stempeldurchmesser: 20 mm bzw. 14 mm", PULLED),
        ("Dolly area: 157 or 314 mm²", PULLED),
        ("razník průměr 20 mm nebo 14 mm", PULLED),
        ("grzybki 20 mm lub 14 mm", PULLED),
        ("Prova, carrelli diametro 20 mm (14 mm sui bordi)", PULLED),
        ("Coupe ISO 2431 4 mm et 6 mm, 23 °C", POURED),
        ("Coupe ISO 2431 4 mm, 20 °C et 23 °C", POURED),
        ("Salt spray 480 h and 720 h", BLISTERED),
        ("Salt spray and condensation 720 h", BLISTERED),
        ("Panel K1-07.b1, 48 h in 3.5 % NaCl, cell area 14.5 cm² or 20 cm²", SPECTRUM),
    ],
)
def test_two_values_joined_in_a_line_hold_the_file(
    tmp_path: Path, heading: str, table: tuple[str, ...]
) -> None:
    """Neither the first nor the last of two sizes, times or tests is taken for all rows."""
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "a.csv", heading, *table)


@pytest.mark.parametrize(
    ("heading", "table", "name"),
    [
        ("Stempeldurchmesser: 20 mm, Klebstoff 24 h und 48 h", PULLED, "strength_mpa"),
        ("Coupe ISO 2431 4 mm, 23 °C, lot 4 et 6", POURED, "efflux_s"),
        ("Coupe DIN 53211, 4 mm, 23 °C", POURED, "efflux_s"),
        ("Salt spray, 720 h, racks 4 and 6", BLISTERED, "rating"),
    ],
)
def test_two_amounts_of_something_else_hold_nothing(
    tmp_path: Path, heading: str, table: tuple[str, ...], name: str
) -> None:
    """Of what the table does not read from its lines a line may tell several."""
    assert len(column(read_lines(READER, tmp_path / "a.csv", heading, *table), name)) == 2


def test_a_column_that_tells_the_size_row_by_row_leaves_nothing_open(tmp_path: Path) -> None:
    """Both sizes may stand in the heading where each row says which it was."""
    lines = ("Platte;Nr;Kraft (kN);Stempel (mm);Bruchbild", "K1-07.b1;1;1,32;14;100 % B")
    more = "K1-07.b1;2;1,87;20;100 % B"
    found = read_lines(READER, tmp_path / "a.csv", "Stempel 14 mm und 20 mm", "", *lines, more)
    assert column(found, "dolly_diameter_mm") == [14, 20]
