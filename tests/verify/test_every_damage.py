"""Every sort of damage is done to a lab once: found, named, told how to mend."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq
import pytest
from labs import LabAtWork

from tiecoat.cli import main
from tiecoat.verify.report import Damage
from tiecoat.verify.verify import verify


def an_original(root: Path) -> Path:
    return next(iter(sorted(root.glob("originals/*/*/day 2.csv"))))


def a_table(root: Path, place: str = "density/RB-014") -> Path:
    return root / "archive" / place / "data.parquet"


def the_journal(root: Path) -> Path:
    (path,) = (root / "journal").iterdir()
    return path


def edited(path: Path, change: Callable[[pa.Table], pa.Table]) -> None:
    pq.write_table(change(pq.ParquetFile(path).read()), path)


def with_column(rows: pa.Table, name: str, value: object) -> pa.Table:
    field = rows.schema.field(name)
    values = pa.array([value] * len(rows), field.type)
    return rows.set_column(rows.schema.get_field_index(name), field, values)


def a_stranger_in(rows: pa.Table) -> pa.Table:
    return pa.concat_tables([rows, with_column(rows, "measurement", "0123456789abcdef-0001")])


def without_the_first(rows: pa.Table) -> pa.Table:
    return rows.filter(pc.not_equal(rows["measurement"], rows["measurement"][0]))


def twice(lines: list[bytes]) -> list[bytes]:
    return [*lines, lines[-1]]


def cut(lines: list[bytes]) -> list[bytes]:
    return lines[:-1]


def relined(path: Path, change: Callable[[list[bytes]], list[bytes]]) -> None:
    path.write_bytes(b"".join(change(path.read_bytes().splitlines(keepends=True))))


def forgetful(root: Path) -> None:
    connection = sqlite3.connect(root / "index.sqlite")
    with connection:
        connection.execute("DELETE FROM measurements WHERE kind = 'density'")
    connection.close()


def half_swapped(root: Path, folder: str = "rebuilt") -> None:
    (root / folder).mkdir()
    (root / folder / "ready.json").write_text("{}")


def swapped(root: Path) -> None:
    shutil.copy(a_table(root, "impedance/RB-015"), a_table(root, "impedance/RB-014"))


DONE: dict[Damage, Callable[[Path], object]] = {
    Damage.ORIGINAL_CHANGED: lambda root: an_original(root).write_bytes(b"something else"),
    Damage.ORIGINAL_MISSING: lambda root: shutil.rmtree(an_original(root).parent),
    Damage.ORIGINAL_FOREIGN: lambda root: (root / "originals" / "a note.txt").write_text("x"),
    Damage.JOURNAL_BROKEN: lambda root: relined(the_journal(root), twice),
    Damage.NOT_IN_JOURNAL: lambda root: relined(the_journal(root), cut),
    Damage.TABLE_MISSING: lambda root: a_table(root).unlink(),
    Damage.TABLE_UNREADABLE: lambda root: a_table(root).write_bytes(b"PAR1"),
    Damage.TABLE_MISPLACED: swapped,
    Damage.FILE_FOREIGN: lambda root: (root / "archive" / "sheet.xlsx").write_bytes(b"x"),
    Damage.ROWS_MISSING: lambda root: edited(a_table(root), without_the_first),
    Damage.ROWS_CHANGED: lambda root: edited(
        a_table(root), lambda rows: with_column(rows, "temperature_c", 24.5)
    ),
    Damage.ROWS_UNFILED: lambda root: edited(a_table(root), a_stranger_in),
    Damage.MARK_DIFFERS: lambda root: edited(
        a_table(root), lambda rows: with_column(rows, "withdrawn", "retracted")
    ),
    Damage.INDEX_DIFFERS: forgetful,
    Damage.HELD_MISSING: lambda root: shutil.rmtree(sorted((root / "held").iterdir())[0]),
    Damage.REBUILD_CUT_SHORT: half_swapped,
    Damage.UPGRADE_CUT_SHORT: lambda root: half_swapped(root, "upgrading"),
}


@pytest.mark.every(5)
@pytest.mark.parametrize("damage", Damage, ids=lambda damage: damage.code)
def test_every_damage_is_found_and_told(
    damage: Damage, at_work: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """The damage is among what is found; the screen names it and what to do, and the code is 1."""
    DONE[damage](at_work.root)
    assert damage in {one.damage for one in verify(at_work.lab).findings}
    capsys.readouterr()
    assert main(["verify", "--lab", str(at_work.root)]) == 1
    out = " ".join(capsys.readouterr().out.split())
    assert f"{damage.code} (" in out
    assert f"What to do: {' '.join(damage.advice.split())}" in out


def test_a_mark_without_a_time_can_be_put_right(at_work: LabAtWork) -> None:
    """A mark that somebody wrote into a table is found, and a retraction puts it on record."""
    DONE[Damage.MARK_DIFFERS](at_work.root)
    assert main(["reindex", "--lab", str(at_work.root)]) == 0
    finding = next(one for one in verify(at_work.lab).findings)
    assert "is retracted at no time by None (None) in the table, and valid in the journal" in (
        finding.said
    )
    names = [one.said.split()[0] for one in verify(at_work.lab).findings]
    assert main(["retract", *names, "--why", "as marked", "--lab", str(at_work.root)]) == 0
    assert verify(at_work.lab).findings == ()


def test_what_was_taken_out_of_the_held_by_hand_is_held_again(at_work: LabAtWork) -> None:
    """`verify` names its original, and taking that in, as it advises, makes the lab sound."""
    DONE[Damage.HELD_MISSING](at_work.root)
    (finding,) = verify(at_work.lab).findings
    original = at_work.root / finding.where
    assert main(["take", str(original), "--lab", str(at_work.root)]) == 1
    assert original.name in at_work.held()
    assert verify(at_work.lab).findings == ()
