"""`tiecoat contents`: counted by the index, and what is there all the same."""

from __future__ import annotations

from collections import Counter

import pytest
from labs import LabAtWork

from tiecoat.archive.index import sqlite
from tiecoat.ask.query import Archive, open_archive
from tiecoat.cli import main


def counted(archive: Archive) -> dict[str, tuple[object, ...]]:
    """Count every measurement, one by one."""
    every = archive.measurements()
    found = {}
    for kind, part in every.groupby("kind"):
        times = part["measured_at"].dropna()
        of_kind = part["batch"].nunique(), part["panel"].nunique(), len(part), part["n_rows"].sum()
        span = (times.min(), times.max()) if len(times) else (None, None)
        found[str(kind)] = (*of_kind, *span)
    return found


@pytest.mark.parametrize("indexed", [True, False])
def test_what_is_counted_is_what_is_there(at_work: LabAtWork, indexed: bool) -> None:
    """After withdrawals, corrections and registers the counts are those of the measurements."""
    if not indexed:
        (at_work.root / "index.sqlite").unlink()
    archive = open_archive(at_work.root)
    holds = archive.holds()
    assert {
        one.kind: (one.batches, one.panels, one.measurements, one.rows, one.first, one.last)
        for one in holds.kinds
    } == counted(archive)
    assert holds.remarks == Counter(archive.measurements()["remark"].dropna())


def test_the_command_looks_at_no_measurement(
    at_work: LabAtWork, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """So it costs the same in a large archive; the kinds it shows are those there are."""
    every = sorted(counted(open_archive(at_work.root)))
    monkeypatch.setattr(sqlite.SqliteIndex, "measurements", None)
    assert main(["contents", "--lab", str(at_work.root)]) == 0
    shown = capsys.readouterr().out.splitlines()[1 : len(every) + 1]
    assert [line.split()[0] for line in shown] == every
