"""SQL on the tables of the archive, by DuckDB in memory."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import TYPE_CHECKING, TypeAlias

from tiecoat.archive.tables.parquet import Place, Version
from tiecoat.archive.tables.storage import TableStorage
from tiecoat.errors import ArchiveDamaged, QueryInvalid, TiecoatError

if TYPE_CHECKING:
    import duckdb
    import pandas as pd
    import pyarrow as pa
    import pyarrow.dataset as ds

TablePlaces: TypeAlias = Mapping[str, Sequence[Place]]  # those of each kind

PLACE = "place_of_this_row"


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
        frame = _run(query, {kind: kept.sql(places) for kind, places in named.items()}, names)
    except TiecoatError:
        if _versions(named, kept) == before:
            raise
    else:
        if _versions(named, kept) == before:
            return frame
    now = _named(query, _by_kind(kept))
    return _run(query, {kind: kept.dataset(places) for kind, places in now.items()}, names)


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
