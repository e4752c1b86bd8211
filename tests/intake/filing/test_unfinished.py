"""What was begun and cut short is known again, whatever the calendar did meanwhile."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from bad_exports import density
from labs import LabAtWork

from tiecoat.archive.journal import records as journal_module
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Store
from tiecoat.cli import main
from tiecoat.intake.filing.intents import unfinished

Make = Callable[..., LabAtWork]


class Killed(BaseException):
    """The process is gone."""


def at_time(monkeypatch: pytest.MonkeyPatch, *parts: int) -> None:
    """Set the clock of the journal."""

    class Clock(datetime):
        @classmethod
        def now(cls, tz: Any = None) -> datetime:
            return datetime(*parts, tzinfo=tz)

    monkeypatch.setattr(journal_module, "datetime", Clock)


def die(*_: object) -> None:
    """Stand for a step at which the process is killed."""
    raise Killed


def begun(at_work: LabAtWork) -> list[str]:
    """Return the names of the exports that were begun and not ended."""
    with open_index(at_work.lab) as index:
        return [entry.file.name for entry in unfinished(at_work.lab, index)]


def test_an_export_cut_short_over_the_turn_of_a_month_is_completed(
    lab: Make, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An intent of November stays open while December has records, until it is filed."""
    at_work = lab()
    first = density(batch="RB-014")
    *_, second = density(batch="RB-015").rstrip("\n").splitlines()
    at_time(monkeypatch, 2026, 11, 30, 23, 58)
    at_work.drop("spilled.csv", density("x"))
    at_work.take()
    at_work.drop("list.csv", f"{first}{second}\n")
    with monkeypatch.context() as patch:
        patch.setattr(Store, "file", die)
        with pytest.raises(Killed):
            at_work.take()

    at_time(monkeypatch, 2026, 12, 1, 0, 2)
    discard = ["held", "discard", "spilled.csv", "--why", "spilled the cup"]
    assert main([*discard, "--lab", str(at_work.root)]) == 0
    assert [path.name for path in sorted((at_work.root / "journal").iterdir())] == [
        "2026-11.jsonl",
        "2026-12.jsonl",
    ]
    assert begun(at_work) == ["list.csv"]

    (at_work.inbox / "list.csv").unlink()  # its original is enough
    at_work.take()
    assert begun(at_work) == []
    assert [row["batch"] for row in at_work.rows("density")] == ["RB-014", "RB-015"]
