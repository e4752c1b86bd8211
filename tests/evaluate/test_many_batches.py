"""What results of many batches cost: calls, which other work on the machine does not change."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from pathlib import Path
from types import FrameType

import pandas as pd
import pytest

import tiecoat
from tiecoat.evaluate.evaluations import (
    Brought,
    chamber_record,
    cross_section,
    defects,
    film_thickness,
    gloss,
    impedance,
    rust_image,
)

EXAMPLE = Path(__file__).resolve().parents[2] / "archive_example"
# Calls of functions for each batch more. What is left is of texts; when each panel and batch had a
# frame of its own, there were thousands.
MOST_CALLS = 600


def of_batches(frames: Mapping[str, pd.DataFrame], times: int) -> dict[str, pd.DataFrame]:
    """The rows of the example so many times, each time with other names."""
    named = ("batch", "panel", "measurement")
    return {
        kind: pd.concat(
            [
                rows.assign(**{name: f"{time}-" + rows[name] for name in named if name in rows})
                for time in range(times)
            ],
            ignore_index=True,
        )
        for kind, rows in frames.items()
    }


def calls_of(brought: Brought, frames: Mapping[str, pd.DataFrame]) -> int:
    """How many calls it takes to compute."""
    calls = 0

    def count(frame: FrameType, event: str, argument: object) -> None:
        nonlocal calls
        calls += event == "call"

    one = brought.evaluation
    sys.setprofile(count)
    try:
        one.compute(dict(frames), one.choices())
    finally:
        sys.setprofile(None)
    return calls


@pytest.mark.parametrize(
    "brought",
    [chamber_record, cross_section, defects, film_thickness, gloss, impedance, rust_image],
    ids=lambda one: one.evaluation.kind,
)
def test_a_batch_more_costs_few_calls(brought: Brought) -> None:
    """Results are computed of all batches at once, not of one after the other."""
    one = brought.evaluation
    archive = tiecoat.open(EXAMPLE)
    own = {kind: archive.read(kind) for kind in (one.kind, *one.needs)}
    batches = own[one.kind]["batch"].nunique()
    few, many = (of_batches(own, times) for times in (1, 3))
    calls_of(brought, few)  # what is asked for once is loaded, and remembered
    more = calls_of(brought, many) - calls_of(brought, few)
    assert more / (2 * batches) < MOST_CALLS
