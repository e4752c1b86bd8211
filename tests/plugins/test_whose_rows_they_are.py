"""Rows go to the panel that the lines above them name, and a value left out is never that above."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from bad_exports import density, impedance

from tiecoat.intake.workers.answers import Reading
from tiecoat.reasons import Reason

Read = Callable[[Path], tuple[Reading, dict[str, list[dict[str, Any]]]]]

MORE = "0.05,46400000,10100000\n0.02,56400000,8100000\n"


@pytest.mark.parametrize(
    "heading", ["RB-014-4", "RB-014-4,,", "\n\nRB-014-4", "Panel: RB-014-4", "# RB-014-4"]
)
def test_rows_below_an_id_amid_a_table_are_of_that_panel(
    heading: str, read: Read, tmp_path: Path
) -> None:
    """A line of nothing but another id amid rows says whose the next ones are."""
    path = tmp_path / "two panels.csv"
    path.write_text(f"{impedance()}{heading}\n{MORE}", encoding="utf-8")
    reading, rows = read(path)
    assert [keys.panel for keys in reading.keys] == ["RB-014-3", "RB-014-4"]
    assert len(rows["impedance"]) == 5
    later = [row for row in rows["impedance"] if row["frequency_hz"] < 0.1]
    assert {row["measurement"][-4:] for row in later} == {"0002"}


def test_another_panel_below_the_rows_of_one_is_told(read: Read, tmp_path: Path) -> None:
    """Entries above and below one table that name two panels hold the file."""
    path = tmp_path / "two names.csv"
    path.write_text(f"{impedance()}Panel RB-014-4\n", encoding="utf-8")
    reading, _ = read(path)
    assert reading.hold is not None
    assert reading.hold.reason == Reason.INCONSISTENT.code
    assert "RB-014-4" in reading.hold.faults[0]["found"]
    assert "RB-014-3" in reading.hold.faults[0]["found"]


@pytest.mark.parametrize("batch", ["", "RB-015"])
def test_a_result_left_out_is_missing_and_never_as_above(
    batch: str, read: Read, tmp_path: Path
) -> None:
    """An empty cell of what a row is there for is no merged cell, whatever else is empty there."""
    path = tmp_path / "left out.csv"
    path.write_text(f"{density()}15.09.2026;08:12;{batch};as mixed;22,8;;0;\n", encoding="utf-8")
    reading, _ = read(path)
    assert reading.hold is not None
    assert reading.hold.reason == Reason.MISSING_VALUE.code
    assert [(fault["row"], fault["column"]) for fault in reading.hold.faults][:1] == [
        (6, "density_g_cm3")
    ]
