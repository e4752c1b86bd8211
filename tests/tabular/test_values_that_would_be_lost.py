"""What stands for a value, or above values that do not follow, is told and not filed otherwise.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.reasons import Reason
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.impedance import KIND as IMPEDANCE
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (FILM, IMPEDANCE, PULL_OFF)})
PREAMBLE = (
    "Film impedance in 3 % NaCl",
    "Panel: K1-07.b2",
    "Cell area: 14.6 cm2",
    "Dry film: 182 µm",
)


def read(folder: Path, *lines: str) -> list[Measurement]:
    """Return what is read of a text with these lines."""
    return read_lines(READER, folder / "export.csv", *lines)


@pytest.mark.parametrize("title", ["f / s", "f/s", "f /s", "Frequency / s", "f [s]"])
def test_unit_of_something_else_holds(tmp_path: Path, title: str) -> None:
    """Seconds are no unit of a frequency, whatever sign stands between the two."""
    titles = f"{title};Re / Ohm;Im / Ohm"
    with pytest.raises(FileHeld) as held:
        read(tmp_path, *PREAMBLE, "t: 24 h", titles, "1000;3125;-1864", "10;12510;-1241")
    told = [(each.reason, each.found) for each in held.value.faults if each.column == title]
    assert told == [(Reason.UNKNOWN_UNIT, "the unit 's'")]


@pytest.mark.parametrize("lines", [PREAMBLE, PREAMBLE[1:], (PREAMBLE[0], *PREAMBLE[1::2])])
def test_preamble_alone_is_no_measurement_of_another_kind(
    tmp_path: Path, lines: tuple[str, ...]
) -> None:
    """An export of impedance that was cut above its spectrum is no film thickness.

    Its heading says so, or its cell area, for which a film thickness has no word.
    """
    with pytest.raises(FileHeld) as held:
        read(tmp_path, *lines)
    assert [fault.reason for fault in held.value.faults] == [Reason.EMPTY_TABLE]
    assert "impedance" in str(held.value.faults[0].found)


@pytest.mark.parametrize(
    "lines",
    [
        ("Dry film thickness", *PREAMBLE[1::2], "Temperature: 23 °C"),
        (*PREAMBLE[1::2], "Temperature: 23 °C"),
        ("Panel;Temperature [°C];Dry film [µm]", "K1-07.b2;23;182"),
    ],
)
def test_one_value_of_its_own_kind_is_filed(tmp_path: Path, lines: tuple[str, ...]) -> None:
    """A lone film thickness beside what any kind may tell is one."""
    found = read(tmp_path, *lines)
    assert column(found, "thickness_um") == [182]


@pytest.mark.parametrize(
    ("titles", "rows", "at"),
    [
        ("Dry film thickness [µm];Spot", ("182;1", "184;2", "overload;3"), 5),
        ("Dry film thickness [µm];Spot", ("182;1", "overload;2", "184;3"), 4),
        ("Dry film thickness [µm];Spot", ("182;1", "184;2", "", "overload;3"), 6),
        ("Spot;Dry film thickness [µm]", ("1;182", "2;184", "3;overload"), 5),
        ("Dry film thickness [µm]\tSpot", ("182\t1", "184\t2", "error\t3"), 5),
        ("Dry film thickness [µm];State", ("182;dry", "184;dry", "overload;dry"), 5),
    ],
)
def test_text_for_a_value_is_told(
    tmp_path: Path, titles: str, rows: tuple[str, ...], at: int
) -> None:
    """A row with a text for its value is told, the last too, also where the text is a word."""
    with pytest.raises(FileHeld) as held:
        read(tmp_path, "Panel: K1-07.b2", titles, *rows)
    told = [(fault.reason, fault.row, fault.column) for fault in held.value.faults]
    assert told == [(Reason.NOT_A_NUMBER, at, "Dry film thickness [µm]")]


@pytest.mark.parametrize("line", ["Mean;183", "Temperature;23"])
def test_entry_below_a_table_is_no_row(tmp_path: Path, line: str) -> None:
    """A summary or another entry below rows does not count on from them."""
    found = read(
        tmp_path, "Panel: K1-07.b2", "Dry film thickness [µm];Spot", "182;1", "184;2", line
    )
    assert column(found, "thickness_um") == [182, 184]


def test_record_that_was_cut_lacks_what_ends_the_others(tmp_path: Path) -> None:
    """What ends the first of two records is its own: the second, cut above it, holds the file."""
    one = ("Panel: K1-07.b2", "Test: 1", "Dolly: 20 mm", "Strength: 9.5 MPa", "Failure: 100 % B")
    two = ("", "Panel: K1-07.b2", "Test: 2", "Dolly: 20 mm", "Strength: 8.9 MPa")
    with pytest.raises(FileHeld, match="4 fields"):
        read(tmp_path, "Pull-off", *one, *two)
