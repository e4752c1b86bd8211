"""Code pages told by words of the trade, days told by free lines, panels named above and in rows.

No source: how laboratories write, from common practice. The standard library
knows the code pages.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.plugin import Measurement
from tiecoat.reasons import Reason
from tiecoat.schemas.exposure_rating import KIND as RATING
from tiecoat.schemas.film_thickness import KIND as THICKNESS
from tiecoat.tabular.reader import AnyTable

HABITS = Habits(
    zone=ZoneInfo("Europe/Prague"),
    panel_ids=r"(?P<batch>K\d-\d\d)\.b\d",
    batch_ids=r"K\d-\d\d",
)
READER = AnyTable({THICKNESS.name: THICKNESS, RATING.name: RATING})
CZECH = "Vzorek;Místo;Tloušťka suchého filmu (µm);Poznámka\nK7-04.b2;1;78,4;u okraje\n"
GERMAN = "Prüfblech;Stelle;Trockenschichtdicke (µm);Größe\nK7-04.b2;1;78,4;klein\n"
POLISH = "Próbka;Miejsce;Grubość suchej powłoki (µm);Uwagi\nK7-04.b2;1;78,4;przy brzegu\n"
RATED = "panel;hours;Ri\nK7-04.b2;480;1\n"
DAY = datetime(2026, 5, 25, 22, tzinfo=UTC)  # midnight of the 26th in Prague


def export_of(folder: Path, raw: bytes) -> Export:
    """Return an export with these bytes."""
    path = folder / "export.csv"
    path.write_bytes(raw)
    return Export(path, path.name, "", HABITS)


def read(folder: Path, text: str, page: str = "utf-8") -> list[Measurement]:
    """Return what is read of a text in an encoding."""
    return list(READER.read(export_of(folder, text.encode(page))))


@pytest.mark.parametrize(
    ("text", "page"),
    [
        (CZECH, "cp1250"),
        (CZECH.replace("µ", "u"), "iso8859-2"),
        (CZECH.replace("µ", "u"), "cp852"),
        (POLISH, "cp1250"),
        (GERMAN, "cp1252"),
        (GERMAN, "cp850"),
        (GERMAN, "mac-roman"),
    ],
)
def test_a_text_is_read_in_the_page_in_which_it_is_words(
    tmp_path: Path, text: str, page: str
) -> None:
    """The lab's page is cp1252; whatever page was used, the text is that which was written."""
    export = export_of(tmp_path, text.encode(page))
    (measurement,) = READER.read(export)
    assert export.text() == text
    assert list(measurement.columns["thickness_um"]) == [78.4]
    assert measurement.remarks == ()


def test_the_labs_page_stands_where_no_other_shows_more_words(tmp_path: Path) -> None:
    """A sign of a unit alone, and a name, change nothing."""
    text = "panel;spot;dry film thickness (µm);note\nK7-04.b2;1;78,4;für Łódź\n".replace(
        "Łódź", "é"
    )
    export = export_of(tmp_path, text.encode("cp1252"))
    assert len(list(READER.read(export))) == 1
    assert export.text() == text


@pytest.mark.parametrize("note", ["Sa 2½", "ø 20 mm", "año 3", "grün ½ in", "§ 4", "Ærø"])
def test_signs_of_the_labs_page_are_not_taken_for_units_of_another(
    tmp_path: Path, note: str
) -> None:
    """½ is Ω on a Mac, and ø was ° under DOS: where they stand by themselves, they stay."""
    text = f"panel;spot;dry film thickness;unit;note\nK7-04.b2;1;78.4;um;{note}\n"
    export = export_of(tmp_path, text.encode("cp1252"))
    (measurement,) = READER.read(export)
    assert export.text() == text
    assert not any("letters" in remark for remark in measurement.remarks)


def test_a_unit_tells_the_page_where_the_labs_shows_a_letter(tmp_path: Path) -> None:
    """20ř is 20°, as nobody writes a number so."""
    text = "panel;spot;dry film thickness [µm];note\nK7-04.b2;1;78.4;at 20°\n"
    export = export_of(tmp_path, text.encode("cp850"))
    assert len(list(READER.read(export))) == 1
    assert export.text() == text


def test_free_text_of_another_page_is_remarked(tmp_path: Path) -> None:
    """Who reads the text later learns that its letters were told by words."""
    (measurement,) = read(
        tmp_path,
        "Vzorek;Místo;Tloušťka suchého filmu (µm);Přístroj\nK7-04.b2;1;78,4;měřák\n",
        "cp1250",
    )
    assert measurement.instrument == "měřák"
    assert any("cp1250" in remark for remark in measurement.remarks)


@pytest.mark.parametrize(
    "line",
    [
        "Inspektion am;26.05.2026",
        "neutral salt spray, tested on 26 May 2026, daylight",
        "NSS, 26.05.2026",
        "NSS inspected May 26, 2026 (JM)",
        "Hodnoceno 26. 5. 2026, Novák",
        "Oceniono 2026-05-26; MW",
        "Inspección: 26/05/2026, Javier",
        "relevé du 26 mai 2026",
    ],
)
def test_the_one_day_of_free_lines_is_that_of_measuring(tmp_path: Path, line: str) -> None:
    """In whatever words, with initials behind it or none."""
    (measurement,) = read(tmp_path, f"salt spray\n{line}\n{RATED}")
    assert measurement.measured_at == DAY


@pytest.mark.parametrize(
    "line",
    [
        "panels coated 26 May 2026",
        "Formblatt 7, Stand 26.05.2026",
        "kalibriert am 26.05.2026",
        "NSS since 2026-05-26",
        "NSS, 2026-05-26 and 2026-05-28",
        "norma z 2026-05-26, wydanie 2",
        "salt spray from 5/6",
    ],
)
def test_a_day_of_something_else_is_none_of_measuring(tmp_path: Path, line: str) -> None:
    """Nor is one of two days."""
    (measurement,) = read(tmp_path, f"salt spray\n{line}\n{RATED}")
    assert measurement.measured_at is None


@pytest.mark.parametrize("above", ["Prüfblech;K7-05.b1", "dry film thickness of K7-05.b1"])
def test_a_panel_above_that_no_row_is_of_holds_the_file(tmp_path: Path, above: str) -> None:
    """One of the two is wrong, and nobody can say which."""
    text = f"{above}\n\nBlech;Stelle;Trockenschichtdicke (µm)\nK7-04.b2;1;78\nK7-04.b2;2;80\n"
    export = export_of(tmp_path, text.encode())
    assert list(READER.read(export)) == []
    (fault,) = export.faults
    assert fault.reason is Reason.INCONSISTENT
    assert "K7-05.B1 above the table" in (fault.found or "")


def test_a_panel_above_that_the_rows_are_of_is_no_contradiction(tmp_path: Path) -> None:
    """Also in other case."""
    text = "Blech;k7-04.B2\n\nBlech;Stelle;Trockenschichtdicke (µm)\nK7-04.b2;1;78\nK7-04.b2;2;80\n"
    assert len(read(tmp_path, text)) == 2
