"""The labs that the growth bench measures are what intake would have made of their exports."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from tiecoat.ask.query import open_archive
from tiecoat.rebuild.rebuild import rebuild
from tiecoat.verify.verify import verify

sys.path.insert(0, str(Path(__file__).parent / "bench"))

from large_labs import A_BATCH, large_lab

COUNT = 2 * A_BATCH + 3


@pytest.mark.thorough
def test_a_lab_made_quickly_is_sound_and_made_again_the_same(tmp_path: Path) -> None:
    """Nothing is found in it, and its exports give just what stands in its tables."""
    lab = large_lab(tmp_path / "lab", COUNT)
    found = verify(lab)
    assert (found.findings, found.remarks) == ((), ())
    assert (found.counts.originals, found.counts.measurements) == (COUNT, COUNT)
    (kind,) = open_archive(lab.root).holds().kinds
    assert (kind.batches, kind.measurements) == (3, COUNT)
    again = rebuild(lab, "M. Keller")
    assert not again.differences
    assert (again.swapped, again.measurements) == (True, COUNT)
