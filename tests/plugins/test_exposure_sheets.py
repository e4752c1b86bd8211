"""Sheets of inspections and chamber books: each cell becomes what the rater meant."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from tiecoat.intake.workers.answers import Reading

Read = Callable[[Path], tuple[Reading, dict[str, list[dict[str, Any]]]]]
EXPORTS = Path(__file__).parent.parent / "exports"


def test_a_sheet_of_several_panels(read: Read) -> None:
    """A rating for each cell that is not blank or a dash; a scribe without rust creeps 0 mm."""
    reading, rows = read(EXPORTS / "exposure_rating" / "sheet.csv")
    assert reading.hold is None
    found = rows["exposure_rating"]
    ratings = [(row["source_row"], row["property"], row["rating"], row["size"]) for row in found]
    assert ratings == [
        (7, "rust", "Ri 0", None),
        (7, "blisters", "0(S0)", 0),
        (8, "rust", "Ri 2", None),
        (8, "blisters", "2(S2)", 2),
        (8, "scribe delamination", None, None),
        (8, "scribe corrosion", None, None),
        (10, "rust", "Ri 3", None),
        (10, "blisters", "3(S3)", 3),
        (10, "cracking", "0(S0)", 0),
        (10, "flaking", "1(S2)b", 2),
        (10, "scribe delamination", None, None),
        (10, "scribe corrosion", None, None),
    ]
    areas = [(row["d610_grade"], row["area_percent"]) for row in found if row["source_row"] == 8]
    assert areas == [(7, 0.3), *[(None, None)] * 3]
    creeps = [row["creep_mm"] for row in found if row["creep_mm"] is not None]
    assert creeps == pytest.approx([1.6, 0.5, 2.0, 0.0])


def test_a_sheet_of_one_panel_in_days(read: Read) -> None:
    """The panel and the exposure stand above the table, days become hours."""
    reading, rows = read(EXPORTS / "exposure_rating" / "one_panel_days.txt")
    assert {keys.panel for keys in reading.keys} == {"RB-011-2"}
    found = [(r["exposure"], r["exposure_h"], r["rating"]) for r in rows["exposure_rating"]]
    assert found == [
        ("neutral salt spray", 168, "Ri 0"),
        ("neutral salt spray", 168, "0(S0)"),
        ("neutral salt spray", 504, "Ri 1"),
        ("neutral salt spray", 504, "2(S3)"),
    ]


def test_readings_along_a_scribe(read: Read) -> None:
    """Each reading has its number and its own width of the scribe."""
    _, rows = read(EXPORTS / "exposure_rating" / "readings_comma.csv")
    found = [(row["reading"], row["creep_mm"]) for row in rows["exposure_rating"]]
    assert [number for number, _ in found] == [1, 2, 3]
    assert [creep for _, creep in found] == pytest.approx([1.2, 1.55, 1.3])
    assert {row["exposure"] for row in rows["exposure_rating"]} == {"condensation"}


def test_a_chamber_book(read: Read) -> None:
    """A row for each batch in the chamber; a day without readings is none."""
    reading, rows = read(EXPORTS / "chamber_record" / "book.csv")
    assert [keys.batch for keys in reading.keys] == ["RB-010", "RB-011"] * 2
    first, *_, last = rows["chamber_record"]
    assert first["measured_at"] == datetime(2026, 10, 12, 7, 15, tzinfo=UTC)
    assert (first["chamber"], first["ph"], first["salt_g_l"]) == ("salt spray 2", 6.84, 49.6)
    assert (last["temperature_c"], last["ph"]) == (34.8, None)


def test_a_chamber_book_with_a_row_of_units(read: Read) -> None:
    """Decimal commas, units below the titles, and each row with the batches of its own day."""
    reading, rows = read(EXPORTS / "chamber_record" / "kammerbuch.txt")
    assert [keys.batch for keys in reading.keys] == ["RB-010", "RB-011", "RB-010"]
    assert [row["collected_ml_h"] for row in rows["chamber_record"]] == [1.52, 1.52, 1.47]


def test_a_chamber_book_by_days(read: Read) -> None:
    """A column of days is the date, whatever its title."""
    reading, rows = read(EXPORTS / "chamber_record" / "day.csv")
    assert [keys.batch for keys in reading.keys] == ["RB-010", "RB-011"]
    for row in rows["chamber_record"]:
        assert row["measured_at"] == datetime(2026, 10, 12, 7, 15, tzinfo=UTC)
        assert (row["temperature_c"], row["collected_ml_h"]) == (35.1, 1.52)
        assert (row["chamber"], row["ph"], row["salt_g_l"]) == ("salt spray 2", 6.84, 49.6)
