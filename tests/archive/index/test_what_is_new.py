"""What a start costs does not grow with the archive: of what is known only what is new is read."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from archive_rows import export, file, wet

from tiecoat.archive.index import sqlite
from tiecoat.archive.index.following import follow
from tiecoat.archive.journal.records import Journal, JournalLine, JournalMark
from tiecoat.archive.opening import open_index
from tiecoat.lab.settings import Lab


@pytest.fixture
def read(monkeypatch: pytest.MonkeyPatch) -> list[JournalLine]:
    """Return the lines of the journal that the index reads, as they are read."""
    seen: list[JournalLine] = []
    since = Journal.since

    def listening(
        journal: Journal, mark: JournalMark | None
    ) -> Iterator[tuple[JournalLine, JournalMark]]:
        for line, after in since(journal, mark):
            seen.append(line)
            yield line, after

    monkeypatch.setattr(Journal, "since", listening)
    return seen


def settings_record(zone: str) -> dict[str, Any]:
    return {"event": "settings", "digest": zone, "settings": {"times": {"zone": zone}}}


def test_a_start_reads_of_the_journal_what_is_new(lab: Lab, read: list[JournalLine]) -> None:
    """What the index has read of the journal it reads once, whatever is appended later."""
    Journal(lab).append([settings_record("UTC"), {"event": "filing", "sha256": "a" * 64}])
    with open_index(lab) as index:
        assert (len(read), [*index.settings()]) == (2, ["UTC"])
    Journal(lab).append([settings_record("Europe/Berlin")])
    read.clear()
    with open_index(lab) as index:
        assert (len(read), [*index.settings()]) == (1, ["UTC", "Europe/Berlin"])
        assert [*index.begun()] == ["a" * 64]
        Journal(lab).append([{"event": "filed", "sha256": "a" * 64, "name": "a.csv"}])
        follow(lab, index)
        assert index.begun() == {}
    read.clear()
    with open_index(lab):
        assert read == []


def test_what_ends_in_what_is_read_at_once_is_not_begun(lab: Lab) -> None:
    """An index that reads a whole journal takes for begun only what no later record ends."""
    filing = [{"event": "filing", "sha256": letter * 64} for letter in "ab"]
    Journal(lab).append([*filing, {"event": "filed", "sha256": "a" * 64, "name": "a.csv"}])
    with open_index(lab) as index:
        assert [*index.begun()] == ["b" * 64]


@pytest.mark.parametrize("end", ["", '{"event": "settings", "dig', "{}\n"])
def test_a_journal_put_back_from_a_backup_is_read_from_its_beginning(lab: Lab, end: str) -> None:
    """What a journal of before does not say is forgotten, and a torn line in it is passed over."""
    journal = Journal(lab)
    journal.append([settings_record("UTC"), settings_record("Asia/Tokyo")])
    (month,) = lab.journal.iterdir()
    lines = month.read_text(encoding="utf-8").splitlines(keepends=True)
    with open_index(lab) as index:
        assert [*index.settings()] == ["UTC", "Asia/Tokyo"]
    month.write_text(lines[0] + end, encoding="utf-8")
    with open_index(lab) as index:
        assert [*index.settings()] == ["UTC"]
    journal.append([settings_record("Europe/Berlin")])
    with open_index(lab) as index:
        assert [*index.settings()] == ["UTC", "Europe/Berlin"]


def test_an_index_is_looked_through_once_and_again_after_a_change(
    lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every page is looked at where the index may have changed since somebody did."""
    connect = sqlite._connect
    said: list[str] = []

    def listening(path: Path) -> sqlite3.Connection:
        connection = connect(path)
        connection.set_trace_callback(said.append)
        return connection

    monkeypatch.setattr(sqlite, "_connect", listening)

    def looked_through() -> bool:
        said.clear()
        open_index(lab).close()
        return any("quick_check" in one for one in said)

    file(lab, export("a.csv", {"density": [wet(1.3)]}))
    assert not looked_through()
    with sqlite3.connect(lab.index) as other:
        other.execute("CREATE TABLE strange (x)")
        other.execute("DROP TABLE strange")
    other.close()
    assert looked_through()
    assert not looked_through()

    # by a process that ends without closing it, and another gets its number
    index = open_index(lab)
    monkeypatch.setattr("psutil.Process", lambda *_: SimpleNamespace(create_time=lambda: 0.0))
    assert looked_through()
    index.close()
