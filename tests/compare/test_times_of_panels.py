"""The times of panels as a comparison takes them: middles, bounds, and ratios that have no end."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from tiecoat.compare.samples import Sample
from tiecoat.compare.time_samples import placed_times, time_samples
from tiecoat.compare.times import Times, time_ratios

NAN = math.nan
PLENTY = 6  # panels


def placed(*ends: tuple[float, float]) -> pd.DataFrame:
    """Return a row for each panel of RB-010, of whose time these ends are known."""
    return placed_times(
        pd.DataFrame(
            {
                "batch": "RB-010",
                "panel": [f"RB-010-{n}" for n, _ in enumerate(ends, 1)],
                "value": NAN,
                "unit": "h",
                "low": [low for low, _ in ends],
                "high": [high for _, high in ends],
                "reason": "",
                "flags": "",
            }
        )
    )


def test_a_time_between_two_inspections_is_shown_in_their_middle() -> None:
    """One that is open stands at the end that is known."""
    rows = placed((24.0, 72.0), (336.0, NAN), (NAN, 24.0))
    assert list(rows["value"]) == [48.0, 336.0, 24.0]


@pytest.mark.parametrize(("never", "is_floor"), [(0, False), (1, False), (2, True), (4, True)])
def test_where_half_of_the_panels_never_reached_it_the_middle_is_a_lower_bound(
    never: int, is_floor: bool
) -> None:
    """Of four panels: one that holds out leaves a median."""
    ends = [(336.0, NAN)] * never + [(24.0, 72.0)] * (4 - never)
    sample = time_samples(placed(*ends), ["RB-010"])["RB-010"]
    assert isinstance(sample, Sample)
    assert sample.is_floor == is_floor


@pytest.mark.parametrize(
    ("ends", "expected"),
    [
        ([(1000.0, 1448.0)] * 3, (1000.0, 1448.0)),
        ([(24.0, 72.0), (72.0, 168.0), (168.0, 336.0)], (72.0, 168.0)),
        (
            [(720.0, 1000.0), (1000.0, 1200.0), (720.0, 1000.0), (1200.0, 1440.0)],
            (720.0, 1200.0),
        ),
        ([(96.0, 96.0)] * 3, (NAN, NAN)),
        ([(336.0, NAN)] * 3, (NAN, NAN)),
        ([(NAN, 24.0)] * 3, (NAN, NAN)),
    ],
)
def test_a_median_of_intervals_is_told_by_its_ends(
    ends: list[tuple[float, float]], expected: tuple[float, float]
) -> None:
    """Never by their middle, at which nobody looked; exact times and bounds have none.

    They are those of the likeliest distribution (Turnbull), as the results of a batch tell them:
    of two of four that fall by 1000 h and a third by 1200 h the median lies between 720 and 1200 h,
    and not between the medians of both ends, 860 and 1100 h, at which nobody looked either.
    """
    sample = time_samples(placed(*ends), ["RB-010"])["RB-010"]
    assert isinstance(sample, Sample)
    assert sample.between("times") == pytest.approx(expected, nan_ok=True)
    assert np.isnan(sample.between("means")).all()


AT_ONCE = Times(np.zeros(PLENTY), np.full(PLENTY, 24.0))
BETWEEN = Times(np.full(PLENTY, 96.0), np.full(PLENTY, 168.0))
NEVER = Times(np.full(PLENTY, 336.0), np.full(PLENTY, np.inf))


@pytest.mark.parametrize(
    ("control", "candidate", "expected"),
    [
        (BETWEEN, AT_ONCE, -math.inf),
        (NEVER, BETWEEN, -math.inf),
        (NEVER, AT_ONCE, -math.inf),
        (AT_ONCE, BETWEEN, math.inf),
        (BETWEEN, NEVER, math.inf),
    ],
)
def test_a_ratio_that_is_open_has_no_middle(
    control: Times, candidate: Times, expected: float
) -> None:
    """One batch of which a time is known on one side alone is enough."""
    assert time_ratios(control, candidate)[0].ln_ratio == expected
