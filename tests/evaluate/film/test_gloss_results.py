"""From gloss readings to means, and to the angle that would have been better."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd
import pytest
from scipy.stats import chi2

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.film.gloss import advised_angle_deg, compute
from tiecoat.evaluate.result import COLUMNS


def read(
    gloss_gu: Sequence[float], angle_deg: float = 60, panel: str = "RB-014-1", **more: Any
) -> pd.DataFrame:
    """Readings of one panel at one angle as the archive gives them."""
    n = len(gloss_gu)
    columns = {
        "batch": panel[:6],
        "panel": panel,
        "angle_deg": float(angle_deg),
        "spot": np.arange(1.0, n + 1),
        "gloss_gu": np.array(gloss_gu, dtype=float),
    }
    return pd.DataFrame({**columns, **more}, index=range(n))


def evaluated(*readings: pd.DataFrame) -> pd.DataFrame:
    """The result table."""
    return compute({"gloss": pd.concat(readings, ignore_index=True)}, Choices())


def mean_of(table: pd.DataFrame, angle: int, panel: str = "RB-014-1") -> pd.Series[Any]:
    """The mean at an angle; without a panel that of the batch."""
    rows = table[
        (table["quantity"] == "gloss_mean")
        & (table["panel"] == panel)
        & (table["condition"] == f"{angle} deg")
    ]
    assert len(rows) == 1, table
    return rows.iloc[0]


def test_each_angle_has_its_own_mean() -> None:
    """By panel with the readings as unit, by batch with the panels as unit."""
    table = evaluated(
        read([40.0, 42.0, 41.0]),
        read([44.0, 46.0, 45.0], panel="RB-014-2"),
        read([90.0, 92.0], 85),
    )
    of_panel, of_batch = mean_of(table, 60), mean_of(table, 60, "")
    assert (of_panel["value"], of_panel["n"], of_panel["unit"]) == (41, 3, "GU")
    assert of_panel["standard_error"] == pytest.approx(1 / np.sqrt(3))
    assert of_batch["value"] == 43
    assert of_batch["standard_error"] == pytest.approx(2)
    assert "panels as unit" in of_batch["method"]
    assert of_batch["flags"] == ""  # spot 1 of the other panel is another spot
    assert mean_of(table, 85)["value"] == 91
    spread = table[table["quantity"] == "gloss_sd"]
    assert len(spread) == 5
    first = spread[(spread["panel"] == "RB-014-1") & (spread["condition"] == "60 deg")].iloc[0]
    high = math.sqrt(2 / chi2.ppf(0.025, 2))  # of s = 1, n = 3
    assert [first["low"], first["high"]] == pytest.approx([0, high])  # s is within a step, 1 GU


@pytest.mark.parametrize(("tenth", "is_hidden"), [(0.0, True), (0.1, False)])
def test_a_scatter_within_a_step_of_the_readings_may_be_any_smaller(
    tenth: float, is_hidden: bool
) -> None:
    """60, 60, 61 come of readings to 1 GU that scatter by 0.2; of readings to 0.1 they do not."""
    table = evaluated(read([60.0, 60.0 + tenth, 61.0]))
    (spread,) = table[(table["quantity"] == "gloss_sd") & (table["panel"] != "")].to_dict("records")
    assert (spread["low"] == 0) is is_hidden
    assert spread["method"].endswith("from 0 within a step of the readings") is is_hidden


@pytest.mark.parametrize(
    ("at_60", "angle", "advised"),
    [
        (78.0, 60, "20 degrees is advised at 78 units at 60 degrees"),
        (78.0, 20, ""),
        (78.0, 85, "20 degrees is advised"),
        (70.0, 60, ""),
        (41.0, 20, "60 degrees is advised at 41 units"),
        (10.0, 60, ""),
        (9.9, 60, "85 degrees is advised at 9.9 units"),
        (9.9, 85, ""),
        (70.04, 60, "20 degrees is advised at 70.04 units"),
        (9.998, 60, "85 degrees is advised at 9.998 units"),
    ],
)
def test_the_angle_that_is_advised_is_told(at_60: float, angle: int, advised: str) -> None:
    """Glossy films are told apart at 20 degrees, matt ones at 85, by what they have at 60."""
    readings = [read([at_60])] if angle == 60 else [read([at_60]), read([30.0], angle)]
    flags = mean_of(evaluated(*readings), angle)["flags"]
    assert flags.startswith("no interval from one reading")
    assert ("is advised" in flags) == bool(advised)
    assert advised in flags


def test_without_60_degrees_no_angle_is_advised() -> None:
    """The advice rests on the gloss at 60 degrees, and says when that is missing."""
    flags = mean_of(evaluated(read([30.0, 31.0], 20)), 20)["flags"]
    assert flags == "nothing at 60 degrees: which angle ISO 2813 advises is not known"


def test_an_interval_of_gloss_does_not_reach_below_zero() -> None:
    """Of a matt film with two readings; the method says that it is cut."""
    row = mean_of(evaluated(read([0.2, 0.6])), 60)
    assert (row["value"], row["low"]) == (pytest.approx(0.4), 0.0)
    assert row["method"].endswith(", cut at 0")


def test_a_spot_that_was_read_again_is_told() -> None:
    """At another time it is another determination; the reader must know."""
    flags = mean_of(evaluated(read([40.0, 41.0], spot=[1.0, 1.0])), 60)["flags"]
    assert flags == "1 reading of spots that were read before: each counts"


def test_no_readings_give_an_empty_table() -> None:
    """An archive without gloss is no error."""
    table = evaluated(read([]))
    assert list(table.columns) == list(COLUMNS)
    assert len(table) == 0


def test_a_negative_gloss_has_no_angle() -> None:
    """No advice on nonsense."""
    for value in (-1.0, float("nan")):
        with pytest.raises(ValueError, match="expected at least 0 gloss units"):
            advised_angle_deg(value)
