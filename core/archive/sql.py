"""SQL on the tables of the archive, by DuckDB in memory."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.errors import ArchiveDamaged, QueryInvalid

if TYPE_CHECKING:
    import duckdb
    import pandas as pd
    import pyarrow as pa

PLACE = "place_of_this_row"


def answer(query: str, tables: Mapping[str, Sequence[Path]]) -> pd.DataFrame:
    """Answer a query on views of the tables: `<kind>` (valid rows) and `<kind>_all`.

    Parameters
    ----------
    tables
        Kind -> its Parquet files.

    Raises
    ------
    QueryInvalid
        If DuckDB does not understand the query.
    ArchiveDamaged
        If a table cannot be read.
    """
    import duckdb

    # A view opens every file of its kind, so only what the query names is made.
    words = set(re.findall(r"\w+", query.lower()))
    named = [kind for kind in tables if words & {kind, f"{kind}_all"}]
    with _connected() as connection:
        try:
            for kind in named or tables:
                _make_views(connection, kind, tables[kind])
        except duckdb.Error as error:
            raise ArchiveDamaged(f"the tables of {kind} cannot be read: {error}") from error
        try:
            return connection.execute(query).df()
        except duckdb.IOException as error:
            raise ArchiveDamaged(f"a table cannot be read: {error}") from error
        except duckdb.Error as error:
            listed = ", ".join(name for kind in tables for name in (kind, f"{kind}_all"))
            raise QueryInvalid(f"{error}\nTables: {listed or 'none yet'}") from error


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


def _make_views(connection: duckdb.DuckDBPyConnection, kind: str, paths: Sequence[Path]) -> None:
    files = ", ".join(_literal(path) for path in paths)
    rows = f"read_parquet([{files}], union_by_name = true)"
    connection.execute(f'CREATE VIEW "{kind}_all" AS SELECT * FROM {rows}')
    connection.execute(f'CREATE VIEW "{kind}" AS FROM "{kind}_all" WHERE withdrawn IS NULL')


def _literal(path: Path) -> str:
    """Return a path as an SQL text in which nothing counts as a pattern."""
    plain = re.sub(r"([\[\]*?])", r"[\1]", str(path))
    return "'" + plain.replace("'", "''") + "'"
