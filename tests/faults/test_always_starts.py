"""What may lie in a lab when its service starts: it comes up all the same, and files."""

from __future__ import annotations

import json
import os
import signal
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator

import pytest
from bad_exports import density
from labs import LabAtWork, Service, wait_until

from tiecoat.archive.journal.records import Journal
from tiecoat.service.status import status
from tiecoat.verify.verify import verify

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
DEEP = 1500


def intent_of_a_hold_that_is_gone(at_work: LabAtWork) -> None:
    """A held file was being filed into several tables, and its folder was taken away by hand."""
    at_work.drop("held.csv", density(batch="RB-14"))
    at_work.take()
    held = at_work.held()["held.csv"]
    begun = {"event": "filing", "name": "held.csv", "sha256": held["sha256"], "folder": ""}
    more = {"assigned": {"batch": "RB-014", "panel": None}, "held": held["id"], "decision": None}
    Journal(at_work.lab).append([begun | more])
    for path in held["place"].iterdir():
        path.unlink()
    held["place"].rmdir()


def deep_folders(at_work: LabAtWork) -> None:
    """Folders within folders, deeper than Python calls itself, with an export at the end."""
    here = os.open(at_work.inbox, os.O_RDONLY)
    for _ in range(DEEP):
        os.mkdir("d", dir_fd=here)
        inside = os.open("d", os.O_RDONLY, dir_fd=here)
        os.close(here)
        here = inside
    file = os.open("deep.csv", os.O_WRONLY | os.O_CREAT, dir_fd=here)
    os.write(file, density(at="14.09.2026;07:00").encode())
    os.close(file)
    os.close(here)


def folder_for_an_index(at_work: LabAtWork) -> None:
    """The index is a folder, with something in it."""
    for path in at_work.root.glob("index.sqlite*"):
        path.unlink()
    (at_work.root / "index.sqlite").mkdir()
    (at_work.root / "index.sqlite" / "note.txt").write_text("?")


def index_without_a_table(at_work: LabAtWork) -> None:
    """The index is sound for SQLite, and lacks a table."""
    with sqlite3.connect(at_work.root / "index.sqlite") as connection:
        connection.execute("drop table remembered")
    connection.close()


def nested_journal(at_work: LabAtWork) -> None:
    """A line of the journal nests brackets deeper than Python reads."""
    (month,) = (at_work.root / "journal").iterdir()
    with month.open("ab") as file:
        file.write(b"[" * 100_000 + b"]" * 100_000 + b"\n")


def nested_reason(at_work: LabAtWork) -> None:
    """So does a record among the held, and the health file."""
    (at_work.root / "held" / "odd").mkdir()
    for path in (at_work.root / "held" / "odd" / "reason.json", at_work.root / "health.json"):
        path.write_bytes(b'{"a":' * 100_000 + b"1" + b"}" * 100_000)


@pytest.fixture
def lab(lab: Make) -> Iterator[Make]:
    """Deletes the inboxes at the end: what pytest deletes with would go too deep."""
    made: list[LabAtWork] = []

    def make() -> LabAtWork:
        made.append(lab())
        return made[-1]

    yield make
    for at_work in made:
        subprocess.run(["rm", "-rf", str(at_work.inbox)], check=True)


@pytest.mark.parametrize(
    "put",
    [
        intent_of_a_hold_that_is_gone,
        deep_folders,
        folder_for_an_index,
        index_without_a_table,
        nested_journal,
        nested_reason,
    ],
)
def test_the_service_starts_and_files(
    lab: Make, serve: Serve, put: Callable[[LabAtWork], None]
) -> None:
    """It starts with this in its way, files the next export, and knows what it knew."""
    at_work = lab()
    at_work.drop("before.csv", density(at="14.09.2026;08:00"))
    at_work.take()
    put(at_work)
    service = serve(at_work)
    at_work.drop("after.csv", density(at="14.09.2026;09:00"))
    at_work.drop("before again.csv", density(at="14.09.2026;08:00"))
    names = {"before.csv", "after.csv"} | ({"deep.csv"} if put is deep_folders else set())
    wait_until(lambda: names <= {row["source_name"] for row in at_work.rows("density")}, "filed")
    service.expect("known   before again.csv")
    assert service.stop() == 0
    assert "Traceback" not in service.output
    assert verify(at_work.lab).findings == ()
    if put is intent_of_a_hold_that_is_gone:  # what was begun is completed
        assert "held.csv" in {row["source_name"] for row in at_work.rows("density")}
    if put is folder_for_an_index:  # set aside, not deleted
        (aside,) = at_work.root.glob("index.sqlite.aside-*")
        assert (aside / "note.txt").read_text() == "?"
    assert json.loads((at_work.root / "health.json").read_text())["state"] == "stopping"


@pytest.mark.skipif(sys.platform != "linux", reason="elsewhere an open file cannot be truncated")
def test_an_index_that_is_truncated_under_the_service_costs_no_export(
    lab: Make, serve: Serve
) -> None:
    """The system ends the service, its status says so, and the next start files what has come."""
    at_work = lab()
    service = serve(at_work)
    at_work.drop("before.csv", density(at="14.09.2026;08:00"))
    wait_until(lambda: len(at_work.rows("density")) == 1, "the first export")
    for path in at_work.root.glob("index.sqlite*"):
        if not path.name.endswith("-wal"):
            os.truncate(path, 0)
    at_work.drop("after.csv", density(at="14.09.2026;09:00"))
    wait_until(lambda: not service.lives, "the end of the service")
    assert service.process.returncode == -signal.SIGBUS
    assert status(at_work.lab).code == 2
    service = serve(at_work)
    at_work.drop("before again.csv", density(at="14.09.2026;08:00"))
    service.expect("known   before again.csv")
    wait_until(lambda: len(at_work.rows("density")) == 2, "the second export")
    assert service.stop() == 0
    assert verify(at_work.lab).findings == ()
