"""The journal: what happened, in order, whatever tore it."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.archive.journal import Journal
from tiecoat.lab import Lab, Settings


def records(lab: Lab) -> list[dict[str, Any]]:
    return list(Journal(lab).read())


def test_records_come_back_in_order_with_their_time(lab: Lab) -> None:
    """Records come back in their order, each with its time in UTC, one file a month."""
    journal = Journal(lab)
    journal.append([{"event": "filed", "name": "Prüfung µ.csv"}, {"event": "held"}])
    journal.append([])
    journal.append([{"event": "retracted"}])

    found = records(lab)

    assert [record["event"] for record in found] == ["filed", "held", "retracted"]
    assert datetime.fromisoformat(found[0]["at"]).utcoffset() == timedelta(0)
    (path,) = lab.journal.iterdir()
    assert path.name == f"{found[0]['at'][:7]}.jsonl"
    assert "Prüfung µ.csv" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize("cut", [1, 5, 30])
def test_a_torn_last_line_spoils_no_other(lab: Lab, cut: int) -> None:
    """A last line torn by a power cut is counted; what is appended after it is whole."""
    journal = Journal(lab)
    journal.append([{"event": "a"}, {"event": "b"}])
    (path,) = lab.journal.iterdir()
    path.write_bytes(path.read_bytes()[:-cut])

    journal.append([{"event": "c"}])
    events = [record["event"] for record in journal.read()]

    assert events == (["a", "b", "c"] if cut == 1 else ["a", "c"])
    assert journal.torn == (0 if cut == 1 else 1)


def test_months_are_read_in_order(lab: Lab) -> None:
    """Months are read one after the other; other files in the folder are left alone."""
    lab.journal.mkdir()
    (lab.journal / "2026-02.jsonl").write_text('{"event": 2}\n')
    (lab.journal / "2025-12.jsonl").write_text('{"event": 1}\n[]\n\0\0\0\n')
    (lab.journal / "notes.txt").write_text("hello")
    journal = Journal(lab)

    assert [record["event"] for record in journal.read()] == [1, 2]
    assert journal.torn == 2


@settings(deadline=None, max_examples=50)
@given(st.lists(st.dictionaries(st.text(), st.text() | st.integers() | st.none(), max_size=3)))
def test_any_record_comes_back(
    tmp_path_factory: pytest.TempPathFactory, wanted: list[dict[str, Any]]
) -> None:
    """Any record comes back as it was, line breaks and odd characters included."""
    lab = Lab(Path(tmp_path_factory.mktemp("journals")), Settings())
    Journal(lab).append([{"at": "now", "record": record} for record in wanted])

    assert [record["record"] for record in records(lab)] == wanted


def test_a_file_name_that_is_not_unicode(lab: Lab) -> None:
    """A file name that is not Unicode does not stop the journal."""
    Journal(lab).append([{"name": "\udcff.csv"}])

    assert records(lab)[0]["name"] == "\udcff.csv"
