"""What is of several batches at once, and names none: a person says which, in one step."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from bad_exports import density
from labs import LabAtWork

from tiecoat.cli import main

Make = Callable[..., LabAtWork]

BOOK = """Spray cabinet west, NSS
Date;Temp. cabinet (°C);Fallout (ml/h);pH
2026-09-14;35.1;1.6;6.8
2026-09-15;34.9;1.5;6.9
"""


def assign(lab: LabAtWork, name: str, *batches: str) -> int:
    """Assign batches to a held file."""
    each = [word for batch in batches for word in ("--batch", batch)]
    return main(["held", "assign", name, *each, "--lab", str(lab.root)])


def test_a_record_of_a_chamber_is_filed_under_each_batch_assigned(lab: Make) -> None:
    """One assignment names them all; rebuilt from originals and journal it is the same."""
    at_work = lab()
    at_work.drop("west.csv", BOOK)
    at_work.take()
    held = at_work.held()["west.csv"]
    assert (held["reason"], held["total"]) == ("no-batch", 1)
    assert "--batch A --batch B" in held["told"]
    assert assign(at_work, "west.csv", "RB-014", "RB-015", "RB-014") == 0
    filed = [(row["batch"], row["temperature_c"]) for row in at_work.rows("chamber_record")]
    assert sorted(filed) == [("RB-014", 34.9), ("RB-014", 35.1), ("RB-015", 34.9), ("RB-015", 35.1)]
    assert len({row["measurement"] for row in at_work.rows("chamber_record")}) == 4
    (record,) = [one for one in at_work.journal() if one["event"] == "filed"]
    assert record["assigned"]["batch"] == "RB-014, RB-015"
    assert main(["rebuild", "--lab", str(at_work.root)]) == 0
    assert sorted((r["batch"], r["temperature_c"]) for r in at_work.rows("chamber_record")) == (
        sorted(filed)
    )
    assert main(["verify", "--lab", str(at_work.root)]) == 0


def test_a_paint_is_of_one_batch(lab: Make, capsys: pytest.CaptureFixture[str]) -> None:
    """A density belongs to one can: several batches leave it held, and say why."""
    at_work = lab()
    at_work.drop("cup.csv", density(batch=""))
    at_work.take()
    assert assign(at_work, "cup.csv", "RB-014", "RB-015") == 1
    assert "one batch: only what is of several at once" in at_work.held()["cup.csv"]["told"]
    assert at_work.rows("density") == []
    assert assign(at_work, "cup.csv", "RB-014") == 0
    capsys.readouterr()
