"""Foam above its liquid, and what contradicts itself in a curve of it."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from tiecoat.errors import FileHeld
from tiecoat.schemas.foam import above_liquid, in_no_straight_vessel, slipped, with_an_amount

NOTHING = np.full(5, np.nan)
MINUTES = np.array([0.0, 1, 5, 10, 20])


def columns(height: Any = NOTHING, volume: Any = NOTHING) -> dict[str, Any]:
    """The columns of one curve."""
    return {
        "elapsed_s": 60 * MINUTES,
        "foam_height_mm": np.asarray(height, dtype=float),
        "foam_volume_ml": np.asarray(volume, dtype=float),
    }


def test_foam_is_the_total_less_the_liquid() -> None:
    """ASTM D3601, 8.1 and 8.3, as a published summary prints them: F = M - I, to the mm."""
    total, liquid = np.array([112.0, 61.0, 60.0, 59.0, 57.0]), np.full(5, 60.0)
    assert above_liquid(total, liquid).tolist() == [52.0, 1.0, 0.0, 0.0, -3.0]


def test_a_row_needs_a_height_or_a_volume() -> None:
    """Of foam that is in neither nothing is filed."""
    frame = pd.DataFrame({**columns([40, 30, 20, np.nan, 5]), "method": "Stirred"})
    with pytest.raises(FileHeld) as held:
        with_an_amount(frame)
    assert [(one.row, one.column) for one in held.value.faults] == [(3, "foam_height_mm")]
    assert with_an_amount(frame.fillna(1.0))["method"].unique().tolist() == ["stirred"]


@pytest.mark.parametrize(
    ("height", "rows"),
    [
        ([40, 30, 20, 10, 5], []),
        ([5, 20, 40, 30, 10], []),  # bubbles that still come up
        ([40, 30, 200, 10, 5], [2]),
        ([400, 300, 20, 100, 50], [2]),
        ([400, 40, 30, 20, 10], []),  # at an end, foam may have burst
        ([6, 2, 5, 1, 0], []),  # a factor of a few mm is a matter of reading
    ],
)
def test_a_slipped_digit_is_told(height: list[float], rows: list[int]) -> None:
    """A reading far above or below both of its neighbours."""
    assert [one.row for one in slipped(columns(height))] == rows


def test_height_and_volume_change_in_one_ratio() -> None:
    """In a cylinder; elsewhere a remark says between what the cross-section lies."""
    height = np.array([40.0, 30, 20, 15, 5])
    assert list(in_no_straight_vessel(columns(height, 2.8 * height))) == []
    assert list(in_no_straight_vessel(columns(height))) == []
    volume = 2.8 * height * np.array([1, 1, 1, 2, 1])
    ((row, words),) = in_no_straight_vessel(columns(height, volume))
    assert row == 3
    assert words.startswith("volume over height of the foam is 28 to 56 cm²")
