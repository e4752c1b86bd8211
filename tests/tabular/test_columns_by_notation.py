"""Columns known by how their cells are written: read under any title, or the file is held.

No source: layouts of our own invention.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from lines_read import column, read_lines

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.film_thickness import KIND as FILM
from tiecoat.schemas.gloss import KIND as GLOSS
from tiecoat.schemas.pull_off import KIND as PULL_OFF
from tiecoat.schemas.viscosity import KIND as VISCOSITY
from tiecoat.tabular.reader import AnyTable

KINDS = (FILM, GLOSS, PULL_OFF, RATING, VISCOSITY)
READER = AnyTable({kind.name: kind for kind in KINDS})


@pytest.mark.parametrize(
    ("titles", "rating", "rated"),
    [
        ("Deska;NSS (h);Prokorodování;Zkorodovaná plocha (%)", ["Ri 1", "Ri 2"], ["rust"] * 2),
        ("Platte;NSS (h);Stufe;Rostfläche (%)", ["Ri 1", "Ri 2"], ["rust"] * 2),
    ],
)
def test_a_degree_beside_an_area_is_read_under_any_title(
    tmp_path: Path, titles: str, rating: list[str], rated: list[str]
) -> None:
    """`Ri 2` is a degree of rusting whatever its column is called, also where the area would do."""
    found = read_lines(
        READER, tmp_path / "a.csv", titles, "K1-07.b1;480;Ri 1;0,04", "K1-07.b2;480;Ri 2;0,3"
    )
    assert column(found, "rating") == rating
    assert column(found, "property") == rated


@pytest.mark.parametrize("titles", ["Plaque;NSS (h);Cloques;Piqûres", "Paneel;NSS (h);Blaren;Zork"])
def test_a_degree_of_rusting_beside_blisters_is_one_of_rust(tmp_path: Path, titles: str) -> None:
    """Beside what other titles rate, the notation tells of which property the column is."""
    found = read_lines(
        READER, tmp_path / "b.csv", titles, "K1-07.b1;480;2(S2);Ri 1", "K1-07.b2;480;0;Ri 2"
    )
    assert sorted(zip(column(found, "property"), column(found, "rating"), strict=True)) == [
        ("blisters", "0"),
        ("blisters", "2(S2)"),
        ("rust", "Ri 1"),
        ("rust", "Ri 2"),
    ]


def test_a_degree_of_rusting_is_surer_than_a_heading_of_corrosion(tmp_path: Path) -> None:
    """Corrosion in a heading is a word for rust too, where all cells say Ri."""
    titles = "Deska;NSS (h);Prokorodování;Zkorodovaná plocha (%)"
    rows = ("K1-07.b1;480;Ri 1;0,04", "K1-07.b2;480;Ri 2;0,3")
    heading = "Solná mlha, hodnocení koroze"
    found = read_lines(READER, tmp_path / "a.csv", heading, "", titles, *rows)
    assert column(found, "property") == ["rust", "rust"]


def test_a_failure_pattern_is_read_under_any_title(tmp_path: Path) -> None:
    """Shares of places are where it failed, in letters or words."""
    titles = "Płytka;Nr;Wytrzymałość (MPa);Stempel (mm);Wygląd"
    rows = ("K1-07.b1;1;5,1;20;100 % kohezyjne w warstwie 1", "K1-07.b1;2;5,4;20;60 % B, 40 % B/C")
    found = read_lines(READER, tmp_path / "c.csv", titles, *rows)
    assert column(found, "failure") == ["100 % kohezyjne w warstwie 1", "60 % B, 40 % B/C"]


@pytest.mark.parametrize(
    ("titles", "cells"),
    [
        ("Panel;NSS (h);Ri;Otro", ("480;Ri 1;2(S2)", "480;Ri 2;3(S2)")),
        ("Pannello;NSS (h);Area arrugginita (%);Esito", ("480;0,04;Ri 1", "480;0,3;vedi foto")),
        ("Panel;NSS (h);Blistering;Remark", ("480;2(S2);Ri 1", "480;2(S3);Ri 2")),
        ("Platte;Nr;Haftfestigkeit (MPa);Stempel (mm);Bruchbild;Zweitbild",
         ("1;5,1;20;100 % B;80 % B, 20 % B/C", "2;5,4;20;100 % B;100 % B")),
        ("Platte;Punkt;Trockenschichtdicke (µm);Nachher", ("1;80;ca. 85 µm", "2;82;ca. 84 µm")),
        ("Platte;Punkt;Trockenschichtdicke (µm);Laage", ("1;80;ca. 85 µm", "2;82;ca. 84 µm")),
        ("Platte;Winkel (°);Glanz (GU);Vergleich", ("60;80;K1-08.b1", "60;82;K1-08.b1")),
        ("Platte;Winkel (°);Glanz (GU);Xaver;Zilpa",
         ("60;80;2026-05-04;2026-05-05", "60;82;2026-05-04;2026-05-05")),
    ],
)  # fmt: skip
def test_what_looks_like_a_value_and_is_of_nothing_holds(
    tmp_path: Path, titles: str, cells: tuple[str, str]
) -> None:
    """A second rating, pattern, thickness, panel or day under no word for it is never dropped."""
    rows = [f"K1-07.b{n};{cell}" for n, cell in enumerate(cells, 1)]
    with pytest.raises(FileHeld) as held:
        read_lines(READER, tmp_path / "d.csv", titles, *rows)
    assert [fault.reason for fault in held.value.faults] == [Reason.UNTAKEN_COLUMN]


def test_what_is_required_and_where_it_was_are_passed_over(tmp_path: Path) -> None:
    """A column of what should be, or of mere texts, holds nothing."""
    titles = "Panel;NSS (h);Blistering;Requirement;Zork"
    found = read_lines(
        READER, tmp_path / "e.csv", titles, "K1-07.b1;480;2(S2);Ri 1;left", "K1-07.b2;480;0;Ri 1;B"
    )
    assert column(found, "property") == ["blisters", "blisters"]
