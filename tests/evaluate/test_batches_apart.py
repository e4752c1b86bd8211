"""What is said to hang on its batch alone does: others beside it change nothing."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

import tiecoat
from tiecoat.ask import evaluate as asked
from tiecoat.extend.loading import load_evaluations

EXAMPLE = Path(__file__).resolve().parents[2] / "archive_example"
QUICK = [one for one in load_evaluations(None).evaluations.values() if not one.slow]
APART = sorted({one.kind for one in QUICK if one.by_batch})


@pytest.mark.every(4)
@pytest.mark.parametrize("kind", APART)
def test_results_are_the_same_batch_by_batch(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """To the last digit: no sum is taken in another order for others beside it."""
    archive = tiecoat.open(EXAMPLE)
    whole = archive.evaluate(kind)
    monkeypatch.setattr(asked, "TOGETHER", 1)
    pd.testing.assert_frame_equal(archive.evaluate(kind), whole, check_exact=True)


def test_only_what_is_pooled_over_batches_is_computed_of_all_at_once() -> None:
    """Pull-off strengths are told of a coat system of all batches; nothing else built in is so."""
    assert [one.name for one in QUICK if not one.by_batch] == ["pull_off"]
