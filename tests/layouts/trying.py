"""Trying generated exports on the program, in process, and judging what it makes of them."""

from __future__ import annotations

import contextlib
import hashlib
import math
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any

import pyarrow as pa

from tiecoat.archive.index.cache import batch_of_panel
from tiecoat.archive.opening import open_index
from tiecoat.archive.plan import Incoming
from tiecoat.archive.tables.describe import Rule, describe
from tiecoat.errors import FileHeld
from tiecoat.extend.loading import load_plugins
from tiecoat.intake.checks.checker import checked_alone, remarks_in
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.filing.entry import Entry
from tiecoat.intake.filing.keying import Keyer
from tiecoat.intake.filing.read import Read
from tiecoat.intake.filing.rounds import Ids, ids_of, with_ids
from tiecoat.intake.intake import by_file
from tiecoat.intake.outcome import Outcome as Taken
from tiecoat.intake.outcome import Teller
from tiecoat.intake.taking_in import take
from tiecoat.intake.workers.answers import Reading
from tiecoat.intake.workers.reading import read_chunk
from tiecoat.lab.new_lab import new_lab
from tiecoat.reasons import Reason

from . import register
from .case import About, Case

SETTINGS = f"""
[[inbox]]
path = "inbox"
[intake]
settle_s = 0.0
scan_s = 0.1
[ids]
batch = '{register.BATCH}'
panel = '{register.PANEL}'
[times]
zone = "{register.ZONE.key}"
[readers]
processes = 1
"""
TOGETHER = 50
RELATIVE = 1e-6
SECOND = timedelta(seconds=1)  # what a date in a workbook is rounded by
NOT_COMPARED = {
    "measurement",
    "instrument",
    "source_sha256",
    "source_name",
    "source_row",
    "source_sheet",
    "reader",
    "withdrawn",
    "withdrawn_at",
    "withdrawn_by",
    "withdrawn_why",
    "superseded_by",
}


@dataclass(frozen=True)
class Outcome:
    """What became of a case: `hold` says why it is held, else `rows` maps kind -> rows."""

    hold: str | None
    rows: dict[str, list[dict[str, Any]]]
    remarks: tuple[str, ...]
    claims: tuple[tuple[str, float, str], ...]


@dataclass(frozen=True)
class Verdict:
    """`right`, `held`, `remarked` (a mistake was, or what is none) or `wrong`, and why."""

    word: str
    why: str = ""


class Bench:
    """A lab with its register, in which cases are read and keyed; nothing of them is filed."""

    def __init__(self, root: Path) -> None:
        self._lab = new_lab(root / "lab", SETTINGS)
        inbox = root / "lab" / "inbox"
        (inbox / "batches.csv").write_text(register.sheet(), encoding="utf-8")
        (inbox / "panels.csv").write_text(register.panel_sheet(), encoding="utf-8")
        told: list[Taken] = []
        take(self._lab, [], Teller(lambda line: None, told.append))
        if [one.status for one in told] != ["filed", "filed"]:
            raise RuntimeError(f"the register is not filed: {told}")
        self._index = open_index(self._lab)
        self._keyer = Keyer(self._lab.settings.ids, partial(batch_of_panel, self._index))
        self._plugins = load_plugins(None)
        self._habits = self._lab.habits
        self._folder = root / "cases"
        self._folder.mkdir()

    def close(self) -> None:
        """Let go of the index."""
        self._index.close()

    def outcome(self, cases: Sequence[Case]) -> list[Outcome]:
        """Read and key the cases as intake would."""
        found: list[Outcome] = []
        for start in range(0, len(cases), TOGETHER):
            found += self._together(cases[start : start + TOGETHER])
        return found

    def _together(self, cases: Sequence[Case]) -> list[Outcome]:
        tasks = [self._task(n, case) for n, case in enumerate(cases)]
        chunk = read_chunk(tasks, self._plugins, self._habits)
        rows = by_file(chunk)
        outcomes: dict[str, Outcome] = {}
        named: list[tuple[Read, Ids]] = []
        for task, reading in zip(tasks, chunk.readings, strict=True):
            entry = Entry(task, [])
            read = Read(entry, reading, rows.get(task.sha256, {}))
            try:
                named.append((read, ids_of(read, self._keyer)))
            except FileHeld as held:
                outcomes[task.sha256] = Outcome(_why(held, reading), {}, (), reading.claims)
        for (read, _), incoming in zip(named, with_ids(named), strict=True):
            outcomes[read.entry.file.sha256] = self._checked(incoming, read.reading)
        return [outcomes[task.sha256] for task in tasks]

    def _checked(self, incoming: Incoming, reading: Reading) -> Outcome:
        """Return what becomes of rows against register and clock."""
        try:
            tables = checked_alone(self._lab, self._index, incoming).tables
        except FileHeld as held:
            return Outcome(_why(held, reading), {}, (), reading.claims)
        if _gives_twice(tables):
            return Outcome(Reason.GIVEN_TWICE.code, {}, (), reading.claims)
        return Outcome(None, _rows(tables), tuple(remarks_in(tables)), reading.claims)

    def _task(self, number: int, case: Case) -> ExportFile:
        path = self._folder / f"{number}{Path(case.name).suffix}"
        path.write_bytes(case.content)
        sha256 = hashlib.sha256(case.content).hexdigest()
        return ExportFile(path, case.name, case.folder, f"{number:08x}{sha256[8:]}")


def _gives_twice(tables: Mapping[str, pa.Table]) -> bool:
    """Tell whether one determination has two values, as the archive would say when it is filed."""
    first: dict[str, str] = {}
    return any(
        first.setdefault(one.determination, one.fingerprint) != one.fingerprint
        for rows in tables.values()
        if not Rule.of(rows.schema).replaces
        for one in describe(rows)
    )


@contextlib.contextmanager
def bench() -> Iterator[Bench]:
    """A bench in a folder of its own that goes afterwards."""
    with tempfile.TemporaryDirectory() as place:
        made = Bench(Path(place))
        try:
            yield made
        finally:
            made.close()


def _why(held: FileHeld, reading: Reading) -> str:
    detail = reading.hold.detail if reading.hold else None
    said = [held.reason.code, *(fault.sentence for fault in held.faults[:3]), detail or ""]
    return " | ".join(part for part in said if part)


def _rows(tables: dict[str, pa.Table]) -> dict[str, list[dict[str, Any]]]:
    return {
        kind: [
            {name: value for name, value in row.items() if name not in NOT_COMPARED}
            for row in table.to_pylist()
        ]
        for kind, table in tables.items()
    }


def judge(case: Case, outcome: Outcome) -> Verdict:
    """Compare what would be filed with the truth.

    A file with a mistake may be held, or filed with a remark; filed without one is wrong. One
    without a mistake that is filed as said, but with a remark that nothing asks for, is remarked.
    """
    if outcome.hold is not None:
        return Verdict("held", outcome.hold)
    if case.mistake:
        if outcome.remarks:
            return Verdict("remarked", "; ".join(outcome.remarks))
        return Verdict("wrong", f"filed without a remark in spite of: {case.mistake}")
    kinds = sorted(outcome.rows)
    if kinds != [case.kind]:
        return Verdict("wrong", f"filed as {', '.join(kinds) or 'nothing'}")
    return _compared(list(case.rows), outcome.rows[case.kind])


def _compared(truth: list[dict[str, Any]], rows: list[dict[str, Any]]) -> Verdict:
    if len(truth) != len(rows):
        return Verdict("wrong", f"{len(rows)} rows instead of {len(truth)}")
    left, remarks = list(rows), []
    for expected in truth:
        place = min(range(len(left)), key=lambda n: len(_differences(expected, left[n])))
        differences = _differences(expected, left[place])
        if differences and not (_is_remarked(left[place], expected) and len(differences) == 1):
            return Verdict("wrong", "; ".join(differences))
        remarks += differences
        del left[place]
    return Verdict("remarked", "; ".join(remarks)) if remarks else Verdict("right")


def _is_remarked(row: dict[str, Any], expected: dict[str, Any]) -> bool:
    return row.get("remark") is not None and expected.get("remark") is None


def _differences(expected: dict[str, Any], row: dict[str, Any]) -> list[str]:
    found = []
    for name, value in row.items():
        if name == "measured_at" and name not in expected:
            continue
        if not _equal(expected.get(name), value):
            found.append(f"{name} is {value!r}, said is {expected.get(name)!r}")
    return found


def _equal(expected: Any, value: Any) -> bool:
    if isinstance(expected, frozenset):
        return any(_equal(one, value) for one in expected)
    if expected is None or value is None:
        return expected is None and value is None
    if isinstance(expected, About):
        return abs(value - expected.value) <= expected.within * (1 + RELATIVE)
    if isinstance(expected, datetime):
        return isinstance(value, datetime) and abs(value - expected) <= SECOND
    if isinstance(expected, float):
        return isinstance(value, float) and math.isclose(
            value, expected, rel_tol=RELATIVE, abs_tol=1e-15
        )
    return bool(expected == value)
