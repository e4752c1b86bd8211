"""What stands beside a table is taken for its rows or told in a remark, never just dropped."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.foam import KIND as FOAM
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({k.name: k for k in (DENSITY, FILM, FOAM, IMPEDANCE, PULL_OFF, VISCOSITY)})
FILMS = ("panel;spot;{};um", "K1-07.b1;1;10:01;82", "K1-07.b1;2;10:02;85")
PULLED = ("no;MPa;failure", "1;7.1;100 % B")
CUP = ("Batch;Efflux (s);T (°C)", "K1-07;43.2;23.0")
CURVE = ("Shear rate (1/s);Viscosity (Pa.s)", "100;0.71", "50;0.93", "10;1.9")
SPECTRUM = ("f [Hz];Z' [Ohm];Z'' [Ohm]", "1000;3125.25;-186410", "10;1251000;-12410000")
CELL = ("Panel;K1-07.b1", "Area;10 cm2", "Immersion;48 h")


@pytest.mark.parametrize("title", ["at", "", "time", "When"])
def test_a_clock_in_a_column_belongs_to_the_day_that_a_line_tells(
    tmp_path: Path, title: str
) -> None:
    """Whatever the column is called, and whether it is called anything."""
    found = read_lines(
        READER, tmp_path / "f.csv", "DFT, 4 June 2026", FILMS[0].format(title), *FILMS[1:]
    )
    assert [one.measured_at for one in found] == [
        datetime(2026, 6, 4, 10, minute, tzinfo=UTC) for minute in (1, 2)
    ]


def test_a_clock_without_a_day_is_told(tmp_path: Path) -> None:
    """It cannot be filed, and is no time since something."""
    found = read_lines(READER, tmp_path / "f.csv", "DFT", FILMS[0].format("at"), *FILMS[1:])
    assert [one.measured_at for one in found] == [None, None]
    assert all("'at' is left out" in one.remarks[0] for one in found)


@pytest.mark.parametrize(
    "lines",
    [
        ("Date;14.05.2026", "Start;12:15"),
        ("Data;14.05.2026", "Godz.;12:15"),
        ("Tested;14.05.2026;12:15",),
        ("14.05.2026;12:15 pm",),
        ("14.05.2026 um 12.15 Uhr",),
    ],
)
def test_a_clock_beside_a_day_is_the_time_of_measuring(
    tmp_path: Path, lines: tuple[str, ...]
) -> None:
    """In an entry of its own, in the next cell, in a line of nothing else."""
    head = ("Pull-off, dolly 20 mm", "Panel;K1-07.b1", *lines)
    found = read_lines(READER, tmp_path / "p.csv", *head, *PULLED)
    assert [one.measured_at for one in found] == [datetime(2026, 5, 14, 12, 15, tzinfo=UTC)]


def test_a_clock_of_which_nothing_says_what_it_is_is_told(tmp_path: Path) -> None:
    """Beside a day without a time; the time of another day is none."""
    head = ("Pull-off, dolly 20 mm", "Panel;K1-07.b1", "Date;14.05.2026")
    glued = read_lines(READER, tmp_path / "p.csv", *head, "Glue mixed 8:30", *PULLED)
    assert any("the time 8:30 in row 4 is left out" in text for text in glued[0].remarks)
    coated = read_lines(READER, tmp_path / "q.csv", *head, "coated 2.5.2026 8:30", *PULLED)
    assert not coated[0].remarks


def test_times_of_day_are_no_minutes_since_mixing(tmp_path: Path) -> None:
    """Above a density `Zeit 10:20` beside a day is when it was measured; without one it is open."""
    head = ("Charge;K1-07", "Zustand;unbehandelt", "Temperatur;23 °C", "Zeit;10:20")
    rows = ("Bestimmung;Dichte (g/ml)", "1;1,402")
    day, rest = "Datum;14.05.2026", "Standzeit;20 min"
    found = read_lines(READER, tmp_path / "d.csv", *head, day, rest, *rows)
    assert found[0].measured_at == datetime(2026, 5, 14, 10, 20, tzinfo=UTC)
    assert column(found, "elapsed_s") == [1200.0]
    found = read_lines(READER, tmp_path / "e.csv", *head, day, *rows)
    assert column(found, "elapsed_s") != [620.0]
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "f.csv", *head, *rows)


def test_what_is_used_or_of_the_room_is_not_told(tmp_path: Path) -> None:
    """The efflux time in a line of its own, and the climate that a test was made in."""
    card = ("Batch: K1-07", "Cup: ISO 4 mm", "Date: 7.5.2026", "Efflux time (min:s): 1:14")
    found = read_lines(READER, tmp_path / "c.txt", *card, "Temperature: 23 °C")
    assert column(found, "efflux_s") == [74.0]
    assert found[0].remarks == ()
    room = "Tested at 23 °C, 50 % r.h., conditioned over night"
    found = read_lines(READER, tmp_path / "z.csv", room, *CELL, *SPECTRUM)
    assert not any("°C" in text for text in found[0].remarks)


def test_runs_of_a_cup_are_numbered_as_the_file_numbers_them(tmp_path: Path) -> None:
    """By a column, also beside clock times, of which none is the time since something."""
    rows = ("09:10;K1-07;1;43.2", "09:20;K1-07;2;43.4", "10:10;K1-08;1;51.0")
    for name, title in (("a.csv", "run"), ("b.csv", "oznaczenie nr"), ("c.csv", "no")):
        head = ("Flow cup ISO 2431 4 mm, 23 °C, 14 Jul 2026", f"time;batch;{title};efflux (s)")
        found = read_lines(READER, tmp_path / name, *head, *rows)
        assert column(found, "run") == [1.0, 2.0, 1.0]
        assert all(value != value for value in column(found, "elapsed_s"))  # noqa: PLR0124
        assert found[0].measured_at == datetime(2026, 7, 14, 9, 10, tzinfo=UTC)


@pytest.mark.parametrize(
    ("line", "step"),
    [
        ("Viscosity, ramp up only, 23 °C, 18 June 2026", "up"),
        ("Flow curve; 23 °C; down", "down"),
        ("Flow curve at 23 °C, up and down", None),
        ("Flow curve at 23 °C; up to 100 1/s", None),
    ],
)
def test_a_part_of_a_program_is_told_in_a_line(tmp_path: Path, line: str, step: str | None) -> None:
    """Among other clauses of it, where it is one part and no more."""
    found = read_lines(READER, tmp_path / "v.csv", line, "Batch;K1-07", *CURVE)
    assert set(column(found, "step")) == {step}


def test_what_heads_all_tables_holds_for_each(tmp_path: Path) -> None:
    """A paragraph of its own above that of the first table."""
    head = ("Viscosimètre à cylindres coaxiaux", "Courbe d'écoulement, descente")
    tables = [("", f"Lot;K1-0{n}", "Température;23 °C", *CURVE) for n in (7, 8)]
    lines = [*head, *tables[0], *tables[1]]
    found = read_lines(READER, tmp_path / "v.csv", *lines)
    assert [one.columns["step"][0] for one in found] == ["down", "down"]


def test_a_temperature_is_taken_or_told(tmp_path: Path) -> None:
    """Of the sample where a line is about it; else nobody knows of what, and it is said so."""
    foam = ("t (s);foam (mL)", "0;104", "60;83")
    line = "batch K1-07, shaken, liquid 50 mL, 23.1 °C"
    found = read_lines(READER, tmp_path / "f.csv", line, *foam)
    assert set(column(found, "temperature_c")) == {23.1}
    bath = "3.5 % NaCl at 25 °C"
    found = read_lines(READER, tmp_path / "z.csv", bath, *CELL, *SPECTRUM)
    assert all(value != value for value in column(found, "temperature_c"))  # noqa: PLR0124
    assert any("25 °C in row 1 is left out" in text for text in found[0].remarks)


@pytest.mark.parametrize("title", ["coat date", "coated on", "Beschichtungsdatum", "cured until"])
def test_days_of_something_else_are_no_time_of_measuring(tmp_path: Path, title: str) -> None:
    """They have no place beside a thickness, and it is said that they are left out."""
    rows = (f"panel;spot;um;{title}", "K1-07.b1;1;82;12.05.2026", "K1-07.b1;2;85;12.05.2026")
    found = read_lines(READER, tmp_path / "f.csv", "dry film", *rows)
    assert [one.measured_at for one in found] == [None, None]
    assert any(f"under '{title}' are left out" in text for text in found[0].remarks)
    dated = (f"{rows[0]};date", *(f"{row};04.06.2026" for row in rows[1:]))
    found = read_lines(READER, tmp_path / "g.csv", "dry film", *dated)
    assert {one.measured_at for one in found} == {datetime(2026, 6, 4, tzinfo=UTC)}


def test_readings_with_numbers_in_brackets_are_all_read(tmp_path: Path) -> None:
    """A bracket with 1 in it is no unit where the next title has a 2 there."""
    rows = ("Batch;s (1);s (2)", "K1-07;43.1;43.4", "K1-08;51.0;51.2")
    found = read_lines(READER, tmp_path / "c.csv", "ISO 2431 cup 4 mm, 23.0 °C", *rows)
    assert column(found, "efflux_s") == [43.1, 43.4, 51.0, 51.2]
    assert column(found, "run") == [1.0, 2.0, 1.0, 2.0]


def test_days_of_which_one_is_that_of_measuring_are_told(tmp_path: Path) -> None:
    """Nobody knows which of two it is."""
    lines = ("Dry film, site visit 3.6.2026", "read again 4.6.2026", "panel;spot;um")
    found = read_lines(READER, tmp_path / "f.csv", *lines, "K1-07.b1;1;82", "K1-07.b1;2;85")
    assert [one.measured_at for one in found] == [None, None]
    assert sum("the day " in text for text in found[0].remarks) == 2
