"""Tables follow a change of their kind through three versions, killed at any effect on disk.

By default at every sixth effect; `TIECOAT_CAMPAIGN=1` in the environment makes it every one.
"""

from __future__ import annotations

import errno
import itertools
import os
import shutil
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

import duckdb
import pandas as pd
import polars as pl
import pyarrow as pa
import pyarrow.dataset as ds
import pyarrow.parquet as pq
import pytest
from changing_kind import KIND, install, kind_of, plugin, weighed
from faulty_disk import Faulty, Killed
from labs import LabAtWork, make_lab

from tiecoat.archive.amend import retract
from tiecoat.archive.opening import open_index
from tiecoat.archive.upgrade.carrying_out import KindsToday, NotMigrated, Upgraded, carry_out
from tiecoat.archive.upgrade.in_place import is_ready
from tiecoat.ask.query import Archive
from tiecoat.contract.changes import KindLoaded
from tiecoat.disk import fsio
from tiecoat.errors import ArchiveDamaged
from tiecoat.intake.workers.migrating import WronglyMigrated, migrated
from tiecoat.plugin import Kind
from tiecoat.verify.verify import verify

STRIDE = 1 if "TIECOAT_CAMPAIGN" in os.environ else 6
VERSIONS = (2, 3, 4)
GRAMS = {"RB-014-1": 12.5, "RB-014-2": 0.25, "RB-015-1": 3.0}


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab with tables of the first version; one measurement in them is retracted."""
    at_work = make_lab(tmp_path_factory.mktemp("filled") / "lab", readers={"folder": True})
    install(at_work, plugin(1))
    for panel, grams in GRAMS.items():
        at_work.drop(f"{panel}.csv", weighed(panel, grams=f"{grams}"))
    at_work.take()
    (one,) = Archive(at_work.lab).measurements(panel="RB-014-2")["measurement"]
    retract(at_work.lab, [one], "M. Keller", "the balance was not level")
    return at_work


@pytest.fixture
def make(filled: LabAtWork, tmp_path: Path) -> Callable[[LabAtWork | None], LabAtWork]:
    """A maker of equal labs."""
    numbers = itertools.count()

    def copy(of: LabAtWork | None = None) -> LabAtWork:
        target = tmp_path / f"lab{next(numbers)}"
        shutil.copytree((of or filled).root, target)
        return LabAtWork(target)

    return copy


def follow(at_work: LabAtWork, kind: Kind) -> Upgraded:
    """Have the tables follow in this process."""

    def migrate(name: str, rows: pa.Table, version: int) -> pa.Table:
        sink = pa.BufferOutputStream()
        with pa.ipc.new_stream(sink, rows.schema) as writer:
            writer.write_table(rows)
        try:
            with pa.ipc.open_stream(migrated(kind, sink.getvalue(), version)) as reader:
                return reader.read_all()
        except WronglyMigrated as error:
            raise NotMigrated(str(error)) from None

    with open_index(at_work.lab) as index:
        return carry_out(at_work.lab, index, KindsToday({KIND: KindLoaded.of(kind)}, migrate))


def tables(at_work: LabAtWork) -> dict[str, pa.Table]:
    """The tables of the kind by file, as any program reads them."""
    paths = sorted((at_work.root / "archive" / KIND).rglob("*"))
    files = [path for path in paths if path.is_file()]
    assert {path.name for path in files} <= {"data.parquet"}
    return {str(path.relative_to(at_work.root)): pq.ParquetFile(path).read() for path in files}


def same(one: dict[str, pa.Table], other: dict[str, pa.Table]) -> bool:
    return one.keys() == other.keys() and all(
        rows.equals(other[name], check_metadata=True) for name, rows in one.items()
    )


def check_readers(at_work: LabAtWork, version: int) -> None:
    """All rows are there in the unit of the version, for whoever reads the plain folder."""
    name, factor = ("coat" if version == 4 else "weight"), (1 if version < 3 else 1000)
    expected = {panel: grams * factor for panel, grams in GRAMS.items()}
    folder = at_work.root / "archive" / KIND
    glob = f"{folder}/*/data.parquet"
    seen: list[Any] = [
        ds.dataset(folder, format="parquet").to_table().to_pandas(),
        pd.read_parquet(folder),
        pl.read_parquet(glob).to_pandas(),
        duckdb.sql(f"SELECT * FROM read_parquet('{glob}')").df(),
        Archive(at_work.lab).read(KIND, withdrawn=True),
    ]
    for frame in seen:
        assert dict(zip(frame["panel"], frame[name], strict=True)) == expected
        assert frame["temperature"].isna().all()
        assert set(frame.columns) & {"weight", "coat"} == {name}
        assert frame[frame["withdrawn"] == "retracted"]["panel"].tolist() == ["RB-014-2"]
    (schema,) = {table.schema for table in tables(at_work).values()}
    assert schema.metadata[b"tiecoat.kind_version"] == f"{version}".encode()
    assert schema.field(name).metadata[b"unit"] == (b"g" if version < 3 else b"mg")


@pytest.mark.every(12)
@pytest.mark.parametrize("version", VERSIONS)
def test_killed_at_any_effect(
    make: Callable[..., LabAtWork], version: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All tables are old or all are new, or none is there and it is told; then it goes on.

    From the version before, and from the first at once.
    """
    before = make()
    for earlier in range(2, version):
        install(before, plugin(earlier))
        follow(before, kind_of(before))
    install(before, plugin(version))
    kind, old = kind_of(before), tables(before)
    whole = make(before)
    assert follow(whole, kind).tables == {KIND: 2}
    new = tables(whole)
    check_readers(whole, version)
    direct = make()
    follow(direct, kind)
    assert same(tables(direct), new)
    for number in itertools.count(1 + version % STRIDE, STRIDE):
        at_work = make(before)
        with monkeypatch.context() as patch:
            patch.setattr(fsio, "os", Faulty(number, Killed(), sticky=True))
            try:
                follow(at_work, kind)
                break
            except Killed:
                pass
        if found := tables(at_work):
            assert same(found, old) or same(found, new)
        else:
            assert [one.damage.code for one in verify(at_work.lab).findings] == [
                "upgrade-cut-short"
            ]
            with pytest.raises(ArchiveDamaged, match="complete it: tiecoat upgrade"):
                Archive(at_work.lab).read(KIND)
        if is_ready(at_work.lab):  # whoever writes next completes it, without the plugin
            open_index(at_work.lab).close()
            assert same(tables(at_work), new)
        follow(at_work, kind)
        assert same(tables(at_work), new)
        check_readers(at_work, version)
        assert verify(at_work.lab).findings == ()
        assert [one["event"] for one in at_work.journal()].count("upgraded") == version - 1
        assert not (at_work.root / "upgrading").exists()
    assert number > 20


@pytest.mark.thorough
def test_a_full_disk_changes_nothing_or_can_go_on(
    make: Callable[..., LabAtWork], monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is an error, leaves all tables as they were or all new, and may be repeated."""
    before = make()
    install(before, plugin(3))
    kind, old = kind_of(before), tables(before)
    whole = make(before)
    follow(whole, kind)
    new = tables(whole)
    for number in itertools.count(2, STRIDE):
        at_work = make(before)
        faulty = Faulty(number, OSError(errno.ENOSPC, "no space left on device"), sticky=True)
        with monkeypatch.context() as patch:
            patch.setattr(fsio, "os", faulty)
            with suppress(OSError):
                follow(at_work, kind)
        if faulty.count < number:
            break
        found = tables(at_work)
        assert not found or same(found, old) or same(found, new)
        follow(at_work, kind)
        assert same(tables(at_work), new)
        assert verify(at_work.lab).findings == ()


def test_damage_is_not_hidden_by_an_upgrade(make: Callable[..., LabAtWork]) -> None:
    """A table that does not hold what was filed stays as it is, with all of its kind."""
    at_work = make()
    install(at_work, plugin(3))
    path = at_work.root / "archive" / KIND / "RB-015" / "data.parquet"
    rows = pq.ParquetFile(path).read()
    field = rows.schema.field("weight")
    place = rows.schema.get_field_index("weight")
    pq.write_table(rows.set_column(place, field, pa.array([4.0])), path)
    old = tables(at_work)
    found = follow(at_work, kind_of(at_work))
    assert "does not hold what the journal says" in found.refused[KIND]
    assert same(tables(at_work), old)
    assert [one.damage.code for one in verify(at_work.lab).findings] == ["rows-changed"]


def test_what_somebody_put_among_the_tables_is_kept(make: Callable[..., LabAtWork]) -> None:
    """It is no table, so it goes aside with the old ones."""
    at_work = make()
    install(at_work, plugin(2))
    (at_work.root / "archive" / KIND / "notes.txt").write_text("mine")
    follow(at_work, kind_of(at_work))
    (notes,) = at_work.root.glob(f"replaced/*/archive/{KIND}/notes.txt")
    assert notes.read_text() == "mine"
    assert verify(at_work.lab).findings == ()


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ("    raise ValueError('too few')\n", "ValueError: too few"),
        ("    return 5\n", "it returned int, not a frame"),
        ("    return frame.iloc[::-1]\n", "it added, lost or moved rows"),
        ("    return frame.drop(columns=['weight'])\n", "it returned no column 'weight'"),
        ("    return frame.assign(more=1.0)\n", "it returned column 'more'"),
        ("    return frame.assign(weight='x')\n", "column 'weight' is not of the type"),
        ("    return frame.assign(weight=float('nan'))\n", "column 'weight' is empty in"),
        ("    return frame.assign(weight=float('inf'))\n", "a number that is not finite"),
        ("    return frame\n", "12.5 g became 12.5 mg, expected 12500 mg"),
        (
            "    return frame.assign(weight=frame['weight'] * 1000, layer='second')\n",
            "column 'layer': first became second, though neither its unit nor its meaning has",
        ),
    ],
)
def test_a_function_that_does_not_take_rows_along_changes_nothing(
    make: Callable[..., LabAtWork], body: str, said: str
) -> None:
    """What it returns is checked: rows, columns, types, and values that only change their unit."""
    at_work = make()
    install(at_work, plugin(3, migrate=f"\ndef migrate(frame, from_version):\n{body}"))
    old = tables(at_work)
    found = follow(at_work, kind_of(at_work))
    assert said in found.refused[KIND], found.refused
    assert found.tables == {}
    assert same(tables(at_work), old)
    assert not (at_work.root / "upgrading").exists()


def test_a_column_that_only_has_another_name_keeps_what_it_says(
    make: Callable[..., LabAtWork],
) -> None:
    """With the unit in its name, another unit is another name; its values follow all the same."""
    at_work = make()
    only_named = (
        "\ndef migrate(frame, from_version):\n    return frame.rename(columns={'weight': 'coat'})\n"
    )
    install(at_work, plugin(4, migrate=only_named))
    old = tables(at_work)
    found = follow(at_work, kind_of(at_work))
    assert "column 'coat': 12.5 g became 12.5 mg, expected 12500 mg" in found.refused[KIND]
    assert same(tables(at_work), old)


def test_an_older_plugin_is_refused(make: Callable[..., LabAtWork]) -> None:
    """Tables never go back to an earlier version by themselves."""
    at_work = make()
    install(at_work, plugin(2))
    follow(at_work, kind_of(at_work))
    install(at_work, plugin(1))
    assert (
        "kind version 2 in the tables, kind version 1 now"
        in (follow(at_work, kind_of(at_work)).refused[KIND])
    )
    assert verify(at_work.lab).findings == ()


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ("-frame.pop('weight') * 1000", "RB-014-1.csv, row 5, column 'coat': found -12500 mg;"),
        ("frame.pop('weight').where(lambda of: of != 0.25, -1.0)", ""),
    ],
    ids=["what counts", "what was retracted"],
)
def test_migrated_rows_keep_to_the_bounds_of_their_kind(
    make: Callable[..., LabAtWork], wrong: str, said: str
) -> None:
    """The file, row and column of the first that does not are told; what was retracted may."""
    at_work = make()
    body = f"\ndef migrate(frame, from_version):\n    frame['coat'] = {wrong}\n    return frame\n"
    other = plugin(4, migrate=body).replace("weight of the wet coat", "what the coat weighs, wet")
    install(at_work, other)
    old = tables(at_work)
    found = follow(at_work, kind_of(at_work))
    if not said:
        assert found.tables == {KIND: 2}
        return
    assert found.refused[KIND] == f"{said} expected at least 0 mg"
    assert same(tables(at_work), old)


ASKED = """
from tiecoat.plugin import Fault, Reason

def migrate(frame, from_version):
    return frame.rename(columns={"weight": "coat"}).assign(coat=lambda of: of["coat"] * 1000)

def carried(columns):
    for row in (columns["coat"] > 10_000).nonzero()[0].tolist():
        found = f"{columns['coat'][row]:g} mg"
        found += f" on {columns['panel'][row]}" if BETWEEN else ""
        yield Fault(Reason.INCONSISTENT, row, "coat", found, "what a panel carries")
"""


@pytest.mark.parametrize("asked", ["check", "together"])
def test_migrated_rows_keep_to_what_their_kind_checks(
    make: Callable[..., LabAtWork], asked: str
) -> None:
    """What the kind asks of arriving rows, within and between measurements, it asks of these."""
    at_work = make()
    text = plugin(4, migrate=ASKED.replace("BETWEEN", str(asked == "together")))
    install(at_work, text.replace("migrate=migrate", f"migrate=migrate, {asked}=carried"))
    old = tables(at_work)
    found = "12500 mg on RB-014-1" if asked == "together" else "12500 mg"
    assert follow(at_work, kind_of(at_work)).refused[KIND] == (
        f"RB-014-1.csv, row 5, column 'coat': found {found}; expected what a panel carries"
    )
    assert same(tables(at_work), old)


def test_an_error_within_a_migration_is_told_by_the_line_of_its_author(
    make: Callable[..., LabAtWork],
) -> None:
    """Not by the line of the library that he called."""
    at_work = make()
    wrong = "    return frame.assign(coat=frame['wieght'])\n"
    text = plugin(4, migrate=f"\ndef migrate(frame, from_version):\n{wrong}")
    install(at_work, text)
    line = text.splitlines().index(wrong.rstrip("\n")) + 1
    refused = follow(at_work, kind_of(at_work)).refused[KIND]
    assert refused == f"KeyError: 'wieght' (coat.py, line {line})"
