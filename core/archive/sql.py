"""SQL on the tables of the archive, by DuckDB in memory."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from tiecoat.errors import ArchiveDamaged, QueryInvalid, TiecoatError

if TYPE_CHECKING:
    import duckdb
    import pandas as pd
    import pyarrow as pa
    import pyarrow.dataset as ds

Tables: TypeAlias = Mapping[str, Sequence[Path]]  # kind -> its Parquet files

PLACE = "place_of_this_row"


def answer(query: str, find: Callable[[], Tables]) -> pd.DataFrame:
    """Answer a query on views of the tables: `<kind>` (valid rows) and `<kind>_all`.

    DuckDB opens a file more than once in a query. Where one of them was replaced meanwhile, the
    answer (or the error) may mix old and new: it is thrown away and the query runs on a snapshot.

    Parameters
    ----------
    find
        Returns kind -> its Parquet files, as they are now.

    Raises
    ------
    QueryInvalid
        If DuckDB does not understand the query.
    ArchiveDamaged
        If a table cannot be read.
    """
    from tiecoat.archive.tables import snapshot

    tables = find()
    named = _named(query, tables)
    names = [name for kind in tables for name in (kind, f"{kind}_all")]
    before = _prints(named)
    try:
        frame = _run(query, {kind: _from_files(paths) for kind, paths in named.items()}, names)
    except TiecoatError:
        if _prints(named) == before:
            raise
    else:
        if _prints(named) == before:
            return frame
    now = {kind: snapshot(paths) for kind, paths in _named(query, find()).items()}
    return _run(query, now, names)


def _named(query: str, tables: Tables) -> Tables:
    """Return the kinds that a query names, or all: a view opens every file of its kind."""
    words = set(re.findall(r"\w+", query.lower()))
    named = {kind: paths for kind, paths in tables.items() if words & {kind, f"{kind}_all"}}
    return named or tables


def _prints(tables: Tables) -> list[tuple[str, int, int, int]]:
    """Return what changes when a table is replaced or taken out."""
    prints = []
    for path in (path for paths in tables.values() for path in paths):
        try:
            found = path.stat()
        except FileNotFoundError:
            continue
        prints.append((str(path), found.st_ino, found.st_size, found.st_mtime_ns))
    return prints


def _run(query: str, sources: Mapping[str, str | ds.Dataset], names: Sequence[str]) -> pd.DataFrame:
    import duckdb

    with _connected() as connection:
        try:
            for kind, source in sources.items():
                _make_views(connection, kind, source)
        except duckdb.Error as error:
            raise ArchiveDamaged(f"the tables of {kind} cannot be read: {error}") from error
        try:
            return connection.execute(query).df()
        except duckdb.Error as error:
            if type(error) in {duckdb.Error, duckdb.IOException, duckdb.SerializationException}:
                raise ArchiveDamaged(f"a table cannot be read: {error}") from error
            raise QueryInvalid(f"{error}\nTables: {', '.join(names) or 'none yet'}") from error


def fulfilling(rows: pa.Table, where: str) -> pa.Table:
    """Return the rows that fulfil a condition, in their order.

    Raises
    ------
    QueryInvalid
        If DuckDB does not understand the condition.
    """
    import duckdb
    import pyarrow as pa

    numbered = rows.append_column(PLACE, pa.array(range(len(rows)), pa.int64()))
    with _connected() as connection:
        connection.register("rows", numbered)
        try:
            found = connection.execute(f"SELECT {PLACE} FROM rows WHERE ({where}\n)").fetchnumpy()
        except duckdb.Error as error:
            columns = ", ".join(rows.column_names)
            raise QueryInvalid(f"where={where!r}: {error}\nColumns: {columns}") from error
    return rows.take(pa.array(sorted(found[PLACE].tolist()), pa.int64()))


def _connected() -> duckdb.DuckDBPyConnection:
    import duckdb

    # The cache would let one query mix blocks of a file with those of the file that replaced it.
    settings = {"autoinstall_known_extensions": False, "enable_external_file_cache": False}
    connection = duckdb.connect(config=settings)  # type: ignore[arg-type]
    connection.execute("SET TimeZone = 'UTC'")
    return connection


def _make_views(connection: duckdb.DuckDBPyConnection, kind: str, source: str | ds.Dataset) -> None:
    if isinstance(source, str):
        connection.execute(f'CREATE VIEW "{kind}_all" AS FROM {source}')
    else:
        connection.register(f"{kind}_all", source)
    connection.execute(f'CREATE VIEW "{kind}" AS FROM "{kind}_all" WHERE withdrawn IS NULL')


def _from_files(paths: Sequence[Path]) -> str:
    files = f"read_parquet([{', '.join(map(_literal, paths))}], union_by_name = true)"
    if any(map(_has_remarks, paths)):  # mostly the first has
        return files
    # every table is of an older format: the column is empty, as elsewhere
    return f"(FROM {files} UNION ALL BY NAME SELECT NULL::VARCHAR AS remark WHERE false)"


def _has_remarks(path: Path) -> bool:
    import pyarrow as pa
    import pyarrow.parquet as pq

    try:
        return "remark" in pq.read_schema(path).names
    except (OSError, pa.ArrowException):  # what is wrong with it DuckDB says
        return True


def _literal(path: Path) -> str:
    """Return a path as an SQL text in which nothing counts as a pattern."""
    plain = re.sub(r"([\[\]*?])", r"[\1]", str(path))
    return "'" + plain.replace("'", "''") + "'"
