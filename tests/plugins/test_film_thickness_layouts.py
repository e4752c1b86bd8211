"""The layouts of film thickness and gloss give the numbers, spots, coats and times exported."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tiecoat.intake.workers.answers import Reading

Read = Callable[[Path], tuple[Reading, dict[str, list[dict[str, Any]]]]]

EXPORTS = Path(__file__).parent.parent / "exports"


def utc(text: str) -> datetime:
    """Return an aware time."""
    return datetime.fromisoformat(text + "+00:00")


def seen(rows: list[dict[str, Any]]) -> list[tuple[Any, ...]]:
    """What tells the readings apart, and the thickness."""
    return [(row["spot"], row["coat"], row["state"], row["thickness_um"]) for row in rows]


@pytest.mark.parametrize("name", ["list_comma.csv", "list_no_unit.csv", "list_value.csv"])
def test_a_list_holds_coats_wet_and_dry_together(name: str, read: Read) -> None:
    """Decimal commas, German words and hands that write Coat 1 come out in one way.

    So they do where the title names no unit (from 20 um on it is the usual one), or only a value
    and the heading what of.
    """
    reading, rows = read(EXPORTS / "film_thickness" / name)
    assert [keys.panel for keys in reading.keys] == ["RB-014-3"] * 4 + ["RB-014-4"]
    found = rows["film_thickness"]
    assert seen(found) == [
        (1, "coat 1", "wet", 160),
        (2, "coat 1", "wet", 150),
        (1, "system", "dry", 182.5),
        (2, "system", "dry", 176),
        (1, "system", "dry", 190.5),
    ]
    assert found[4]["measured_at"] == utc("2026-09-28T07:12")
    assert {row["instrument"] for row in found} == {"FT-3"}


def test_mil_become_micrometres(read: Read) -> None:
    """1 mil = 25.4 um exactly (scipy.constants): in a list and in a gauge's memory."""
    for name in ("list_mil.csv", "log_mil.txt"):
        _, rows = read(EXPORTS / "film_thickness" / name)
        found = [row["thickness_um"] for row in rows["film_thickness"]]
        assert found == pytest.approx([7.18 * 25.4, 6.93 * 25.4], rel=1e-15), name
        assert {(row["coat"], row["state"]) for row in rows["film_thickness"]} == {
            ("system", "dry")
        }


def test_the_memory_of_a_gauge_tells_coat_and_state_above(read: Read) -> None:
    """A unit row in mm, a coat that is only a number, and a state with a capital letter."""
    reading, rows = read(EXPORTS / "film_thickness" / "log_mm.csv")
    assert {keys.panel for keys in reading.keys} == {"RB-014-3"}
    assert [one[:3] for one in seen(rows["film_thickness"])] == [
        (1, "coat 1", "dry"),
        (2, "coat 1", "dry"),
    ]
    found = [row["thickness_um"] for row in rows["film_thickness"]]
    assert found == pytest.approx([89.5, 91.2], rel=1e-15)
    assert rows["film_thickness"][0]["measured_at"] == utc("2026-09-28T07:10:05")


def test_a_sheet_has_the_spots_in_columns(read: Read) -> None:
    """A row a panel; an empty cell is a spot that was not read, not a fault."""
    reading, rows = read(EXPORTS / "film_thickness" / "sheet.csv")
    assert [keys.panel for keys in reading.keys] == ["RB-014-3"] * 3 + ["RB-014-4"] * 2
    found = rows["film_thickness"]
    assert [(row["spot"], row["thickness_um"]) for row in found] == [
        (1, 182.5),
        (2, 176),
        (3, 180.5),
        (1, 190.5),
        (3, 188),
    ]
    assert [row["source_row"] for row in found] == [8, 8, 8, 9, 9]
    assert {row["measured_at"] for row in found} == {utc("2026-09-28T07:40")}


def test_a_workbook_may_tell_coat_state_and_time_in_columns(read: Read) -> None:
    """The same reader; the unit stands above the table."""
    _, rows = read(EXPORTS / "film_thickness" / "sheet.xlsx")
    found = rows["film_thickness"]
    assert seen(found) == [
        (1, "system", "dry", 182.5),
        (2, "system", "dry", 176),
        (1, "coat 2", "wet", 150),
    ]
    assert found[2]["measured_at"] == utc("2026-09-22T07:05")
    assert {(row["source_sheet"], row["instrument"]) for row in found} == {("Dry films", "FT-3")}


def test_gloss_of_several_angles_stands_in_one_list(read: Read) -> None:
    """Each reading is a determination of its panel, angle and spot."""
    reading, rows = read(EXPORTS / "gloss" / "list_comma.csv")
    assert [keys.panel for keys in reading.keys] == ["RB-014-3"] * 3 + ["RB-014-4"]
    found = rows["gloss"]
    assert [(row["angle_deg"], row["spot"], row["gloss_gu"]) for row in found] == [
        (20, 1, 31.5),
        (60, 1, 78.4),
        (60, 2, 79),
        (85, 1, 93.1),
    ]
    assert found[0]["measured_at"] == utc("2026-09-29T08:02")
    _, rows = read(EXPORTS / "gloss" / "list_point.txt")
    assert [row["angle_deg"] for row in rows["gloss"]] == [60, 60]  # degrees are taken for granted
