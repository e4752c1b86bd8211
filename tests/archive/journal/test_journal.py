"""The journal: what happened, in order, whatever tore it."""

from __future__ import annotations

import errno
import io
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.archive.journal import records as journal_module
from tiecoat.archive.journal.chain import breaks
from tiecoat.archive.journal.records import Journal, JournalLine
from tiecoat.lab.settings import Lab, Settings


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


def test_a_journal_that_the_disk_refuses_to_close_is_told(
    lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nothing is appended then, nor printed; the next try goes on from the last record."""

    class Refusing(io.BufferedReader):
        def close(self) -> None:
            super().close()
            raise OSError(errno.EDQUOT, "Disk quota exceeded")

    journal = Journal(lab)
    journal.append([{"event": "a"}])
    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", lambda path, mode: Refusing(io.FileIO(path)))
        with pytest.raises(OSError, match="Disk quota exceeded"):
            journal.append([{"event": "b"}])
    journal.append([{"event": "c"}])
    assert [record["event"] for record in records(lab)] == ["a", "c"]
    assert [*breaks(journal.lines())] == []


def torn(journal: Journal) -> int:
    """How many lines are no record."""
    return sum(line.record is None for line in journal.lines())


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
    assert torn(journal) == (0 if cut == 1 else 1)


def test_months_are_read_in_order(lab: Lab) -> None:
    """Months are read one after the other; other files in the folder are left alone."""
    lab.journal.mkdir()
    (lab.journal / "2026-02.jsonl").write_text('{"event": 2}\n')
    (lab.journal / "2025-12.jsonl").write_text('{"event": 1}\n[]\n\0\0\0\n')
    (lab.journal / "notes.txt").write_text("hello")
    journal = Journal(lab)

    assert [record["event"] for record in journal.read()] == [1, 2]
    assert torn(journal) == 2


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


def at_time(monkeypatch: pytest.MonkeyPatch, *parts: int) -> None:
    """Set the clock of the journal."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> datetime:
            return datetime(*parts, tzinfo=tz)

    monkeypatch.setattr(journal_module, "datetime", Clock)


def test_the_chain_goes_on_over_months_and_clocks(
    lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each record names the one before, over months; a clock set back opens no earlier month."""
    for parts in ((2026, 11, 30), (2026, 12, 1), (2026, 11, 30), (2027, 1, 1)):
        at_time(monkeypatch, *parts)
        Journal(lab).append([{"event": f"{parts}"}, {"event": "more", "text": "x" * 90_000}])

    found = records(lab)

    assert [record["before"] for record in found] == [
        None,
        *(record["hash"] for record in found[:-1]),
    ]
    assert [path.name for path in sorted(lab.journal.iterdir())] == [
        "2026-11.jsonl",
        "2026-12.jsonl",
        "2027-01.jsonl",
    ]
    assert list(breaks(list(Journal(lab).lines()))) == []


def test_the_last_two_months_are_read(lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was begun at the end of a month is looked for in the next one; older months are not."""
    assert list(Journal(lab).read_last()) == []
    for month in (8, 10, 11):
        at_time(monkeypatch, 2026, month, 30)
        Journal(lab).append([{"event": f"{month}"}, {"event": f"{month} again"}])

    found = [record["event"] for record in Journal(lab).read_last()]

    assert found == ["10", "10 again", "11", "11 again"]


def test_the_chain_goes_on_after_torn_lines(lab: Lab) -> None:
    """Whatever a power cut left of the end, the next record follows the last whole one."""
    Journal(lab).append([{"event": "a"}, {"event": "b"}])
    (path,) = lab.journal.iterdir()
    whole = path.read_bytes()
    for cut in range(1, len(whole)):
        path.write_bytes(whole[:-cut])
        Journal(lab).append([{"event": "c"}])
        assert list(breaks(list(Journal(lab).lines()))) == []
        assert records(lab)[-1]["event"] == "c"


@settings(deadline=None, max_examples=80)
@given(st.data(), st.integers(2, 7))
def test_whatever_is_done_to_a_line_is_found(data: st.DataObject, count: int) -> None:
    """A record that is changed, removed (but for the last), repeated or moved breaks the chain."""
    texts, before = [], None
    for number in range(count):
        text, before = journal_module._sealed({"number": number, "before": before})
        texts.append(text)
    place = data.draw(st.integers(0, count - 1))
    how = data.draw(st.sampled_from(["change", "remove", "repeat", "move"]))
    changed = texts.copy()
    if how == "change":
        at = data.draw(st.integers(0, len(texts[place]) - 1))
        changed[place] = texts[place][:at] + b"7" + texts[place][at + 1 :]
    elif how == "remove":
        del changed[min(place, count - 2)]
    elif how == "repeat":
        changed.insert(data.draw(st.integers(0, count)), texts[place])
    else:
        changed.insert(data.draw(st.integers(0, count - 1)), changed.pop(place))

    lines = [JournalLine(Path("2026-11.jsonl"), n, text) for n, text in enumerate(changed, 1)]
    found = list(breaks(lines)) or [line for line in lines if line.record is None]

    assert bool(found) == (changed != texts)


APPENDING = """
import sys
from tiecoat.archive.journal.records import Journal
from tiecoat.lab.settings import open_lab
for number in range(25):
    Journal(open_lab(sys.argv[1])).append([{"event": f"{sys.argv[2]} {number}"}] * 2)
"""


def test_two_processes_at_the_same_time(lab: Lab) -> None:
    """Two processes that append at the same time make one chain, with every record in it."""
    run = [sys.executable, "-c", APPENDING, str(lab.root)]
    processes = [subprocess.Popen([*run, name]) for name in ("a", "b")]
    assert [process.wait() for process in processes] == [0, 0]
    assert len(records(lab)) == 100
    assert list(breaks(list(Journal(lab).lines()))) == []
