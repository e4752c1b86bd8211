"""Reading the archive: plain tables for plain questions, SQL for the others.

Nothing here changes the archive or waits for who does, so it is safe while the service runs.
"""

from __future__ import annotations

import difflib
import time
import warnings
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from contextlib import suppress
from datetime import date
from functools import cached_property, partial
from html import escape
from os import PathLike
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple, TypeVar

from tiecoat.archive.tables.parquet import Place, Version, unite
from tiecoat.archive.tables.storage import storage_of
from tiecoat.archive.tables_now import KindTables, RollupDamaged, TablesNow, own_rows
from tiecoat.ask.choosing import (
    MeasurementChoice,
    MeasurementsListed,
    Registered,
    RowsWanted,
    as_registered,
    claims,
    kept_id,
    listed_in,
    named_in,
    text,
    text_or_none,
    truth,
)
from tiecoat.contract.columns import per_of
from tiecoat.disk import fsio
from tiecoat.disk.shares import share_under
from tiecoat.errors import (
    ArchiveDamaged,
    KindUnfinished,
    QueryInvalid,
    TiecoatError,
    UnknownName,
    WrittenByNewer,
)
from tiecoat.lab.ids import canonical
from tiecoat.lab.settings import Lab, open_lab

if TYPE_CHECKING:
    import pandas as pd
    import pyarrow as pa
    import pyarrow.dataset as ds

    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.tables.describe import Described
    from tiecoat.archive.tables_now import RolledFile
    from tiecoat.ask.contents import ArchiveHolds
    from tiecoat.ask.rows import RolledRows
    from tiecoat.ask.sql import SqlSession

T = TypeVar("T")

AGAIN_S = 0.1  # a table was replaced at the wrong moment: look once more after so long
TRIES = 2  # to ask the index: somebody may just have begun to write to it
FEW = 8  # tables that are read from their own files, whatever stands in the roll-up
FEW_COLUMNS = 2  # of a frame that is made column by column
STEADY_TRIES = 5  # to read many tables of one moment; then as they come, each whole in itself
SHOWN = 12  # names listed in a message

LISTED = (
    *("measurement", "kind", "batch", "panel", "measured_at", "n_rows", "instrument", "reader"),
    *("source_name", "source_row", "source_sha256", "remark", "withdrawn"),
)


class _Kinds(NamedTuple):
    """The kinds that there are tables of, and those whose tables an upgrade has left elsewhere."""

    there: list[str]
    on_their_way: list[str]


def open_archive(folder: str | Path) -> Archive:
    """Open the archive of a lab for reading.

    Parameters
    ----------
    folder
        The lab folder, which holds tiecoat.toml.

    Raises
    ------
    NotALab
        If it holds no tiecoat.toml.
    SettingInvalid
        If a setting is not allowed.
    QueryInvalid
        If it is no path.
    ArchiveDamaged
        If a rebuild was cut short between taking the old archive away and putting the new one in
        its place.

    Examples
    --------
    In the lab of the example, panels with 10 % of glass flake adhere badly:

    >>> import tiecoat
    >>> archive = tiecoat.open("archive_example")
    >>> weak = archive.read("pull_off", where="strength_mpa < 5")
    >>> weak.groupby("batch")["strength_mpa"].min().round(2).to_dict()
    {'RB-015': 3.26, 'RB-016': 3.45}
    """
    if not isinstance(folder, str | PathLike):
        said = f"folder is {folder!r} ({type(folder).__name__})"
        raise QueryInvalid(f"{said}; expected the path of a lab, such as 'lab'")
    lab = open_lab(folder)
    if _between_two(lab):
        time.sleep(AGAIN_S)
        if _between_two(lab):
            raise ArchiveDamaged(
                f"{lab.archive} is not there: a rebuild was cut short in its last step.\n"
                "Nothing is lost; complete it with: tiecoat reindex"
            )
    return Archive(lab)


def _between_two(lab: Lab) -> bool:
    if storage_of(lab).is_there:
        return False
    from tiecoat.archive.swap import is_ready

    return is_ready(lab)


class Archive:
    """The tables of a lab, for reading. Made by `tiecoat.open`.

    Ids of batches and panels are understood in upper and lower case. Rows that were superseded or
    retracted are left out unless asked for. Units and meanings of columns stand in the metadata of
    the Parquet fields; see `columns(kind)`.

    Questions to many tables are answered from the roll-up, a copy of them in few large files beside
    the archive, and from the tables that have changed since; who may write there brings it up to
    date on the way. That, and what it has learnt of the tables, is all that an archive remembers.
    """

    def __init__(self, lab: Lab) -> None:
        self._lab = lab
        self._kept = storage_of(lab)
        self._now = TablesNow(
            lab,
            self._kept,
            ask=self._ask_index,
            committed=self._committed,
            must_be_whole=self._whole_as_seen,
            rolled_in=_rolled_in,
            roll_up=self._roll_up,
        )
        self._memory: Index | None = None
        self._remarks: dict[str, str] = {}
        self._remarks_at: object | None = None
        self._datasets: dict[tuple[str, bool], tuple[KindTables, ds.Dataset]] = {}

    def __reduce__(self) -> tuple[type[Archive], tuple[Lab]]:
        return Archive, (self._lab,)  # what it has learnt stays here

    def __repr__(self) -> str:
        return f"<Archive of {self._lab.root}>"

    def _repr_html_(self) -> str:
        """Show in a notebook what there is; of one that is damaged, where it is."""
        from tiecoat.ask.shown import as_html

        try:
            return as_html(self._lab.root, self.holds())
        except (TiecoatError, OSError) as error:
            return f"<pre>{escape(f'{self!r}: {error}')}</pre>"

    @property
    def lab(self) -> Lab:
        """The lab whose archive this is."""
        return self._lab

    def kinds(self) -> list[str]:
        """Return the kinds that there are tables of.

        Warns
        -----
        UserWarning
            If an upgrade was cut short that left tables of a kind on their way: it is among the
            kinds, and questions to it raise until it is completed, as the warning says. So does
            whatever else asks for all kinds.

        Raises
        ------
        ArchiveDamaged
            If a table is not there any more.
        """
        return sorted(self._must_all_be_whole())

    def batches(self, kind: str | None = None) -> list[str]:
        """Return the batches that there are tables of, or those with a table of a kind.

        Raises
        ------
        UnknownName
            If there is no such kind.
        ArchiveDamaged
            If a table is not there any more.
        """
        if kind is not None:
            return sorted(self._now.seen(self._kind(text("kind", kind, "impedance"))))
        kinds = self._must_all_be_whole()
        return sorted({batch for kind in kinds for batch in self._batches(kind)})

    def read(
        self,
        kind: str,
        batch: str | Collection[str] | None = None,
        panel: str | Collection[str] | None = None,
        where: str | None = None,
        *,
        columns: Sequence[str] | None = None,
        since: str | date | None = None,
        withdrawn: bool = False,
    ) -> pd.DataFrame:
        """Return rows of one kind, sorted by batch, panel, time and measurement.

        Parameters
        ----------
        kind
            Such as "impedance".
        batch, panel
            Only this one, or these; a panel is found without naming its batch.
        where
            A condition in SQL on the columns, such as "strength_mpa < 5 and panel like 'RB%'".
        columns
            Only these, in this order; `columns` lists what there are. It takes less time and
            memory, too.
        since
            Only what was measured from then on: a date or time, as for `measurements`.
        withdrawn
            Whether superseded and retracted rows are wanted too.

        Raises
        ------
        UnknownName
            If there is no such kind, batch, panel or column; the message lists near ones.
        QueryInvalid
            If the condition or the date cannot be understood, or something is of a wrong type.
        ArchiveDamaged
            If a table does not open, or lacks what was filed in it.
        """
        wanted = RowsWanted.of(kind, batch, panel, where, columns)
        at = None if since is None else self._moment(since, day_after=False)
        return _as_frame(self._rows(wanted, at, withdrawn=truth("withdrawn", withdrawn)))

    def columns(self, kind: str) -> pd.DataFrame:
        """Return the columns of a kind by name, each with its unit and its meaning.

        Raises
        ------
        UnknownName
            If there is no such kind; the message lists those there are.
        """
        from tiecoat.ask.shown import columns_told

        return columns_told(self._no_rows(text("kind", kind, "impedance")).schema)

    def measurements(
        self,
        kind: str | None = None,
        batch: str | None = None,
        panel: str | None = None,
        since: str | date | None = None,
        until: str | date | None = None,
        *,
        file: str | None = None,
        remark: str | None = None,
        withdrawn: bool = False,
    ) -> pd.DataFrame:
        """Return one row for each measurement, sorted by kind, batch, panel and time.

        The column `remark` says what is odd about it. What was filed as "not in the register" is
        left out of it once the register knows it, as it is in `read` and `sql`; the tables keep
        what was filed, and so do `arrow` and whoever reads the files.

        Parameters
        ----------
        kind, batch, panel
            Only these.
        since, until
            Only what was measured from `since` on and before `until`: a date or time, as a text
            ("2026-10-01", "2026-10-01 14:30") in the lab's time zone or as an object. A date as
            `until` includes that day.
        file
            The name of their export; * stands for any text, and case does not matter.
        remark
            Some of their remark, such as "unregistered-panel".
        withdrawn
            Whether superseded and retracted ones are wanted too.

        Raises
        ------
        UnknownName
            If there is no such kind, batch or panel; the message lists near ones.
        QueryInvalid
            If a date cannot be understood.
        ArchiveDamaged
            If a table lacks what was filed in it.
        """
        choice = MeasurementChoice(kind, batch, panel, file, since, until, remark, withdrawn)
        frame: pd.DataFrame = measurement_rows(self.listed(choice).shown).to_pandas()
        return frame

    def listed(
        self, choice: MeasurementChoice | Sequence[str], limit: int | None = None
    ) -> MeasurementsListed:
        """Return measurements that are chosen or named, the first so many; raises as above."""
        if not isinstance(choice, MeasurementChoice):
            return self._ask(lambda index: named_in(index, choice))
        since, until = choice.since, choice.until
        batch = text_or_none("batch", choice.batch, "RB-014")
        panel = text_or_none("panel", choice.panel, "RB-014-3")
        remark = text_or_none("remark", choice.remark, "unregistered-panel")
        asked = RowsWanted.of(choice.kind or "", choice.batch, choice.panel, None, None)
        wanted: dict[str, Any] = {
            "kind": None if choice.kind is None else self._kind(choice.kind),
            "batch": None if batch is None else kept_id(batch),
            "panel": None if panel is None else kept_id(panel),
            "file": text_or_none("file", choice.file, "sweep*.csv"),
            "since": None if since is None else self._moment(since, day_after=False),
            "until": None if until is None else self._moment(until, day_after=True),
            "withdrawn": choice.withdrawn,
        }
        if wanted["batch"] is not None:
            self._must_be_whole(wanted["kind"], wanted["batch"])
            if wanted["kind"] is None:
                self._tell(self._whole().on_their_way)
        elif wanted["kind"] is not None:
            self._now.seen(wanted["kind"])
        else:
            self._must_all_be_whole()
        found = self._ask(lambda index: listed_in(index, wanted, remark, limit))
        if not found.total:
            self._must_exist(asked, None)
        return found

    def holds(self) -> ArchiveHolds:
        """Return how much there is of each kind, and what is remarked on it.

        Raises
        ------
        ArchiveDamaged
            If a table lacks what was filed in it.
        """
        from tiecoat.ask.contents import holds_of

        self._must_all_be_whole()
        return self._ask(holds_of)

    def sql(self, query: str) -> pd.DataFrame:
        """Answer a query in SQL (DuckDB).

        Each kind is a table of its valid rows; `<kind>_all` also has the withdrawn ones.

        Parameters
        ----------
        query
            Such as "select batch, avg(strength_mpa) from pull_off group by batch". Rows come in a
            fixed order only if the query says `order by`.

        Raises
        ------
        QueryInvalid
            If the query cannot be understood, with the tables there are; or is not one SELECT.
        ArchiveDamaged
            If a table does not open, or lacks what was filed in it.
        """
        frame: pd.DataFrame = self._sql.answer(text("query", query, "select * from pull_off"))
        return frame

    def evaluate(
        self,
        kind: str,
        batch: str | Collection[str] | None = None,
        panel: str | None = None,
        quantity: str | None = None,
    ) -> pd.DataFrame:
        """Return engineering results: one row for each, with its uncertainty and its reason.

        Parameters
        ----------
        kind
            Such as "pull_off".
        batch, panel
            Only from measurements of these; a panel is found without naming its batch. Of several
            batches, such as ["RB-014", "RB-015"], what is pooled over batches is pooled over these.
        quantity
            Only this, such as "strength_mean", or all that the evaluation of this name gives. What
            takes long (fits of circuits) is computed only when asked for in this way.

        Returns
        -------
        pandas.DataFrame
            See `tiecoat.evaluate.result` for the columns. Where `value` is NaN, `reason` says why.

        Warns
        -----
        UserWarning
            For each evaluation that was left out because it does not load or broke down.

        Raises
        ------
        UnknownName
            If there is no such kind, batch, panel or quantity; the message lists near ones.
        ArchiveDamaged
            If a table does not open, or lacks what was filed in it.
        """
        from tiecoat.ask.evaluate import evaluate

        several = RowsWanted.of(kind, batch, panel, None, None).batches  # raises for wrong types
        wanted = text_or_none("quantity", quantity, "strength_mean")
        batches = batch if batch is None or isinstance(batch, str) else several
        found = evaluate(self, kind, batches, panel, wanted)
        for problem in found.left_out:
            warnings.warn(problem, stacklevel=2)
        return found.table

    def arrow(self, kind: str, *, withdrawn: bool = False) -> ds.Dataset:
        """Return the rows of a kind as a dataset for polars, DuckDB, Dask or Spark.

        It stays as the archive is now, whatever is filed later, and is unpacked when it is used. It
        maps the files of the roll-up, and keeps other tables (some 60 bytes a row) in memory. Its
        fragments can be read one by one; their order is none.

        Raises
        ------
        UnknownName
            If there is no such kind.
        ArchiveDamaged
            If a table does not open, or lacks what was filed in it.
        """
        kind, withdrawn = self._kind(text("kind", kind, "viscosity")), truth("withdrawn", withdrawn)

        from tiecoat.ask.rows import dataset_of

        def rows(tables: KindTables) -> ds.Dataset:
            before = self._datasets.get((kind, withdrawn))
            if before is None or before[0] is not tables:
                found = dataset_of(self._kept, self._rolled, kind, tables, withdrawn=withdrawn)
                self._datasets[kind, withdrawn] = tables, found
            return self._datasets[kind, withdrawn][1]

        return self._steadily(kind, rows)

    def versions(self, kind: str) -> Mapping[str, Version]:
        """Return the tables of a kind by batch, each with what changes whenever it is replaced.

        Raises
        ------
        ArchiveDamaged
            If a table lacks what was filed in it.
        """
        return self._now.seen(text("kind", kind, "impedance"))

    def original(self, name: str) -> Path:
        """Return the untouched export.

        Parameters
        ----------
        name
            Its SHA-256 or the id of a measurement from it.

        Raises
        ------
        UnknownName
            If there is none.
        ArchiveDamaged
            If it is not what it was.
        """
        from tiecoat.intake.inboxes.preserve import find_original

        return find_original(self._lab, text("name", name, "1f0c5b6a92d34e78-0001"))

    # How a question finds its tables

    def _rows(self, wanted: RowsWanted, since: int | None, *, withdrawn: bool) -> pa.Table:
        kind, panels = wanted.kind, wanted.panels
        batches: Sequence[str] | None = wanted.batches
        if batches is None and panels is not None:
            asked = self._ask(
                lambda index: {
                    batch
                    for panel in panels
                    for batch in index.distinct("batch", kind=kind, panel=panel)
                }
            )
            batches = sorted(asked) or None  # none: panels that the index does not know

        def gather(tables: KindTables) -> pa.Table | None:
            only, own = wanted.expression(since), tables.among(batches)
            if not tables.files:
                rows = own_rows(self._kept, kind, own, only, withdrawn=withdrawn)
                return unite(rows) if rows else None
            from tiecoat.ask.rows import rows_of

            return rows_of(
                self._kept,
                self._rolled,
                kind,
                tables,
                batches=batches,
                only=only,
                columns=wanted.needed,
                withdrawn=withdrawn,
            )

        if canonical(kind) is None:
            found = None
        elif batches is not None and len(batches) <= FEW:
            found = _twice(lambda: gather(self._own_files(kind, batches)))
        else:
            found = self._steadily(kind, gather)
        if found is None:
            found = self._no_rows(kind)
        self._must_exist(wanted, found)
        found = self._of_now(found)
        if wanted.where is not None:
            from tiecoat.ask.sql import fulfilling

            found = fulfilling(found, wanted.where)
        return found if wanted.columns is None else self._chosen(kind, found, wanted.columns)

    def _of_now(self, rows: pa.Table) -> pa.Table:
        """Return rows without the remarks that a register has answered since."""
        if not claims(rows):
            return rows
        return as_registered(rows, self._ask(Registered.of))

    def _remark_of(self, kind: str) -> str:
        """Return the remark in SQL as it is now; as it was filed where there is no index."""
        if not fsio.is_there(self._lab.index):
            return ""
        moment = self._committed()
        if moment is None or self._remarks_at != moment:
            self._remarks_at = moment
            self._remarks = {}
        if kind not in self._remarks:

            def said(index: Index) -> str:
                names = index.unregistered(kind)
                if not names:
                    return ""
                from tiecoat.ask.sql import remark_in_sql

                return remark_in_sql(names, Registered.of(index))

            self._remarks[kind] = self._ask_index(said) or ""
        return self._remarks[kind]

    def _chosen(self, kind: str, found: pa.Table, columns: Sequence[str]) -> pa.Table:
        if unknown := [name for name in columns if name not in found.column_names]:
            raise UnknownName(_unknown("column", unknown[0], self._no_rows(kind).column_names))
        return found.select(columns)

    def _own_files(self, kind: str, batches: Sequence[str]) -> KindTables:
        """Return some tables, each to be read from its own file."""
        own = [batch for batch in batches if canonical(batch) == batch]
        for batch in own:
            self._must_be_whole(kind, batch)
        there = {batch: self._kept.version((kind, batch)) for batch in own}
        return KindTables((), {batch: version for batch, version in there.items() if version})

    def _roll_up(self, kind: str) -> bool:
        from tiecoat.archive.rollup.making import bring_up_to_date

        return bring_up_to_date(self._lab, kind)

    @cached_property
    def _rolled(self) -> RolledRows:
        from tiecoat.ask.rows import RolledRows

        return RolledRows(in_memory=bool(share_under(self._lab.root)))

    @cached_property
    def _sql(self) -> SqlSession:
        from tiecoat.ask.rows import dataset_of
        from tiecoat.ask.sql import SqlSession

        def dataset(kind: str, tables: KindTables) -> ds.Dataset:
            return _twice(
                lambda: dataset_of(self._kept, self._rolled, kind, tables, withdrawn=True)
            )

        return SqlSession(
            self._kept.kinds, self._must_be_in_place, self._now, dataset, self._remark_of
        )

    def _steadily(self, kind: str, work: Callable[[KindTables], T]) -> T:
        """Do it on the tables of a kind as they are at one moment.

        What counts from the roll-up is of the moment when it was asked which tables do; so must be
        what is read from other files.
        """
        for _ in range(STEADY_TRIES):
            tables = self._now.of(kind)
            try:
                done = _twice(partial(work, tables))
            except RollupDamaged:
                self._now.distrust(tables)
                continue
            if not tables.own or self._now.of(kind) is tables:
                break
        if tables.files:
            self._rolled.let_go(tables, kind)
        return done

    def _must_all_be_whole(self) -> list[str]:
        """Return all kinds; raise where any table is gone, or lacks what was filed in it."""
        found = self._whole()
        for kind in found.there:
            self._now.seen(kind)
        self._tell(found.on_their_way)
        return [*found.there, *found.on_their_way]

    def _whole(self) -> _Kinds:
        """Return the kinds, once it is sure that none is gone."""
        there = self._kept.kinds()
        known = self._ask_index(lambda index: index.kinds())
        every = {kind for kind, _ in self._filed} if known is None else {*known}
        on_their_way = []
        for kind in sorted(every - {*there}):
            try:
                self._must_be_whole(kind)
            except KindUnfinished:
                on_their_way.append(kind)
            else:
                there = self._kept.kinds()  # it has just come back
        return _Kinds(there, on_their_way)

    def _must_be_in_place(self, named: Collection[str]) -> None:
        """Raise where a kind is gone, or one that is named is on its way."""
        for kind in {*named}.intersection(self._whole().on_their_way):
            self._must_be_whole(kind)

    def _tell(self, on_their_way: Sequence[str]) -> None:
        if on_their_way:
            from tiecoat.archive.upgrade.in_place import on_their_way_told

            warnings.warn(on_their_way_told(on_their_way), stacklevel=4)

    def _batches(self, kind: str) -> Iterable[str]:
        """Return the batches of a kind; of one on its way, those that were filed."""
        if self._kept.kinds([kind]):
            return self._now.seen(kind)
        known = self._ask_index(lambda index: index.tables(kind))
        return [batch for name, batch in (self._filed if known is None else known) if name == kind]

    def _whole_as_seen(self, kind: str, versions: Mapping[Place, Version]) -> None:
        self._must_be_whole(kind, versions=versions)

    def _must_be_whole(
        self,
        kind: str | None = None,
        batch: str | None = None,
        versions: Mapping[Place, Version] | None = None,
    ) -> None:
        """Raise where tables lack what was filed in them, as the index knows, else the journal.

        So where the journal lacks what the index knows to have stood there.
        """
        from tiecoat.archive.index.lacking import gone_of, lacking_in, lost_journal

        but: list[str] = []
        if kind is None:
            from tiecoat.archive.upgrade.in_place import on_their_way

            but = on_their_way(self._lab)

        def look() -> str:
            seen = versions if not again else None
            said = self._ask_index(
                lambda index: (
                    lost_journal(self._lab, index)
                    or lacking_in(self._lab, index, kind, batch, seen, but=but)
                )
            )
            return gone_of(self._lab, self._filed, kind, batch, but) if said is None else said

        again = False
        if not look():
            return
        from tiecoat.archive.swap import is_ready
        from tiecoat.archive.upgrade.in_place import on_their_way, on_their_way_told

        time.sleep(AGAIN_S)  # the archive, or a kind, may just have been made again
        again = True
        if (said := look()) and not is_ready(self._lab):
            if kind in on_their_way(self._lab):
                raise KindUnfinished(on_their_way_told([kind]))
            raise ArchiveDamaged(said)

    @cached_property
    def _filed(self) -> Mapping[Place, Sequence[str]]:
        """The measurements of each table, by the journal: asked where there is no index."""
        from tiecoat.archive.account import filed_by_table

        return filed_by_table(self._lab)

    def _no_rows(self, kind: str) -> pa.Table:
        kind = self._kind(kind)
        first = next(self._kept.places(kind))
        rows = _twice(lambda: self._kept.dataset([first]))
        return rows.schema.empty_table()

    def _kind(self, kind: str) -> str:
        """Return the kind as it is kept."""
        if kind.lower() in self._kept.kinds():
            return kind.lower()
        self._must_be_in_place([kind.lower()])
        kinds = self.kinds()
        if not kinds:
            said = "there are none yet: nothing has been filed"
            raise UnknownName(f"no kind {kind!r} in this archive; {said}")
        raise UnknownName(_unknown("kind", kind, kinds))

    def _must_exist(self, wanted: RowsWanted, found: pa.Table | None) -> None:
        """Raise where nothing was found of a batch or panel because nothing can be.

        There is none of that name; or a panel is of another batch, or of a kind that has none.
        """
        for batch in wanted.without_rows("batch", found):
            there = self._kept.kinds() if canonical(batch) == batch else []
            if any(self._kept.version((kind, batch)) for kind in there):
                continue
            if batch not in (batches := self.batches()):
                raise UnknownName(_unknown("batch", batch, batches))
        for panel in wanted.without_rows("panel", found):
            if panel not in (panels := self._ask(lambda index: index.distinct("panel"))):
                raise UnknownName(_unknown("panel", panel, panels))
            batches = self._ask(partial(_batches_of, panel=panel))
            if wanted.batches and not {*wanted.batches} & {*batches}:
                asked = " or ".join(wanted.batches[:SHOWN])
                raise UnknownName(f"panel {panel!r} is not of {asked}, but of {', '.join(batches)}")
            if wanted.kind and per_of(self._no_rows(wanted.kind).schema) == "batch":
                raise UnknownName(
                    f"{wanted.kind} is measured of a batch and not of a panel; ask for"
                    f" {', '.join(batches)}"
                )

    def _ask(self, question: Callable[[Index], T]) -> T:
        """Put a question to the index, or without one to an index made from the tables."""
        answer = self._ask_index(question)
        if answer is not None:
            return answer
        from tiecoat.archive.index.building import memory_index
        from tiecoat.archive.index.catching_up import catch_up

        self._memory = self._memory or memory_index()
        catch_up(self._lab, self._memory)
        return question(self._memory)

    def _ask_index(self, question: Callable[[Index], T]) -> T | None:
        """Put a question to the index; None if there is none that answers."""
        from tiecoat.archive.index.building import read_index

        for _ in range(TRIES):
            try:
                index = read_index(self._lab)
            except WrittenByNewer:  # the tables say for themselves whether they are known here
                break
            if index is None:
                break
            with index, suppress(ArchiveDamaged):
                answer = question(index)
                if index.is_of_one_moment():
                    return answer
        return None

    def _committed(self) -> object | None:
        from tiecoat.archive.index.building import committed

        return committed(self._lab)

    def _moment(self, when: str | date, *, day_after: bool) -> int:
        """Return microseconds since 1970 of a date or time in the lab's zone."""
        import numpy as np

        from tiecoat.archive.tables.describe import microseconds_at
        from tiecoat.lab.filters import moment_of

        if isinstance(when, np.datetime64):
            when = when.astype("datetime64[us]").item()
        if not isinstance(when, str | date) or when != when:  # noqa: PLR0124 - NaT is a date too
            said = f"{when!r} ({type(when).__name__})"
            raise QueryInvalid(f"{said} is no date; write it as '2026-10-01' or give an object")
        return microseconds_at(moment_of(when, self._lab.zone, day_after=day_after))


def _rolled_in(folder: Path) -> tuple[RolledFile, ...]:
    from tiecoat.archive.rollup.parts import read_rollup

    return read_rollup(folder)


def _batches_of(index: Index, panel: str) -> list[str]:
    """Return the batches under which anything is filed of a panel."""
    return index.distinct("batch", panel=panel)


def _as_frame(rows: pa.Table) -> pd.DataFrame:
    """Return rows as a frame that may be changed.

    One or two columns are copied as they are, in half the time that putting blocks together takes.
    """
    few = rows.num_columns <= FEW_COLUMNS
    frame: pd.DataFrame = rows.to_pandas(split_blocks=True).copy() if few else rows.to_pandas()
    return frame


def _unknown(what: str, name: str, names: Sequence[str]) -> str:
    """Say that there is no such kind, batch, panel or column."""
    written = name.lower() if what == "kind" else name
    near = difflib.get_close_matches(written, names, n=SHOWN)
    if near:
        return f"no {what} {name!r} in this archive; near it: {', '.join(near)}"
    listed = ", ".join(names[:SHOWN]) + (" ..." if len(names) > SHOWN else "")
    return f"no {what} {name!r} in this archive; there are: {listed or 'none yet'}"


def measurement_rows(measurements: Sequence[Described]) -> pa.Table:
    """Return measurements as rows of a table, as `Archive.measurements` has them."""
    import pyarrow as pa

    types = {"measured_at": pa.timestamp("us", tz="UTC"), "n_rows": pa.int64()}
    types["source_row"] = pa.int64()
    return pa.table(
        {
            name: pa.array(
                [getattr(one, name) for one in measurements], types.get(name, pa.string())
            )
            for name in LISTED
        }
    )


def _twice(attempt: Callable[[], T]) -> T:
    """Do it again once where it fails: a table may just have been replaced."""
    try:
        return attempt()
    except (FileNotFoundError, PermissionError, ArchiveDamaged):
        time.sleep(AGAIN_S)
    try:
        return attempt()
    except FileNotFoundError as error:
        raise ArchiveDamaged(f"{error.filename} has gone while it was read") from error
