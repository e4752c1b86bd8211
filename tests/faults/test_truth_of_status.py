"""Exports among which one is in trouble: the others go on, and the status says what is true."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable

from bad_exports import density
from labs import LabAtWork, Service, wait_until
from ordinary_rights import needs_rights, serving
from truth import Truth

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]
GRACE_S = 12.0
PATIENCE_S = 60.0
SOON = """
from tiecoat.archive.index import sqlite
from tiecoat.intake import intake, taking_in
from tiecoat.intake.inboxes import again, settle
from tiecoat.service import health
sqlite.BUSY_S = 1.0
again.LONGEST_S = 1.0
intake.OVERDUE_S = settle.LATE_S = 3.0
health.BEAT_S = 1.0
"""


def at(minute: int) -> str:
    """An export of its own."""
    return density(at=f"14.09.2026;08:{minute:02}")


@needs_rights
def test_a_duplicate_that_cannot_be_cleared_costs_no_other_file(lab: Make, serve: Serve) -> None:
    """All exports beside it are filed; the status names it until it can be moved."""
    at_work = lab()
    service = serve(at_work, serving(at_work.root, SOON))
    truth = Truth(at_work.root, GRACE_S)
    at_work.drop("first.csv", at(0))
    wait_until(lambda: len(at_work.rows("density")) == 1, "the first export")
    folder = at_work.inbox / "another account"
    at_work.drop("a known one.csv", at(0), folder=folder.name)
    folder.chmod(0o555)
    try:
        for minute in range(1, 7):
            at_work.drop(f"new {minute}.csv", at(minute))
        left = [folder.name, f"{folder.name}/a known one.csv"]
        all_filed = lambda: len(at_work.rows("density")) == 7 and at_work.waiting() == left  # noqa: E731
        said = truth.until(1, all_filed, "six new exports, and the trouble", PATIENCE_S)
        assert "trouble  1 file cannot be taken out of the inbox, trying again" in said
        assert str(folder / "a known one.csv") in said
        end = time.monotonic() + GRACE_S + 2
        while time.monotonic() < end:
            assert truth.check()[0] == 1
            time.sleep(0.1)
    finally:
        folder.chmod(0o755)
    truth.until(0, lambda: at_work.waiting() == [folder.name], "the end of the trouble", PATIENCE_S)
    assert f"{folder / 'a known one.csv'} cannot be taken out of the inbox" in service.output
    assert service.stop() == 0


def test_exports_that_stay_while_the_index_is_locked(lab: Make, serve: Serve) -> None:
    """Another program locks the index for long: what arrives is filed when it has let it go."""
    at_work = lab(inbox=[{"path": "inbox", "after": "leave"}])
    serve(at_work, serving(at_work.root, SOON))
    truth = Truth(at_work.root, GRACE_S)
    at_work.drop("first.csv", at(0))
    wait_until(lambda: len(at_work.rows("density")) == 1, "the first export")
    other = sqlite3.connect(at_work.root / "index.sqlite", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    together = at_work.root / "together"
    together.mkdir()
    (together / "a known one.csv").write_text(at(0))
    for minute in range(1, 10):
        (together / f"new {minute}.csv").write_text(at(minute))
    together.rename(at_work.inbox / together.name)
    end = time.monotonic() + GRACE_S + 4
    truth.until(1, lambda: time.monotonic() > end, "a status in trouble", PATIENCE_S)
    other.execute("ROLLBACK")
    other.close()
    truth.until(0, lambda: len(at_work.rows("density")) == 10, "the ten exports", PATIENCE_S)
    assert len(at_work.rows("density", withdrawn=True)) == 10


@needs_rights
def test_an_index_that_was_given_for_reading_only_is_written_once_it_may_be(
    lab: Make, serve: Serve
) -> None:
    """A service that could only read the index when it started goes on as soon as it may write."""
    at_work = lab()
    service = serve(at_work, serving(at_work.root, SOON))
    at_work.drop("first.csv", at(0))
    wait_until(lambda: len(at_work.rows("density")) == 1, "the first export")
    assert service.stop() == 0
    index = at_work.root / "index.sqlite"
    index.chmod(0o444)
    service = serve(at_work, serving(at_work.root, SOON))
    truth = Truth(at_work.root, GRACE_S)
    at_work.drop("second.csv", at(1))
    refused = lambda: "attempt to write a readonly database" in service.output  # noqa: E731
    truth.until(1, refused, "a status in trouble", PATIENCE_S)
    for path in at_work.root.glob("index.sqlite*"):  # SQLite gives its own files the same rights
        path.chmod(0o644)
    truth.until(0, lambda: len(at_work.rows("density")) == 2, "the second export", PATIENCE_S)
    assert service.stop() == 0


@needs_rights
def test_an_export_that_cannot_be_opened_is_told(lab: Make, serve: Serve) -> None:
    """A file without the right to read it is named by the status, and filed once there is one."""
    at_work = lab()
    serve(at_work, serving(at_work.root, SOON))
    truth = Truth(at_work.root, GRACE_S)
    at_work.drop("first.csv", at(2))
    wait_until(lambda: len(at_work.rows("density")) == 1, "the first export")
    path = at_work.drop("locked.csv", at(0))
    path.chmod(0)
    at_work.drop("open.csv", at(1))
    said = truth.until(1, lambda: len(at_work.rows("density")) == 2, "the other one", PATIENCE_S)
    assert f"1 file cannot be taken in, trying again: {path} (Permission denied)" in said
    path.chmod(0o644)
    truth.until(0, lambda: len(at_work.rows("density")) == 3, "the locked one", PATIENCE_S)
