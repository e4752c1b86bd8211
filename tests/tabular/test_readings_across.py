"""Readings across, whose panels, hours or numbers stand in the titles and the rest in a heading.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.tabular.reader import AnyTable

READER = AnyTable({kind.name: kind for kind in (GLOSS, PULL_OFF, RATING)})


def test_panels_by_their_last_part_are_those_of_the_batch_above(tmp_path: Path) -> None:
    """`b2` and `b3` across, where the corner says panels and the head their batch."""
    lines = ("Gloss, angle 60°", "Batch: K1-07", "", "Spot \\ Panel;.b2;.b3", "1;58;59", "2;57;60")
    lines = tuple(line.replace(".b", "b") for line in lines)
    found = read_lines(READER, tmp_path / "gloss.csv", *lines)
    assert [one.panel for one in found] == ["K1-07.b2", "K1-07.b3"] * 2
    assert column(found, "gloss_gu") == [58, 59, 57, 60]
    assert column(found, "spot") == [1, 1, 2, 2]


def test_letters_with_numbers_count_readings_of_gloss(tmp_path: Path) -> None:
    """`L1`, `L2`, as a lettura or lecture is called for short, are readings; their mean is none."""
    found = read_lines(
        READER, tmp_path / "g.csv", "Pannello;Angolo;L1;L2;Media", "K1-07.b2;60°;65,7;65,9;65,8"
    )
    assert column(found, "gloss_gu") == [65.7, 65.9]


def test_a_heading_names_the_per_cent_of_hours_across(tmp_path: Path) -> None:
    """The unit stands in the sentence that names the property."""
    found = read_lines(
        READER, tmp_path / "r.csv",
        "Neutral salt spray (NSS)", "Rusted area in %, scribe left out", "", "Panel;168 h;336 h",
        "K1-07.b2;0;0.1", "K1-07.b3;0.05;0.2",
    )  # fmt: skip
    assert column(found, "area_percent") == [0, 0.1, 0.05, 0.2]


def test_titles_go_on_in_a_second_line_with_their_units(tmp_path: Path) -> None:
    """A second line of titles leaves the panels without one, and ends each of the others."""
    found = read_lines(
        READER,
        tmp_path / "scribe.txt",
        "salt spray, 720 h, taken out 26 Nov 2025",
        "scribe width 0.5 mm",
        "",
        "panel       damage        creep M",
        "            width (mm)     (mm)",
        "----------  ------------   -------",
        "K1-07.b2           4.9      2.20",
        "K1-07.b3           5.4      2.45",
    )
    assert column(found, "damage_width_mm") == [4.9, 5.4]
    assert column(found, "creep_mm") == [2.2, 2.45]


@pytest.mark.parametrize(
    ("title", "column_told"), [("Peak MPa", "strength_mpa"), ("Peak kN", "force_n"), ("Peak", None)]
)
def test_a_peak_is_what_its_unit_says(tmp_path: Path, title: str, column_told: str | None) -> None:
    """Of a force or a strength; without a unit the file is held."""
    lines = (
        "Dolly 20 mm",
        "",
        f"Panel;Pull;{title};Failure",
        "K1-07.b2;1;4.5;B",
        "K1-07.b2;2;4.7;B",
    )
    if column_told is None:
        with pytest.raises(FileHeld):
            read_lines(READER, tmp_path / "pull.csv", *lines)
        return
    (first, second) = column(read_lines(READER, tmp_path / "pull.csv", *lines), column_told)
    assert (first, second) == ((4.5, 4.7) if "MPa" in title else (4500, 4700))
