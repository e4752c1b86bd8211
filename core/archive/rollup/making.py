"""Bringing the roll-up of a kind up to date: what has changed goes into one new file.

Smaller files and those of which most counts no longer are taken into the new one, so that there are
few, and each row is copied as often as the archive has doubled and hardly oftener. Nobody waits for
it: it holds a lock of its own, and a table that is replaced meanwhile counts from its own file.
"""

from __future__ import annotations

import heapq
import secrets
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.archive.lock import rollup_lock
from tiecoat.archive.rollup.parts import (
    NAME,
    OURS,
    folder_of,
    read_rollup,
    write_contents,
)
from tiecoat.archive.tables.parquet import Version
from tiecoat.archive.tables.storage import TableStorage, storage_of
from tiecoat.archive.tables_now import KindTables, LiveFile, RolledFile, RolledTable, live
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveFault, LabInUse

if TYPE_CHECKING:
    import pyarrow as pa
    import pyarrow.parquet as pq

    from tiecoat.lab.settings import Lab

ROWS_IN_GROUP = 262_144  # larger ones are read faster, and take more memory to make
GROWTH = 2  # a file that has less than so many times the bytes of what is new is taken into it
NEWEST_S = 0.02  # a time on disk may be as coarse as this: two tables could look alike


@dataclass(frozen=True)
class _TableCopied:
    """A table to be copied: its batch, what is told of it, its valid and its withdrawn rows."""

    batch: str
    told: RolledTable
    valid: pa.Table
    withdrawn: pa.Table


def bring_up_to_date(
    lab: Lab, kind: str, stopped: Callable[[], bool] = lambda: False, *, tidy: bool = False
) -> bool:
    """Bring the roll-up of a kind up to date; say whether it is as far as is known here.

    Parameters
    ----------
    stopped
        Asked between two tables; then what was half made is thrown away.
    tidy
        Whether files are made anew that hold any table which does not count: it has to be passed
        over in every question.

    Raises
    ------
    OSError
        If nothing may be written here, or the disk refuses: what there was stays.
    """
    try:
        with rollup_lock(lab):
            return _bring_up_to_date(lab, kind, stopped, tidy=tidy)
    except (LabInUse, ArchiveFault):  # somebody else is about it; or damaged, which others say
        return False


def _bring_up_to_date(lab: Lab, kind: str, stopped: Callable[[], bool], *, tidy: bool) -> bool:
    storage, folder = storage_of(lab), folder_of(lab, kind)
    time.sleep(NEWEST_S)
    files = read_rollup(folder)
    versions = {batch: version for (_, batch), version in storage.versions(kind).items()}
    tables = live(files, versions)
    taken_in = _taken_in(tables, tidy=tidy)
    if not tables.own and not taken_in and len(tables.files) == len(files):
        return True
    fsio.make_dirs(folder, like=lab.archive)
    with fsio.staging(lab.stage) as place, ExitStack() as opened:
        made: list[_NewFile] = []
        for copied in _merged(storage, kind, tables.own, taken_in):
            if stopped():
                return False
            for file in made:
                if file.takes(copied):
                    break
            else:
                made.append(file := _NewFile(place, copied.valid.schema, opened))
            file.add(copied)
        new = [one.finish(folder) for one in made]
        fsio.publish_many([(place / one.path.name, one.path) for one in new])
    kept = [one.file for one in tables.files if one not in taken_in]
    write_contents(folder, kind, [*kept, *new], lab.stage)
    _drop_others(folder, {one.path.name for one in (*kept, *new)})
    return not tables.own or sum(len(one.tables) for one in new) >= len(tables.own)


def _taken_in(tables: KindTables, *, tidy: bool) -> list[LiveFile]:
    """Return the files whose rows go into the new one."""
    sizes = {one: _live_bytes(one) for one in tables.files}
    new, found = sum(version.size for version in tables.own.values()), list[LiveFile]()
    for one in sorted(tables.files, key=lambda one: sizes[one]):
        is_untidy = len(one.dead) > (0 if tidy else len(one.file.tables) / 2)
        if is_untidy or (new and sizes[one] < GROWTH * new):
            found.append(one)
            new += sizes[one]
    return found


def _live_bytes(one: LiveFile) -> int:
    return sum(one.file.tables[batch].version.size for batch in one.batches)


def _merged(
    storage: TableStorage, kind: str, own: Mapping[str, Version], files: Sequence[LiveFile]
) -> Iterator[_TableCopied]:
    """Yield tables in the order of their batches, from their own files and from old copies."""
    sources = [_from_tables(storage, kind, own), *map(_from_file, files)]
    return heapq.merge(*sources, key=lambda copied: copied.batch)


def _from_tables(
    storage: TableStorage, kind: str, own: Mapping[str, Version]
) -> Iterator[_TableCopied]:
    """Yield tables that are still the ones they were when they were listed."""
    for batch, version in own.items():
        with suppress(FileNotFoundError, ArchiveFault):
            rows = storage.read((kind, batch), checksums=True)
            if storage.version((kind, batch)) == version:
                valid, withdrawn = _parted(rows)
                told = RolledTable(version, len(valid), len(withdrawn))
                yield _TableCopied(batch, told, valid, withdrawn)


def _parted(rows: pa.Table) -> tuple[pa.Table, pa.Table]:
    """Return the valid rows, and the withdrawn ones."""
    import pyarrow.compute as pc

    if rows["withdrawn"].null_count == len(rows):  # as mostly
        return rows, rows.slice(0, 0)
    is_valid = pc.is_null(rows["withdrawn"])
    return rows.filter(is_valid), rows.filter(pc.invert(is_valid))


def _from_file(one: LiveFile) -> Iterator[_TableCopied]:
    """Yield what counts from a file of the roll-up."""
    import pyarrow.parquet as pq

    file = one.file
    with pq.ParquetFile(file.path, page_checksum_verification=True) as opened:
        valid = _RowsInTurn(opened, range(file.valid_groups))
        withdrawn = _RowsInTurn(opened, range(file.valid_groups, opened.num_row_groups))
        for batch, told in file.tables.items():
            rows = valid.take(told.valid), withdrawn.take(told.withdrawn)
            if batch not in one.dead:
                yield _TableCopied(batch, told, *rows)


class _RowsInTurn:
    """Gives the rows of row groups, so many at a time, and holds one group in memory."""

    def __init__(self, file: pq.ParquetFile, groups: range) -> None:
        self._file, self._groups = file, iter(groups)
        self._left: pa.Table = file.schema_arrow.empty_table()

    def take(self, count: int) -> pa.Table:
        import pyarrow as pa

        while len(self._left) < count:
            more = self._file.read_row_group(next(self._groups))
            self._left = pa.concat_tables([self._left, more])
        rows, self._left = self._left.slice(0, count), self._left.slice(count)
        return rows


class _NewFile:
    """A file of the roll-up that is being made: tables of one schema."""

    def __init__(self, place: Path, schema: pa.Schema, opened: ExitStack) -> None:
        name = f"{secrets.token_hex(8)}.parquet"
        self._path, self._aside = place / name, place / f"{name}.withdrawn"
        self._tables: dict[str, RolledTable] = {}
        self._schema = schema
        self._valid = _GroupWriter(self._path, schema, opened)
        self._withdrawn = _GroupWriter(self._aside, schema, opened)

    def takes(self, copied: _TableCopied) -> bool:
        """Say whether a table fits in."""
        return bool(self._schema.equals(copied.valid.schema, check_metadata=True))

    def add(self, copied: _TableCopied) -> None:
        self._tables[copied.batch] = copied.told
        self._valid.write(copied.valid)
        self._withdrawn.write(copied.withdrawn)

    def finish(self, folder: Path) -> RolledFile:
        """Complete it, and return what it will be in its folder."""
        import pyarrow.parquet as pq

        self._valid.flush()
        valid_groups = self._valid.groups
        self._withdrawn.close()
        with pq.ParquetFile(self._aside) as aside:
            for number in range(aside.num_row_groups):
                self._valid.write(aside.read_row_group(number))
                self._valid.flush()
        self._valid.close({NAME.decode(): self._path.name})
        size = self._path.stat().st_size
        return RolledFile(folder / self._path.name, size, valid_groups, self._tables)


class _GroupWriter:
    """Writes rows into a Parquet file in groups of some size, whatever comes at a time."""

    def __init__(self, path: Path, schema: pa.Schema, opened: ExitStack) -> None:
        import pyarrow.parquet as pq

        self._file = opened.enter_context(fsio.new_file(path))
        self._writer = pq.ParquetWriter(
            self._file, schema, compression="zstd", write_page_checksum=True
        )
        opened.callback(self._writer.close)
        self._waiting: list[pa.Table] = []
        self._rows = self.groups = 0

    def write(self, rows: pa.Table) -> None:
        if not len(rows):
            return  # of a table it would keep all in memory, as each withdrawn part mostly would
        self._waiting.append(rows)
        self._rows += len(rows)
        if self._rows >= ROWS_IN_GROUP:
            self.flush()

    def flush(self) -> None:
        """Write what waits as groups of their own."""
        import pyarrow as pa

        if self._rows:
            size = -(-self._rows // max(1, self._rows // ROWS_IN_GROUP))  # no group of but a few
            self._writer.write_table(pa.concat_tables(self._waiting), size)
            self.groups += -(-self._rows // size)
        self._waiting, self._rows = [], 0

    def close(self, said: Mapping[str, str] | None = None) -> None:
        self.flush()
        if said:
            self._writer.add_key_value_metadata(said)
        self._writer.close()
        self._file.close()


def _drop_others(folder: Path, names: set[str]) -> None:
    """Delete files of ours that the contents do not name; one that is in use waits."""
    for path in fsio.paths_in(folder):
        if OURS.fullmatch(path.name) and path.name not in names:
            with suppress(OSError):
                fsio.remove(path)
