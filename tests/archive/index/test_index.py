"""The index is a cache: it may be lost, damaged or behind, and nothing else is."""

from __future__ import annotations

import json
import os
import re
import sqlite3
from pathlib import Path

import pytest
from archive_rows import decided, export, file, make_lab, plate, recipe, sha_of, sweep, wet
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tiecoat.archive.index.cache import (
    Index,
    batch_of_panel,
    measurement_in,
    original_in,
    valid_in,
)
from tiecoat.archive.index.sqlite import SqliteIndex
from tiecoat.archive.journal.records import Journal
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index, reindex
from tiecoat.archive.store import Store
from tiecoat.ask.query import Archive
from tiecoat.errors import ArchiveDamaged
from tiecoat.lab.ids import table_path
from tiecoat.lab.settings import Lab

TABLES = ("originals", "measurements", "tables", "unfinished", "remembered")


def contents(lab: Lab, *tables: str) -> dict[str, list[tuple[object, ...]]]:
    connection = sqlite3.connect(lab.index)
    try:
        return {
            name: sorted(connection.execute(f"SELECT * FROM {name}").fetchall(), key=repr)
            for name in tables or TABLES
        }
    finally:
        connection.close()


def remove_index(lab: Lab) -> None:
    for path in lab.root.glob("index.sqlite*"):
        path.unlink()


def fill(lab: Lab) -> None:
    """A lab in which everything has happened once."""
    file(lab, export("a.csv", {"impedance": [sweep("RB-014-1"), sweep("RB-014-2")]}))
    file(lab, export("b.csv", {"density": [wet(1.3), wet(1.4, "RB-015")]}))
    for name, candidate in (("r.xlsx", "talc"), ("s.xlsx", "mica")):
        file(
            lab,
            export(
                name,
                {"batches": [recipe("RB-014", candidate)], "panels": [plate("RB-014-1", "RB-014")]},
            ),
        )
    with open_index(lab) as index, write_lock(lab):
        store = Store(lab, index)
        store.retract([f"{sha_of('a.csv')[:16]}-0002"], "M. Keller", "cell leaked")
        store.file([decided(export("c.csv", {"density": [wet(1.33)]}), "M. Keller", "scale")])


def test_a_rebuilt_index_is_the_same(lab: Lab) -> None:
    """An index built from the Parquet files is the same as the one that grew with them."""
    fill(lab)
    grown = contents(lab, "measurements", "tables")
    archive = Archive(lab)
    asked = [archive.measurements(withdrawn=True), archive.read("impedance", panel="rb-014-1")]

    remove_index(lab)
    open_index(lab).close()

    assert contents(lab, "measurements", "tables") == grown
    again = [archive.measurements(withdrawn=True), archive.read("impedance", panel="rb-014-1")]
    assert all(one.equals(other) for one, other in zip(asked, again, strict=True))


def test_reindex_tells_what_it_found(lab: Lab) -> None:
    """Reindex keeps what inboxes remember, counts what it found and names damaged tables."""
    fill(lab)
    with open_index(lab) as index:
        index.remember([(Path("/in/box.csv"), (1, 2, 3), sha_of("a.csv"))])
    before = contents(lab, "measurements", "tables", "remembered")

    assert reindex(lab).damaged == ()
    assert contents(lab, "measurements", "tables", "remembered") == before

    torn = table_path(lab.archive, "density", "RB-015")
    torn.write_bytes(b"")
    found = reindex(lab)

    assert found.damaged == (torn,)
    assert (found.tables, found.measurements) == (4, 7)


def test_what_became_of_an_original_is_worked_out_anew(lab: Lab) -> None:
    """What became of each original is worked out from tables, held folders and the journal."""
    fill(lab)
    held = lab.held / "0123456789ab"
    held.mkdir(parents=True)
    (held / "reason.json").write_text(json.dumps({"sha256": sha_of("h"), "name": "h.csv"}))
    events = (
        ("known", "k"),
        ("discarded", "d"),
        ("held", "h"),
        ("held", "over"),
        ("filed", "a.csv"),
    )
    Journal(lab).append(
        [
            {"event": event, "sha256": sha_of(name), "name": name, "reader": "hand 1"}
            for event, name in events
        ]
    )
    reindex(lab)

    with open_index(lab) as index:
        found = {
            name: original_in(index, sha_of(name)) for name in ("a.csv", "k", "d", "h", "over")
        }

    outcomes = {name: one.outcome if one else None for name, one in found.items()}
    assert outcomes == {
        "a.csv": "filed",
        "k": "filed",
        "d": "discarded",
        "h": "held",
        "over": None,
    }
    assert found["h"] is not None
    assert found["h"].held_id == "0123456789ab"


@pytest.mark.parametrize("damage", ["zeros", "text", "middle", "empty", "truncated"])
def test_a_damaged_index_is_set_aside_and_rebuilt(lab: Lab, damage: str) -> None:
    """An index that is damaged in whatever way is set aside and rebuilt; nothing is lost."""
    fill(lab)
    before = contents(lab, "measurements")
    whole = lab.index.read_bytes()
    lab.index.write_bytes(
        {
            "zeros": bytes(len(whole)),
            "text": b"this is not a database" * 100,
            "middle": whole[:4096] + b"\xff" * (len(whole) - 4096),
            "empty": b"",
            "truncated": whole[: len(whole) // 2],
        }[damage]
    )

    assert len(Archive(lab).measurements(withdrawn=True)) == 8
    open_index(lab).close()

    assert contents(lab, "measurements") == before
    assert len(list(lab.root.glob("index.sqlite.aside-*"))) == 1


def test_an_index_of_another_version_is_rebuilt(lab: Lab) -> None:
    """An index that another version of the program made is rebuilt."""
    fill(lab)
    before = contents(lab, "measurements")
    connection = sqlite3.connect(lab.index)
    connection.execute("PRAGMA user_version = 1")
    connection.execute("DROP TABLE measurements")
    connection.close()

    open_index(lab).close()

    assert contents(lab, "measurements") == before


def test_tables_changed_by_hand_are_looked_at_when_the_index_opens(lab: Lab) -> None:
    """Tables that were put in or taken out while nothing ran are noticed at the next start."""
    fill(lab)
    gone = table_path(lab.archive, "density", "RB-015")
    elsewhere = make_lab(lab.root.parent / "elsewhere")
    file(elsewhere, export("z.csv", {"density": [wet(1.1, "RB-099")]}))
    gone.unlink()
    (lab.archive / "density/RB-099").mkdir()
    os.rename(  # noqa: PTH104
        table_path(elsewhere.archive, "density", "RB-099"),
        table_path(lab.archive, "density", "RB-099"),
    )

    with open_index(lab) as index:
        assert index.measurements(batch="RB-015") == []
        assert len(index.measurements(batch="RB-099")) == 1


def test_foreign_files_under_the_archive_are_passed_over(lab: Lab) -> None:
    """What is no table of ours under the archive folder is passed over."""
    fill(lab)
    (lab.archive / "notes.txt").write_text("hello")
    (lab.archive / "density/.sync").mkdir()
    (lab.archive / "density/.sync/data.parquet").write_text("not Parquet")
    (lab.archive / "density/rb-014").mkdir(exist_ok=True)

    assert reindex(lab).damaged == ()
    assert Archive(lab).batches() == ["RB-014", "RB-015"]


def test_originals_and_inboxes_are_remembered(lab: Lab) -> None:
    """What became of originals, and which files stay in an inbox, is remembered; odd names too."""
    odd = Path(os.fsdecode(b"/in/\xff\xe9.csv"))
    with open_index(lab) as index:
        index.record_originals(
            [
                (sha_of("a"), "a.csv", "held", "id1", None),
                (sha_of("b"), odd.name, "filed", None, "r"),
            ]
        )
        index.record_originals([(sha_of("a"), "a.csv", "discarded", None, None)])
        index.remember([(odd, (7, 8, 9), sha_of("b"))])
        index.remember([(odd, (7, 8, 10), sha_of("b"))])

    with open_index(lab) as index:
        found = original_in(index, sha_of("a"))
        assert found is not None
        assert (found.outcome, found.held_id) == ("discarded", None)
        assert original_in(index, sha_of("b")).name == "??.csv"  # type: ignore[union-attr]
        assert original_in(index, sha_of("c")) is None
        assert index.remembered() == {odd: (7, 8, 10)}


def test_nothing_is_asked_without_an_index(lab: Lab) -> None:
    """Every lookup of the index goes by a key or an SQL index, so it does not slow down."""
    fill(lab)
    plans: list[str] = []
    with open_index(lab) as index:
        connection = index._connection
        asked: list[str] = []
        connection.set_trace_callback(asked.append)
        one = index.measurements()[0]
        asked.clear()
        lookups(index, one.determination)
        connection.set_trace_callback(None)
        for sql in asked:
            plans += [row[3] for row in connection.execute(f"EXPLAIN QUERY PLAN {sql}")]

    assert len(plans) >= 8
    assert [plan for plan in plans if plan.startswith("SCAN")] == []
    assert [plan for plan in plans if "(panel=? AND kind=?)" in plan] != []
    assert [plan for plan in plans if "measurements_registers" in plan] != []


def lookups(index: Index, determination: str) -> None:
    original_in(index, "ab")
    measurement_in(index, "ab-0001")
    valid_in(index, determination)
    batch_of_panel(index, "RB-014-1")
    index.distinct("batch", kind="impedance", panel="RB-014-1")
    index.tables("impedance", "RB-014")
    index.measurements(kind="impedance", batch="RB-014")
    index.measurements(panel="RB-014-1")
    index.measurements(since=0, until=1)


VALUES = st.floats(allow_nan=True, allow_infinity=False) | st.none()


@pytest.mark.thorough
@settings(deadline=None, max_examples=25, suppress_health_check=[HealthCheck.too_slow])
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["RB-014-1", "RB-014-2", "RB-015-1"]),
            st.sampled_from([24.0, 48.0, None]),
            st.lists(st.tuples(VALUES, VALUES), min_size=1, max_size=4),
        ),
        max_size=6,
    )
)
def test_whatever_was_filed_the_rebuilt_index_is_the_same(
    tmp_path_factory: pytest.TempPathFactory,
    sweeps: list[tuple[str, float | None, list[tuple[float | None, float | None]]]],
) -> None:
    """Whatever values were filed, a rebuilt index knows the same determinations and values."""
    lab = make_lab(tmp_path_factory.mktemp("labs") / "lab")
    for number, (panel, hours, values) in enumerate(sweeps):
        rows = [
            {
                "batch": panel[:6],
                "panel": panel,
                "exposure_h": hours,
                "frequency_hz": frequency,
                "z_real_ohm": real,
                "z_imag_ohm": 1.0,
            }
            for frequency, real in values
        ]
        file(lab, export(f"{number}.csv", {"impedance": [rows]}))
    open_index(lab).close()
    grown = contents(lab, "measurements", "tables")

    reindex(lab)

    assert contents(lab, "measurements", "tables") == grown


class Refusing:
    """A database whose disk refuses what begins with these words."""

    def __init__(self, real: sqlite3.Connection, words: list[str]) -> None:
        self._real, self.words = real, words

    def __getattr__(self, name: str) -> object:
        return getattr(self._real, name)

    def execute(self, sql: str, *values: object) -> sqlite3.Cursor:
        if sql in self.words:
            raise sqlite3.OperationalError("disk I/O error")
        return self._real.execute(sql, *values)

    def rollback(self) -> None:
        self.execute("ROLLBACK")


def test_a_transaction_that_the_disk_refuses_to_end_is_taken_back(lab: Lab) -> None:
    """What comes after it is on the disk, and no other program finds the index locked."""
    fill(lab)
    at = (1, 2, 3)
    with open_index(lab) as index:
        assert isinstance(index, SqliteIndex)
        refusing = Refusing(index._connection, ["COMMIT", "ROLLBACK"])
        index._connection = refusing  # type: ignore[assignment]
        with pytest.raises(ArchiveDamaged, match="disk I/O error"):
            index.remember([(Path("refused.csv"), at, "a" * 64)])
        refusing.words.clear()
        index.remember([(Path("taken.csv"), at, "b" * 64)])
        with open_index(lab) as another:
            assert another.remembered() == {Path("taken.csv"): at}
            another.remember([(Path("by another.csv"), at, "c" * 64)])


def test_an_index_that_cannot_be_opened_is_a_fault_of_the_archive(
    lab: Lab, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told by its path, as a disk that may be well again, and is not replaced."""
    fill(lab)

    def refuse(*arguments: object, **more: object) -> sqlite3.Connection:
        raise sqlite3.OperationalError("disk I/O error")

    before = lab.index.read_bytes()
    with monkeypatch.context() as patch:
        patch.setattr(sqlite3, "connect", refuse)
        with pytest.raises(ArchiveDamaged, match=re.escape(f"{lab.index} cannot be opened: disk")):
            open_index(lab)
    assert lab.index.read_bytes() == before
