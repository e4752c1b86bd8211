"""Widths over a scribe and creep from it, as sheets of exposed panels tell them.

No source: layouts of our own invention. Delamination and corrosion: ISO 4628-8.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.schemas.exposure_rating import KIND
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({KIND.name: KIND})
WIDTHS = [3.1, 2.7, 5.5, 2.5, 3.9, 5.6]


def test_what_nothing_calls_delamination_or_corrosion_is_creep(tmp_path: Path) -> None:
    """A width over the scribe alone may be of either; neither is made up."""
    found = read_lines(
        READER, tmp_path / "c.csv", "Panel: K1-07.b2", "Salt spray, 720 h", "Scribe width 0.5 mm",
        "", "Reading;Width over scribe (mm)", "1;2.1", "2;1.8", "3;2.6", "mean;2.17",
    )  # fmt: skip
    assert {*column(found, "property")} == {"scribe creep"}
    assert column(found, "damage_width_mm") == [2.1, 1.8, 2.6]
    assert column(found, "scribe_width_mm") == [0.5] * 3


@pytest.mark.parametrize("place", ["Stelle", "Messung"])
def test_the_line_nearest_to_places_across_says_what_is_measured(
    tmp_path: Path, place: str
) -> None:
    """A title of delamination and, below it, its whole width: no creep; a scribe in a column."""
    titles = ";".join(["Tafel", "Ritzbreite (mm)", *(f"{place} {n}" for n in (1, 2, 3)), "Mittel"])
    found = read_lines(
        READER, tmp_path / "w.csv", "Unterwanderung am Ritz nach 720 h Salzsprühnebel",
        "Gemessen: Gesamtbreite der Enthaftung in mm an 3 Stellen", titles,
        "K1-07.b2;0,5;3,1;2,7;5,5;3,77", "K1-07.b3;0,5;2,5;3,9;5,6;4,00",
    )  # fmt: skip
    assert column(found, "damage_width_mm") == WIDTHS
    assert {*column(found, "property")} == {"scribe delamination"}
    assert column(found, "scribe_width_mm") == [0.5] * 6


def test_what_a_title_computes_from_numbered_widths_is_no_reading(tmp_path: Path) -> None:
    """The 2 of a formula is no number of a reading."""
    found = read_lines(
        READER, tmp_path / "f.csv", "Salt spray, 720 h", "Scribe width w = 1.0 mm", "",
        "Panel;wc1 [mm];wc2 [mm];wc3 [mm];c = (mean wc - w)/2 [mm]",
        "K1-07.b2;3.1;2.7;5.5;1.38", "K1-07.b3;2.5;3.9;5.6;1.50",
    )  # fmt: skip
    assert column(found, "damage_width_mm") == WIDTHS
    assert column(found, "reading") == [1, 2, 3] * 2


def test_a_mean_width_alone_is_the_one_reading(tmp_path: Path) -> None:
    """The result of the standard is a mean over the scribe."""
    found = read_lines(
        READER, tmp_path / "m.csv", "Salt spray, 720 h", "Scribe width 0.5 mm", "",
        "Panel;Mean width of corrosion (mm);Creep c (mm)", "K1-07.b2;4.9;2.20", "K1-07.b3;5.4;2.45",
    )  # fmt: skip
    assert column(found, "creep_mm") == [2.2, 2.45]
    assert column(found, "damage_width_mm") == [4.9, 5.4]


def test_a_note_with_a_mean_behind_its_readings(tmp_path: Path) -> None:
    """The last number has more decimals and is the mean of those before it."""
    found = read_lines(
        READER, tmp_path / "n.txt", "Delamination at scribe, ISO 4628-8, after 1008 h salt spray",
        "Scribe width: 1.0 mm", "", "Total width of the damage w in mm",
        "K1-07.b2               3.1   2.7   5.5   2.5    3.45",
        "K1-07.b3               2.5   3.9   5.6   2.5    3.63",
    )  # fmt: skip
    assert column(found, "damage_width_mm") == [3.1, 2.7, 5.5, 2.5, 2.5, 3.9, 5.6, 2.5]
    assert {*column(found, "property")} == {"scribe delamination"}
