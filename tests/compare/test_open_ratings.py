"""Ratings that leave several grades open, such as an area between pictures, are compared too."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from tiecoat.compare.find import find
from tiecoat.compare.findings import Finding
from tiecoat.compare.properties import Property
from tiecoat.compare.ranks import superiority
from tiecoat.compare.result_samples import samples
from tiecoat.compare.samples import Sample

RUST = Property("rust", "exposure_rating", "rust_grade", direction="lower", method="ratings")
Band = tuple[float, float]


def found(**batches: list[Band]) -> Finding:
    """What is found of RB-011 against RB-010, of panels with a grade from the one to the other."""
    rows = pd.DataFrame(
        [
            {
                "batch": batch.replace("_", "-"),
                "panel": f"{batch}-{place}",
                "measurement": f"{batch}-{place}",
                "exposure_h": 480.0,
                "value": low if low == high else math.nan,
                "low": math.nan if low == high else low,
                "high": math.nan if low == high else high,
                "unit": "",
                "reason": "" if low == high else "between two pictures",
                "flags": "",
            }
            for batch, bands in batches.items()
            for place, (low, high) in enumerate(bands)
        ]
    )
    listed = samples(rows, RUST, ["RB-010", "RB-011"], of_panels=True)
    finding = find(RUST, listed, "RB-010")["RB-011"]
    assert isinstance(finding, Finding)
    return finding


def clear(*grades: float) -> list[Band]:
    """Panels of one grade each."""
    return [(grade, grade) for grade in grades]


def test_the_interval_reaches_from_the_worst_to_the_best_that_they_may_be() -> None:
    """Low end with the candidate's worst grades, high end with its best; p is the greater."""
    finding = found(RB_010=clear(3, 4, 4), RB_011=[(1, 2), (0, 1), (2, 4)])
    control = np.array([3.0, 4.0, 4.0])
    worst = superiority(-control, -np.array([2.0, 1.0, 4.0]))
    best = superiority(-control, -np.array([1.0, 0.0, 2.0]))
    assert finding.firm is not None
    assert (finding.firm.low, finding.firm.high) == (worst.low - 0.5, best.high - 0.5)
    assert finding.firm.p == max(worst.p, best.p)
    assert isinstance(finding.candidate, Sample)
    assert "3 of 3 panels of RB-011 have no one grade: both ends count" in (
        finding.candidate.cautions
    )


def test_where_the_ends_disagree_on_the_side_nothing_is_shown() -> None:
    """All may be better or worse than the control: p is 1, and the interval reaches over none."""
    finding = found(RB_010=clear(2, 2, 2), RB_011=[(1, 3)] * 3)
    assert finding.firm is not None
    assert finding.firm.p == 1
    assert finding.firm.low < 0 < finding.firm.high
    assert finding.firm.effect == pytest.approx(0)


def test_clear_grades_are_compared_as_ever() -> None:
    """Without an open grade it is the one test, and no caution of it."""
    finding = found(RB_010=clear(3, 4, 4), RB_011=clear(2, 1, 2))
    one = superiority(-np.array([3.0, 4, 4]), -np.array([2.0, 1, 2]))
    assert finding.firm is not None
    assert (finding.firm.low, finding.firm.p) == (one.low - 0.5, one.p)
    assert not any("no one grade" in one for one in finding.candidate.cautions)
