"""A lab that is put back from a copy, or loses its index, under a service that has it open."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

from bad_exports import density
from labs import LabAtWork, Service

from tiecoat.service.status import status

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]


def test_a_lab_put_back_from_a_copy(lab: Make, serve: Serve, tmp_path: Path) -> None:
    """The service ends and says why, and what it had filed since the copy is filed anew."""
    at_work = lab()
    at_work.drop("first.csv", density(at="14.09.2026;08:00"))
    at_work.take()
    copy, away = tmp_path / "copy", tmp_path / "away"
    shutil.copytree(at_work.root, copy)
    service = serve(at_work)
    at_work.drop("second.csv", density(at="14.09.2026;09:00"))
    service.expect("filed   second.csv")
    at_work.root.rename(away)
    copy.rename(at_work.root)
    assert service.process.wait(timeout=30) == 2
    assert "was deleted or replaced" in (said := (away / "service.log").read_text())
    assert "Traceback" not in said
    at_work.drop("second.csv", density(at="14.09.2026;09:00"))
    assert at_work.take()["second.csv"].status == "filed"
    assert len(at_work.rows("density")) == 2
    assert at_work.sound()


def test_an_index_deleted_under_a_service(lab: Make, serve: Serve) -> None:
    """The service ends and says why; the next start builds the index and files what has come."""
    at_work = lab()
    service = serve(at_work)
    at_work.drop("first.csv", density(at="14.09.2026;08:00"))
    service.expect("filed   first.csv")
    for path in at_work.root.glob("index.sqlite*"):
        path.unlink()
    service.expect("was deleted or replaced")
    assert service.process.wait(timeout=30) == 2
    found = status(at_work.lab)
    assert (found.code, "ended without having been stopped" in found.lines[1]) == (2, True)
    assert "index.sqlite was deleted or replaced while" in found.lines[-1]
    at_work.drop("second.csv", density(at="14.09.2026;09:00"))
    assert at_work.take()["second.csv"].status == "filed"
    assert len(at_work.rows("density")) == 2
    assert at_work.sound()
