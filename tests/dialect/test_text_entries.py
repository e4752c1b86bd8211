"""Lines of a name and a value, outside of tables: numbers, units, times; faults name the line."""

from __future__ import annotations

import math
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason

HEAD = """\
Abrader A2
Panel: RB-001-2
Wheel load = 9,81 N
Width (mm)\t12.5
Speed;60
Tested: 2026-11-03 10:00
Wheels worn: no
Runs: 3
Note: new wheels, run at 23 °C; dry
Batch:
"""


def head(folder: Path, text: str = HEAD) -> Export:
    """An export of such lines."""
    path = folder / "run.abh"
    path.write_text(text, encoding="utf-8")
    return Export(path, path.name, habits=Habits(zone=ZoneInfo("Europe/Berlin")))


def test_values_come_as_what_they_are(tmp_path: Path) -> None:
    """With the unit that stands behind them or behind the name, and in the lab's time."""
    export = head(tmp_path)
    told = export.entries()
    assert told["panel"].text() == "RB-001-2"
    assert told["Wheel load"].number("N") == 9.81
    assert told["wheel load"].number("mN") == pytest.approx(9810)
    assert told["width"].number("um") == pytest.approx(12500)
    assert told["speed"].number("1/min", "1/min") == 60
    assert told["tested"].time() == datetime(2026, 11, 3, 9, 0, tzinfo=UTC)
    assert told["wheels worn"].truth() is False
    assert told["runs"].whole_number() == 3
    assert told["note"].text() == "new wheels, run at 23 °C; dry"
    assert (batch := told.get("batch")) is not None
    assert batch.text() is None
    assert math.isnan(batch.number("N"))
    assert told.get("sample", "panel").row == 2  # type: ignore[union-attr]
    assert told.get("sample") is None
    assert "sample" not in told
    assert export.faults == []


@pytest.mark.parametrize(
    ("name", "what", "reason", "said"),
    [
        ("wheel load", "9,81 s", Reason.UNKNOWN_UNIT, "row 3, column 'Wheel load': found "),
        ("wheel load", "much", Reason.NOT_A_NUMBER, "row 3, column 'Wheel load': found 'much'"),
        ("tested", "yesterday", Reason.NOT_A_TIME, "row 6, column 'Tested': found 'yesterday'"),
        ("runs", "2.5", Reason.NOT_A_NUMBER, "row 8, column 'Runs': found 2.5; expected a whole"),
    ],
)
def test_a_fault_names_the_line(
    name: str, what: str, reason: Reason, said: str, tmp_path: Path
) -> None:
    """And what was found there, so that a technician finds it."""
    usual = {"wheel load": "9,81 N", "tested": "2026-11-03 10:00", "runs": "Runs: 3"}[name]
    export = head(tmp_path, HEAD.replace(usual, f"Runs: {what}" if name == "runs" else what))
    entry = export.entries()[name]
    if name == "tested":
        assert entry.time() is None
    elif name == "runs":
        assert entry.whole_number() is None
    else:
        assert math.isnan(entry.number("N"))
    (fault,) = export.faults
    assert fault.reason is reason
    assert fault.sentence.startswith(said)


def test_what_is_not_there_holds_the_file(tmp_path: Path) -> None:
    """By the name of the line that is expected."""
    with pytest.raises(FileHeld) as held:
        head(tmp_path).entries()["sample"]
    (fault,) = held.value.faults
    assert (fault.reason, fault.expected) == (Reason.MISSING_COLUMN, "a line 'sample'")


def test_what_is_needed_and_has_nothing_behind_its_name_names_the_line(tmp_path: Path) -> None:
    """Whatever it is asked for, and once."""
    export = head(tmp_path)
    batch = export.entries()["batch"]
    assert (batch.text(), batch.time(), batch.truth()) == (None, None, None)
    assert math.isnan(batch.number("N"))
    (fault,) = export.faults
    assert fault.reason is Reason.MISSING_VALUE
    assert fault.sentence == "row 10, column 'Batch': found nothing; expected a value"


def test_two_values_under_one_name_are_told(tmp_path: Path) -> None:
    """Where they stand among the lines that are looked at."""
    export = head(tmp_path, f"{HEAD}Panel: RB-001-3\n")
    assert export.entries(end=9)["panel"].text() == "RB-001-2"
    assert export.faults == []
    assert export.entries(begin=11)["panel"].text() == "RB-001-3"
    assert export.entries()["panel"].text() == "RB-001-2"
    (fault,) = export.faults
    assert fault.sentence == (
        "row 11, column 'Panel': found 'RB-001-3', and 'RB-001-2' in row 2; expected one value"
    )


def test_columns_that_the_kind_lets_be_empty_may_be_missing(tmp_path: Path) -> None:
    """Without being named again; what a reader names itself counts instead."""
    path = tmp_path / "drops.csv"
    path.write_text("Drop;Height\n1;400\n2;500\n", encoding="utf-8")
    titles = {"drop": ("Drop",), "height_mm": ("Height",), "note": ("Note",)}
    export = Export(path, path.name)
    export.may_lack = ["note"]
    assert export.missing(titles) == ""
    (table,) = export.tables(titles)
    assert table.texts("note") == [None, None]
    assert export.missing(titles, optional=()) == "no column 'Note'"
    assert Export(path, path.name).missing(titles) == "no column 'Note'"
