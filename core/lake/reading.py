"""Reading a lake, and results from it."""

from __future__ import annotations

import warnings
from collections.abc import Collection, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tiecoat.ask.choosing import RowsWanted, text, text_or_none
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.lab.toml_lines import did_you_mean
from tiecoat.lake.columns import schema_in
from tiecoat.lake.evaluating import LakePart, computed, parts_of
from tiecoat.lake.labs import LABS, LabEntry, entries, kinds_of
from tiecoat.lake.one_lab import LabInLake, LakeVersion, rows_in_lake
from tiecoat.lake.tables import LakeTables
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    import pandas as pd
    from deltalake import DeltaTable

    from tiecoat.compare.comparison import Comparison
    from tiecoat.compare.study import Study


def open_lake(url: str | Path) -> Lake:
    """Open a lake for reading.

    Parameters
    ----------
    url
        Where labs publish: a folder, or s3://, az://, abfss://, gs://. Credentials are taken from
        the environment, as the storage has them (such as AWS_ACCESS_KEY_ID).

    Raises
    ------
    UnknownName
        If no lab has published there.
    LakeOutOfReach
        If the storage refuses.
    QueryInvalid
        If the address holds a password or a key.
    NotPossibleHere
        If the extra `tiecoat[lake]` is not installed.
    """
    lake = Lake(LakeTables(url))
    lake.labs()
    return lake


class Lake:
    """The tables of a lake, for reading. Made by `tiecoat.lake.open`.

    Each question is answered from the tables as they are when it is put, each table of one version.
    """

    def __init__(self, tables: LakeTables) -> None:
        self._tables = tables

    def __repr__(self) -> str:
        return f"<Lake of {self._tables.url}>"

    def labs(self) -> list[str]:
        """Return the names of the labs that have published here.

        Raises
        ------
        UnknownName
            If none has.
        """
        return [one.lab for one in self._entries()]

    def kinds(self) -> list[str]:
        """Return the kinds that labs have published."""
        return kinds_of(self._entries())

    def columns(self, kind: str) -> pd.DataFrame:
        """Return the columns of a kind by name, each with its unit and its meaning.

        Raises
        ------
        UnknownName
            If there is no such kind.
        """
        from tiecoat.ask.shown import columns_told

        return columns_told(schema_in(self._table_of(self._entries(), kind)[1]))

    def read(
        self,
        kind: str,
        lab: str | None = None,
        batch: str | Collection[str] | None = None,
        *,
        columns: Sequence[str] | None = None,
        withdrawn: bool = False,
    ) -> pd.DataFrame:
        """Return rows of a kind, lab by lab in the order of their archives.

        Parameters
        ----------
        lab, batch
            Only of this one; batches may be several.
        columns
            Only these.
        withdrawn
            Whether superseded and retracted rows are wanted too.

        Raises
        ------
        UnknownName
            If there is no such kind, lab or column, or nothing of the kind of a batch.
        """
        import pyarrow.compute as pc

        wanted = RowsWanted.of(kind, batch, None, None, columns)
        entries = self._entries()
        lab = None if lab is None else _named(entries, lab).lab
        lake, table = self._table_of(entries, wanted.kind)
        names = schema_in(table).names
        if unknown := [name for name in wanted.columns or () if name not in names]:
            raise UnknownName(f"no column {unknown[0]!r} in {kind}; there are: {', '.join(names)}")
        needed = wanted.columns and list(
            dict.fromkeys([*wanted.columns, "lab", "batch", "table_row"])
        )
        only = None if withdrawn else pc.field("withdrawn").is_null()
        rows = rows_in_lake(lake, wanted.kind, lab, wanted.batches, only=only, columns=needed)
        assert rows is not None
        if wanted.without_rows("batch", rows):  # all may be withdrawn
            every = rows_in_lake(lake, wanted.kind, lab, wanted.batches, columns=["batch"])
            if unknown := wanted.without_rows("batch", every):
                raise UnknownName(self._no_batch(unknown[0], kind))
        frame: pd.DataFrame = rows.select(wanted.columns or names).to_pandas()
        return frame

    def evaluate(
        self,
        kind: str,
        lab: str | None = None,
        batch: str | None = None,
        panel: str | None = None,
        quantity: str | None = None,
        *,
        on: Any = None,
        told: Told = untold,
    ) -> pd.DataFrame:
        """Return engineering results of each batch, with what its lab has set.

        They are those of `tiecoat.open(lab).evaluate(kind, batch=...)` for one batch after the
        other, to the last digit; what would be pooled over several batches is not computed here.

        Parameters
        ----------
        lab, batch, panel, quantity
            Only of these, as for `Archive.evaluate`.
        on
            Where it is computed: a client of `dask.distributed`, a session of Spark, or None for
            this process. Workers need tiecoat[lake], and read the lake themselves.
        told
            Called with the progress, of this process only.

        Returns
        -------
        pandas.DataFrame
            The columns of `tiecoat.evaluate.result` after the column `lab`; sorted by lab and
            batch, then as there.

        Warns
        -----
        UserWarning
            For each evaluation that was left out, broke down, or is another one in its lab.

        Raises
        ------
        UnknownName
            If there is no such kind, lab, batch or quantity, or no results are computed from it.
        QueryInvalid
            If `on` is none of these, or something is of a wrong type.
        """
        wanted = RowsWanted.of(kind, batch, panel, None, None)
        panel = text_or_none("panel", panel, "RB-014-3")
        quantity = text_or_none("quantity", quantity, "strength_mean")
        entries = self._entries()
        lake = self._version(_kinds_with(entries, wanted.kind))
        _opened(lake, wanted.kind)
        entries = entries if lab is None else [_named(entries, lab)]
        labs = _with_batches(lake, entries, wanted)
        if wanted.batches and not any(found for _, found in labs):
            raise UnknownName(self._no_batch(str(batch), kind))
        parts = parts_of(lake, labs, wanted.kind, panel, quantity)
        none = "" if panel is None else f"no panel {panel!r} of {kind} in {self._tables.url}"
        return _results(parts, on, told, none)

    def comparison(self, study: Study, lab: str | None = None, *, on: Any = None) -> Comparison:
        """Compare the batches of one lab as a study says, by results that are computed `on` there.

        Parameters
        ----------
        study
            As `tiecoat.ask.study_data.read_study` reads it from a file.
        lab
            Whose; it may be left out where only one has published.

        Returns
        -------
        Comparison
            As for an archive: verdicts, the values behind them; for a ranking and a line-up.

        Raises
        ------
        UnknownName
            If the study names a batch that the register does not hold, or several labs have
            published and none is named.
        QueryInvalid
            If it is no study.
        """
        from tiecoat.compare.study import Study
        from tiecoat.lake.comparing import compared

        if not isinstance(study, Study):
            found = type(study).__name__
            raise QueryInvalid(f"study must be a Study, as read_study returns it; found {found}")
        every = self._entries()
        entries = every if lab is None else [_named(every, lab)]
        if len(entries) > 1:
            named = ", ".join(one.lab for one in entries)
            raise UnknownName(f"say of which lab the batches are; there are: {named}")
        lake = self._version(kinds_of(every))

        def results(kind: str) -> pd.DataFrame:
            labs = _with_batches(lake, entries, RowsWanted.of(kind, None, None, None, None))
            return _results(parts_of(lake, labs, kind, None, None), on).drop(columns="lab")

        return compared(LabInLake(lake, entries[0]), study, results)

    def _no_batch(self, batch: str, kind: str) -> str:
        return f"no batch {batch!r} of {kind} in {self._tables.url}"

    def _entries(self) -> list[LabEntry]:
        found = entries(self._tables.open(LABS))
        if not found:
            raise UnknownName(
                f"no lab has published in {self._tables.url}; publish one with: tiecoat publish URL"
            )
        return found

    def _version(self, kinds: Iterable[str]) -> LakeVersion:
        """Return the lake as it is now, as far as these kinds are concerned."""
        opened = {one: self._tables.open(one) for one in kinds}
        versions = [(name, table.version()) for name, table in opened.items() if table is not None]
        return LakeVersion(self._tables.url, tuple(versions))

    def _table_of(self, entries: Sequence[LabEntry], kind: str) -> tuple[LakeVersion, DeltaTable]:
        """Return the lake as it is now, as far as a kind is concerned, and its table.

        Raises
        ------
        UnknownName
            If there is none.
        """
        _kinds_with(entries, kind)
        lake = self._version([kind])
        return lake, _opened(lake, kind)


def _opened(lake: LakeVersion, kind: str) -> DeltaTable:
    """Return the table of a kind, which a publishing that was cut short may not have begun."""
    table = lake.table(kind)
    if table is None:
        raise UnknownName(f"nothing of {kind!r} has been published in this lake yet")
    return table


def _kinds_with(entries: Sequence[LabEntry], kind: str) -> list[str]:
    """Return the kinds of labs, among which one must be."""
    kinds = kinds_of(entries)
    if text("kind", kind, "impedance") not in kinds:
        near = did_you_mean(kind.lower(), kinds)
        raise UnknownName(f"no kind {kind!r} in this lake; {near}there are: {', '.join(kinds)}")
    return kinds


def _named(entries: Sequence[LabEntry], lab: str) -> LabEntry:
    if not isinstance(lab, str):
        raise QueryInvalid(f"lab must be the name of one lab, as text; found {lab!r}")
    found = next((one for one in entries if one.lab.casefold() == lab.casefold()), None)
    if found is None:
        named = ", ".join(one.lab for one in entries)
        raise UnknownName(f"no lab {lab!r} has published here; there are: {named}")
    return found


def _with_batches(
    lake: LakeVersion, entries: Sequence[LabEntry], wanted: RowsWanted
) -> list[tuple[LabEntry, list[str]]]:
    """Return labs, each with its batches that have valid rows of a kind."""
    import pyarrow.compute as pc

    valid = pc.field("withdrawn").is_null()
    lab = entries[0].lab if len(entries) == 1 else None
    rows = rows_in_lake(
        lake, wanted.kind, lab, wanted.batches, only=valid, columns=["lab", "batch"]
    )
    found: dict[str, list[str]] = {}
    if rows is not None:
        for one in rows.group_by(["lab", "batch"]).aggregate([]).to_pylist():
            found.setdefault(one["lab"], []).append(one["batch"])
    return [(one, sorted(found.get(one.lab, ()))) for one in entries]


def _results(
    parts: Sequence[LakePart], on: Any, told: Told = untold, none: str = ""
) -> pd.DataFrame:
    """Compute parts and put their results together; `none` is raised where there are none."""
    import pandas as pd

    from tiecoat.evaluate.result import together

    done = computed(parts, on, told)
    for problem in dict.fromkeys(said for one in done for said in one.left_out):
        warnings.warn(problem, stacklevel=3)
    if tables := [one.table for one in done if len(one.table)]:
        return pd.concat(tables, ignore_index=True)
    if unknown := none or next((one.unknown for one in reversed(done) if one.unknown), ""):
        raise UnknownName(unknown)
    table = together([])
    table.insert(0, "lab", "")
    return table
