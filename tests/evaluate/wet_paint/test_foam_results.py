"""Foam of known truth comes back, and what its readings do not tell has a reason."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import pandas as pd
import pytest
from scipy.integrate import quad

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.wet_paint.foam import area_below, compute

MINUTES = (0.0, 1, 2, 3, 5, 8, 12, 20, 30, 45, 60)


def foam_rows(
    heights: Sequence[float],
    minutes: Sequence[float] = MINUTES,
    *,
    batch: str = "RB-010",
    measurement: str = "a",
    amount: str = "foam_height_mm",
) -> pd.DataFrame:
    """Return the rows of one determination, as the archive gives them."""
    frame = pd.DataFrame(
        {
            "batch": batch,
            "measurement": measurement,
            "method": "stirred",
            "elapsed_s": 60.0 * np.asarray(minutes, dtype=float),
            "foam_height_mm": math.nan,
            "foam_volume_ml": math.nan,
        }
    )
    return frame.assign(**{amount: np.asarray(heights, dtype=float)})


def results_of(*rows: pd.DataFrame) -> pd.DataFrame:
    """Return the results by quantity and measurement; that of the batch is ""."""
    table = compute({"foam": pd.concat(rows, ignore_index=True)}, Choices())
    return table.set_index(["quantity", "measurement"])


def read(course: Callable[[float], float], minutes: Sequence[float] = MINUTES) -> list[float]:
    """Return heights read to 1 mm."""
    return [round(course(one)) for one in minutes]


def test_one_exponential_comes_back() -> None:
    """Initial foam, half-life, rate and area of 64 mm that halve every 8 minutes."""
    found = results_of(foam_rows(read(lambda t: 64 * 0.5 ** (t / 8))))
    half = found.loc["foam_half_life", "a"]
    assert half["low"] < 8 < half["high"]
    assert half["high"] / half["low"] < 1.15
    assert half["method"] == "one exponential, least squares on 11 readings"
    start = found.loc["foam_initial", "a"]
    assert (start["unit"], start["condition"]) == ("mm", "stirred, height")
    assert start["low"] < 64 < start["high"]
    rate = found.loc["foam_decay_rate", "a"]
    assert rate["unit"] == "1/h"
    assert rate["low"] < 60 * math.log(2) / 8 < rate["high"]
    area = found.loc["foam_area", "a"]
    truth, _ = quad(lambda t: 64 * 0.5 ** (t / 8), 0, 60)
    assert area["low"] - 2 < truth < area["high"] + 2
    assert (area["unit"], area["condition"]) == ("mm min", "stirred, height, 0 to 60 min")
    assert "foam_plateau" not in found.index.get_level_values("quantity")


def test_two_exponentials_to_a_plateau_come_back_where_the_data_ask_for_them() -> None:
    """Half goes in a minute, a third in fifteen, a sixth stays; read to 0.1 mm."""
    minutes = np.array([*np.arange(0, 5, 0.5), *np.arange(5, 20, 2), *np.arange(20, 90, 10)])
    course = 90 * np.exp(-minutes / 1.2) + 60 * np.exp(-minutes / 15) + 30
    found = results_of(foam_rows(np.round(course, 1), minutes.tolist()))
    for quantity, truth in {
        "foam_decay_rate": 60 / 1.2,
        "foam_decay_rate_slow": 60 / 15,
        "foam_slow_share": 100 * 60 / 180,
        "foam_plateau": 30.0,
        "foam_initial": 180.0,
    }.items():
        row = found.loc[quantity, "a"]
        assert row["low"] < truth < row["high"], quantity
        assert row["value"] == pytest.approx(truth, rel=0.05)


def test_volumes_are_taken_where_they_are_read() -> None:
    """Of a table with more volumes than heights the volumes count, in ml."""
    rows = foam_rows(read(lambda t: 160 * 0.5 ** (t / 5)), amount="foam_volume_ml")
    rows.loc[0, "foam_height_mm"] = 40.0
    found = results_of(rows)
    assert found.loc["foam_initial", "a"]["unit"] == "ml"
    assert found.loc["foam_initial", "a"]["condition"] == "stirred, volume"


@pytest.mark.parametrize(
    ("heights", "minutes", "reason"),
    [
        ([0, 0, 0, 0], (0, 1, 5, 10), "there is no foam"),
        (
            [2, 1, 1, 0],
            (0, 1, 5, 10),
            "2 mm of foam at most, read in steps of 1: too little for its decay",
        ),
        (
            [40, 22, 11],
            (0, 5, 10),
            "too few readings of the collapse: 3, a decay needs 4",
        ),
        (
            [64, 60, 56, 52, 49],
            (0, 1, 2, 3, 4),
            "more than half is left at the last reading, after 4 min",
        ),
    ],
)
def test_what_is_not_determinable_says_why(
    heights: list[float], minutes: tuple[float, ...], reason: str
) -> None:
    """Without a value, with a reason; the initial foam is told all the same."""
    found = results_of(foam_rows(heights, minutes))
    half = found.loc["foam_half_life", "a"]
    assert (math.isnan(half["value"]), half["reason"]) == (True, reason)
    assert found.loc["foam_initial", "a"]["value"] == pytest.approx(heights[0], abs=1)


def test_a_half_life_beyond_the_last_reading_has_its_lower_bound() -> None:
    """Of what halves in 11 minutes, read for 4, it is told to be longer than something."""
    half = results_of(foam_rows([64, 60, 56, 53, 50], (0, 1, 2, 3, 4))).loc["foam_half_life", "a"]
    assert math.isnan(half["value"])
    assert half["low"] == 4
    assert math.isnan(half["high"])
    assert half["method"].endswith("longer than its lower bound")


def test_foam_that_stays_has_no_half_life() -> None:
    """Three quarters stay for good: the plateau is told, and the half-life is not."""
    found = results_of(foam_rows(read(lambda t: 20 * math.exp(-t / 4) + 60)))
    assert found.loc["foam_plateau", "a"]["value"] == pytest.approx(60, abs=1)
    half = found.loc["foam_half_life", "a"]
    assert half["reason"] == "half of it or more may stay: 75 % by the fit"


def test_foam_that_grows_first_is_counted_from_its_most() -> None:
    """Bubbles come up for two minutes: the collapse begins there, and the result says so."""
    heights = [10, 30, *(64 * 0.5 ** ((t - 2) / 8) for t in MINUTES[2:])]
    found = results_of(foam_rows([round(one) for one in heights]))
    half = found.loc["foam_half_life", "a"]
    assert half["low"] < 8 < half["high"]
    assert half["flags"] == "the foam grew for 2 min: its collapse begins there"
    start = found.loc["foam_initial", "a"]
    assert (start["value"], start["method"]) == (10, "as read, uncertainty of its rounding alone")


def test_foam_that_was_first_read_late_is_read_back_or_not_at_all() -> None:
    """A first reading after a minute is read back to none; after three half-lives it is not."""
    early = results_of(foam_rows(read(lambda t: 64 * 0.5 ** (t / 8), MINUTES[1:]), MINUTES[1:]))
    start = early.loc["foam_initial", "a"]
    assert start["low"] < 64 < start["high"]
    assert start["flags"] == "read back from 1 min"
    late = (12.0, 14, 16, 18, 20, 24, 28)
    found = results_of(foam_rows(read(lambda t: 640 * 0.5 ** (t / 4), late), late))
    reason = "the first reading, after 12 min, came when more than half had gone"
    assert found.loc["foam_initial", "a"]["reason"] == reason


def test_a_batch_has_the_means_of_its_determinations() -> None:
    """Three stirrings: the geometric mean of the half-lives with its interval by t."""
    lives = (7.0, 8.0, 9.0)
    rows = [
        foam_rows(read(lambda t, life=life: 640 * 0.5 ** (t / life)), measurement=name)
        for name, life in zip("abc", lives, strict=True)
    ]
    found = results_of(*rows)
    half = found.loc["foam_half_life", ""]
    own = [found.loc["foam_half_life", name]["value"] for name in "abc"]
    assert half["value"] == pytest.approx(math.exp(np.log(own).mean()), rel=1e-12)
    assert half["value"] == pytest.approx((7 * 8 * 9) ** (1 / 3), rel=0.01)
    ratio = 4.302653 * np.log(own).std(ddof=1) / math.sqrt(3)  # t of 2 degrees, 97.5 %
    assert half["high"] / half["value"] == pytest.approx(math.exp(ratio), rel=1e-6)
    assert (half["n"], half["method"]) == (3, "geometric mean of 3 determinations")
    stays = foam_rows(read(lambda t: 20 * math.exp(-t / 4) + 60), measurement="d")
    half = results_of(*rows, stays).loc["foam_half_life", ""]
    assert half["reason"].startswith("1 of 4 determinations without it: half of it or more")


def test_one_reading_has_no_area() -> None:
    """And no collapse."""
    found = results_of(foam_rows([40], (0.0,)))
    assert found.loc["foam_area", "a"]["reason"] == "one reading: there is no area below it"


def test_areas_of_exponentials_are_exact() -> None:
    """Steps of a half-life each, where trapezoids give 4 % too much."""
    times = np.arange(0, 50, 10.0)
    truth = 100 * 10 / math.log(2) * (1 - 0.5**4)
    assert area_below(times, 100 * 0.5 ** (times / 10)) == pytest.approx(truth, rel=1e-12)
    assert np.trapezoid(100 * 0.5 ** (times / 10), times) > 1.03 * truth
