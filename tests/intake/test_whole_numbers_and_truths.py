"""Columns of whole numbers and of truths: from the export to the table and the results."""

from __future__ import annotations

from collections.abc import Callable

import pyarrow.parquet as pq
import pytest
from labs import LabAtWork

import tiecoat
from tiecoat.cli import main

KIND = '''\
import pandas as pd
import pandera.pandas as pa

from tiecoat.plugin import Claim, Kind, Measurement, column, hookimpl


class Blisters(pa.DataFrameModel):
    """Blisters counted in a field, and whether the film lifts."""

    blisters: int = column("", "how many", words="Blisters", ge=0, le=500)
    lifts: bool = column("", "whether the film lifts", words="Lifts", nullable=True)
    seen: int = column("", "how often it was looked at", words="Looks", nullable=True, ge=1)


class Counted:
    name, kind, version = "counted", "blisters", "1"

    def recognise(self, export):
        return Claim(0.9, "counts") if export.head.startswith(b"counts") else None

    def read(self, export):
        rows = eval(export.text().partition("=")[2])
        for n, (blisters, lifts, seen) in enumerate(rows, 1):
            columns = {"blisters": [blisters], "lifts": [lifts], "seen": [seen]}
            yield Measurement(columns=columns, rows=[ROW], panel=f"RB-001-{n}")


@hookimpl
def tiecoat_kinds():
    return [Kind("blisters", Blisters, per="panel")]


@hookimpl
def tiecoat_readers():
    return [Counted()]
'''


@pytest.fixture
def at_work(lab: Callable[..., LabAtWork]) -> LabAtWork:
    """A lab with such a kind."""
    made = lab(readers={"folder": True})
    path = made.root / "readers" / "blisters.py"
    path.write_text(KIND.replace("ROW", "1"), encoding="utf-8")
    return made


def test_they_are_kept_and_read_as_what_they_are(at_work: LabAtWork) -> None:
    """Zero and no are values; nothing is nothing; a whole float is a whole number."""
    at_work.drop("a.txt", "counts=[(0, False, None), (12.0, None, 3), (7, True, 1)]")
    assert at_work.take()["a.txt"].status == "filed"
    (path,) = at_work.root.glob("archive/blisters/*/data.parquet")
    rows = pq.read_table(path)
    assert [str(rows.schema.field(n).type) for n in ("blisters", "lifts")] == ["int64", "bool"]
    found = [(row["blisters"], row["lifts"], row["seen"]) for row in at_work.rows("blisters")]
    assert found == [(0, False, None), (12, None, 3), (7, True, 1)]
    frame = tiecoat.open(at_work.root).read("blisters")
    assert frame["blisters"].tolist() == [0, 12, 7]
    assert main(["rebuild", "--lab", str(at_work.root)]) == 0
    assert [row["lifts"] for row in at_work.rows("blisters")] == [False, None, True]
    assert main(["verify", "--lab", str(at_work.root)]) == 0


def test_tables_are_read_by_their_words(at_work: LabAtWork) -> None:
    """The reader of all tables takes a column of yes and no, and whole numbers."""
    at_work.drop("t.csv", "Panel;Blisters;Lifts\nRB-001-1;4;ja\nRB-001-2;0;nein\n")
    at_work.take()
    assert at_work.held() == {}
    assert [(r["blisters"], r["lifts"]) for r in at_work.rows("blisters")] == [
        (4, True),
        (0, False),
    ]


@pytest.mark.parametrize(
    ("content", "reason", "told"),
    [
        ("Panel;Blisters;Lifts\nRB-001-1;4.5;ja\n", "not-a-number", "expected a whole number"),
        ("Panel;Blisters;Lifts\nRB-001-1;4;maybe\n", "not-a-number", "expected yes or no"),
        ("Panel;Blisters;Lifts\nRB-001-1;501;ja\n", "out-of-bounds", "between 0 and 500"),
        (
            "counts=[(1.5, None, None)]",
            "reader-broke-rules",
            "1.5 (float); expected a whole",
        ),
        ("counts=[(1, 'yes', None)]", "reader-broke-rules", "expected True, False or None"),
        ("counts=[(True, None, None)]", "reader-broke-rules", "True (bool); expected a whole"),
        (
            "counts=[(None, True, None)]",
            "missing-value",
            "found nothing; expected a value: how",
        ),
        ("counts=[(1, True, 0)]", "out-of-bounds", "found 0; expected at least 1"),
    ],
)
def test_what_is_none_is_held(content: str, reason: str, told: str, at_work: LabAtWork) -> None:
    """Nothing is rounded, and no text is taken for a truth."""
    at_work.drop("x.csv", content)
    at_work.take()
    held = at_work.held()["x.csv"]
    assert held["reason"] == reason, held["told"]
    assert told in " ".join(held["told"].split())


def test_a_row_beyond_the_file_is_refused(at_work: LabAtWork) -> None:
    """A number that leads to no line of the original leads nowhere."""
    path = at_work.root / "readers" / "blisters.py"
    path.write_text(KIND.replace("ROW", "99"), encoding="utf-8")
    at_work.drop("a.txt", "counts=[(1, True, 1)]\n")
    at_work.take()
    told = " ".join(at_work.held()["a.txt"]["told"].split())
    assert "counted 1: rows holds 99; the file ends at row 1" in told
