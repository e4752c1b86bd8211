"""SQL on the tables of the archive, by DuckDB in memory.

It sees these tables and nothing else: no other file, no variable of the program, no extension, and
nothing that could be set. One SELECT is let through, and a condition is one expression.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias

from tiecoat.archive.tables.parquet import Place, Version
from tiecoat.archive.tables.storage import TableStorage
from tiecoat.errors import ArchiveDamaged, QueryInvalid, TiecoatError
from tiecoat.wording import counted

if TYPE_CHECKING:
    import duckdb
    import pandas as pd
    import pyarrow as pa

TablePlaces: TypeAlias = Mapping[str, Sequence[Place]]  # those of each kind

PLACE = "place_of_this_row"
SETTINGS = {
    "autoinstall_known_extensions": False,
    "autoload_known_extensions": False,
    "python_enable_replacements": False,  # else the names of variables are tables
    "temp_directory": "",  # nothing is written, not even for a moment
    # It would let one query mix blocks of a file with those of the file that replaced it.
    "enable_external_file_cache": False,
}


def answer(query: str, kept: TableStorage) -> pd.DataFrame:
    """Answer a query on views of the tables: `<kind>` (valid rows) and `<kind>_all`.

    DuckDB opens a file more than once in a query. Where one of them was replaced meanwhile, the
    answer (or the error) may mix old and new: it is thrown away and the query runs on a snapshot.

    Raises
    ------
    QueryInvalid
        If DuckDB does not understand the query.
    ArchiveDamaged
        If a table cannot be read.
    """
    tables = _by_kind(kept)
    named = _named(query, tables)
    names = [name for kind in tables for name in (kind, f"{kind}_all")]
    before = _versions(named, kept)
    try:
        frame = _run(query, named, kept, names)
    except TiecoatError:
        if _versions(named, kept) == before:
            raise
    else:
        if _versions(named, kept) == before:
            return frame
    now = _named(query, _by_kind(kept))
    return _run(query, now, kept, names, as_now=True)


def _by_kind(kept: TableStorage) -> TablePlaces:
    return {kind: list(own) for kind, own in groupby(kept.places(), lambda place: place[0])}


def _named(query: str, tables: TablePlaces) -> TablePlaces:
    """Return the kinds that a query names, or all: a view opens every file of its kind."""
    words = set(re.findall(r"\w+", query.lower()))
    named = {kind: paths for kind, paths in tables.items() if words & {kind, f"{kind}_all"}}
    return named or tables


def _versions(tables: TablePlaces, kept: TableStorage) -> dict[Place, Version | None]:
    """Return what changes when a table is replaced or taken out."""
    return {place: kept.version(place) for places in tables.values() for place in places}


def _run(
    query: str,
    tables: TablePlaces,
    kept: TableStorage,
    names: Sequence[str],
    *,
    as_now: bool = False,
) -> pd.DataFrame:
    """Answer a query on tables where they lie or, slower, on what they are at this moment."""
    import duckdb

    files = [] if as_now else [path for own in tables.values() for path in kept.files(own)]
    with _connected(files) as connection:
        try:
            for kind, places in tables.items():
                _make_views(connection, kind, places, kept, as_now=as_now)
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
    connection: duckdb.DuckDBPyConnection,
    kind: str,
    places: Sequence[Place],
    kept: TableStorage,
    *,
    as_now: bool,
) -> None:
    import duckdb

    try:
        if not as_now:
            connection.execute(f'CREATE VIEW "{kind}_all" AS FROM {kept.sql(places)}')
    except duckdb.PermissionException:  # a path that it takes for a pattern
        as_now = True
    if as_now:
        connection.register(f"{kind}_all", kept.dataset(places))
    connection.execute(f'CREATE VIEW "{kind}" AS FROM "{kind}_all" WHERE withdrawn IS NULL')


def _text(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
