"""A lab on another computer's disk: its index stays on this one."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import psutil
import pytest
from labs import LabAtWork

from tiecoat.cli import main
from tiecoat.disk.shares import share_under
from tiecoat.lab.settings import open_lab
from tiecoat.service.systemd import for_system

DENSITY = (
    "batch;measured at;temperature [°C];density [g/cm³];state;elapsed [s]\n"
    "RB-010;14.09.2026 08:00;23,0;1,391;as mixed;60\n"
)


@pytest.fixture
def share(
    lab: Callable[..., LabAtWork], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[LabAtWork]:
    """A lab whose folder the system calls a share."""
    made = lab()
    mounts = [("/", "ext4", "rw"), (str(made.root), "nfs4", "rw")]
    found = [SimpleNamespace(mountpoint=m, fstype=f, opts=o) for m, f, o in mounts]
    monkeypatch.setattr(psutil, "disk_partitions", lambda **_: found)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    share_under.cache_clear()
    yield made
    share_under.cache_clear()


def test_the_index_of_a_lab_on_a_share_stays_here(share: LabAtWork, tmp_path: Path) -> None:
    """What is filed is on the share, the database in the cache folder; a second lab has its own."""
    (share.root / "inbox" / "a.csv").write_text(DENSITY, encoding="utf-8")
    assert main(["take", "--lab", str(share.root)]) == 0
    assert not [*share.root.rglob("index.sqlite*")]
    (index,) = (tmp_path / "cache").rglob("index.sqlite")
    assert index == open_lab(share.root).index
    assert [*share.root.glob("archive/density/RB-010/data.parquet")]
    assert main(["verify", "--lab", str(share.root)]) == 0


def test_the_service_of_the_computer_may_write_its_index(share: LabAtWork) -> None:
    """The unit names a cache folder that the system makes for it."""
    assert b"CacheDirectory=tiecoat\n" in for_system(open_lab(share.root), "labor").content


@pytest.mark.parametrize(
    ("place", "mounts", "sort"),
    [
        ("/srv/lab", [("/", "ext4", "rw"), ("/srv", "cifs", "rw")], "cifs"),
        ("/srv2/lab", [("/", "ext4", "rw"), ("/srv", "cifs", "rw")], ""),
        ("/srv/lab", [("/srv", "nfs4", "rw"), ("/srv/lab", "ext4", "rw")], ""),
        ("/srv/lab", [("/srv", "ntfs", "rw,remote")], "a network drive"),
        ("/srv/lab", [], ""),
    ],
)
def test_the_innermost_mount_counts(
    place: str, mounts: list[tuple[str, str, str]], sort: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A local disk within a share is none, and a folder of a like name is another."""
    found = [SimpleNamespace(mountpoint=m, fstype=f, opts=o) for m, f, o in mounts]
    monkeypatch.setattr(psutil, "disk_partitions", lambda **_: found)
    share_under.cache_clear()
    assert share_under(Path(place)) == sort
    share_under.cache_clear()
