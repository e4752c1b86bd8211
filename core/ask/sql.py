"""SQL on the tables of the archive, by DuckDB in memory.

It sees these tables and nothing else: no other file, no variable of the program, no extension, and
nothing that could be set. One SELECT is let through, and a condition is one expression.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING

from tiecoat.archive.tables_now import KindTables, LiveFile, RollupDamaged
from tiecoat.ask.choosing import CODES, Registered
from tiecoat.errors import ArchiveDamaged, QueryInvalid
from tiecoat.wording import counted

if TYPE_CHECKING:
    import duckdb
    import pandas as pd
    import pyarrow as pa
    import pyarrow.dataset as ds

    from tiecoat.archive.tables_now import TablesNow

STEADY_TRIES = 5  # to have all tables of one moment; then as they come, each whole in itself
OF_FILES = ("Error", "IOException", "SerializationException")  # which no query can help
PLACE = "place_of_this_row"
SETTINGS = {
    "autoinstall_known_extensions": False,
    "autoload_known_extensions": False,
    "python_enable_replacements": False,  # else the names of variables are tables
    "temp_directory": "",  # nothing is written, not even for a moment
}


class SqlSession:
    """Answers queries on views of the tables: `<kind>` (valid rows) and `<kind>_all`.

    It keeps its database in memory from one query to the next. What counts from the roll-up is read
    from files that never change; other tables as they were at one moment.

    Parameters
    ----------
    kinds
        Returns the kinds that there are, or those of some names.
    must_be_whole
        Raises where a kind is gone, or one of some names is on its way.
    now
        Tells the tables of a kind, and takes back files of the roll-up that cannot be read.
    dataset
        Returns tables of a kind as a dataset of this moment, withdrawn rows too.
    remark
        Returns in SQL what the remark of a kind is by now; "" where it is as it was filed.
    """

    def __init__(
        self,
        kinds: Callable[[Collection[str] | None], list[str]],
        must_be_whole: Callable[[Collection[str]], object],
        now: TablesNow,
        dataset: Callable[[str, KindTables], ds.Dataset],
        remark: Callable[[str], str],
    ) -> None:
        self._kinds, self._must_be_whole = kinds, must_be_whole
        self._now, self._dataset, self._remark = now, dataset, remark
        self._one_at_a_time = Lock()
        self._connection: duckdb.DuckDBPyConnection | None = None
        self._files: frozenset[Path] = frozenset()  # that it can open
        self._views: dict[str, tuple[KindTables, str]] = {}  # with what is made of the remark

    def answer(self, query: str) -> pd.DataFrame:
        """Answer a query.

        Raises
        ------
        QueryInvalid
            If DuckDB does not understand the query.
        ArchiveDamaged
            If a table cannot be read.
        """
        import duckdb

        named = _names_in(query)
        kinds = self._kinds(named) or self._kinds(None)  # only of these there need be views
        with self._one_at_a_time:
            while True:
                tables = self._of_one_moment(kinds)
                connection = self._with_views(tables)
                try:
                    return _as_frame(connection.execute(_only_select(connection, query)))
                except duckdb.Error as error:
                    if type(error).__name__ not in OF_FILES:
                        self._must_be_whole(named)
                        every = self._kinds(None)
                        names = ", ".join(name for kind in every for name in (kind, f"{kind}_all"))
                        raise QueryInvalid(f"{error}\nTables: {names or 'none yet'}") from error
                    if not self._can_do_better(tables):
                        raise ArchiveDamaged(f"a table cannot be read: {error}") from error

    def _of_one_moment(self, kinds: Sequence[str]) -> dict[str, KindTables]:
        """Return the tables of kinds, and have views of them as they are at one moment."""
        for _ in range(STEADY_TRIES):
            tables = {kind: self._now.of(kind) for kind in kinds}
            try:
                self._with_views(tables)
            except RollupDamaged:
                self._can_do_better(tables)
                continue
            # what is rolled up is of the moment when it was asked for; so must be what is not
            own = {kind: one for kind, one in tables.items() if one.own or len(tables) > 1}
            if all(self._now.of(kind) is one for kind, one in own.items()):
                break
        return tables

    def _can_do_better(self, tables: Mapping[str, KindTables]) -> bool:
        """Say whether there is another roll-up by now; else use this one no more, if there is."""
        if any(self._now.of(kind) is not one for kind, one in tables.items()):
            return True
        for one in tables.values():
            self._now.distrust(one)
        return any(one.files for one in tables.values())

    def _with_views(self, tables: Mapping[str, KindTables]) -> duckdb.DuckDBPyConnection:
        """Return the database with views of these tables; another one where it lacks the right."""
        files = {one.file.path for every in tables.values() for one in every.files}
        if self._connection is None or not files <= self._files:
            if self._connection is not None:
                self._connection.close()
            of_views = {one.file.path for every, _ in self._views.values() for one in every.files}
            self._files = frozenset(files | of_views)
            self._connection, self._views = _connected(sorted(self._files)), {}
        for kind, one in tables.items():
            remark, before = self._remark(kind), self._views.get(kind)
            if before is None or before[0] is not one or before[1] != remark:
                self._views.pop(kind, None)
                self._make_views(self._connection, kind, one, remark)
                self._views[kind] = one, remark
        return self._connection

    def _make_views(
        self, connection: duckdb.DuckDBPyConnection, kind: str, tables: KindTables, remark: str
    ) -> None:
        import duckdb

        sources = [(_rolled(one), one.file.has_withdrawn) for one in tables.files]
        try:
            for source, _ in sources:
                connection.execute(f"{source} LIMIT 0")
        except duckdb.PermissionException:  # a path that it takes for a pattern
            sources, elsewhere = [], tables
        except duckdb.Error as error:
            raise RollupDamaged(str(error)) from error
        else:
            elsewhere = KindTables((), tables.own)
        if elsewhere.own or elsewhere.files:
            connection.register(f"{kind} elsewhere", self._dataset(kind, elsewhere))
            sources.append((f'FROM "{kind} elsewhere"', True))
        every = [source for source, _ in sources]
        valid = [
            f"FROM ({source}) WHERE withdrawn IS NULL" if has_withdrawn else source
            for source, has_withdrawn in sources
        ]
        for view, parts in ((f"{kind}_all", every), (kind, valid)):
            united = " UNION ALL BY NAME ".join(parts)
            if remark:
                united = f"SELECT * REPLACE ({remark} AS remark) FROM ({united})"
            connection.execute(f'CREATE OR REPLACE VIEW "{view}" AS {united}')


def _as_frame(answer: duckdb.DuckDBPyConnection) -> pd.DataFrame:
    """Return an answer as a frame; a column of texts is one where it holds none, too."""
    texts = [n for n, one in enumerate(answer.description or ()) if str(one[1]) == "VARCHAR"]
    frame: pd.DataFrame = answer.df()
    empty = [n for n in texts if frame.dtypes.iloc[n] == "object"]
    if empty:
        import pandas as pd

        dtype = pd.Series([""]).dtype  # as pandas has texts
        for place in empty:
            frame.isetitem(place, frame.iloc[:, place].astype(dtype).array)
    return frame


def _names_in(query: str) -> set[str]:
    """Return what in a query may name kinds."""
    words = set(re.findall(r"\w+", query.lower()))
    return words | {word.removesuffix("_all") for word in words}


def remark_in_sql(names: Collection[tuple[str, str | None]], registered: Registered) -> str:
    """Return the column `remark` in SQL as it is now; "" where it is as it was filed.

    Parameters
    ----------
    names
        Batch and panel of whatever is filed as "not in the register".
    """
    open_ = {one for one in names if not registered.has(*one)}
    if len(open_) == len({*names}):
        return ""
    panels = sorted({panel for _, panel in open_ if panel is not None})
    batches = sorted({batch for batch, panel in open_ if panel is None})
    unless = [
        f"{column} IN ({', '.join(map(_text, ids))})"
        for column, ids in (("panel", panels), ("panel IS NULL AND batch", batches))
        if ids
    ]
    left = f"regexp_replace(remark, '(^|; )({CODES}): [^;]*', '', 'g')"
    answered = f"nullif(ltrim({left}, '; '), '')"
    if not unless:
        return answered
    return f"CASE WHEN {' OR '.join(unless)} THEN remark ELSE {answered} END"


def _rolled(one: LiveFile) -> str:
    """Return in SQL what counts of a file of the roll-up."""
    source = f"FROM read_parquet({_literal(one.file.path)})"
    if one.dead:
        source += f" WHERE batch NOT IN ({', '.join(map(_text, sorted(one.dead)))})"
    return source


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


def _literal(path: Path) -> str:
    """Return a path as an SQL text in which nothing counts as a pattern."""
    return _text(re.sub(r"([\[\]*?])", r"[\1]", str(path)))


def _text(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
