"""Real labs for tests: laid out on disk, fed through their inbox, looked at from outside."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pyarrow.parquet as pq
from warm_starter import Forked, WarmStarter

from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import SETTINGS, Lab, open_lab

BATCH = "RB-[0-9]{3}"
PANEL = "(?P<batch>RB-[0-9]{3})-[0-9]"
PATIENCE_S = 30.0

Sections = Mapping[str, Mapping[str, Any] | list[Mapping[str, Any]]]


def settings_text(changes: Sections) -> str:
    """Return a tiecoat.toml for tests: quick to settle, with these sections changed."""
    sections: dict[str, Any] = {
        "inbox": [{"path": "inbox"}],
        "intake": {"settle_s": 0.1, "scan_s": 0.3, "free_mb": 0},
        "ids": {"batch": BATCH, "panel": PANEL},
        "times": {"zone": "Europe/Berlin"},
        "readers": {"processes": 1},
    }
    for name, section in changes.items():
        merged = {**sections.get(name, {}), **section} if isinstance(section, Mapping) else section
        sections[name] = merged
    lines = []
    for name, section in sections.items():
        tables = section if isinstance(section, list) else [section]
        for table in tables:
            lines.append(f"[[{name}]]" if isinstance(section, list) else f"[{name}]")
            lines += [f"{key} = {json.dumps(value)}" for key, value in table.items()]
    return "\n".join(lines) + "\n"


@dataclass
class LabAtWork:
    """A lab, what was dropped into it, and what has been told."""

    root: Path
    said: list[str] = field(default_factory=list)

    @property
    def lab(self) -> Lab:
        """The lab with the settings as they stand now."""
        return open_lab(self.root)

    @property
    def inbox(self) -> Path:
        """The first inbox."""
        return self.root / "inbox"

    @property
    def done(self) -> Path:
        """Where the first inbox has what was filed this month."""
        return self.inbox / "done" / f"{datetime.now(UTC):%Y-%m}"

    def settle(self, **changes: Mapping[str, Any] | list[Mapping[str, Any]]) -> None:
        """Write other settings."""
        (self.root / SETTINGS).write_text(settings_text(changes), encoding="utf-8")

    def copy(self, root: Path) -> LabAtWork:
        """Return the lab as it stands, in a new folder."""
        shutil.copytree(self.root, root)
        return LabAtWork(root)

    def drop(self, name: str | bytes, content: bytes | str, folder: str = "") -> Path:
        """Put a file into the inbox; it appears whole."""
        path = self.inbox / folder / os.fsdecode(name)
        path.parent.mkdir(parents=True, exist_ok=True)
        half_made = self.root / "stage" / f"drop-{os.getpid()}"
        half_made.write_bytes(content.encode() if isinstance(content, str) else content)
        half_made.replace(path)
        return path

    def take(self, *paths: Path) -> dict[str, Outcome]:
        """Run `tiecoat take` and return what was told, by file name."""
        outcomes: list[Outcome] = []
        take(self.lab, list(paths), Teller(self.said.append, outcomes.append))
        return {outcome.name: outcome for outcome in outcomes}

    def held(self) -> dict[str, dict[str, Any]]:
        """Return every reason.json by file name, with the text of reason.txt under "told"."""
        found = {}
        for path in sorted((self.root / "held").glob("*/reason.json")):
            record = json.loads(path.read_text(encoding="utf-8"))
            record["told"] = path.with_name("reason.txt").read_text(encoding="utf-8")
            record["place"] = path.parent
            found[record["name"]] = record
        return found

    def rows(self, kind: str, *, withdrawn: bool = False) -> list[dict[str, Any]]:
        """Return the rows of a kind as they stand in the Parquet files, read without tiecoat."""
        paths = sorted((self.root / "archive" / kind).glob("*/data.parquet"))
        rows = [row for path in paths for row in pq.ParquetFile(path).read().to_pylist()]
        return [row for row in rows if withdrawn or row["withdrawn"] is None]

    def every_row(self) -> list[dict[str, Any]]:
        """Return the rows of all kinds, withdrawn ones too."""
        kinds = sorted(path.name for path in (self.root / "archive").iterdir())
        return [row for kind in kinds for row in self.rows(kind, withdrawn=True)]

    def original(self, content: bytes | str) -> Path | None:
        """Return where exactly these bytes are kept among the originals, or None."""
        content = content.encode() if isinstance(content, str) else content
        sha256 = hashlib.sha256(content).hexdigest()
        kept = list((self.root / "originals" / sha256[:2] / sha256).glob("*"))
        return kept[0] if len(kept) == 1 and kept[0].read_bytes() == content else None

    def journal(self) -> list[dict[str, Any]]:
        """Return all records of the journal."""
        paths = sorted((self.root / "journal").glob("*.jsonl"))
        return [json.loads(line) for path in paths for line in path.read_bytes().splitlines()]

    def waiting(self) -> list[str]:
        """Return what lies in the inbox, outside of done/, as paths below it."""
        paths = (path.relative_to(self.inbox) for path in self.inbox.rglob("*"))
        return sorted(str(p) for p in paths if p.parts[0] != "done")

    def sound(self) -> bool:
        """Say whether nothing but finished Parquet stands under archive/, and stage/ is empty."""
        files = [path for path in (self.root / "archive").rglob("*") if path.is_file()]
        assert {path.name for path in files} <= {"data.parquet"}
        assert list((self.root / "stage").iterdir()) == []
        return all(pq.ParquetFile(path).metadata.num_rows > 0 for path in files)


def make_lab(root: Path, **changes: Mapping[str, Any] | list[Mapping[str, Any]]) -> LabAtWork:
    """Lay out a lab in a new folder."""
    return LabAtWork(new_lab(root, settings_text(changes)).root)


def look_at_all_again(at_work: LabAtWork) -> None:
    """Have what was filed looked at by the next run, as if the day was over."""
    with closing(sqlite3.connect(at_work.root / "index.sqlite")) as index, index:
        index.execute("UPDATE taken_out SET due = 0")


def wait_until(condition: Callable[[], object], what: str, patience_s: float = PATIENCE_S) -> None:
    """Wait until it is so, or fail. Most of the time is left to what is waited for."""
    end = time.monotonic() + patience_s
    looked = time.monotonic()
    while not condition():
        now = time.monotonic()
        assert now < end, f"waited {patience_s} s in vain: {what}"
        time.sleep(min(max(0.03, 8 * (now - looked)), 0.5))
        looked = time.monotonic()


def started(
    command: Sequence[str],
    log: Path,
    environment: Mapping[str, str],
    starter: WarmStarter | None,
) -> subprocess.Popen[bytes] | Forked:
    """Start a command in a process group of its own, by the starter if there is one."""
    if starter:
        return starter.start(command, log, environment)
    with log.open("ab") as said:
        return subprocess.Popen(
            command,
            stdin=subprocess.DEVNULL,
            stdout=said,
            stderr=said,
            start_new_session=True,
            env={**os.environ, **environment},
        )


class Service:
    """A real `tiecoat serve`, in a process group of its own that alone gets its signals.

    `command` starts it in another way, `starter` in a moment.
    """

    def __init__(
        self,
        root: Path,
        command: Sequence[str] = (),
        starter: WarmStarter | None = None,
        **environment: str,
    ) -> None:
        self.log = root / "service.log"
        self.log.unlink(missing_ok=True)
        command = command or [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(root)]
        self.process = started(command, self.log, environment, starter)
        self.expect("watching")

    @property
    def output(self) -> str:
        """Everything it has printed."""
        return self.log.read_text(encoding="utf-8", errors="replace") if self.log.exists() else ""

    @property
    def lives(self) -> bool:
        """Whether the process runs."""
        return self.process.poll() is None

    def expect(self, text: str, patience_s: float = PATIENCE_S) -> None:
        """Wait until it has printed this."""
        wait_until(
            lambda: text in self.output or not self.lives,
            f"{text!r} in the output of the service",
            patience_s,
        )
        assert text in self.output, self.output

    def send(self, number: int, *, group: bool = False) -> None:
        """Send a signal to the service, or as a terminal does to its whole group."""
        if group:
            os.killpg(self.process.pid, number)
        else:
            self.process.send_signal(number)

    def stop(self, number: int = signal.SIGTERM, *, group: bool = False) -> int:
        """End it and return its exit code."""
        if self.lives:
            self.send(number, group=group)
        return self.process.wait(timeout=15)

    def close(self) -> None:
        """See to it that it is gone."""
        if self.lives:
            self.process.terminate()
            try:
                self.process.wait(timeout=15)
            except subprocess.TimeoutExpired:
                self.process.kill()
                self.process.wait()
