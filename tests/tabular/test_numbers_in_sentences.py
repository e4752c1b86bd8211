"""Numbers in sentences, titles and entries that have two readings, and values that nothing names.

No source: how people write numbers with thousands, from common practice.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.across import amount_of
from tiecoat.tabular.reader import AnyTable
from tiecoat.tabular.spans import hours_in

READER = AnyTable({kind.name: kind for kind in (RATING, GLOSS, IMPEDANCE, PULL_OFF, VISCOSITY)})
CUP = ("Batch;K1-07", "Date;12.03.2026", "Cup;ISO 2431 4 mm", "Temperature;23")
SPECTRUM = ("f [Hz];Z' [Ohm];Z'' [Ohm]", "1000;3125{0}25;-186410", "10;1251000;-12410000")


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("after 1 440 h", 1440.0),
        ("nach 2 160 h im Salzsprühnebel", 2160.0),
        ("1 440 h", 1440.0),
        ("salt spray cabinet 2 000 h", 2000.0),
        ("salt spray, cabinet 2 480 h", None),
        ("Kammer 3 720 h", None),
    ],
)
def test_a_number_behind_a_word_may_be_its_own(text: str, hours: float | None) -> None:
    """Cabinet 2 480 h may be 480 h in cabinet 2: it tells no hours; 2 000 h has one reading."""
    assert hours_in(text) == hours


def test_hours_behind_the_number_of_a_cabinet_are_not_taken_for_thousands(tmp_path: Path) -> None:
    """The file is held, as its hours have two readings."""
    lines = ("Salt spray, cabinet 2 480 h", "Date;12.03.2026", "", "Panel;Ri")
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "salt.csv", *lines, "K1-07.b1;Ri 1", "K1-07.b2;Ri 2")
    assert held.value.reason == Reason.MISSING_COLUMN


@pytest.mark.parametrize(("mark", "area_cm2"), [(".", 12.56), (",", None)])
def test_an_area_with_thousands_is_read_by_the_decimal_mark_of_its_table(
    tmp_path: Path, mark: str, area_cm2: float | None
) -> None:
    """1,256 mm² beside 3125.25 is 1256 mm²; beside 3125,25 it is 1.256 mm²."""
    head = "Panel K1-07.b1, cell of 1,256 mm2, after 240 h"
    rows = [line.format(mark) for line in SPECTRUM]
    found = read_lines(READER, tmp_path / "eis.csv", head, "", *rows)
    assert set(column(found, "area_cm2")) == {area_cm2 or 0.01256}


def test_a_title_with_thousands_tells_no_amount() -> None:
    """1,000 h is not 1 h; 1.5 h has one reading."""
    assert amount_of("1,000 h", "h") is None
    assert amount_of("1.5 h", "h") == 1.5


@pytest.mark.parametrize(
    "rows",
    [
        ("Panel;480 h;1,000 h;2,000 h", "K1-07.b1;0;1;2", "K1-07.b2;0;1;2"),
        ("Panel;K1-07.b1", "Exposure;480 h", "Rust Ri;0;1"),
    ],
)
def test_a_row_of_values_without_titles_is_no_record(tmp_path: Path, rows: tuple[str, ...]) -> None:
    """No value is taken for a name, and none is lost: the file is held."""
    lines = ("Neutral salt spray", "Inspected;12.03.2026", "")
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "K1-07.b1 rust.csv", *lines, *rows)


def test_flow_times_in_minutes_are_no_clock_times_where_a_day_stands_above(tmp_path: Path) -> None:
    """`Flow time` says what 1:15 is; `time` alone does not."""
    times = ("Run;Flow time", "1;1:15", "2;1:14", "3;1:17")
    found = read_lines(READER, tmp_path / "cup.csv", *CUP, "", *times)
    assert column(found, "efflux_s") == [75.0, 74.0, 77.0]


def test_seconds_beyond_a_minute_are_told(tmp_path: Path) -> None:
    """1:75 may be meant as 1.75 min: it is no 135 s."""
    times = ("Run;Flow time [min:s]", *(f"{n};1:1{n}" for n in range(1, 7)), "7;1:75")
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "cup.csv", *CUP, "", *times)
    assert held.value.reason == Reason.NOT_A_NUMBER


def test_an_entry_with_two_values_tells_neither(tmp_path: Path) -> None:
    """Of 23 and 24 °C above one table none is passed over in silence."""
    times = ("Run;Flow time [s]", "1;75", "2;74")
    assert len(read_lines(READER, tmp_path / "one.csv", *CUP, "", *times)) == 2
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "two.csv", *CUP[:2], "Temperature;23;24", CUP[2], "", *times)
    assert held.value.reason == Reason.UNREAD_ROWS


@pytest.mark.parametrize(
    ("line", "hours"),
    [("planned 1000 h", None), ("geplant 1000 h", None), ("prévu 1000 h", None), ("1000 h", 1000)],
)
def test_hours_that_are_planned_have_not_passed(line: str, hours: float | None) -> None:
    """They are no exposure at the inspection."""
    assert hours_in(f"Neutral salt spray: {line}") == hours


@pytest.mark.parametrize(
    "line",
    [
        "Sample K1-07 stored at 40 °C for 4 weeks",
        "Probe K1-07, 4 Wochen bei 40 °C gelagert",
        "échantillon K1-07 stocké à 40 °C",
    ],
)
def test_a_temperature_of_storing_is_none_of_measuring(tmp_path: Path, line: str) -> None:
    """A sample that was stored warm is measured at another temperature: the file is held."""
    times = ("Cup;Flow time [s]", "ISO 2431 4 mm;75", "ISO 2431 4 mm;76")
    read = read_lines(READER, tmp_path / "a.csv", "Sample K1-07 at 40 °C", *CUP[1:2], "", *times)
    assert set(column(read, "temperature_c")) == {40.0}
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "b.csv", line, *CUP[1:2], "", *times)
    assert "temperature_c" in str(held.value)


def test_an_amount_behind_and_is_of_another_thing(tmp_path: Path) -> None:
    """A dolly and a ring of 25 mm tell no diameter of the dolly: the file is held."""
    rows = ("", "Panel;K1-07.b1", "", "No;Force [N];Failure", "1;2610;100 % B", "2;2540;100 % B")
    found = read_lines(READER, tmp_path / "a.csv", "dolly of 20 mm", *rows)
    assert set(column(found, "dolly_diameter_mm")) == {20.0}
    with pytest.raises(FileHeld):
        read_lines(READER, tmp_path / "b.csv", "dolly and 25 mm ring", *rows)


@pytest.mark.parametrize(
    ("title", "phases", "read"),
    [
        ("Phase", ("-1.54", "-1.2"), False),
        ("Phase [rad]", ("-1.54", "-1.2"), True),
        ("Phase", ("-88.2", "-68.8"), True),
    ],
)
def test_angles_that_may_be_radians_need_a_unit(
    tmp_path: Path, title: str, phases: tuple[str, str], read: bool
) -> None:
    """-1.54 and -1.2 are phases of a film in radians, of a short circuit in degrees."""
    head = ("Panel;K1-07.b1", "Area;10 cm2", "Immersion;48 h", "", f"f [Hz];|Z| [Ohm];{title}")
    rows = [f"{hz};{z};{phase}" for hz, z, phase in zip((1000, 1), (1e5, 3e7), phases, strict=True)]
    if read:
        found = read_lines(READER, tmp_path / "eis.csv", *head, *rows)
        assert column(found, "z_imag_ohm")[-1] == pytest.approx(-2.797e7, rel=1e-3)  # |Z| sin
    else:
        with pytest.raises(FileHeld) as held:
            read_lines(READER, tmp_path / "eis.csv", *head, *rows)
        assert held.value.reason == Reason.UNKNOWN_UNIT


def test_the_number_of_values_beside_a_value_makes_it_a_mean(tmp_path: Path) -> None:
    """Five readings each are not the fifth; numbers from 1 are of the readings."""
    for numbers, read in ((("5", "5"), False), (("1", "2"), True)):
        rows = [f"K1-07.b1;60;{n};8{n}" for n in numbers]
        lines = ("Panel;Angle;n;Gloss", *rows)
        if read:
            assert column(read_lines(READER, tmp_path / "a.csv", *lines), "spot") == [1.0, 2.0]
        else:
            with pytest.raises(FileHeld) as held:
                read_lines(READER, tmp_path / "b.csv", *lines)
            assert held.value.reason == Reason.INCONSISTENT


def test_no_second_value_is_lost_where_a_column_numbers_the_rows(tmp_path: Path) -> None:
    """Of Gloss 1 and Gloss 2 beside spots none is passed over: the file is held."""
    lines = ("Panel;Angle;Spot;Gloss 1;Gloss 2", "K1-07.b1;60;1;81;82", "K1-07.b1;60;2;83;84")
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "gloss.csv", *lines)
    assert held.value.reason == Reason.INCONSISTENT


def test_a_day_of_coating_does_not_tell_the_order_of_a_day_of_measuring(tmp_path: Path) -> None:
    """02/03/2026 may be the 2nd of March beside a panel coated on the 3rd of February."""
    lines = ("", "Panel,Date,Angle,Gloss", "K1-07.b1,02/03/2026,60,81", "K1-07.b1,02/03/2026,60,82")
    found = read_lines(READER, tmp_path / "a.csv", "Tested 2026-02-03", *lines)
    assert {str(one.measured_at)[:10] for one in found} == {"2026-02-03"}
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "b.csv", "Coated 2026-02-03", *lines)
    assert held.value.reason == Reason.NOT_A_TIME
