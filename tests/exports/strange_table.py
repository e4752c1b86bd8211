"""Strange exports, judged: what became of each in a real lab, against the truth beside it.

`strange/<lab>/` holds the settings and the registers of a lab; below its `inbox/` lie exports as
other laboratories write them, in layouts of our own invention. Beside each stands
`<file name>.truth.toml`: what must become of it, and why a person sees that. Print the figures by
`python -m tests.exports.strange_table`.

A truth says `outcome` ("filed", "held", or "held or remark" for what is odd but possible), `kind`,
and of what must be filed how many measurements and rows there are and what stands in some of them.
A row of the truth names the columns that it is sure of; exactly one filed row must agree.
"""

from __future__ import annotations

import hashlib
import json
import math
import shutil
import sys
import tempfile
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from pathlib import Path
from typing import Any, ClassVar
from unittest import mock

import pyarrow.parquet as pq

from tiecoat.extend.loading import Plugins, load_plugins
from tiecoat.intake import desk
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.outcome import Teller
from tiecoat.intake.taking_in import take
from tiecoat.intake.workers.answers import Chunk
from tiecoat.intake.workers.pool import Inventory, ReaderPool
from tiecoat.intake.workers.reading import read_chunk
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import open_lab

STRANGE = Path(__file__).parent / "strange"
TRUTH = ".truth.toml"
REMARKS = ("remark", "remarks")  # columns that say what is odd about a row
SAME = {"rel_tol": 1e-6, "abs_tol": 1e-9}  # the truth is written with ten digits
IDS = ("batch", "panel")  # kept in upper case, however an export writes them

Row = dict[str, Any]


@dataclass(frozen=True)
class Case:
    """An export and the truth about it."""

    path: Path

    @cached_property
    def truth(self) -> dict[str, Any]:
        """What must become of it."""
        beside = self.path.with_name(self.path.name + TRUTH)
        return tomllib.loads(beside.read_text(encoding="utf-8"))

    @property
    def name(self) -> str:
        """Where it lies below `strange/`."""
        return self.path.relative_to(STRANGE).as_posix()

    @property
    def lab(self) -> str:
        """The lab it belongs to."""
        return self.path.relative_to(STRANGE).parts[0]

    @cached_property
    def sha256(self) -> str:
        """Of its content."""
        return hashlib.sha256(self.path.read_bytes()).hexdigest()


@dataclass(frozen=True)
class Judgement:
    """What became of an export: `grade` is right, held (and should not be) or wrong."""

    grade: str
    said: str


class ReadHere(ReaderPool):
    """Readers in this process, loaded once for all labs: workers of each lab would load them anew.

    What workers guard against is tested elsewhere; here only what becomes of exports is asked.
    """

    plugins: ClassVar[Plugins | None] = None

    def _start(self) -> Any:
        """Load the readers where no lab before did; no worker starts."""
        ReadHere.plugins = ReadHere.plugins or load_plugins(None)

    def submit(self, files: Sequence[ExportFile]) -> Future[Chunk]:
        """Read them at once."""
        assert self.plugins is not None
        done: Future[Chunk] = Future()
        done.set_result(read_chunk(list(files), self.plugins, self._lab.habits))
        self._wake()
        return done

    def inventory(self) -> Inventory:
        """Return nothing that was left out, as no lab here has readers of its own."""
        return Inventory({}, {}, ())

    def close(self) -> None:
        """Nothing was started."""


def cases() -> list[Case]:
    """Return every export, by its name."""
    paths = (path for path in STRANGE.glob("*/inbox/**/*") if path.is_file())
    return [Case(path) for path in sorted(paths) if not path.name.endswith(TRUTH)]


def judged(root: Path, chosen: Sequence[Case]) -> dict[str, Judgement]:
    """Let a real lab of each sort take those of its exports in; return the judgements by name."""
    found = {}
    of_labs: dict[str, list[Case]] = {}
    for case in chosen:
        of_labs.setdefault(case.lab, []).append(case)
    with mock.patch.object(desk, "ReaderPool", ReadHere):
        for name, of_lab in of_labs.items():
            rows, held = _taken(STRANGE / name, of_lab, root / name)
            for case in of_lab:
                found[case.name] = _judge(case, rows.get(case.sha256, []), held.get(case.sha256))
    return found


def _taken(
    home: Path, of_lab: Sequence[Case], root: Path
) -> tuple[dict[str, list[Row]], dict[str, str]]:
    """Return what was filed and why what is held is, both by the SHA-256 of the export."""
    settings = (home / "lab.toml").read_text(encoding="utf-8")
    lab = open_lab(new_lab(root, settings).root)
    silent = Teller(lambda said: None, lambda outcome: None)
    registers = [Path(shutil.copy(path, lab.root / "inbox")) for path in home.glob("register *")]
    take(lab, registers, silent)
    assert not any((lab.root / "held").glob("*/reason.json")), "a register of the lab is held"
    put = []
    for case in of_lab:
        target = lab.root / case.path.relative_to(home)
        target.parent.mkdir(parents=True, exist_ok=True)
        put.append(Path(shutil.copy(case.path, target)))
    take(lab, put, silent)
    rows: dict[str, list[Row]] = {}
    for path in sorted((lab.root / "archive").rglob("*.parquet")):
        kind = path.parent.parent.name
        for row in pq.ParquetFile(path).read().to_pylist():
            rows.setdefault(row["source_sha256"], []).append(row | {"kind": kind})
    held = {}
    for path in (lab.root / "held").glob("*/reason.json"):
        record = json.loads(path.read_text(encoding="utf-8"))
        told = path.with_name("reason.txt").read_text(encoding="utf-8")
        held[record["sha256"]] = told
    return rows, held


def _judge(case: Case, rows: list[Row], held: str | None) -> Judgement:
    truth, why = case.truth, case.truth["why"]
    if not rows and held is None:
        return Judgement("wrong", "neither filed nor held")
    if held is not None:
        must = truth["outcome"] != "filed"
        return Judgement("right" if must else "held", f"{why}\nBut it is held:\n{held}")
    if truth["outcome"] == "held or remark" and any(
        row.get(name) for row in rows for name in REMARKS
    ):
        return Judgement("right", why)
    if truth["outcome"] != "filed":
        kinds = sorted({row["kind"] for row in rows})
        return Judgement("wrong", f"{why}\nBut {len(rows)} rows are filed as {', '.join(kinds)}.")
    faults = list(_faults(truth, rows))
    return Judgement("wrong" if faults else "right", "\n".join([why, "But:", *faults]))


def _faults(truth: Mapping[str, Any], rows: list[Row]) -> Iterator[str]:
    """Tell where what was filed differs from the truth."""
    if len(rows) != truth["rows"]:
        yield f"{len(rows)} rows; expected {truth['rows']}"
    measurements = len({row["measurement"] for row in rows})
    if measurements != truth.get("measurements", measurements):
        yield f"{measurements} measurements; expected {truth['measurements']}"
    kinds = {row["kind"] for row in rows}
    if truth["kind"] != "register" and kinds != {truth["kind"]}:
        yield f"filed as {', '.join(sorted(kinds))}; expected {truth['kind']}"
    for number, expected in enumerate(truth["row"], 1):
        differing = [_differing(expected, row) for row in rows]
        if differing.count({}) != 1:
            yield (
                f"{differing.count({})} rows agree with row {number} of the truth; expected one;"
                f" the nearest differs by {min(differing, key=len)}"
            )


def _differing(expected: Row, row: Row) -> Row:
    """Return column -> (what was filed, what is true) where they differ."""
    return {
        name: (row.get(name), value)
        for name, value in expected.items()
        if not _same(value.upper() if name in IDS and value else value, row.get(name))
    }


def _same(expected: object, found: object) -> bool:
    if isinstance(found, datetime) and isinstance(expected, datetime):
        return found == expected
    if isinstance(expected, float) and isinstance(found, float):
        return math.isclose(expected, found, **SAME)
    return expected == found


COLUMNS = {  # title -> whether of the readable, and the grade that is counted
    "readable": (True, None),
    "right": (True, "right"),
    "held": (True, "held"),
    "wrong": (True, "wrong"),
    "to hold": (False, None),
    "as said": (False, "right"),
    "filed": (False, "wrong"),
}


def table(found: Mapping[str, Judgement]) -> str:
    """Return how many of each kind are right, held and wrong, the readable and the others apart."""
    counts: Counter[tuple[str, bool, str | None]] = Counter()
    for case in cases():
        for kind in (case.truth["kind"], "all"):
            for grade in (None, found[case.name].grade):
                counts[kind, case.truth["outcome"] == "filed", grade] += 1
    kinds = sorted({kind for kind, *_ in counts} - {"all"})
    lines = ["kind".ljust(18) + "".join(f"{title:>9}" for title in COLUMNS)]
    for kind in [*kinds, "all"]:
        cells = (counts[kind, readable, grade] for readable, grade in COLUMNS.values())
        lines.append(kind.ljust(18) + "".join(f"{count:>9}" for count in cells))
    return "\n".join(lines)


def main(words: list[str]) -> None:
    """Print the figures, and of each export whose grade is one of the words what became of it."""
    with tempfile.TemporaryDirectory() as folder:
        found = judged(Path(folder), cases())
    for name, judgement in found.items():
        if judgement.grade in words:
            print(f"{judgement.grade:<6} {name}\n{judgement.said}\n")
    print(table(found))


if __name__ == "__main__":
    main(sys.argv[1:])
