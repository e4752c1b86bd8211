"""SQL on the tables of the archive, by DuckDB in memory.

It sees these tables and nothing else: no other file, no variable of the program, no extension, and
nothing that could be set. One SELECT is let through, and a condition is one expression.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from tiecoat.errors import ArchiveDamaged, QueryInvalid, TiecoatError
from tiecoat.wording import counted

if TYPE_CHECKING:
    import duckdb
    import pandas as pd
    import pyarrow as pa
    import pyarrow.dataset as ds

Tables: TypeAlias = Mapping[str, list[Path]]  # kind -> its Parquet files

PLACE = "place_of_this_row"
SETTINGS = {
    "autoinstall_known_extensions": False,
    "autoload_known_extensions": False,
    "python_enable_replacements": False,  # else the names of variables are tables
    "temp_directory": "",  # nothing is written, not even for a moment
    # It would let one query mix blocks of a file with those of the file that replaced it.
    "enable_external_file_cache": False,
}


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
    from tiecoat.archive.tables.parquet import snapshot

    tables = find()
    named = _named(query, tables)
    names = [name for kind in tables for name in (kind, f"{kind}_all")]
    before = _prints(named)
    try:
        frame = _run(query, named, names)
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


def _run(
    query: str, sources: Mapping[str, list[Path] | ds.Dataset], names: Sequence[str]
) -> pd.DataFrame:
    import duckdb

    files = [path for source in sources.values() if isinstance(source, list) for path in source]
    with _connected(files) as connection:
        try:
            for kind, source in sources.items():
                _make_views(connection, kind, source)
        except duckdb.Error as error:
            raise ArchiveDamaged(f"the tables of {kind} cannot be read: {error}") from error
        try:
            return connection.execute(_only_select(connection, query)).df()
        except duckdb.Error as error:
            if type(error) in {duckdb.Error, duckdb.IOException, duckdb.SerializationException}:
                raise ArchiveDamaged(f"a table cannot be read: {error}") from error
            raise QueryInvalid(f"{error}\nTables: {', '.join(names) or 'none yet'}") from error


def _only_select(connection: duckdb.DuckDBPyConnection, query: str) -> duckdb.Statement:
    """Return the query as DuckDB has parsed it, if it is one that can only read.

    Raises
    ------
    QueryInvalid
        If it is another statement, or more than one.
    """
    import duckdb

    found = connection.extract_statements(query)
    if len(found) != 1:
        raise QueryInvalid(f"expected one SELECT, found {counted(len(found), 'statement')}")
    if found[0].type != duckdb.StatementType.SELECT:
        said = found[0].type.name.replace("_", " ")
        raise QueryInvalid(f"expected one SELECT, found {said}: an archive is only read here")
    return found[0]


def fulfilling(rows: pa.Table, where: str) -> pa.Table:
    """Return the rows that fulfil a condition, in their order.

    Raises
    ------
    QueryInvalid
        If DuckDB does not understand the condition as one expression.
    """
    import duckdb
    import pyarrow as pa

    numbered = rows.append_column(PLACE, pa.array(range(len(rows)), pa.int64()))
    with _connected([]) as connection:
        try:
            condition = duckdb.SQLExpression(where)
            found = connection.from_arrow(numbered).filter(condition).select(PLACE).fetchnumpy()
        except duckdb.Error as error:
            columns = ", ".join(rows.column_names)
            raise QueryInvalid(f"where={where!r}: {error}\nColumns: {columns}") from error
    return rows.take(pa.array(sorted(found[PLACE].tolist()), pa.int64()))


def _connected(files: Sequence[Path]) -> duckdb.DuckDBPyConnection:
    """Return an empty database in memory that can open these files, and nothing else."""
    import duckdb

    connection = duckdb.connect(config=SETTINGS)  # type: ignore[arg-type]
    allowed = ", ".join(_text(str(path)) for path in files)
    for statement in (
        "SET TimeZone = 'UTC'",
        f"SET allowed_paths = [{allowed}]",
        "SET enable_external_access = false",
        "SET lock_configuration = true",
    ):
        connection.execute(statement)
    return connection


def _make_views(
    connection: duckdb.DuckDBPyConnection, kind: str, source: list[Path] | ds.Dataset
) -> None:
    import duckdb

    from tiecoat.archive.tables.parquet import snapshot

    if isinstance(source, list):
        try:
            connection.execute(f'CREATE VIEW "{kind}_all" AS FROM {_from_files(source)}')
        except duckdb.PermissionException:  # a path that it takes for a pattern
            connection.register(f"{kind}_all", snapshot(source))
    else:
        connection.register(f"{kind}_all", source)
    connection.execute(f'CREATE VIEW "{kind}" AS FROM "{kind}_all" WHERE withdrawn IS NULL')


def _from_files(paths: Sequence[Path]) -> str:
    """Return what reads files; signs that would make a path a pattern count as themselves."""
    plain = (re.sub(r"([\[\]*?])", r"[\1]", str(path)) for path in paths)
    return f"read_parquet([{', '.join(map(_text, plain))}], union_by_name = true)"


def _text(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
