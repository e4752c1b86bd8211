"""A text that ends too early gives a part of what it would give whole, or is held."""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.schemas.batches import KIND as BATCHES
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.exposure_rating import KIND as EXPOSURE
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.panels import KIND as PANELS
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({k.name: k for k in (BATCHES, PANELS, DENSITY, EXPOSURE, FILM, VISCOSITY)})
FIRST = ("Lot: K1-07", "State: as mixed", "Time since mixing: 5 min", "Temperature: 23 °C")
FIRST += ("Density: 1.5142 g/cm³", "---")


def test_lines_of_words_below_the_name_of_a_batch_are_no_register(tmp_path: Path) -> None:
    """A base is a word for the control, and a part of a paint."""
    head = ("Flow curve of batch K1-07", "Cone and plate; base with hardener; 12 min after mixing")
    assert read_lines(READER, tmp_path / "v.csv", *head, "") == []


def test_a_register_says_of_what_each_of_its_rows_is(tmp_path: Path) -> None:
    """The beginning of a thickness, of a panel that the name of the file may tell, is none."""
    lines = ("Dry film thickness", "System;1")
    assert read_lines(READER, tmp_path / "K1-07.b1.csv", *lines) == []
    comb = ("Peigne;K1-07.b1", "Couche;1", "Date;2026-01-20", "Mesure;Épaisseur (µm)")
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "p.csv", *comb)


@pytest.mark.parametrize("kept", [1, 2, 3, 4])
def test_records_of_which_the_last_breaks_off_are_held(tmp_path: Path, kept: int) -> None:
    """What it lacks is not as in the record before."""
    last = ("Lot: K1-08", "State: deaerated", "Time since mixing: 45 min", "Temperature: 23 °C")
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "d.txt", *FIRST, *last[:kept])


def test_a_remark_that_the_last_record_lacks_is_no_loss(tmp_path: Path) -> None:
    """Nobody writes one below every determination."""
    first = (*FIRST[:-1], "Remark: some bubbles at first, stirred again", "---")
    found = read_lines(READER, tmp_path / "d.txt", *first, *FIRST[:-1])
    assert column(found, "density_g_cm3") == [1.5142, 1.5142]


def test_a_heading_below_the_rows_heads_none_of_them(tmp_path: Path) -> None:
    """Of which the rows would follow in the whole file."""
    rows = ("wet (comb)", "K1-07.b1: 160 / 150 / 165", "K1-07.b2: 150 / 175 / 165")
    head = "Film thickness in µm, 1st coat"
    found = read_lines(READER, tmp_path / "f.txt", head, "", *rows, "", "dry, 24.04.2026")
    assert set(column(found, "state")) == {"wet"}


def test_titles_at_the_end_are_no_row(tmp_path: Path) -> None:
    """They head what is cut off."""
    titles = "Panel;Rust;Blisters"
    table = ("Salt spray, after 480 h", titles, "K1-07.b1;Ri 0;2(S2)", "K1-07.b2;Ri 1;0(S0)")
    found = read_lines(READER, tmp_path / "r.csv", *table, "", "Third inspection", titles)
    assert {one.panel for one in found} == {"K1-07.b1", "K1-07.b2"}
    assert set(column(found, "exposure_h")) == {480.0}
