"""The example exports of a plugin, and the rows that a person expects of them."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path

from tiecoat.contract.columns import ColumnInfo, columns_of
from tiecoat.disk import fsio
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.settle import look
from tiecoat.plugin import Kind
from tiecoat.reasons import Reason
from tiecoat.testing.rows_told import BESIDE, RowTold, as_text

ROWS = ".rows.csv"
FINGERPRINTS = "fingerprints.json"
BROKEN = "broken"
WRITE = "pytest --tiecoat-write"  # what adds files of these names
UNREAD = "# Not looked through yet: compare each row with the export, then take this line out."
EMPTIES = {"nan", "none", "null", "-", "<na>"}  # how a person may write that none is


WRITTEN = {
    "time": "a time such as 2026-09-14T08:12:00+02:00",
    "float": "a number",
    "whole": "a whole number",
    "bool": "True or False",
}


class NotAsExpected(ValueError):
    """A file of expected rows cannot be understood; the message says where and why."""


@dataclass(frozen=True)
class ExampleExport:
    """An export with what must become of it: `broken` ones must be held, others filed.

    `path` is a file, or where several are one export a folder of the name of the main one.
    """

    path: Path
    folder: str
    broken: bool

    @property
    def name(self) -> str:
        """How it is told."""
        return self.path.name

    @cached_property
    def content(self) -> bytes:
        """The bytes of the export, of its main file where it has several."""
        return fsio.main_of(self.path).read_bytes()

    @cached_property
    def contents(self) -> Mapping[str, bytes]:
        """The bytes of its main file by the name "", and those of its companions by theirs."""
        return {"": self.content} | {one.name: one.read_bytes() for one in self.file.companions}

    @property
    def sha256(self) -> str:
        """Of its content."""
        return fsio.sha256_of(self.path)

    @cached_property
    def file(self) -> ExportFile:
        """The export as a worker gets it."""
        notes = look(fsio.main_of(self.path), []).notes
        return ExportFile(self.path, self.name, self.folder, self.sha256, notes)

    @property
    def reason(self) -> Reason | None:
        """Why it must be held, by its name; None where the name begins with no such code."""
        codes = {reason.code: reason for reason in Reason}
        return codes.get(self.name.split(".", maxsplit=1)[0])

    def expected_in(self, kind: str) -> Path:
        """Where the rows of a kind stand that must be filed of it."""
        return self.path.with_name(f"{self.name}.{kind}{ROWS}")

    @property
    def expected(self) -> Mapping[str, Path]:
        """Kind -> where the rows of it stand that must be filed."""
        names = fsio.names_in(self.path.parent)
        told = [one for one in names if one.startswith(f"{self.name}.") and one.endswith(ROWS)]
        kinds = [one.removeprefix(f"{self.name}.").removesuffix(ROWS) for one in told]
        return {kind: self.expected_in(kind) for kind in kinds}


def examples_in(folder: Path) -> list[ExampleExport]:
    """Return the exports of a folder and of those in it, by their names."""
    every = [*_everything_in(folder)]
    several = {path for path in every if fsio.is_file(path / path.name)}
    files = [path for path in every if fsio.is_file(path) and path.parent not in several]
    paths = sorted([*files, *several])
    return [
        ExampleExport(path, _folder(path, folder), BROKEN in path.relative_to(folder).parts[:-1])
        for path in paths
        if not path.name.startswith(".")
        and not path.name.endswith(ROWS)
        and path.name != FINGERPRINTS
        and not (path.suffix == ".toml" and path.with_suffix("") in paths)  # notes
    ]


def _everything_in(folder: Path) -> Iterator[Path]:
    """Yield the files and folders in a folder, and in those."""
    for path in fsio.paths_in(folder):
        yield path
        yield from _everything_in(path)


def _folder(path: Path, below: Path) -> str:
    parts = path.relative_to(below).parts[:-1]
    return "/".join(part for part in parts if part != BROKEN)


def expected_rows(path: Path, kind: Kind) -> tuple[list[RowTold], frozenset[str], bool]:
    """Return the rows that must be filed, the columns told of them, and whether a person wrote so.

    Raises
    ------
    NotAsExpected
        If the file is no such table.
    """
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise NotAsExpected(f"{path.name} cannot be read: {error}") from None
    first = next((n for n, line in enumerate(lines) if line and not line.startswith("#")), None)
    if first is None:
        raise NotAsExpected(f"{path.name} is empty; expected titles, and a line for each row")
    titles = next(csv.reader([lines[first]]))
    infos = {info.name: info for info in columns_of(kind)}
    known = ["row", "sheet", *BESIDE, *infos]
    if unknown := [title for title in titles if title not in known]:
        raise NotAsExpected(
            f"{path.name}, line {first + 1}: kind {kind.name} has no column {unknown[0]!r}; there"
            f" are {', '.join(known)}"
        )
    if "row" not in titles:
        raise NotAsExpected(f"{path.name}, line {first + 1}: a column 'row' is needed")
    rows = [
        _expected(
            dict(zip(titles, cells, strict=False)), infos, kind.name, f"{path.name}, line {n}"
        )
        for n, cells in enumerate(csv.reader(lines[first + 1 :]), first + 2)
        if cells
    ]
    columns = frozenset(titles) - {"row", "sheet"}
    return rows, columns, not any(line.strip() == UNREAD for line in lines[:first])


def _expected(
    cells: Mapping[str, str], infos: Mapping[str, ColumnInfo], kind: str, place: str
) -> RowTold:
    values = []
    for name in (*BESIDE, *infos):
        if text := cells.get(name, "").strip():
            if name in BESIDE and text.casefold() in EMPTIES:
                said = f"{place}, column {name!r}: found {text!r}"
                raise NotAsExpected(f"{said}; where there is none the cell is empty")
            sort = infos[name].type if name in infos else "time" if name == "measured_at" else "str"
            values.append((name, _understood(text, sort, f"{place}, column {name!r}")))
    row = cells["row"].strip()
    if row and not row.isdecimal():
        raise NotAsExpected(f"{place}, column 'row': found {row!r}; expected a whole number")
    return RowTold(kind, int(row) if row else None, cells.get("sheet") or None, tuple(values))


def _understood(text: str, sort: str, place: str) -> str:
    try:
        if sort == "time":
            moment = datetime.fromisoformat(text)
            if moment.utcoffset() is None:
                raise NotAsExpected(f"{place}: {text!r} lacks its offset, such as +02:00")
            return as_text(moment.astimezone(UTC))
        if sort == "bool" and text in (str(True), str(False)):
            return text
        return text if sort == "str" else as_text(int(text) if sort == "whole" else float(text))
    except NotAsExpected:
        raise
    except ValueError:
        raise NotAsExpected(f"{place}: found {text!r}; expected {WRITTEN[sort]}") from None


def drafted(rows: Sequence[RowTold], kind: Kind) -> str:
    """Return what was read as a file of expected rows, marked as not yet looked through."""
    filled = {name for row in rows for name, _ in row.values}
    titles = [
        name for name in (*BESIDE, *(info.name for info in columns_of(kind))) if name in filled
    ]
    sheets = ["sheet"] if any(row.sheet for row in rows) else []
    written = io.StringIO()
    writer = csv.writer(written, lineterminator="\n")
    writer.writerow(["row", *sheets, *titles])
    writer.writerows(_cells(rows, sheets, titles))
    return f"{UNREAD}\n{written.getvalue()}"


def _cells(
    rows: Sequence[RowTold], sheets: Sequence[str], titles: Sequence[str]
) -> Iterator[list[object]]:
    for row in rows:
        values = dict(row.values)
        yield [row.row, *[row.sheet for _ in sheets], *[values.get(title, "") for title in titles]]
