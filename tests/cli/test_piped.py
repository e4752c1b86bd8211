"""Tables that go to another program: a row a line, cells by tabs, no width, no colour."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from build_example import EXAMPLE


@pytest.mark.every(8)
@pytest.mark.parametrize(
    ("words", "title", "columns"),
    [
        (["contents"], "kind\tbatches\tpanels\tmeasurements\trows\tmeasured (UTC)", 6),
        (["readers"], "reader\tkind\tgoes before\tfrom", 4),
        (["evaluate", "gloss", "--batch", "RB-010"], "result\tvalue\t95 %\tn\tnote", 5),
    ],
    ids=["contents", "readers", "evaluate"],
)
def test_a_row_is_a_line(words: list[str], title: str, columns: int) -> None:
    """Whatever width and colours the environment tells, each row stands whole in its line."""
    done = subprocess.run(
        [sys.executable, "-m", "tiecoat", *words, "--lab", str(EXAMPLE)],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        env={**os.environ, "COLUMNS": "20", "FORCE_COLOR": "1"},
    )
    assert "\x1b" not in done.stdout
    lines = done.stdout.splitlines()
    start = lines.index(title)
    rows = [line.split("\t") for line in lines[start + 1 :] if "\t" in line]
    assert len(rows) > 5
    assert {len(row) for row in rows} <= set(range(2, columns + 1))
    assert all(cell == cell.rstrip() for row in rows for cell in row)
