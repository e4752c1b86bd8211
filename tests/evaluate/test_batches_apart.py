"""What is said to hang on its batch alone does: others beside it change nothing."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest

import tiecoat
from tiecoat.ask import evaluate as asked
from tiecoat.evaluate.result import NUMBERS
from tiecoat.extend.loading import load_evaluations

EXAMPLE = Path(__file__).resolve().parents[2] / "archive_example"
QUICK = [one for one in load_evaluations(None).evaluations.values() if not one.slow]
APART = sorted({one.kind for one in QUICK if one.by_batch})


@pytest.mark.every(4)
@pytest.mark.parametrize("kind", APART)
def test_results_are_the_same_batch_by_batch(kind: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Texts are the same, and numbers too but for last digits: sums are taken in another order."""
    archive = tiecoat.open(EXAMPLE)
    whole = archive.evaluate(kind)
    monkeypatch.setattr(asked, "TOGETHER", 1)
    apart = archive.evaluate(kind)
    texts = [name for name in whole if name not in NUMBERS]
    assert apart[texts].equals(whole[texts])
    pd.testing.assert_frame_equal(apart, whole, rtol=1e-6)


def test_only_what_is_pooled_over_batches_is_computed_of_all_at_once() -> None:
    """Pull-off strengths are told of a coat system of all batches; nothing else built in is so."""
    assert [one.name for one in QUICK if not one.by_batch] == ["pull_off"]
