"""The register is read from text and from workbooks, one table or both."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from tiecoat.intake.workers.answers import Reading

Read = Callable[[Path], tuple[Reading, dict[str, list[dict[str, Any]]]]]

REGISTER = Path(__file__).parent.parent / "exports" / "register"


def utc(text: str) -> datetime:
    """Return an aware time."""
    return datetime.fromisoformat(text + "+00:00")


@pytest.mark.parametrize("name", ["batches.csv", "both.csv", "reference.csv"])
def test_batches(name: str, read: Read) -> None:
    """Each row of batches is a batch; empty cells stay empty; a reference is a control."""
    reading, rows = read(REGISTER / name)
    batches = [keys for keys in reading.keys if keys.kind == "batches"]
    assert [keys.batch for keys in batches] == ["RB-013", "RB-014", "RB-015"]
    assert [keys.panel for keys in batches] == [None] * 3
    found = rows["batches"]
    assert [row["recipe"] for row in found] == ["E-40"] * 3
    assert [row["candidate"] for row in found] == ["none", "filler F1", "filler F1"]
    assert [row["dose_percent"] for row in found] == [None, 5, 10]
    assert [row["role"] for row in found] == ["control", "candidate", "candidate"]
    assert [row["mixed_on"] for row in found] == [
        utc("2026-09-09T22:00"),
        utc("2026-09-11T05:45"),
        None,
    ]
    assert [row["note"] for row in found] == [None, "second drum", None]
    assert [row["source_row"] for row in found] == [2, 3, 4]


@pytest.mark.parametrize(("name", "first"), [("panels.csv", 2), ("both.csv", 7)])
def test_panels(name: str, first: int, read: Read) -> None:
    """Each row of the table of panels is a panel of its batch."""
    reading, rows = read(REGISTER / name)
    panels = [(keys.batch, keys.panel) for keys in reading.keys if keys.kind == "panels"]
    assert panels == [("RB-013", "RB-013-1"), ("RB-014", "RB-014-3"), ("RB-014", "RB-014-4")]
    found = rows["panels"]
    assert [row["substrate"] for row in found] == ["steel Sa 2½"] * 3
    assert [row["thickness_um"] for row in found] == [180, 182, None]
    assert {row["coated_on"] for row in found} == {utc("2026-09-13T22:00")}
    assert [row["immersed_at"] for row in found] == [
        utc("2026-09-21T07:00"),
        utc("2026-09-21T07:14"),
        None,
    ]
    assert [row["source_row"] for row in found] == [first, first + 1, first + 2]


def test_both_in_a_workbook(read: Read) -> None:
    """Two sheets of one workbook give both tables; a sheet of notes does no harm."""
    reading, rows = read(REGISTER / "both.xlsx")
    assert [(keys.kind, keys.batch, keys.panel) for keys in reading.keys] == [
        ("batches", "RB-013", None),
        ("batches", "RB-014", None),
        ("panels", "RB-013", "RB-013-1"),
        ("panels", "RB-014", "RB-014-3"),
    ]
    assert [row["source_row"] for row in rows["batches"]] == [4, 5]
    assert {row["source_sheet"] for row in rows["panels"]} == {"Panels"}
    assert rows["batches"][1]["mixed_on"] == utc("2026-09-11T05:45")
    assert [row["dose_percent"] for row in rows["batches"]] == [None, 5]


def test_a_register_of_ids_and_coat_systems_alone(tmp_path: Path, read: Read) -> None:
    """A register cannot do without candidate and role, or the coat system; the rest is empty."""
    path = tmp_path / "register.csv"
    path.write_text(
        "Batch,Candidate,Role\nRB-013,none,control\n\n"
        "Panel,Batch,Coat system\nRB-013-1,RB-013,2 x primer\n",
        encoding="utf-8",
    )
    reading, rows = read(path)
    assert [(keys.kind, keys.batch, keys.panel) for keys in reading.keys] == [
        ("batches", "RB-013", None),
        ("panels", "RB-013", "RB-013-1"),
    ]
    (batch,), (panel,) = rows["batches"], rows["panels"]
    assert (batch["candidate"], batch["role"], batch["recipe"]) == ("none", "control", None)
    assert panel["coat_system"] == "2 x primer"
    assert [panel[name] for name in ("substrate", "coated_on", "thickness_um")] == [None] * 3
