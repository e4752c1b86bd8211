"""Many files that wait together."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path

import pytest
from bad_exports import density
from labs import LabAtWork

from tiecoat.intake import intake
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.pool import ReaderPool

Make = Callable[..., LabAtWork]
FILES = 5


def test_files_are_kept_while_the_workers_start(lab: Make, monkeypatch: pytest.MonkeyPatch) -> None:
    """Nobody waits for the workers to start: until then what lies in the inbox is preserved."""
    monkeypatch.setattr(intake, "PRESERVED", 2)
    at_work = lab()
    texts = [density(at=f"14.09.2026;08:{n:02}") for n in range(FILES)]
    for n, text in enumerate(texts):
        at_work.drop(f"{n}.csv", text)
    load, kept = ReaderPool.load, []

    def counted(pool: ReaderPool) -> None:
        kept.append(len([*at_work.root.glob("originals/*/*/*.csv")]))
        load(pool)

    monkeypatch.setattr(ReaderPool, "load", counted)
    at_work.take()
    assert kept[0] == FILES
    assert len(at_work.rows("density")) == FILES


def test_small_files_are_read_together_and_large_ones_apart(tmp_path: Path) -> None:
    """A large file does not use up the time limit of others; none is left out, none sent twice."""
    sizes = [*[1000] * 70, 900_000, 900_000, 3_000_000, 10, 10]
    files = [ExportFile(tmp_path / str(n), str(n), "", str(n)) for n in range(len(sizes))]
    chunks = intake._in_chunks(list(zip(files, sizes, strict=True)))
    assert [len(chunk) for chunk in chunks] == [64, 7, 1, 1, 2]
    assert [file for chunk in chunks for file in chunk] == files


@pytest.mark.parametrize(
    ("read", "left", "arrived", "filed"),
    [(300, 600, 0, True), (300, 601, 0, False), (255, 0, 0, False), (300, 100, 1, False)],
)
def test_the_end_of_a_backlog_is_filed_while_the_rest_of_it_is_read(
    read: int, left: int, arrived: int, filed: bool
) -> None:
    """Where no more than twice as many are left, what has been read does not wait for them."""
    at_work = object.__new__(intake.Intake)
    at_work._read = [None] * read  # type: ignore[list-item] - only their number counts
    at_work._arrived = deque([None] * arrived)  # type: ignore[list-item]
    at_work._unsent = deque([[None] * (left // 2)])  # type: ignore[list-item]
    at_work._reading = {Future(): [None] * (left - left // 2)}  # type: ignore[list-item]
    assert at_work._is_ending() is filed
