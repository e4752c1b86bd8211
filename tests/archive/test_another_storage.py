"""The archive on another storage and another index than those there are: by their protocols alone.

The storage keeps tables in a dictionary. What holds of the files in folders holds of it, so a
module of its own is all that another place of storage takes.
"""

from __future__ import annotations

import ast
from collections.abc import Collection, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pyarrow as pa
import pyarrow.dataset as ds
import pytest
from archive_rows import decided, export, file, plate, sha_of, sweep, wet

from tiecoat.archive.account import Account
from tiecoat.archive.index.cache import Index
from tiecoat.archive.index.sqlite import SqliteIndex
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index, reindex
from tiecoat.archive.store import Store
from tiecoat.archive.tables.folder import FolderStorage
from tiecoat.archive.tables.parquet import Place, Version, to_parquet, unite
from tiecoat.archive.tables.storage import TableStorage
from tiecoat.ask.query import Archive
from tiecoat.lab.settings import Lab
from tiecoat.verify.report import Damage
from tiecoat.verify.tables import check_tables

CORE = Path(__file__).parents[2] / "core"


class MemoryStorage:
    """Tables in a dictionary."""

    def __init__(self) -> None:
        self.tables: dict[Place, tuple[Version, pa.Table]] = {}
        self.is_there = True

    def places(self, kind: str | None = None) -> Iterator[Place]:
        return iter(self.versions(kind))

    def versions(self, kind: str | None = None) -> dict[Place, Version]:
        every = sorted(place for place in self.tables if kind in {None, place[0]})
        return {place: self.tables[place][0] for place in every}

    def kinds(self, among: Collection[str] | None = None) -> list[str]:
        every = {kind for kind, _ in self.tables}
        return sorted(every if among is None else every & {*among})

    def name(self, place: Place) -> str:
        return "memory of " + "/".join(place)

    def version(self, place: Place) -> Version | None:
        return self.tables[place][0] if place in self.tables else None

    def schema(self, place: Place) -> pa.Schema:
        return self.read(place).schema

    def content(self, place: Place) -> bytes:
        return bytes(to_parquet(self.read(place)))

    def read(self, place: Place, only: Any = None, *, checksums: bool = False) -> pa.Table:
        if place not in self.tables:
            raise FileNotFoundError(self.name(place))
        rows = self.tables[place][1]
        return rows if only is None else rows.filter(only)

    def dataset(self, places: Sequence[Place]) -> ds.Dataset:
        return ds.dataset(unite([self.read(place) for place in places]))

    def replace(self, tables: Iterable[tuple[Place, pa.Table]]) -> dict[Place, Version]:
        new = dict(tables)
        for place, rows in new.items():
            number = 1 + (self.tables[place][0].number if place in self.tables else 0)
            self.tables[place] = Version(rows.nbytes, number, number), rows
        return {place: self.tables[place][0] for place in new}

    def foreign(self) -> Iterator[str]:
        return iter(())

    def take_over(self, new: MemoryStorage, kind: str | None = None) -> None:
        raise NotImplementedError


@pytest.fixture
def memory(monkeypatch: pytest.MonkeyPatch) -> MemoryStorage:
    """Have every lab keep its tables in a dictionary."""
    made = MemoryStorage()
    monkeypatch.setattr("tiecoat.archive.tables.storage.FolderStorage", lambda lab: made)
    return made


def test_everything_is_filed_and_found_in_another_storage(lab: Lab, memory: MemoryStorage) -> None:
    """Filing, superseding, retracting, reading, indexing and proving ask the storage alone."""
    file(lab, export("r.xlsx", {"panels": [plate("RB-014-1", "RB-014")]}))
    file(lab, export("a.csv", {"impedance": [sweep("RB-014-1"), sweep("RB-014-2")]}))
    file(lab, export("b.csv", {"density": [wet(1.3), wet(1.4, "RB-015")]}))
    with open_index(lab) as index, write_lock(lab):
        store = Store(lab, index)
        store.retract([f"{sha_of('a.csv')[:16]}-0002"], "M. Keller", "cell leaked")
        store.file([decided(export("c.csv", {"density": [wet(1.33)]}), "M. Keller", "scale")])

    archive = Archive(lab)
    assert archive.kinds() == ["density", "impedance", "panels"]
    assert archive.read("density")["density_g_cm3"].tolist() == [1.33, 1.4]
    assert set(archive.read("impedance", panel="rb-014-1")["panel"]) == {"RB-014-1"}
    assert len(archive.read("impedance", panel="RB-014-2", withdrawn=True)) == 3
    assert archive.arrow("density").count_rows() == 2
    known = archive.measurements(withdrawn=True)
    lab.index.unlink()
    assert Archive(lab).measurements(withdrawn=True).equals(known)
    found = reindex(lab)
    assert (found.tables, found.measurements, found.damaged) == (4, 6, ())
    assert not lab.archive.exists()

    checked = check_tables(lab, Account(), lambda done, total: None)
    assert {(one.damage, one.where) for one in checked.findings} == {
        (damage, memory.name(place))
        for place in memory.places()
        for damage in (Damage.ROWS_UNFILED, Damage.MARK_DIFFERS)
        if damage is Damage.ROWS_UNFILED
        or place in {("density", "RB-014"), ("impedance", "RB-014")}
    }


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("protocol", "module", "sort"),
    [(TableStorage, FolderStorage, "folder"), (Index, SqliteIndex, "sqlite")],
)
def test_nothing_but_the_protocol_is_there_to_be_called(
    protocol: type, module: type, sort: str
) -> None:
    """What there is has no method beside those of the protocol, and only one place names it."""

    def methods(of: type) -> set[str]:
        ours = [one for one in of.__mro__ if one.__module__.startswith("tiecoat.")]
        return {name for one in ours for name in vars(one) if not name.startswith("_")}

    assert methods(module) == methods(protocol)
    users = set()
    for path in CORE.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module:
                names = {f"{node.module}.{one.name}" for one in node.names} | {node.module}
                if any(name.endswith(f".{sort}") and ".archive." in name for name in names):
                    users.add(path.relative_to(CORE).as_posix())
    assert len(users) == 1, users


def test_only_the_storage_turns_an_id_into_a_path() -> None:
    """Whoever wants a table asks the storage; no other module makes its path."""
    users = {
        path.relative_to(CORE).as_posix()
        for path in CORE.rglob("*.py")
        if "table_path(" in path.read_text(encoding="utf-8")
    }
    assert users == {"lab/ids.py", "archive/tables/folder.py"}
