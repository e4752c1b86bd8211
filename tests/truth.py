"""Whether the service of a lab tells the truth about itself.

Whenever `tiecoat service status` exits 0, every export that has lain unchanged in an inbox for
longer than its time to settle and a minute is filed, held or known. The folders are looked at from
outside, and what became of an export is read from tables, journal and held folders, without the
index and without the service.
"""

from __future__ import annotations

import hashlib
import io
import json
import time
from collections.abc import Callable
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pyarrow.parquet as pq
from labs import wait_until

from tiecoat.cli import main
from tiecoat.intake.inboxes.boxes import settler_of
from tiecoat.lab.settings import open_lab

MINUTE_S = 60.0
DECIDED = {"filed", "known", "superseded", "discarded"}


def status(root: Path) -> tuple[int, str]:
    """Run `tiecoat service status` and return its exit code and what it printed."""
    said = io.StringIO()
    with redirect_stdout(said), redirect_stderr(said):
        code = main(["service", "status", "--lab", str(root)])
    return code, said.getvalue()


class Truth:
    """Follows the inboxes of a lab; `check` as often as there is time.

    Parameters
    ----------
    root
        The lab folder.
    grace_s
        What is allowed beyond the time to settle. A service that was started with shorter times
        than a minute may be held to less.
    clock
        Seconds by which that is measured.
    ask
        Returns exit code and text of the status; by default the command is run.
    """

    def __init__(
        self,
        root: Path,
        grace_s: float = MINUTE_S,
        clock: Callable[[], float] = time.monotonic,
        ask: Callable[[Path], tuple[int, str]] = status,
    ) -> None:
        self._root = root
        self._grace_s = grace_s
        self._clock = clock
        self._ask = ask
        self._since: dict[tuple[Path, int, int, int], float] = {}

    def check(self) -> tuple[int, str]:
        """Look at inboxes and status; where that is 0, nothing may have been forgotten."""
        late = self._late()
        code, said = self._ask(self._root)
        if code == 0 and late:
            fates = accounted(self._root)
            forgotten = [path for path in late if path.is_file() and _sha256(path) not in fates]
            assert not forgotten, f"status says well and forgets {forgotten}:\n{said}"
        return code, said

    def until(self, code: int, condition: Callable[[], bool], what: str, patience_s: float) -> str:
        """Check again and again until the status is this one and something is so."""
        said = ""

        def reached() -> bool:
            nonlocal said
            found, said = self.check()
            return found == code and condition()

        wait_until(reached, what, patience_s)
        return said

    def _late(self) -> list[Path]:
        """Return the exports that have lain unchanged for too long."""
        lab, now = open_lab(self._root), self._clock()
        seen: dict[tuple[Path, int, int, int], float] = {}
        late = []
        for inbox in lab.settings.inbox:
            settler = settler_of(lab, inbox)
            for path in settler.inbox.rglob("*"):
                inside = path.relative_to(settler.inbox).parts
                ignored = any(Path(part).match(one) for part in inside for one in settler.ignore)
                if ignored or inside[0] == "done" or path.is_symlink() or not path.is_file():
                    continue
                found = path.stat()
                key = (path, found.st_size, found.st_mtime_ns, found.st_ino)
                seen[key] = self._since.get(key, now)
                if now - seen[key] > settler.quiet_s + self._grace_s:
                    late.append(path)
        self._since = seen
        return late


def accounted(root: Path) -> set[str]:
    """Return the SHA-256 of all exports that are filed, held or known."""
    found = set()
    for path in (root / "archive").rglob("*.parquet"):
        found |= set(pq.ParquetFile(path).read(["source_sha256"])["source_sha256"].to_pylist())
    for path in (root / "held").glob("*/reason.json"):
        found.add(json.loads(path.read_bytes())["sha256"])
    for path in (root / "journal").glob("*.jsonl"):
        records = [json.loads(line) for line in path.read_bytes().splitlines() if line.strip()]
        found |= {one["sha256"] for one in records if one["event"] in DECIDED}
    return found


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
