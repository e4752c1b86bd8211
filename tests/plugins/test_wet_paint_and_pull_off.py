"""What wet paint and pull-off exports say comes out: numbers, ids and times."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tiecoat.intake.workers.answers import Reading

Read = Callable[[Path], tuple[Reading, dict[str, list[dict[str, Any]]]]]

EXPORTS = Path(__file__).parent.parent / "exports"
ROUNDING = 1e-15  # relative: one conversion of a unit may cost the last bit of a float


def utc(text: str) -> datetime:
    """Return an aware time."""
    return datetime.fromisoformat(text + "+00:00")


@pytest.mark.parametrize("name", ["comma_g_cm3.csv", "point_kg_m3.csv"])
def test_density_bench(name: str, read: Read) -> None:
    """Each row is one determination of its own batch, whatever the unit and the decimal mark."""
    reading, rows = read(EXPORTS / "density" / name)
    assert [keys.batch for keys in reading.keys] == ["RB-014", "RB-014", "RB-015"]
    assert [keys.panel for keys in reading.keys] == [None] * 3
    found = rows["density"]
    assert [row["source_row"] for row in found] == [6, 7, 8]
    assert [row["density_g_cm3"] for row in found] == pytest.approx(
        [1.3912, 1.4375, 1.4021], rel=ROUNDING
    )
    assert [row["temperature_c"] for row in found] == [22.8, 23.0, 23.1]
    assert [row["state"] for row in found] == ["as mixed", "deaerated", "rested"]
    assert [row["elapsed_s"] for row in found] == [0, 0, 3600]
    assert {row["instrument"] for row in found} == {"DB-2"}
    assert [row["measured_at"] for row in found] == [
        utc("2026-09-14T06:12"),
        utc("2026-09-14T06:40"),
        utc("2026-09-14T07:12"),
    ]


def test_flow_curve(read: Read) -> None:
    """A flow curve up and down is one measurement; mPa s become Pa s."""
    reading, rows = read(EXPORTS / "flow_curve" / "up_and_down.txt")
    assert [keys.batch for keys in reading.keys] == ["RB-014"]
    found = rows["viscosity"]
    assert [row["source_row"] for row in found] == [7, 8, 9, 10, 11, 12]
    assert [row["step"] for row in found] == ["up"] * 4 + ["down"] * 2
    assert [row["shear_rate_per_s"] for row in found] == [0.1, 1, 10, 100, 10, 1]
    assert [row["shear_stress_pa"] for row in found] == [8.12, 14.5, 38.25, 151.5, 31.5, 10.25]
    assert [row["viscosity_pa_s"] for row in found] == pytest.approx(
        [81.2, 14.5, 3.825, 1.515, 3.15, 10.25], rel=ROUNDING
    )
    assert {row["measured_at"] for row in found} == {utc("2026-09-14T07:30")}
    assert {row["method"] for row in found} == {"rotational"}


def test_single_point(read: Read) -> None:
    """A single point is read like a curve; its stress is derived."""
    _, rows = read(EXPORTS / "flow_curve" / "single_point.txt")
    (row,) = rows["viscosity"]
    assert row["step"] == "single"
    assert row["viscosity_pa_s"] == pytest.approx(1.498, rel=ROUNDING)
    assert row["shear_stress_pa"] == pytest.approx(149.8, rel=ROUNDING)


@pytest.mark.parametrize("name", ["cup_book.csv", "cup_book_unquoted.csv"])
def test_flow_cup(name: str, read: Read) -> None:
    """Each efflux time is one measurement, with its cup and nothing rotational."""
    reading, rows = read(EXPORTS / "flow_cup" / name)
    assert [keys.batch for keys in reading.keys] == ["RB-014", "RB-014", "RB-015"]
    found = rows["viscosity"]
    assert [row["efflux_s"] for row in found] == [58.2, 57.9, 61.4]
    assert [row["cup"] for row in found] == ["ISO 2431 6 mm"] * 2 + ["ASTM D1200 no. 4"]
    assert {row["viscosity_pa_s"] for row in found} == {None}
    assert [row["source_row"] for row in found] == [3, 4, 5]
    assert found[0]["measured_at"] == utc("2026-09-14T08:05")


def test_pull_off_force(read: Read) -> None:
    """Forces in kN become N; the date above the table and the clock time of the row are joined."""
    reading, rows = read(EXPORTS / "pull_off" / "force.csv")
    assert [keys.panel for keys in reading.keys] == ["RB-014-3"] * 3
    found = rows["pull_off"]
    assert [row["force_n"] for row in found] == pytest.approx([1482, 1536, 1204], rel=ROUNDING)
    assert [row["determination"] for row in found] == [1, 2, 3]
    assert {row["dolly_diameter_mm"] for row in found} == {20}
    assert [row["failure"] for row in found] == [
        "60 % B, 40 % B/C",
        "100 % B",
        "55 % A/B, 45 % -/Y",
    ]
    assert [row["measured_at"] for row in found] == [
        utc("2026-09-28T12:03"),
        utc("2026-09-28T12:07"),
        utc("2026-09-28T12:11"),
    ]
    assert [row["source_row"] for row in found] == [7, 8, 9]


def test_pull_off_strength(read: Read) -> None:
    """Strengths keep their numbers; each row has its own panel and dolly."""
    reading, rows = read(EXPORTS / "pull_off" / "strength_mpa.csv")
    assert [keys.panel for keys in reading.keys] == ["RB-014-3", "RB-014-3", "RB-014-4"]
    found = rows["pull_off"]
    assert [row["strength_mpa"] for row in found] == [4.72, 4.89, 3.05]
    assert [row["dolly_diameter_mm"] for row in found] == [20, 20, 14]
    assert [row["failure"] for row in found] == [
        "60 % B, 40 % B/C",
        "100 % B",
        "30 % A/B, 70 % Y/Z",
    ]


def test_pull_off_strength_in_a_workbook(read: Read) -> None:
    """A workbook is read like the text, and the rows know their sheet."""
    _, rows = read(EXPORTS / "pull_off" / "strength.xlsx")
    found = rows["pull_off"]
    assert [row["strength_mpa"] for row in found] == [4.72, 4.89]
    assert [row["source_row"] for row in found] == [2, 3]
    assert {row["source_sheet"] for row in found} == {"Pulls"}
    assert found[0]["measured_at"] == utc("2026-09-28T12:03")


def test_pull_off_strength_in_psi(read: Read) -> None:
    """Pounds per square inch become MPa (1 psi = 6.894757 kPa: scipy.constants)."""
    _, rows = read(EXPORTS / "pull_off" / "strength_psi.csv")
    found = [row["strength_mpa"] for row in rows["pull_off"]]
    assert found == pytest.approx([684.6 * 6.894757e-3, 709.2 * 6.894757e-3], rel=1e-7)


def test_foam_of_several_batches_side_by_side(read: Read) -> None:
    """Columns of batches under a heading that says what they hold; its unit tells the height."""
    reading, rows = read(EXPORTS / "foam" / "batches_across.csv")
    assert sorted(str(keys.batch) for keys in reading.keys) == ["RB-014", "RB-015"]
    by_batch = {keys.measurement: keys.batch for keys in reading.keys}
    found = [(by_batch[row["measurement"]], row) for row in rows["foam"]]
    assert [row["foam_height_mm"] for batch, row in found if batch == "RB-014"] == [
        48,
        40,
        34,
        20,
        9,
    ]
    assert [row["elapsed_s"] for batch, row in found if batch == "RB-015"] == [0, 60, 120, 300, 600]
    assert {(row["method"], row["foam_volume_ml"]) for _, row in found} == {("shaken", None)}


def test_foam_above_its_liquid(read: Read) -> None:
    """Total heights less that of the liquid; the entries above the table are of all rows."""
    reading, rows = read(EXPORTS / "foam" / "total_height_comma.csv")
    assert [keys.batch for keys in reading.keys] == ["RB-014"]
    found = rows["foam"]
    assert [row["foam_height_mm"] for row in found] == [38, 33, 29, 21, 14, 7, 2, 1]
    assert {(row["method"], row["liquid_height_mm"], row["temperature_c"]) for row in found} == {
        ("stirred", 60, 23.1)
    }


def test_foam_that_was_made_twice(read: Read) -> None:
    """Two determinations of one batch are two measurements, in ml."""
    reading, rows = read(EXPORTS / "foam" / "shaken_twice.txt")
    assert [keys.batch for keys in reading.keys] == ["RB-015", "RB-015"]
    found = rows["foam"]
    assert [row["determination"] for row in found] == [1] * 6 + [2] * 6
    assert [row["foam_volume_ml"] for row in found][:3] == [160, 128, 104]
    assert {row["method"] for row in found} == {"shaken"}
