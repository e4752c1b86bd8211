"""Ratings of exposed panels: completed, and contradictions told with their row and column."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd
import pandera.pandas as pa
import pytest

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas import chamber_record
from tiecoat.schemas.exposure_rating import KIND, RATINGS, complete

BLANK: dict[str, Any] = {
    "exposure": "neutral salt spray",
    "exposure_h": 480.0,
    "property": "rust",
    "reading": 1.0,
    **dict.fromkeys(RATINGS, math.nan),
    "rating": None,
}


def frame_of(*rows: dict[str, Any]) -> pd.DataFrame:
    """Ratings as they come from a reader."""
    listed = [{**BLANK, **row} for row in rows]
    frame = pd.DataFrame({name: [row[name] for row in listed] for name in BLANK})
    return frame.astype(dict.fromkeys(("exposure", "property", "rating"), "str"))


def told(*rows: dict[str, Any]) -> list[tuple[Reason, int | None, str | None]]:
    """What is wrong, with row and column."""
    with pytest.raises(FileHeld) as held:
        complete(frame_of(*rows))
    return [(fault.reason, fault.row, fault.column) for fault in held.value.faults]


def test_ratings_are_kept_as_text_and_as_numbers() -> None:
    """From the text come grade and size, from these the text; words are in one form."""
    done = complete(
        frame_of(
            {"rating": "ri3", "exposure": "NSS"},
            {"property": "Blisters", "rating": "2 (s4)"},
            {"property": "cracking", "grade": 1.0, "size": 2.0},
            {"grade": 2.0, "area_percent": 0.4},
            {"d610_grade": 7.0},
        )
    )
    assert done["rating"].fillna("").tolist() == ["Ri 3", "2(S4)", "1(S2)", "Ri 2", ""]
    assert done["grade"].fillna(-1).tolist() == [3, 2, 1, 2, -1]
    assert done["size"].fillna(-1).tolist() == [-1, 4, 2, -1, -1]
    assert done["exposure"].unique().tolist() == ["neutral salt spray"]
    KIND.model.validate(done, lazy=True)


def test_creep_comes_from_the_widths() -> None:
    """Half of what the damage is wider; a creep that was read itself is kept."""
    scribe = {"property": "scribe delamination"}
    done = complete(
        frame_of(
            {**scribe, "damage_width_mm": 5.0, "scribe_width_mm": 1.0},
            {**scribe, "creep_mm": 1.5},
            {**scribe, "damage_width_mm": 5.1, "scribe_width_mm": 1.0, "creep_mm": 2.1},
        )
    )
    assert done["creep_mm"].tolist() == [2.0, 1.5, 2.1]
    KIND.model.validate(done, lazy=True)


def test_contradictions_and_gaps_are_told_together() -> None:
    """All faults of a frame come at once."""
    scribe = {"property": "scribe corrosion"}
    assert told(
        {"rating": "Ri 1", "area_percent": 12.0},
        {"rating": "Ri 1", "grade": 2.0},
        {"rating": "Ri 6"},
        {"property": "blisters", "rating": "3(S9)"},
        {},
        {**scribe, "damage_width_mm": 4.0},
        {**scribe, "damage_width_mm": 0.5, "scribe_width_mm": 1.0},
        {**scribe, "damage_width_mm": 5.0, "scribe_width_mm": 1.0, "creep_mm": 4.0},
        {"rating": "Ri 1", "damage_width_mm": 4.0},
        {"d610_grade": 6.5},
        {"property": "flaking", "size": 3.0},
    ) == [
        (Reason.INCONSISTENT, 0, "area_percent"),
        (Reason.INCONSISTENT, 1, "grade"),
        (Reason.OUT_OF_BOUNDS, 2, "rating"),
        (Reason.OUT_OF_BOUNDS, 3, "rating"),
        (Reason.MISSING_VALUE, 4, "rating"),
        (Reason.MISSING_VALUE, 5, "scribe_width_mm"),
        (Reason.INCONSISTENT, 6, "damage_width_mm"),
        (Reason.INCONSISTENT, 7, "creep_mm"),
        (Reason.INCONSISTENT, 8, "damage_width_mm"),
        (Reason.OUT_OF_BOUNDS, 9, "d610_grade"),
        (Reason.MISSING_VALUE, 10, "rating"),
    ]


def test_what_is_outside_its_scale_is_left_to_the_bounds() -> None:
    """An unknown property and an area of 120 % pass derive and fail the model with its words."""
    done = complete(
        frame_of(
            {"property": "colour"},
            {"area_percent": 120.0, "d610_grade": 7.0},
            {"d610_grade": math.inf},
            {"property": "scribe corrosion", "damage_width_mm": -3.0, "scribe_width_mm": 1.0},
        )
    )
    schema = KIND.model.to_schema()
    with pytest.raises(pa.errors.SchemaErrors) as refused:
        schema.validate(done, lazy=True)
    cases = refused.value.failure_cases
    assert set(zip(cases["index"], cases["column"], strict=True)) >= {
        (0, "property"),
        (1, "area_percent"),
        (2, "d610_grade"),
        (3, "damage_width_mm"),
    }


def test_a_row_without_a_reading_is_no_record() -> None:
    """A chamber's row needs one reading at least."""
    frame = pd.DataFrame(
        {name: [35.0, math.nan] for name in chamber_record.READINGS}, dtype="float64"
    )
    with pytest.raises(FileHeld) as held:
        chamber_record.with_a_reading(frame)
    assert [(fault.row, fault.column) for fault in held.value.faults] == [(1, "temperature_c")]
