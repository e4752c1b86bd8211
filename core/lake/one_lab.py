"""One lab of a lake, some of its batches, read as an archive is."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, reduce
from operator import and_
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tiecoat.archive.tables.describe import Described, Rule, describe
from tiecoat.ask.choosing import Registered, as_registered, claims, kept_id
from tiecoat.errors import LakeDisagrees, UnknownName
from tiecoat.lab.plugin_choices import PluginChoices, as_json
from tiecoat.lab.settings import Lab, Settings
from tiecoat.lake.columns import MEANINGS, archive_schema
from tiecoat.lake.tables import LakeTables
from tiecoat.remarks import without_unregistered

if TYPE_CHECKING:
    import pandas as pd
    import pyarrow as pa
    from deltalake import DeltaTable

    from tiecoat.lake.labs import LabEntry

TABLES_OPEN = 64  # of versions, which never change, in a process


@dataclass(frozen=True)
class LakeVersion:
    """A lake at one moment: the version of each of its tables, so that all who read it agree."""

    url: str
    versions: tuple[tuple[str, int], ...]

    def table(self, kind: str) -> DeltaTable | None:
        """Return the table of a kind; None if there was none."""
        version = dict(self.versions).get(kind)
        return None if version is None else _opened(self.url, kind, version)


@lru_cache(maxsize=TABLES_OPEN)
def _opened(url: str, kind: str, version: int) -> DeltaTable:
    table = LakeTables(url).open(kind, version)
    if table is None:
        raise LakeDisagrees(f"the table {kind} of {url} has gone while it was read")
    return table


def rows_in_lake(
    lake: LakeVersion,
    kind: str,
    lab: str | None,
    batches: Sequence[str] | None,
    *,
    only: Any = None,
    columns: Sequence[str] | None = None,
) -> pa.Table | None:
    """Return rows of a kind in the order of the archives, lab by lab; None if there is no table.

    Parameters
    ----------
    lab, batches
        Only of this one, of these; None for all.
    only
        An expression that the rows must fulfil.
    columns
        Only these.
    """
    import pyarrow.compute as pc

    if (table := lake.table(kind)) is None:
        return None
    terms = [] if only is None else [only]
    if lab is not None:
        terms.append(pc.field("lab") == lab)
    if batches is not None:
        terms.append(pc.field("batch").isin(list(batches)))
    order = [name for name in ("lab", "batch", "table_row") if columns is None or name in columns]
    files = None if lab is None else [("lab", "=", lab)]
    with LakeTables(lake.url).reached():
        rows = table.to_pyarrow_dataset(file_pruning_predicate=files).to_table(
            columns, filter=reduce(and_, terms) if terms else None
        )
    return rows.sort_by([(name, "ascending") for name in order]) if order else rows


@dataclass(frozen=True)
class LabInLake:
    """A lab of a lake, for those who read an archive; some of its batches, or None for all."""

    lake: LakeVersion
    entry: LabEntry
    only: tuple[str, ...] | None = None

    @cached_property
    def lab(self) -> Lab:
        """The settings for evaluations, as they were when it published."""
        said = json.loads(self.entry.choices)
        settings = Settings.model_validate_json(as_json({"evaluate": said["built_in"]}))
        where = Path(self.lake.url) / self.entry.lab
        return Lab(where, settings, evaluating=PluginChoices("evaluate", said["others"], where))

    def kinds(self) -> list[str]:
        """Return the kinds that the lab has published."""
        return [kind for kind in self.entry.kinds_named if self.lake.table(kind) is not None]

    def batches(self, kind: str | None = None) -> list[str]:
        """Return the batches that the lab has published, or those with rows of a kind."""
        kinds = self.kinds() if kind is None else [kind]
        return sorted({one for name in kinds for one in self._rows(name)["batch"].to_pylist()})

    def read(
        self, kind: str, batch: str | Collection[str] | None = None, panel: str | None = None
    ) -> pd.DataFrame:
        """Return the valid rows of a kind, as `tiecoat.open(...).read` does.

        Raises
        ------
        UnknownName
            If the lab has published nothing of it.
        """
        import pyarrow.compute as pc

        rows = self._rows(kind)
        only = pc.field("withdrawn").is_null()
        if batch is not None:
            only &= pc.field("batch").isin([kept_id(batch)] if isinstance(batch, str) else batch)
        if panel is not None:
            only &= pc.field("panel") == kept_id(panel)
        rows = rows.filter(only)
        if claims(rows):
            rows = as_registered(rows, Registered(self._registered, self._registered))
        frame: pd.DataFrame = rows.to_pandas()
        return frame

    def measurements(
        self, kind: str | None = None, batch: str | None = None, *, withdrawn: bool = False
    ) -> pd.DataFrame:
        """Return one row for each measurement, as `tiecoat.open(...).measurements` does."""
        from tiecoat.ask.query import measurement_rows

        found = [
            one
            for name in self.kinds()
            if kind in {None, name}
            for one in self._described(name)
            if batch in {None, one.batch} and (withdrawn or one.withdrawn is None)
        ]
        frame: pd.DataFrame = measurement_rows(found).to_pandas()
        return frame

    def _rows(self, kind: str) -> pa.Table:
        if kind not in self._read:
            found = rows_in_lake(self.lake, kind, self.entry.lab, self.only)
            table = self.lake.table(kind)
            if found is None or table is None or kind not in self.entry.kinds_named:
                named = ", ".join(self.kinds()) or "nothing"
                raise UnknownName(f"{self.entry.lab} has published no {kind!r}; there is: {named}")
            self._read[kind] = found.drop_columns(list(MEANINGS)).cast(archive_schema(table))
        return self._read[kind]

    @cached_property
    def _read(self) -> dict[str, pa.Table]:
        return {}

    def _described(self, kind: str) -> Iterator[Described]:
        """Yield the measurements of a kind, each with its remark as the registers have it now."""
        import pyarrow.compute as pc

        rows = self._rows(kind)
        for batch in rows["batch"].unique().to_pylist():
            for one in describe(rows.filter(pc.field("batch") == batch)):
                left = without_unregistered(one.remark)
                if left != one.remark and (one.panel or one.batch) in self._registered:
                    yield replace(one, remark=left)
                else:
                    yield one

    @cached_property
    def _registered(self) -> frozenset[str]:
        return _registered(self.lake, self.entry.lab, tuple(self.kinds()))


@lru_cache(maxsize=TABLES_OPEN)
def _registered(lake: LakeVersion, lab: str, kinds: tuple[str, ...]) -> frozenset[str]:
    """Return the panels that the registers of a lab know, and the batches themselves."""
    import pyarrow.compute as pc

    found = set[str]()
    for kind in kinds:
        table = lake.table(kind)
        if table is not None and Rule.of(archive_schema(table)).replaces:
            valid = pc.field("withdrawn").is_null()
            rows = rows_in_lake(lake, kind, lab, None, only=valid, columns=["batch", "panel"])
            pairs = rows.to_pylist() if rows else []
            found |= {one["panel"] or one["batch"] for one in pairs}
    return frozenset(found)
