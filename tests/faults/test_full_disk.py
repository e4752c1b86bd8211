"""A disk that is full: what was begun takes no room, and with room again all goes on by itself."""

from __future__ import annotations

import os
import shutil
import subprocess
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from bad_exports import density
from labs import LabAtWork, Service, make_lab, wait_until
from truth import status

from tiecoat.verify.verify import verify

Serve = Callable[..., Service]
MB = 1_000_000
LARGE = 4 * MB

pytestmark = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only root may mount a small disk"
)


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 24 MB."""
    place = tmp_path / "disk"
    place.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=24m", "tmpfs", str(place)]
    if subprocess.run(mount, capture_output=True, check=False).returncode:
        pytest.skip("no disk can be mounted here")
    yield place
    subprocess.run(["umount", "-l", str(place)], check=True)


def staged(lab: LabAtWork) -> int:
    """Return the bytes that lie in the stage."""
    try:
        return sum(one.stat().st_size for one in (lab.root / "stage").rglob("*") if one.is_file())
    except FileNotFoundError:  # gone between the listing and the look
        return 0


def test_a_full_disk_stays_no_fuller_than_it_is(disk: Path, tmp_path: Path, serve: Serve) -> None:
    """Each try to hold a large file leaves nothing behind; when there is room it is held."""
    inbox = tmp_path / "inbox"
    inbox.mkdir()
    at_work = make_lab(disk / "lab", inbox=[{"path": str(inbox)}])
    service = serve(at_work)
    (inbox / "first.csv").write_text(density(at="14.09.2026;08:00"))
    wait_until(lambda: len(at_work.rows("density")) == 1, "the first export")
    filler = disk / "filler"
    room = LARGE + LARGE // 2  # for its original, and for half of the copy beside the reason
    filler.write_bytes(bytes(shutil.disk_usage(disk).free - room))
    large = tmp_path / "large.csv"
    large.write_bytes(density("x").encode() + b"# a long remark of the operator\n" * (LARGE // 32))
    large.rename(inbox / large.name)
    service.expect("cannot go on, trying again until it works: No space left", 60)
    free = shutil.disk_usage(disk).free
    time.sleep(7)  # some more tries
    assert shutil.disk_usage(disk).free >= free - MB
    code, said = status(at_work.root)
    assert code == 1
    assert "No space left" in said
    with filler.open("r+b") as file:
        file.truncate(filler.stat().st_size - LARGE)
    wait_until(lambda: large.name in at_work.held(), "the large file held", 60)
    (inbox / "next.csv").write_text(density(at="14.09.2026;09:00"))
    wait_until(lambda: len(at_work.rows("density")) == 2, "the next export")
    wait_until(lambda: staged(at_work) == 0, "an empty stage")
    assert service.lives
    assert verify(at_work.lab).findings == ()
