"""Filing: once, whole, in order, and nothing overwritten in silence."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from pathlib import Path

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from archive_rows import DAY, decided, export, file, plate, recipe, schema, sha_of, sweep, wet

from tiecoat.archive.index.cache import batch_of_panel
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Incoming, Store
from tiecoat.archive.tables import folder as folder_module
from tiecoat.archive.tables.parquet import ROWS_IN_GROUP, to_parquet
from tiecoat.ask.query import Archive
from tiecoat.contract.columns import of_today
from tiecoat.errors import ArchiveDamaged, UnknownName
from tiecoat.lab.ids import table_path
from tiecoat.lab.settings import Lab

ROOT = Path(__file__).parents[2]


def table(lab: Lab, kind: str, batch: str = "RB-014") -> pa.Table:
    return of_today(pq.read_table(table_path(lab.archive, kind, batch)))


def test_an_export_of_two_kinds_and_batches_fills_one_table_each(lab: Lab) -> None:
    """An export of two kinds and batches fills one table each, and says which."""
    incoming = export(
        "day.csv",
        {"impedance": [sweep("RB-014-1"), sweep("RB-015-1")], "density": [wet(1.31)]},
    )

    (filed,) = file(lab, incoming)

    assert filed.status == "filed"
    assert filed.tables == [
        ("density", "RB-014"),
        ("impedance", "RB-014"),
        ("impedance", "RB-015"),
    ]
    assert len(filed.measurements) == 3
    assert sorted(path.relative_to(lab.root).as_posix() for path in lab.archive.rglob("*.*")) == [
        "archive/density/RB-014/data.parquet",
        "archive/impedance/RB-014/data.parquet",
        "archive/impedance/RB-015/data.parquet",
    ]
    assert list(lab.stage.iterdir()) == []


def test_rows_are_sorted_by_panel_time_measurement_and_the_order_of_the_kind(lab: Lab) -> None:
    """Rows are sorted by panel, time, measurement, then as the kind says, over all exports."""
    file(lab, export("b.csv", {"impedance": [sweep("RB-014-2"), sweep("RB-014-1", 48)]}))
    file(lab, export("a.csv", {"impedance": [sweep("RB-014-1", 24), sweep("RB-014-3")]}))

    rows = table(lab, "impedance").to_pylist()

    keys = [(r["panel"], r["measured_at"], r["measurement"], r["frequency_hz"]) for r in rows]
    assert keys == sorted(keys)
    assert len(rows) == 12


def test_units_and_meanings_stand_in_the_file(lab: Lab) -> None:
    """Units, meanings and the kind's rules stand in the Parquet file itself."""
    file(lab, export("a.csv", {"impedance": [sweep()]}))

    found = pq.read_schema(table_path(lab.archive, "impedance", "RB-014"))

    assert found.equals(schema("impedance"), check_metadata=True)


def test_the_same_export_again_is_known(lab: Lab) -> None:
    """The same export again is known and changes no byte."""
    incoming = export("a.csv", {"impedance": [sweep()], "density": [wet(1.3)]})
    first, again = file(lab, incoming)[0], file(lab, incoming)[0]

    assert again.status == "known"
    assert again.measurements == first.measurements
    assert len(table(lab, "impedance")) == 3


def test_the_same_values_in_another_file_are_known(lab: Lab) -> None:
    """The same determination with the same values from other bytes is not filed twice."""
    (first,) = file(lab, export("a.csv", {"impedance": [sweep()]}))
    (again,) = file(lab, export("copy.csv", {"impedance": [sweep(frequencies=(1e-1, 1e5, 1e2))]}))

    assert again.status == "known"
    assert again.measurements == first.measurements
    assert set(table(lab, "impedance")["source_name"].to_pylist()) == {"a.csv"}


def test_another_time_or_identity_is_another_determination(lab: Lab) -> None:
    """Another time, panel or value of an identity column makes another determination."""
    exports = [
        export("a.csv", {"density": [wet(1.30)]}),
        export("b.csv", {"density": [wet(1.35, state="deaerated")]}),
        export("c.csv", {"density": [wet(1.30, batch="RB-015")]}),
        export("d.csv", {"impedance": [sweep(hours=24), sweep(hours=25), sweep("RB-014-2")]}),
    ]

    assert [filed.status for filed in file(lab, *exports)] == ["filed"] * 4


def test_one_conflict_keeps_the_whole_file_out(lab: Lab) -> None:
    """With one conflicting measurement nothing of the file is filed, and the message says which."""
    file(lab, export("a.csv", {"impedance": [sweep("RB-014-1")]}))
    before = table(lab, "impedance")

    (filed,) = file(
        lab,
        export("b.csv", {"impedance": [sweep("RB-014-2"), sweep("RB-014-1", scale=1.5)]}),
    )

    assert filed.status == "conflict"
    assert filed.measurements == []
    (conflict,) = filed.conflicts
    assert conflict.measurement == f"{sha_of('b.csv')[:16]}-0002"
    assert conflict.determination == (
        "impedance of RB-014-1, 2026-10-02 08:00:00 UTC, exposure_h 24"
    )
    assert conflict.row == 5
    assert conflict.existing == f"{sha_of('a.csv')[:16]}-0001"
    assert conflict.existing_source == "a.csv"
    assert table(lab, "impedance").equals(before)


def test_of_two_exports_in_one_round_the_first_is_filed(lab: Lab) -> None:
    """Of two exports in one round that contradict each other the first is filed."""
    a = export("a.csv", {"density": [wet(1.30)]})
    b = export("b.csv", {"density": [wet(1.31), wet(1.2, "RB-015")]})
    c = export("c.csv", {"density": [wet(1.2, "RB-015")]})

    assert [filed.status for filed in file(lab, a, b, c)] == ["filed", "conflict", "filed"]
    assert table(lab, "density")["density_g_cm3"].to_pylist() == [1.30]


def test_a_file_that_contradicts_itself_is_a_conflict(lab: Lab) -> None:
    """A file that gives one determination twice with other values is a conflict with itself."""
    (filed,) = file(lab, export("a.csv", {"density": [wet(1.30), wet(1.31)]}))

    assert filed.status == "conflict"
    assert filed.conflicts[0].existing_source == "a.csv"
    assert not table_path(lab.archive, "density", "RB-014").exists()


def test_a_missing_number_is_the_same_however_it_is_written(lab: Lab) -> None:
    """NaN and an empty cell are the same value, and so are 0 and -0."""
    file(lab, export("a.csv", {"impedance": [sweep(z_real_ohm=float("nan"), z_imag_ohm=0.0)]}))
    (filed,) = file(lab, export("b.csv", {"impedance": [sweep(z_real_ohm=None, z_imag_ohm=-0.0)]}))

    assert filed.status == "known"


def test_a_later_register_row_replaces_the_earlier(lab: Lab) -> None:
    """A later row of the register replaces the earlier, which stays with who, when and why."""
    (first,) = file(
        lab, export("a.xlsx", {"batches": [recipe("RB-014", "talc"), recipe("RB-015", "mica")]})
    )
    (second,) = file(
        lab, export("b.xlsx", {"batches": [recipe("RB-014", "talc X"), recipe("RB-015", "mica")]})
    )

    assert second.status == "filed"
    assert [one.measurement for one in second.withdrawn] == [first.measurements[0]]
    assert second.tables == [("batches", "RB-014")]
    rows = {row["source_name"]: row for row in table(lab, "batches").to_pylist()}
    assert rows["b.xlsx"]["withdrawn"] is None
    old = rows["a.xlsx"]
    assert old["withdrawn"] == "superseded"
    assert old["withdrawn_by"] == "hand 1"
    assert old["withdrawn_why"] == "replaced by a later register row"
    assert old["superseded_by"] == second.measurements[0]
    assert old["withdrawn_at"] is not None
    assert list(Archive(lab).read("batches")["candidate"]) == ["talc X", "mica"]


def test_an_old_register_row_may_come_back(lab: Lab) -> None:
    """Values of the register that were replaced may come back from another file."""
    for name, candidate in (("a.xlsx", "talc"), ("b.xlsx", "mica"), ("c.xlsx", "talc")):
        assert file(lab, export(name, {"batches": [recipe("RB-014", candidate)]}))[0].status == (
            "filed"
        )

    assert list(Archive(lab).read("batches")["source_name"]) == ["c.xlsx"]


def test_the_time_does_not_tell_register_rows_apart(lab: Lab) -> None:
    """A register row with another date replaces the earlier one all the same."""
    rows = [{**recipe("RB-014", "talc", dose)[0], "measured_at": at} for dose, at in DATED]
    file(lab, export("a.xlsx", {"batches": [rows[:1]]}), export("b.xlsx", {"batches": [rows[1:]]}))

    assert list(Archive(lab).read("batches")["dose_percent"]) == [3.0]


DATED = [(2.0, DAY), (3.0, DAY + timedelta(days=1))]


def test_register_rows_of_one_round_replace_each_other_in_order(lab: Lab) -> None:
    """Register rows that come in one round replace each other in their order."""
    exports = [export(f"{n}.xlsx", {"batches": [recipe("RB-014", f"talc {n}")]}) for n in range(3)]
    file(lab, *exports)

    assert list(Archive(lab).read("batches")["candidate"]) == ["talc 2"]
    assert len(table(lab, "batches")) == 3


def test_a_panel_belongs_to_one_batch(lab: Lab) -> None:
    """A panel that the register knows in another batch is a conflict, also within one file."""
    file(lab, export("a.xlsx", {"panels": [plate("P-1", "RB-014")]}))

    (other,) = file(lab, export("b.xlsx", {"panels": [plate("P-1", "RB-015")]}))
    (both,) = file(
        lab, export("c.xlsx", {"panels": [plate("P-2", "RB-014"), plate("P-2", "RB-015")]})
    )

    assert other.status == both.status == "conflict"
    assert other.conflicts[0].existing_source == "a.xlsx"
    with open_index(lab) as index:
        assert batch_of_panel(index, "P-1") == "RB-014"
        assert batch_of_panel(index, "P-2") is None


def test_supersede_moves_a_panel_to_another_batch(lab: Lab) -> None:
    """Superseding a register row moves the panel to its other batch."""
    file(lab, export("a.xlsx", {"panels": [plate("P-1", "RB-014")]}))
    moved = export("b.xlsx", {"panels": [plate("P-1", "RB-015")]})

    with open_index(lab) as index, write_lock(lab):
        Store(lab, index).file([decided(moved, "M. Keller", "wrong sheet")])
        assert batch_of_panel(index, "P-1") == "RB-015"
    assert list(Archive(lab).read("panels")["batch"]) == ["RB-015"]


def as_kind(kind: str, incoming: Incoming) -> Incoming:
    """The same rows, as those of a kind of another name."""
    ((_, rows),) = incoming.tables.items()
    said = {**rows.schema.metadata, b"tiecoat.kind": kind.encode()}
    return replace(incoming, tables={kind: rows.replace_schema_metadata(said)})


def test_a_register_is_known_by_what_its_kind_says(lab: Lab) -> None:
    """Any kind that replaces and has panels registers them: beside others, and never for them."""
    row = plate("P-1", "RB-014")
    file(lab, as_kind("trays", export("a.xlsx", {"panels": [row]})))

    (other,) = file(
        lab, as_kind("trays", export("b.xlsx", {"panels": [plate("P-1", "RB-015", "DC01")]}))
    )
    (rival,) = file(lab, export("c.xlsx", {"panels": [plate("P-1", "RB-016", "S235")]}))
    file(lab, export("d.csv", {"impedance": [sweep("P-2", batch="RB-014")]}))

    assert (other.status, rival.status) == ("conflict", "filed")
    assert other.conflicts[0].existing_source == "a.xlsx"
    with open_index(lab) as index:
        assert batch_of_panel(index, "P-1") in {"RB-014", "RB-016"}
        assert batch_of_panel(index, "P-2") is None


def test_the_archive_knows_no_kind_by_name() -> None:
    """Nothing in the room of the archive names a kind: what a kind is stands in its tables."""
    kinds = {path.stem for path in (ROOT / "schemas").glob("*.py")} - {"__init__"}
    assert {"panels", "batches", "impedance"} <= kinds
    named = re.compile(rf"""["'](?:{"|".join(sorted(kinds))})["']""")
    found = {
        path.relative_to(ROOT).as_posix(): named.findall(path.read_text(encoding="utf-8"))
        for path in (ROOT / "core" / "archive").rglob("*.py")
    }
    assert len(found) > 15
    assert {name: names for name, names in found.items() if names} == {}


def test_supersede_files_the_new_and_keeps_the_old(lab: Lab) -> None:
    """Supersede files the new values and keeps the old ones, marked with who, when and why."""
    (old,) = file(lab, export("a.csv", {"density": [wet(1.30), wet(1.2, state="deaerated")]}))
    better = export("b.csv", {"density": [wet(1.32), wet(1.2, state="deaerated")]})

    with open_index(lab) as index, write_lock(lab):
        (first,) = Store(lab, index).file([decided(better, "M. Keller", "scale was off")])
        (again,) = Store(lab, index).file([decided(better, "M. Keller", "scale was off")])

    assert first.status == "filed"
    assert [one.measurement for one in first.withdrawn] == [old.measurements[0]]
    assert again.status == "known"
    archive = Archive(lab)
    assert sorted(archive.read("density")["density_g_cm3"]) == [1.2, 1.32]
    gone = archive.read("density", withdrawn=True, where="withdrawn is not null")
    assert gone[
        ["withdrawn", "withdrawn_by", "withdrawn_why", "superseded_by"]
    ].values.tolist() == [["superseded", "M. Keller", "scale was off", first.measurements[0]]]


def test_retract_keeps_the_rows(lab: Lab) -> None:
    """A retracted measurement is left out of answers, stays in the table, and may come again."""
    (filed,) = file(lab, export("a.csv", {"impedance": [sweep("RB-014-1"), sweep("RB-014-2")]}))

    with open_index(lab) as index, write_lock(lab):
        store = Store(lab, index)
        assert (
            store.retract(filed.measurements[:1], "M. Keller", "cell leaked")
            == (filed.measurements[:1])
        )
        assert store.retract(filed.measurements[:1], "someone else", "again") == []

    archive = Archive(lab)
    assert set(archive.read("impedance")["panel"]) == {"RB-014-2"}
    rows = archive.read("impedance", panel="RB-014-1", withdrawn=True)
    assert set(rows["withdrawn_by"]) == {"M. Keller"}
    assert file(lab, export("b.csv", {"impedance": [sweep("RB-014-1", scale=2)]}))[0].status == (
        "filed"
    )


def test_a_withdrawal_beside_an_earlier_one(lab: Lab) -> None:
    """Of several withdrawn measurements of one table those that were asked for are returned."""
    sweeps = [sweep(f"RB-014-{panel}") for panel in (1, 2, 3)]
    (filed,) = file(lab, export("a.csv", {"impedance": sweeps}))
    first, second, third = filed.measurements

    with open_index(lab) as index, write_lock(lab):
        store = Store(lab, index)
        store.retract([first], "M. Keller", "cell leaked")
        store.retract([second], "J. Brandt", "wrong panel")
        asked = {
            names: [(one.measurement, one.mark.why) for one in store.withdrawals(names)]
            for names in ((first,), (second,), (third,), (third, second), (first, second))
        }

    leaked, wrong = (first, "cell leaked"), (second, "wrong panel")
    assert asked == {
        (first,): [leaked],
        (second,): [wrong],
        (third,): [],
        (third, second): [wrong],
        (first, second): [leaked, wrong],
    }


def test_retract_of_an_unknown_measurement_changes_nothing(lab: Lab) -> None:
    """If one of the measurements to retract is unknown, none is retracted."""
    (filed,) = file(lab, export("a.csv", {"density": [wet(1.3)]}))

    with open_index(lab) as index, write_lock(lab), pytest.raises(UnknownName, match="0000-0001"):
        Store(lab, index).retract([*filed.measurements, "0000-0001"], "M. Keller", "typo")

    assert len(Archive(lab).read("density")) == 1


def test_a_new_column_is_empty_in_older_rows(lab: Lab) -> None:
    """A column that a kind gains is empty in older rows; an older reader loses no column."""
    file(lab, export("a.csv", {"density": [wet(1.30)]}))
    (older,) = table(lab, "density").to_pylist()
    newer = [{**wet(1.31, state="deaerated")[0], "temperature_c": 23.0}]
    file(lab, export("b.csv", {"density": [newer]}, density={"temperature_c": pa.float64()}))
    assert len(file(lab, export("copy.csv", {"density": [wet(1.30)]}))[0].measurements) == 1
    file(lab, export("c.csv", {"density": [wet(1.32, state="filtered")]}))

    rows = table(lab, "density")

    assert dict(zip(rows["state"].to_pylist(), rows["temperature_c"].to_pylist(), strict=True)) == {
        "as mixed": None,
        "deaerated": 23.0,
        "filtered": None,
    }
    assert {**older, "temperature_c": None} in rows.to_pylist()


def test_a_new_column_does_not_make_old_values_new(lab: Lab) -> None:
    """The same values stay known when the kind has gained a column that they leave empty."""
    file(lab, export("a.csv", {"density": [wet(1.30)]}))
    extra = {"density": {"temperature_c": pa.float64()}}

    assert file(lab, export("b.csv", {"density": [wet(1.30)]}, **extra))[0].status == "known"


def test_a_kind_whose_identity_changes(lab: Lab) -> None:
    """When a kind tells determinations apart by another column, older rows are looked at anew."""
    told_by = {b"tiecoat.identity": b'["state", "temperature_c"]'}
    extra = {"density": {"temperature_c": pa.float64()}}

    def newer(name: str, value: float, temperature_c: float | None) -> Incoming:
        rows = [{**wet(value)[0], "temperature_c": temperature_c}]
        table = export(name, {"density": [rows]}, **extra).tables["density"]
        said = {**table.schema.metadata, **told_by}
        return Incoming(sha_of(name), {"density": table.replace_schema_metadata(said)})

    file(lab, export("a.csv", {"density": [wet(1.30)]}))

    assert file(lab, newer("b.csv", 1.32, None))[0].status == "conflict"
    assert file(lab, newer("c.csv", 1.32, 30.0))[0].status == "filed"
    assert file(lab, newer("d.csv", 1.30, None))[0].status == "known"


@pytest.mark.parametrize("there", [0, 1, 3])
def test_a_staged_table_with_another_number_of_rows_is_refused(
    lab: Lab, there: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A half-made table that lacks rows, or has too many, takes no table's place."""
    file(lab, export("a.csv", {"density": [wet(1.3)]}))
    path = table_path(lab.archive, "density", "RB-014")
    before = path.read_bytes()

    def wrong(rows: pa.Table) -> pa.Buffer:
        assert len(rows) == 2
        return to_parquet(pa.concat_tables([rows, rows]).slice(0, there))

    with monkeypatch.context() as patch:
        patch.setattr(folder_module, "to_parquet", wrong)
        with pytest.raises(ArchiveDamaged, match=rf": {there} rows were written, 2 expected$"):
            file(lab, export("b.csv", {"density": [wet(1.4, state="filtered")]}))

    assert path.read_bytes() == before
    assert list(lab.stage.iterdir()) == []
    file(lab, export("b.csv", {"density": [wet(1.4, state="filtered")]}))
    assert sorted(table(lab, "density")["density_g_cm3"].to_pylist()) == [1.3, 1.4]


def test_a_damaged_table_is_named_and_not_replaced(lab: Lab) -> None:
    """A table that does not open is named, never written over, and leaves no half-made file."""
    file(lab, export("a.csv", {"density": [wet(1.3)]}))
    path = table_path(lab.archive, "density", "RB-014")
    path.write_bytes(path.read_bytes()[:-20])
    torn = path.read_bytes()

    with pytest.raises(ArchiveDamaged, match=r"density.RB-014.data\.parquet"):
        file(lab, export("b.csv", {"density": [wet(1.2, "RB-013"), wet(1.4, state="filtered")]}))

    assert path.read_bytes() == torn
    assert list(lab.stage.iterdir()) == []


def test_a_table_put_back_by_hand_is_noticed(lab: Lab) -> None:
    """A table that was put back from a backup is looked at before anything is filed into it."""
    path = table_path(lab.archive, "density", "RB-014")
    file(lab, export("a.csv", {"density": [wet(1.3)]}))
    backup = path.read_bytes()
    file(lab, export("b.csv", {"density": [wet(1.4, state="filtered")]}))

    with open_index(lab) as index, write_lock(lab):
        path.write_bytes(backup)
        (filed,) = Store(lab, index).file(
            [export("b.csv", {"density": [wet(1.4, state="filtered")]})]
        )

    assert filed.status == "filed"
    assert len(table(lab, "density")) == 2


def test_a_backlog_replaces_each_table_once(lab: Lab, monkeypatch: pytest.MonkeyPatch) -> None:
    """A backlog is grouped: each table is replaced once, however many files go into it."""
    written: list[int] = []
    original = pq.write_table

    def counting(rows: pa.Table, *args: object, **kwargs: object) -> None:
        written.append(len(rows))
        original(rows, *args, **kwargs)

    monkeypatch.setattr(pq, "write_table", counting)
    file(lab, *(export(f"{n}.csv", {"impedance": [sweep(hours=n)]}) for n in range(50)))

    assert written == [150]


def test_large_tables_are_cut_into_groups_of_rows(lab: Lab) -> None:
    """A large table is cut into groups of rows, so that one panel is found without reading all."""
    frequencies = [float(n + 1) for n in range(ROWS_IN_GROUP // 2)]
    sweeps = [sweep(f"RB-014-{n}", frequencies=frequencies) for n in range(1, 4)]
    file(lab, export("a.csv", {"impedance": sweeps}))

    groups = pq.ParquetFile(table_path(lab.archive, "impedance", "RB-014")).metadata

    assert groups.num_row_groups == 2
    panels = groups.row_group(0).column(2).statistics, groups.row_group(1).column(2).statistics
    assert all(one.max <= other.min for one, other in pairwise(panels))
