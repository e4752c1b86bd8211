"""What registers and sheets of inspections leave unsaid because something else makes it plain."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas.batches import role_of
from tiecoat.schemas.exposure_rating import of_rust
from tiecoat.schemas.panels import in_order

DAYS = pd.DatetimeTZDtype("us", "UTC")


@pytest.mark.parametrize(
    ("candidate", "dose", "role"),
    [
        ("", 0.0, "control"),
        ("barytes B", 2.5, "candidate"),
        ("", np.nan, ""),
        ("", 2.5, ""),
        ("barytes B", 0.0, ""),
        ("barytes B", np.nan, ""),
    ],
)
def test_a_role_is_taken_only_where_candidate_and_dose_agree(
    candidate: str, dose: float, role: str
) -> None:
    """No candidate and dose 0 is a control; what is half said stays open."""
    found = role_of(np.array([candidate], dtype=object), np.array([dose]))

    assert found.tolist() == [role]


def test_a_number_that_only_rust_has_is_of_rust() -> None:
    """A grade of ASTM D610 or a rusted area needs no property; an empty cell tells none."""
    assert of_rust(np.array([9.0, np.nan, 0.0])).tolist() == ["rust", "", "rust"]


def test_a_panel_is_not_immersed_before_it_is_coated() -> None:
    """The row with the two days exchanged is told; open ones and the right order are not."""
    columns: dict[str, list[Any]] = {
        "coated_on": ["2026-03-01", "2026-04-11", None, "2026-03-01"],
        "immersed_at": ["2026-03-11", "2026-04-01", "2026-04-01", None],
    }
    frame = pd.DataFrame({name: pd.Series(days, dtype=DAYS) for name, days in columns.items()})

    with pytest.raises(FileHeld) as held:
        in_order(frame)

    assert [(fault.reason, fault.row) for fault in held.value.faults] == [(Reason.INCONSISTENT, 1)]
    assert in_order(frame.drop(index=1)).equals(frame.drop(index=1))
