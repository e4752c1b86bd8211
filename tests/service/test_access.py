"""What a lab keeps is for its own account to read, or for its group: nobody else's."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from bad_exports import density
from labs import LabAtWork, Service, settings_text, wait_until

Serve = Callable[..., Service]
STRANGER, GROUP = 54321, 54322
KEPT = ["originals", "archive", "journal", "held", "stage", "log", "health.json", "index.sqlite"]
OPEN = 0o022  # the umask of most systems

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="rights of POSIX")
root_only = pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() != 0 or not shutil.which("setpriv"),
    reason="only root acts as other accounts; needs setpriv (util-linux)",
)


@pytest.fixture
def shared() -> Iterator[Path]:
    """A folder that every account can reach; that of pytest is for one alone."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder).chmod(0o755)
        yield Path(folder)


def tiecoat(*arguments: str) -> list[str]:
    """Return a command of the program as it runs with an ordinary umask."""
    start = f"import os; os.umask({OPEN}); from tiecoat.cli import main; raise SystemExit(main())"
    return [sys.executable, "-c", start, *arguments]


def at_work(root: Path, readable_by: str) -> LabAtWork:
    """Lay out a lab by the command."""
    subprocess.run(tiecoat("new", str(root)), check=True, stdout=subprocess.DEVNULL)
    settings = settings_text({"access": {"readable_by": readable_by}})
    (root / "tiecoat.toml").write_text(settings, encoding="utf-8")
    return LabAtWork(root)


def put_to_work(lab: LabAtWork, serve: Serve) -> None:
    """Have a service file one export and hold another."""
    service = serve(lab, tiecoat("serve", "--log", "--lab", str(lab.root)))
    lab.drop("good.csv", density())
    lab.drop("bad.csv", density(value="much"))
    wait_until(lambda: lab.held() and lab.rows("density"), "one filed, one held")
    wait_until((lab.root / "health.json").exists, "the health file")
    assert service.stop() == 0


def rights(lab: LabAtWork) -> dict[str, int]:
    """Return what group and others may do with each thing that is kept, by its path."""
    found = {}
    for name in KEPT:
        top = lab.root / name
        assert top.exists(), name
        for path in (top, *top.rglob("*")):
            found[str(path.relative_to(lab.root))] = stat.S_IMODE(path.stat().st_mode) & 0o077
    return found


@posix_only
def test_what_is_kept_is_private(shared: Path, serve: Serve) -> None:
    """By default no other account may do anything with it; inbox and done/ stay as made."""
    lab = at_work(shared / "lab", "owner")
    put_to_work(lab, serve)
    assert {name: f"{mode:o}" for name, mode in rights(lab).items() if mode} == {}
    for folder in (lab.root, lab.inbox, lab.inbox / "done"):
        assert stat.S_IMODE(folder.stat().st_mode) == 0o755, folder


@posix_only
def test_everybody_may_read_where_that_is_set(shared: Path, serve: Serve) -> None:
    """A lab on a computer of its own can be left open; nobody else may write."""
    lab = at_work(shared / "lab", "everybody")
    shutil.rmtree(lab.root)
    subprocess.run(tiecoat("new", str(lab.root)), check=True, stdout=subprocess.DEVNULL)
    settings = settings_text({"access": {"readable_by": "everybody"}})
    (lab.root / "tiecoat.toml").write_text(settings, encoding="utf-8")
    put_to_work(lab, serve)
    found = rights(lab)
    assert {mode & 0o022 for mode in found.values()} == {0}
    assert found["health.json"] == found["index.sqlite"] == 0o044


@root_only
def test_others_may_drop_exports_and_the_group_may_read(shared: Path, serve: Serve) -> None:
    """A stranger fills the inbox and reads nothing; one of the group reads, and writes nothing."""
    lab = at_work(shared / "lab", "group")
    given = f"chgrp -R {GROUP} '{lab.root}'; chmod -R g+rX '{lab.root}'"
    given += f"; find '{lab.root}' -type d -exec chmod g+s {{}} +"
    subprocess.run(given, shell=True, check=True)
    lab.inbox.chmod(0o2777)
    put_to_work(lab, serve)

    def may(group: int, *command: str) -> bool:
        """Say whether a command succeeds with the rights of another account."""
        other = ["setpriv", f"--reuid={STRANGER}", f"--regid={group}", "--clear-groups"]
        return subprocess.run([*other, *command], capture_output=True, check=False).returncode == 0

    files = [path for path in lab.root.rglob("*") if path.is_file()]
    files = [path for path in files if path.relative_to(lab.root).parts[0] in KEPT]
    assert {path.relative_to(lab.root).parts[0] for path in files} >= set(KEPT) - {"stage"}
    assert [path for path in files if not may(GROUP, "cat", str(path))] == []
    assert [path for path in files if may(STRANGER, "cat", str(path))] == []
    for group in (GROUP, STRANGER):
        assert [path for path in files if may(group, "test", "-w", str(path))] == []
        assert may(group, "touch", str(lab.inbox / f"dropped by {group}.csv"))
