"""Many files that wait together."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from concurrent.futures import Future
from pathlib import Path

import pytest
from labs import LabAtWork

from tiecoat.intake import intake
from tiecoat.intake.export_file import ExportFile

Make = Callable[..., LabAtWork]
FILES = 5


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
