"""`tiecoat verify`: a sound lab passes; every damage is found, named, and told how to mend."""

from __future__ import annotations

import hashlib
import json
import shutil
import sqlite3
import subprocess
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import eventful_lab
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq
import pytest
from bad_exports import density, panel_row, panels
from labs import LabAtWork

from tiecoat.archive.journal import records as journal_module
from tiecoat.cli import main
from tiecoat.verify.report import Damage, DamageFound
from tiecoat.verify.verify import verify

MARKS = ("withdrawn", "withdrawn_at", "withdrawn_by", "withdrawn_why", "superseded_by")


def found(at_work: LabAtWork) -> list[DamageFound]:
    return list(verify(at_work.lab).findings)


def only(at_work: LabAtWork, damage: Damage, where: str, *words: str) -> None:
    """Check that there is one finding, of this sort, at this place, with these words."""
    findings = found(at_work)
    assert [(one.damage, one.where) for one in findings] == [(damage, where)], findings
    assert [word for word in words if word not in findings[0].said] == [], findings[0].said


def original(at_work: LabAtWork, name: str) -> Path:
    (path,) = at_work.root.glob(f"originals/*/*/{name}")
    return path


def table(at_work: LabAtWork, place: str) -> Path:
    return at_work.root / "archive" / place / "data.parquet"


def edit(path: Path, change: Callable[[pa.Table], pa.Table]) -> None:
    pq.write_table(change(pq.ParquetFile(path).read()), path)


def with_value(name: str, row: int, value: object) -> Callable[[pa.Table], pa.Table]:
    def change(rows: pa.Table) -> pa.Table:
        values = rows[name].to_pylist()
        values[row] = value
        field = rows.schema.field(name)
        return rows.set_column(
            rows.schema.get_field_index(name), field, pa.array(values, field.type)
        )

    return change


def lines_of(at_work: LabAtWork) -> tuple[Path, list[bytes]]:
    (path,) = (at_work.root / "journal").iterdir()
    return path, path.read_bytes().splitlines(keepends=True)


def test_a_copy_of_a_lab_is_a_sound_lab(at_work: LabAtWork, tmp_path: Path) -> None:
    """`cp -r` makes every table younger than the index knows it, and changes nothing in it."""
    subprocess.run(["cp", "-r", at_work.root, tmp_path / "copy"], check=True)
    copy = LabAtWork(tmp_path / "copy")
    assert verify(copy.lab).findings == ()
    assert verify(copy.lab).remarks == verify(at_work.lab).remarks


def test_a_sound_lab_passes(at_work: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is found in a lab in which everything has happened, nor is anything changed."""
    before = {path: path.read_bytes() for path in at_work.root.rglob("*") if path.is_file()}
    verified = verify(at_work.lab)
    assert (verified.findings, verified.remarks) == ((), ())
    assert verified.counts.originals == len(list(at_work.root.glob("originals/*/*/*.*"))) - 1
    assert verified.counts.records == len(at_work.journal())
    assert verified.counts.measurements == len({r["measurement"] for r in at_work.every_row()})
    after = {path: path.read_bytes() for path in at_work.root.rglob("*") if path.is_file()}
    changed = {
        path.name for path in before.keys() | after.keys() if before.get(path) != after.get(path)
    }
    of_index = {"index.sqlite-shm", "index.sqlite-wal"}
    assert changed <= {".write.lock", ".write.holder", "proved.sqlite", *of_index}
    capsys.readouterr()
    assert main(["verify", "--lab", str(at_work.root)]) == 0
    assert "the lab is sound" in capsys.readouterr().out


def test_the_command_says_what_to_do(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """The command ends with code 1, names each damage, and says what to do about it."""
    table(at_work, "density/RB-014").unlink()
    original(at_work, "day 2.csv").write_bytes(b"something else")
    assert main(["verify", "--lab", str(at_work.root)]) == 1
    out = " ".join(capsys.readouterr().out.split())
    for word in (
        "archive/density/RB-014/data.parquet",
        "day 2.csv",
        "tiecoat rebuild",
        "2 findings",
    ):
        assert word in out


def test_what_to_do_stands_in_the_first_few_lines(
    at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """However much is damaged: first each advice once, then a few of each sort, all counted."""
    for name in ("archive", "originals", "journal"):
        shutil.rmtree(at_work.root / name)
    findings = found(at_work)
    capsys.readouterr()
    assert main(["verify", "--lab", str(at_work.root)]) == 1
    lines = capsys.readouterr().out.splitlines()
    advices = list(dict.fromkeys(one.damage.advice for one in findings))
    first = lines[1 : 1 + len(advices)]
    assert [line.partition(" (")[0] for line in first] == [
        f"What to do: {advice}".partition(" (")[0] for advice in advices
    ]
    for damage in {one.damage for one in findings}:
        own = sum(one.damage is damage for one in findings)
        listed = lines.index(f"{damage.code} ({own})") + 1
        assert own <= 5 or lines[listed + 5] == f"  and {own - 5} more"
        assert [line for line in first if damage.code in line.rpartition("(")[2]] != []
    assert "tiecoat verify --json lists all" in lines
    assert lines[-1].startswith(f"{len(findings)} findings: the lab is not sound")


def test_every_damage_says_what_to_do() -> None:
    """Each sort of damage has a code of its own, and advice."""
    assert len({one.code for one in Damage}) == len(Damage)
    assert all(one.advice for one in Damage)


# Originals


def test_a_flipped_bit_in_an_original(at_work: LabAtWork) -> None:
    """An original of which one bit has changed is named."""
    path = original(at_work, "density.csv")
    content = bytearray(path.read_bytes())
    content[20] ^= 1
    path.write_bytes(content)
    where = path.relative_to(at_work.root).as_posix()
    only(at_work, Damage.ORIGINAL_CHANGED, where, "SHA-256")


@pytest.mark.parametrize("name", ["first.csv", "spilled.csv", "waits.csv"])
def test_a_missing_original(at_work: LabAtWork, name: str) -> None:
    """An original that is gone is named, whether it was filed, discarded or is held."""
    path = original(at_work, name)
    shutil.rmtree(path.parent)
    only(at_work, Damage.ORIGINAL_MISSING, path.parent.relative_to(at_work.root).as_posix(), name)


@pytest.mark.parametrize("gone", [True, False])
def test_notes_are_proved_too(at_work: LabAtWork, gone: bool) -> None:
    """Notes that an original was read with, and that are gone or changed, are named."""
    (notes,) = at_work.root.glob("originals/*/*.notes/*")
    notes.unlink() if gone else notes.write_text("add = 0.3")
    damage = Damage.ORIGINAL_MISSING if gone else Damage.ORIGINAL_CHANGED
    only(at_work, damage, notes.relative_to(at_work.root).as_posix(), "slip 1.txt")


def test_what_does_not_belong_among_the_originals(at_work: LabAtWork) -> None:
    """A second file beside an original is named, and so is a folder of another name."""
    path = original(at_work, "first.csv")
    path.with_name("a copy.csv").write_bytes(path.read_bytes())
    (at_work.root / "originals" / "old").mkdir()
    (at_work.root / "originals" / "old" / "x.csv").write_text("x")
    wheres = {one.where: one.damage for one in found(at_work)}
    assert wheres == {
        path.parent.relative_to(at_work.root).as_posix(): Damage.ORIGINAL_FOREIGN,
        "originals/old/x.csv": Damage.ORIGINAL_FOREIGN,
    }


def test_what_a_file_manager_leaves_beside_an_original(at_work: LabAtWork) -> None:
    """It alone is named, as a thing to move out: the original and its folder are sound."""
    path = original(at_work, "first.csv").with_name(".DS_Store")
    path.write_bytes(b"")
    only(at_work, Damage.ORIGINAL_FOREIGN, path.relative_to(at_work.root).as_posix())


def test_an_original_on_its_way_is_no_damage(at_work: LabAtWork) -> None:
    """An original of which no record says what became of it is worth a remark."""
    content = density("1,4")
    sha256 = hashlib.sha256(content.encode()).hexdigest()
    path = at_work.root / "originals" / sha256[:2] / sha256 / "new.csv"
    path.parent.mkdir(parents=True)
    path.write_bytes(content.encode())
    verified = verify(at_work.lab)
    assert verified.findings == ()
    (remark,) = verified.remarks
    assert str(path) in remark


# Tables


def test_swapped_tables(at_work: LabAtWork) -> None:
    """Two tables that stand in each other's place are both named, with what they hold."""
    one, other = table(at_work, "density/RB-014"), table(at_work, "density/RB-015")
    content = one.read_bytes()
    one.write_bytes(other.read_bytes())
    other.write_bytes(content)
    assert {(f.damage, f.where, f.said) for f in found(at_work)} == {
        (
            Damage.TABLE_MISPLACED,
            f"archive/density/{batch}/data.parquet",
            f"it holds density of {of}",
        )
        for batch, of in (("RB-014", "RB-015"), ("RB-015", "RB-014"))
    }


@pytest.mark.parametrize(
    ("column", "value"),
    [
        ("z_real_ohm", 3126.0),
        ("panel", "RB-014-4"),
        ("source_row", 99),
        ("source_sha256", "0" * 64),
        ("reader", "impedance_table 7"),
        ("instrument", "another bench"),
        ("measured_at", None),
    ],
)
def test_an_edited_cell(at_work: LabAtWork, column: str, value: object) -> None:
    """A single cell that was edited, a value or a key or an origin, is found in its measurement."""
    path = table(at_work, "impedance/RB-014")
    name = eventful_lab.measurement(at_work, "spectrum.csv")
    row = pq.ParquetFile(path).read()["measurement"].to_pylist().index(name)
    edit(path, with_value(column, row + 1, value))
    only(at_work, Damage.ROWS_CHANGED, "archive/impedance/RB-014/data.parquet", name)


def test_a_unit_that_was_changed(at_work: LabAtWork) -> None:
    """A number in another unit is another value: an edited unit is found."""

    def change(rows: pa.Table) -> pa.Table:
        place = rows.schema.get_field_index("strength_mpa")
        field = rows.schema.field(place)
        other = field.with_metadata({**field.metadata, b"unit": b"psi"})
        return rows.cast(rows.schema.set(place, other))

    edit(table(at_work, "pull_off/RB-014"), change)
    only(at_work, Damage.ROWS_CHANGED, "archive/pull_off/RB-014/data.parquet", "2 measurements")


def test_a_dropped_row(at_work: LabAtWork) -> None:
    """A measurement that has lost a row is named."""
    name = eventful_lab.measurement(at_work, "day 2.csv")
    edit(table(at_work, "impedance/RB-015"), lambda rows: rows.slice(1))
    only(at_work, Damage.ROWS_CHANGED, "archive/impedance/RB-015/data.parquet", name)


def test_a_dropped_and_an_added_measurement(at_work: LabAtWork) -> None:
    """Rows that were filed and are gone are named, and rows that nobody filed."""
    name = eventful_lab.measurement(at_work, "leaked.csv")
    path = table(at_work, "impedance/RB-014")

    def change(rows: pa.Table) -> pa.Table:
        ours = pc.equal(rows["measurement"], name)
        stranger = rows.filter(ours)
        for column in ("measurement", *MARKS):
            value = "0123456789abcdef-0001" if column == "measurement" else None
            for row in range(len(stranger)):
                stranger = with_value(column, row, value)(stranger)
        return pa.concat_tables([rows.filter(pc.invert(ours)), stranger])

    edit(path, change)
    damages = {one.damage: one.said for one in found(at_work)}
    assert damages.keys() == {Damage.ROWS_MISSING, Damage.ROWS_UNFILED}
    assert name in damages[Damage.ROWS_MISSING]
    assert "0123456789abcdef-0001" in damages[Damage.ROWS_UNFILED]


@pytest.mark.parametrize("rows", [[0], [1], [2], [0, 1, 2]], ids=["first", "mid", "last", "all"])
def test_a_withdrawal_taken_back_by_hand(at_work: LabAtWork, rows: list[int]) -> None:
    """A mark that was taken off, wholly or from one row, is named with what the journal says."""
    name = eventful_lab.measurement(at_work, "leaked.csv")
    path = table(at_work, "impedance/RB-014")
    first = pq.ParquetFile(path).read()["measurement"].to_pylist().index(name)

    def change(table: pa.Table) -> pa.Table:
        for row in rows:
            for column in MARKS:
                table = with_value(column, first + row, None)(table)
        return table

    edit(path, change)
    words = ["the cell leaked", "is valid in the table"] if len(rows) == 3 else ["do not all bear"]
    only(at_work, Damage.MARK_DIFFERS, "archive/impedance/RB-014/data.parquet", name, *words)


@pytest.mark.parametrize("column", MARKS)
def test_rows_of_one_measurement_that_are_marked_differently(
    at_work: LabAtWork, column: str
) -> None:
    """One row with another mark than its measurement is found, whichever part of the mark it is."""
    name = eventful_lab.measurement(at_work, "leaked.csv")
    path = table(at_work, "impedance/RB-014")
    rows = pq.ParquetFile(path).read()
    last = rows["measurement"].to_pylist().index(name) + 2
    assert rows["measurement"][last].as_py() == name
    other = datetime(2026, 10, 1, tzinfo=UTC) if column == "withdrawn_at" else "something else"

    edit(path, with_value(column, last, other))

    (finding,) = found(at_work)
    assert (finding.damage, finding.where) == (
        Damage.MARK_DIFFERS,
        "archive/impedance/RB-014/data.parquet",
    )
    assert finding.said == f"{name}: its rows do not all bear the same mark of withdrawal"


def test_a_missing_table(at_work: LabAtWork) -> None:
    """A table that is gone is named, with what was filed in it."""
    name = eventful_lab.measurement(at_work, "day 2.csv")
    shutil.rmtree(table(at_work, "impedance/RB-015").parent)
    only(at_work, Damage.TABLE_MISSING, "archive/impedance/RB-015/data.parquet", name)


@pytest.mark.parametrize("how", ["torn", "flipped", "empty", "foreign", "retyped"])
def test_a_table_that_is_none(at_work: LabAtWork, how: str) -> None:
    """A torn table, one with a damaged page, and one that the program did not write are named."""
    path = table(at_work, "pull_off/RB-014")
    content = bytearray(path.read_bytes())
    if how == "torn":
        path.write_bytes(content[: len(content) // 2])
    elif how == "flipped":
        content[40] ^= 255
        path.write_bytes(content)
    elif how == "empty":
        path.write_bytes(b"")
    elif how == "foreign":
        pq.write_table(pa.table({"batch": ["RB-014"]}), path)
    else:
        edit(path, lambda rows: rows.drop_columns(["source_row"]))
    only(at_work, Damage.TABLE_UNREADABLE, "archive/pull_off/RB-014/data.parquet")


def test_a_foreign_file_under_the_archive(at_work: LabAtWork) -> None:
    """Whatever else stands under archive/ is named: a copy, a stray sheet, a link."""
    shutil.copy(
        table(at_work, "density/RB-014"), table(at_work, "density/RB-014").with_name("old.parquet")
    )
    (at_work.root / "archive" / "sheet.xlsx").write_bytes(b"x")
    (at_work.root / "archive" / "density" / "RB-999").symlink_to(
        at_work.root / "archive" / "density" / "RB-014"
    )
    assert {(one.damage, one.where) for one in found(at_work)} == {
        (Damage.FILE_FOREIGN, "archive/density/RB-014/old.parquet"),
        (Damage.FILE_FOREIGN, "archive/sheet.xlsx"),
        (Damage.FILE_FOREIGN, "archive/density/RB-999"),
    }


# The journal


def broken_at(at_work: LabAtWork) -> list[tuple[str, str]]:
    return [(one.where, one.said) for one in found(at_work) if one.damage is Damage.JOURNAL_BROKEN]


def test_a_changed_record(at_work: LabAtWork) -> None:
    """A record that was changed is named by file and line, the last one too."""
    path, lines = lines_of(at_work)
    for number in (3, len(lines) - 1):
        changed = lines.copy()
        changed[number] = changed[number].replace(b'"event": "', b'"event":  "')
        path.write_bytes(b"".join(changed))
        where = f"journal/{path.name}, line {number + 1}"
        assert broken_at(at_work) == [(where, "was changed after it was written")]


def test_a_removed_record(at_work: LabAtWork) -> None:
    """The line that follows a removed record is named, also where it was the first of all."""
    path, lines = lines_of(at_work)
    for number in (0, 4):
        path.write_bytes(b"".join(lines[:number] + lines[number + 1 :]))
        ((where, said),) = broken_at(at_work)
        assert where == f"journal/{path.name}, line {number + 1}"
        assert "removed just before it" in said


def test_an_inserted_record(at_work: LabAtWork) -> None:
    """A record that was put in is named: a copy of another, one without a hash, one with a hash."""
    path, lines = lines_of(at_work)
    plain = b'{"at": "2026-09-01T00:00:00+00:00", "event": "note"}\n'
    forged = journal_module._sealed({"event": "note", "before": "0" * 64})[0] + b"\n"
    for line, word in ((lines[2], "copy of"), (plain, "carries no hash"), (forged, "removed")):
        path.write_bytes(b"".join([*lines[:6], line, *lines[6:]]))
        assert [where for where, said in broken_at(at_work) if word in said] == [
            f"journal/{path.name}, line 7"
        ]


def test_reordered_records(at_work: LabAtWork) -> None:
    """Two records that changed places are named, with the line that each follows."""
    path, lines = lines_of(at_work)
    lines[3], lines[4] = lines[4], lines[3]
    path.write_bytes(b"".join(lines))
    named = broken_at(at_work)
    assert {where for where, _ in named} == {
        f"journal/{path.name}, line {number}" for number in (4, 6)
    }
    assert f"follows journal/{path.name}, line 5" in named[0][1]


def test_a_month_that_was_taken_out(at_work: LabAtWork) -> None:
    """A chain goes on over the months: a month file that is gone is missed."""
    path, lines = lines_of(at_work)
    path.unlink()
    months = [path.with_name(f"2026-{month}.jsonl") for month in ("07", "08", "09")]
    for number, month in enumerate(months):
        month.write_bytes(b"".join(lines[number * 6 : number * 6 + 6 if number < 2 else None]))
    assert found(at_work) == []
    months[1].unlink()
    ((where, said),) = broken_at(at_work)
    assert where == "journal/2026-09.jsonl, line 1"
    assert "removed" in said


def test_a_torn_line_is_no_damage(at_work: LabAtWork) -> None:
    """Half a line that a power cut left is worth a remark; the chain goes on after it."""
    path, lines = lines_of(at_work)
    with path.open("ab") as file:
        file.write(lines[-1][:40])
    at_work.drop("later.csv", density(at="18.09.2026;08:00"))
    at_work.take()
    where = f"journal/{path.name}, line {len(lines) + 1}"
    verified = verify(at_work.lab)
    assert verified.findings == ()
    assert verified.remarks == (
        f"{where} is torn, as by a power cut; the records around it are whole",
    )


@pytest.mark.parametrize("left_index", [True, False])
@pytest.mark.parametrize("cut", [1, 3])
def test_a_journal_that_was_cut(at_work: LabAtWork, cut: int, left_index: bool) -> None:
    """Records cut off at the end leave a whole chain: index, held folders and tables miss them."""
    path, lines = lines_of(at_work)
    path.write_bytes(b"".join(lines[:-cut]))
    if not left_index:
        for one in at_work.root.glob("index.sqlite*"):
            one.unlink()
    damages = {one.damage for one in found(at_work)}
    missed = {Damage.ROWS_UNFILED}
    if left_index or cut == 3:  # the third last held a file, whose folder is there
        missed.add(Damage.NOT_IN_JOURNAL)
    assert damages == missed


def test_a_record_that_says_nothing(at_work: LabAtWork) -> None:
    """A record that lacks what it must say is named, even with a right hash."""
    path, lines = lines_of(at_work)
    before = json.loads(lines[-1])["hash"]
    odd = journal_module._sealed({"event": "filed", "tables": [{}], "before": before})[0]
    path.write_bytes(b"".join([*lines, odd + b"\n"]))
    assert broken_at(at_work) == [
        (f"journal/{path.name}, line {len(lines) + 1}", "does not say what such a record must")
    ]


# The index, and what a crash leaves


def test_a_deleted_index_is_no_damage(at_work: LabAtWork) -> None:
    """Without an index all else can be proved; it is told how to build it."""
    for path in at_work.root.glob("index.sqlite*"):
        path.unlink()
    verified = verify(at_work.lab)
    assert verified.findings == ()
    assert verified.remarks == ("index.sqlite is not there; it is only a cache: tiecoat reindex",)


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE measurements SET withdrawn = NULL",
        "DELETE FROM measurements WHERE kind = 'density'",
        "DELETE FROM originals WHERE outcome = 'discarded'",
        "DELETE FROM tables WHERE kind = 'density'",
    ],
)
def test_an_index_that_says_otherwise(at_work: LabAtWork, statement: str) -> None:
    """An index that does not agree with tables and journal is told, and mended by reindex."""
    connection = sqlite3.connect(at_work.root / "index.sqlite")
    with connection:
        connection.execute(statement)
    connection.close()
    assert {one.damage for one in found(at_work)} == {Damage.INDEX_DIFFERS}
    assert main(["reindex", "--lab", str(at_work.root)]) == 0
    assert found(at_work) == []


class Killed(BaseException):
    """The process is gone."""


def die(*_: Any) -> None:
    raise Killed


def test_killed_between_tables_and_journal(
    at_work: LabAtWork, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a run filed that died before the journal is on record after the next, marks included."""
    at_work.drop("register 3.csv", panels(panel_row("RB-014-3", "RB-014").replace("180", "210")))
    with monkeypatch.context() as patch:
        patch.setattr("tiecoat.intake.filing.rounds.Filer._record", die)
        with pytest.raises(Killed):
            at_work.take()
    assert {one.damage for one in found(at_work)} == {Damage.ROWS_UNFILED, Damage.MARK_DIFFERS}
    assert at_work.take()["register 3.csv"].status == "known"
    assert found(at_work) == []


def test_a_retraction_cut_short_is_completed(
    at_work: LabAtWork, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without its record it is none; with it, it is found until the next start completes it."""
    name = eventful_lab.measurement(at_work, "day 2.csv")
    with monkeypatch.context() as patch:
        patch.setattr("tiecoat.archive.amend.Journal.append", die)
        with pytest.raises(Killed):
            eventful_lab.run(at_work, "retract", name, "--why", "rust on the clamp")
    only(at_work, Damage.INDEX_DIFFERS, "index.sqlite", "RB-015")
    assert eventful_lab.run(at_work, "reindex") == 0
    assert found(at_work) == []
    with monkeypatch.context() as patch:
        patch.setattr("tiecoat.archive.store.Store._replace", die)
        with pytest.raises(Killed):
            eventful_lab.run(at_work, "retract", name, "--why", "rust on the clamp")
    only(at_work, Damage.MARK_DIFFERS, "archive/impedance/RB-015/data.parquet", name)
    at_work.take()
    assert found(at_work) == []
    assert eventful_lab.run(at_work, "retract", name, "--why", "again") == 0
    assert found(at_work) == []
    assert "rust on the clamp" in at_work.journal()[-1]["withdrawn"][0]["why"]
