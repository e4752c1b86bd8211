"""From photographs of exposed panels to rusted areas and the degree that they would be."""

from __future__ import annotations

import math
from typing import Any

import pandas as pd
import pytest

from tiecoat.evaluate.exposure.rust_image import AID, compute
from tiecoat.evaluate.result import COLUMNS


def photograph(panel: str, exposure_h: float, area: float, **more: Any) -> dict[str, Any]:
    """A photograph as the archive gives it; the bounds are half and twice the area."""
    return {
        "batch": panel[:6],
        "panel": panel,
        "exposure_h": exposure_h,
        "rusted_area_percent": area,
        "rusted_area_low_percent": area / 2,
        "rusted_area_high_percent": area * 2,
        "parameters": "edge 10 mm",
        "remarks": None,
        **more,
    }


def evaluated(*rows: dict[str, Any]) -> pd.DataFrame:
    """The result table."""
    return compute({"rust_image": pd.DataFrame(list(rows))}, None)


def one(table: pd.DataFrame, quantity: str, panel: str, exposure_h: float) -> pd.Series[Any]:
    """The one row of a quantity; without a panel that of the batch."""
    rows = table[(table["quantity"] == quantity) & (table["panel"] == panel)]
    same = rows["exposure_h"].isna() if math.isnan(exposure_h) else rows["exposure_h"] == exposure_h
    assert same.sum() == 1
    return rows[same].iloc[0]


def test_each_panel_has_its_area_and_degree_over_exposure() -> None:
    """The degrees are those of the pictures around the bounds: a value only where that is one."""
    table = evaluated(photograph("RB-014-1", 240, 0.04), photograph("RB-014-1", 480, 0.7))
    first, later = (one(table, "rusted_area_photographed", "RB-014-1", h) for h in (240, 480))
    assert (first["value"], first["low"], first["high"]) == pytest.approx((0.04, 0.02, 0.08))
    assert later["value"] == pytest.approx(0.7)
    degrees = [one(table, "rust_grade_photographed", "RB-014-1", h) for h in (240, 480)]
    assert [(d["low"], d["high"]) for d in degrees] == [(0, 2), (1, 4)]
    assert all(math.isnan(d["value"]) for d in degrees)
    assert all("belong to no one degree" in d["reason"] for d in degrees)
    assert "ISO 4628-3:2016" in degrees[0]["method"]
    sure = evaluated(photograph("RB-014-1", 480, 90.0, rusted_area_high_percent=95.0))
    degree = one(sure, "rust_grade_photographed", "RB-014-1", 480)
    assert (degree["value"], degree["low"], degree["high"], degree["reason"]) == (5, 5, 5, "")


def test_two_photographs_of_a_panel_are_averaged() -> None:
    """Front and back, say; different limits are told, and so are the remarks of each."""
    table = evaluated(
        photograph("RB-014-1", 240, 0.4, remarks="scribe: 1 found"),
        photograph("RB-014-1", 240, 0.8, parameters="edge 5 mm", remarks="scribe: 1 found"),
    )
    row = one(table, "rusted_area_photographed", "RB-014-1", 240)
    assert (row["value"], row["n"]) == (pytest.approx(0.6), 2)
    assert row["flags"] == (
        f"{AID}; photographs read with different limits together; scribe: 1 found"
    )


def test_a_batch_has_the_interval_over_its_panels() -> None:
    """By t, cut at 0 and 100; what the limits of colour leave open stands beside it."""
    table = evaluated(*(photograph(f"RB-014-{n}", 480, a) for n, a in enumerate((0.1, 0.2, 0.9))))
    row = one(table, "rusted_area_photographed", "", 480)
    assert (row["value"], row["n"], row["low"]) == (pytest.approx(0.4), 3, 0.0)
    assert row["high"] == pytest.approx(0.4 + 4.3027 * 0.43589 / math.sqrt(3), rel=1e-3)
    assert "0.2 to 0.8 % by colour and outlines" in row["flags"]
    rusty = evaluated(*(photograph(f"RB-014-{n}", 480, a) for n, a in enumerate((10.0, 50.0))))
    row = one(rusty, "rusted_area_photographed", "", 480)
    assert (row["low"], row["high"]) == (0.0, 100.0)
    single = evaluated(photograph("RB-014-1", 480, 0.3))
    alone = one(single, "rusted_area_photographed", "", 480)
    assert math.isnan(alone["low"])
    assert "no interval over panels: one panel" in alone["flags"]


def test_panels_read_with_different_limits_are_told_of_their_batch() -> None:
    """Each panel by itself is of one kind; their mean is not."""
    table = evaluated(
        photograph("RB-014-1", 240, 0.4), photograph("RB-014-2", 240, 0.8, parameters="edge 5 mm")
    )
    said = "photographs read with different limits together"
    assert said in one(table, "rusted_area_photographed", "", 240)["flags"]
    assert said not in one(table, "rusted_area_photographed", "RB-014-1", 240)["flags"]


def test_who_rates_is_said_everywhere() -> None:
    """Every row, with or without hours of exposure."""
    table = evaluated(photograph("RB-014-1", math.nan, 0.3), photograph("RB-014-1", 24.0, 0.2))
    assert table["flags"].str.startswith(AID).all()
    unknown = one(table, "rusted_area_photographed", "RB-014-1", math.nan)
    assert "hours of exposure unknown" in unknown["flags"]
    assert (one(table, "rusted_area_photographed", "", math.nan)["n"]) == 1


def test_without_photographs_there_is_nothing() -> None:
    """An empty table of the right columns."""
    empty = pd.DataFrame([photograph("RB-014-1", 1.0, 0.3)]).iloc[:0]
    table = compute({"rust_image": empty}, None)
    assert (len(table), tuple(table.columns)) == (0, COLUMNS)
