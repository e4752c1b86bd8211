"""Rows of a kind from the roll-up and from tables that changed since, in the archive's order."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Iterator, Mapping, Sequence
from functools import reduce
from itertools import accumulate
from operator import and_
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tiecoat.archive.tables.parquet import are_valid, unite
from tiecoat.archive.tables.storage import TableStorage
from tiecoat.archive.tables_now import KindTables, LiveFile, RollupDamaged, own_rows

if TYPE_CHECKING:
    import pyarrow as pa
    import pyarrow.dataset as ds


class RolledRows:
    """Opens files of a roll-up, and keeps them open.

    Parameters
    ----------
    in_memory
        Whether to hold them in memory: on a share a file that is deleted while it is mapped ends
        the process.
    """

    def __init__(self, *, in_memory: bool) -> None:
        self._in_memory = in_memory
        self._opened: dict[Path, tuple[pa.Buffer, ds.ParquetFileFragment]] = {}

    def fragment(self, one: LiveFile) -> ds.ParquetFileFragment:
        """Return a file as it is now, whatever becomes of its name."""
        return self._open(one.file.path)[1]

    def valid_rows(self, one: LiveFile, columns: Sequence[str] | None) -> pa.Table:
        """Return all valid rows of a file; a dataset would take twice as long for them."""
        import pyarrow as pa
        import pyarrow.parquet as pq

        buffer, fragment = self._open(one.file.path)
        with pq.ParquetFile(  # not kept: several may read at once
            pa.BufferReader(buffer), metadata=fragment.metadata, page_checksum_verification=True
        ) as file:
            rows = file.read_row_groups(range(one.file.valid_groups), columns)
        return rows if columns is None else rows.select(columns)

    def _open(self, path: Path) -> tuple[pa.Buffer, ds.ParquetFileFragment]:
        import pyarrow as pa

        if path in self._opened:
            return self._opened[path]
        try:
            buffer = (
                pa.py_buffer(path.read_bytes())
                if self._in_memory
                else pa.memory_map(str(path)).read_buffer()
            )
            fragment = parquet_format().make_fragment(pa.BufferReader(buffer))
            fragment.ensure_complete_metadata()
        except (OSError, pa.ArrowException) as error:
            raise RollupDamaged(str(error)) from error
        self._opened[path] = buffer, fragment
        return self._opened[path]

    def let_go(self, used: KindTables, kind: str) -> None:
        """Let go of files of a kind that are not used any more."""
        there = {one.file.path for one in used.files}
        for path in [path for path in self._opened if path.parent.name == kind]:
            if path not in there:
                del self._opened[path]


def parquet_format() -> ds.ParquetFileFormat:
    """Return how files of a roll-up are read: each page is checked by its checksum."""
    import pyarrow.dataset as ds

    checked = ds.ParquetFragmentScanOptions(page_checksum_verification=True)
    return ds.ParquetFileFormat(default_fragment_scan_options=checked)


def rows_of(
    kept: TableStorage,
    rolled: RolledRows,
    kind: str,
    tables: KindTables,
    *,
    batches: Collection[str] | None = None,
    only: Any = None,
    columns: Sequence[str] | None = None,
    withdrawn: bool = False,
) -> pa.Table | None:
    """Return rows of a kind, sorted as the tables are, batch by batch; None if there is no table.

    Parameters
    ----------
    batches
        Only these.
    only
        An expression that the rows must fulfil.
    columns
        Only these, and what the order needs.
    withdrawn
        Whether superseded and retracted rows are wanted too.

    Raises
    ------
    RollupDamaged
        If a file of the roll-up cannot be read.
    FileNotFoundError, ArchiveDamaged
        As `TableStorage.read` raises them.
    """
    import pyarrow as pa

    own = tables.among(batches)
    if columns is not None and len(tables.files) + len(tables.own) > 1:
        columns = list(dict.fromkeys([*columns, "batch"]))  # by which they are put in order
    pieces: list[pa.Table] = []
    for one in tables.files:
        told = one.file.tables
        mine: Sequence[str] = one.batches
        if batches is not None:
            mine = [batch for batch in mine if batch in batches]
        if withdrawn:  # in its table a withdrawn row stands among the valid ones
            own += [batch for batch in mine if told[batch].withdrawn]
            mine = [batch for batch in mine if not told[batch].withdrawn]
        try:
            pieces += _from_file(rolled, one, mine, only, columns)
        except (OSError, pa.ArrowException) as error:
            raise RollupDamaged(str(error)) from error
    for rows in own_rows(kept, kind, own, only, withdrawn=withdrawn):
        pieces.append(rows if columns is None else rows.select(there(rows, columns)))
    return in_one_order(pieces) if pieces else None


def there(rows: pa.Table, columns: Sequence[str]) -> list[str]:
    """Return the columns that a table has: one of an older version of its kind may lack some."""
    return [name for name in columns if name in rows.column_names]


def _from_file(
    rolled: RolledRows,
    one: LiveFile,
    mine: Sequence[str],
    only: Any,
    columns: Sequence[str] | None,
) -> Iterator[pa.Table]:
    import pyarrow.compute as pc
    import pyarrow.dataset as ds

    if not mine:
        return
    fragment = rolled.fragment(one)
    names = None if columns is None else [n for n in columns if n in fragment.physical_schema.names]
    if only is None and len(mine) == len(one.file.tables):
        yield rolled.valid_rows(one, names)
        return
    groups = [*range(one.file.valid_groups)]
    terms = [] if only is None else [only]
    if len(mine) < len(one.file.tables):
        valid = {batch: told.valid for batch, told in one.file.tables.items()}
        sizes = [group.num_rows for group in fragment.row_groups[: len(groups)]]
        groups = _groups_with(valid, set(mine), sizes)
        terms.append(pc.field("batch").isin(list(mine)))
    part = fragment.subset(row_group_ids=groups)
    whole = ds.FileSystemDataset([part], fragment.physical_schema, parquet_format())
    yield whole.to_table(names, filter=reduce(and_, terms) if terms else None)


def _groups_with(
    rows: Mapping[str, int], batches: Collection[str], sizes: Sequence[int]
) -> list[int]:
    """Return the row groups, of these sizes, in which some batches have rows.

    Parameters
    ----------
    rows
        How many rows each batch has, in their order.
    """
    ends = [*accumulate(sizes)]
    found, start = set[int](), 0
    for batch, count in rows.items():
        end = start + count
        if batch in batches and count:
            found.update(range(bisect_right(ends, start), bisect_left(ends, end) + 1))
        start = end
    return sorted(found)


def dataset_of(
    kept: TableStorage,
    rolled: RolledRows,
    kind: str,
    tables: KindTables,
    *,
    withdrawn: bool = False,
) -> ds.Dataset:
    """Return rows of a kind as a dataset that stays as they are now; its order is none.

    Each fragment can be read by itself, too: what does not count has been taken out of it.

    Raises
    ------
    RollupDamaged, FileNotFoundError, ArchiveDamaged
        As `rows_of` does.
    """
    import pyarrow.dataset as ds

    fragments: list[ds.ParquetFileFragment] = []
    empty = []
    for one in tables.files:
        whole = rolled.fragment(one)
        fragments += _fragments(whole, one, withdrawn=withdrawn)
        empty.append(whole.physical_schema.empty_table())
    if tables.own:
        own = kept.dataset([(kind, batch) for batch in tables.own])
        valid = are_valid()
        for fragment in own.get_fragments():
            as_it_is = withdrawn or _has_valid_only(fragment)
            fragments.append(fragment if as_it_is else _packed(fragment.to_table(filter=valid)))
        empty.append(own.schema.empty_table())
    return ds.FileSystemDataset(fragments, unite(empty).schema, parquet_format())


def _fragments(
    whole: ds.ParquetFileFragment, one: LiveFile, *, withdrawn: bool
) -> Iterator[ds.ParquetFileFragment]:
    """Yield what counts of a file, row group by row group."""
    import pyarrow.compute as pc

    sizes = [group.num_rows for group in whole.row_groups]
    split = one.file.valid_groups
    valid = {batch: told.valid for batch, told in one.file.tables.items()}
    aside = {batch: told.withdrawn for batch, told in one.file.tables.items()}
    dead = {*_groups_with(valid, one.dead, sizes[:split])}
    dead |= {split + group for group in _groups_with(aside, one.dead, sizes[split:])}
    for group in range(len(sizes) if withdrawn else split):
        part = whole.subset(row_group_ids=[group])
        if group in dead:
            part = _packed(part.to_table(filter=~pc.field("batch").isin(list(one.dead))))
        yield part


def _has_valid_only(fragment: ds.Fragment) -> bool:
    """Say whether the statistics of a file tell that none of its rows is withdrawn."""
    import pyarrow.dataset as ds

    if not isinstance(fragment, ds.ParquetFileFragment):
        return False
    place = fragment.physical_schema.get_field_index("withdrawn")
    for number in range(fragment.metadata.num_row_groups):
        column = fragment.metadata.row_group(number).column(place)
        if not column.statistics or column.statistics.null_count != column.num_values:
            return False
    return True


def _packed(rows: pa.Table) -> ds.ParquetFileFragment:
    """Return rows as a fragment in memory."""
    import pyarrow as pa
    import pyarrow.parquet as pq

    sink = pa.BufferOutputStream()
    pq.write_table(rows, sink, compression="lz4")
    return parquet_format().make_fragment(pa.BufferReader(sink.getvalue()))


def in_one_order(pieces: Sequence[pa.Table]) -> pa.Table:
    """Put pieces together batch by batch; each holds all rows of its batches, and in order."""
    import pyarrow.compute as pc

    if len(pieces) == 1:
        return pieces[0]
    runs = []
    for number, piece in enumerate(pieces):
        start = 0
        for column in piece["batch"].chunks:
            encoded = pc.run_end_encode(column)
            first = start
            ends = encoded.run_ends.to_pylist()
            for batch, end in zip(encoded.values.to_pylist(), ends, strict=True):
                runs.append((batch, number, start, first + end - start))
                start = first + end
    runs.sort()
    slices: list[tuple[int, int, int]] = []
    for _, number, start, count in runs:
        if slices and slices[-1][0] == number and sum(slices[-1][1:]) == start:
            slices[-1] = number, slices[-1][1], slices[-1][2] + count
        else:
            slices.append((number, start, count))
    empty = [piece for piece in pieces if not len(piece)]
    return unite([*empty, *(pieces[number].slice(*place) for number, *place in slices)])
