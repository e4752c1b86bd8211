"""What a determination was made with and on, from the register of panels and from the rows."""

from __future__ import annotations

import pandas as pd
import pytest

from tiecoat.compare.circumstances import Circumstances, PanelRegister, differing, placed

PRIMER = Circumstances(coat_system="epoxy primer", made_with="dolly of 20 mm")
BEFORE, AFTER = (pd.Timestamp(f"2026-09-{day}", tz="UTC") for day in ("10", "20"))
SECOND_COAT = pd.Timestamp("2026-09-15", tz="UTC")
PANELS = pd.DataFrame(
    {
        "batch": ["RB-010", "RB-010", "RB-011"],
        "panel": ["RB-010-1", "RB-010-2", "RB-011-1"],
        "substrate": ["steel", "steel", "zinc"],
        "coat_system": ["primer, topcoat", "primer, topcoat", "primer"],
        "coat_2_on": [SECOND_COAT, pd.NaT, pd.NaT],
    }
)
FILED = pd.DataFrame({"measurement": ["m1", "m2", "m3"], "measured_at": [BEFORE, AFTER, pd.NaT]})
REGISTER = PanelRegister.of(PANELS, FILED)


def coats(rows: pd.DataFrame) -> list[str]:
    """Return the coat system of each row."""
    return list(placed(rows, REGISTER, None, of_panels=True)["coat_system"])


def test_parts_are_told_in_words() -> None:
    """In the order asked for; what is not told is named."""
    assert PRIMER.words(("made_with", "coat_system")) == "dolly of 20 mm, epoxy primer"
    assert PRIMER.words(["substrate"]) == "no substrate told"
    assert Circumstances().words(["made_with"]) == "no dolly told"


@pytest.mark.parametrize(
    ("others", "expected"),
    [
        ([], ()),
        ([PRIMER], ()),
        ([Circumstances(coat_system="epoxy primer", made_with="")], ("made_with",)),
        ([Circumstances(substrate="steel")], ("coat_system", "substrate", "made_with")),
    ],
)
def test_the_parts_that_differ(others: list[Circumstances], expected: tuple[str, ...]) -> None:
    """One other value is enough."""
    assert differing([PRIMER, *others]) == expected


def test_the_day_of_a_row_is_that_of_its_measurement() -> None:
    """Before the second coat it is the first alone; a day that is not known counts as after it."""
    rows = pd.DataFrame({"batch": "RB-010", "panel": "RB-010-1", "measurement": ["m1", "m2", "m3"]})
    assert coats(rows.iloc[[0]]) == ["primer, topcoat, first coat alone"]
    assert coats(rows.iloc[[1]]) == ["primer, topcoat"]
    assert coats(rows.iloc[[2]]) == ["primer, topcoat"]


def test_a_row_that_tells_its_own_day_was_made_on_that() -> None:
    """What rows of a measurement say of their time counts before what is filed of it."""
    rows = pd.DataFrame({"batch": "RB-010", "panel": "RB-010-1", "measured_at": [BEFORE, AFTER]})
    assert coats(rows) == ["primer, topcoat, first coat alone", "primer, topcoat"]


def test_a_coat_of_which_no_day_is_registered_was_there() -> None:
    """Of the second panel nobody wrote down when the topcoat came."""
    rows = pd.DataFrame({"batch": "RB-010", "panel": ["RB-010-2"], "measurement": ["m1"]})
    assert coats(rows) == ["primer, topcoat"]


def test_what_is_pooled_without_rows_of_panels_is_like_its_registered_panels() -> None:
    """Of its own batch, not of another one; a batch without panels is like nothing."""
    rows = pd.DataFrame({"batch": ["RB-010", "RB-011", "RB-012"], "panel": [None, None, None]})
    found = placed(rows, REGISTER, None, of_panels=True)
    assert list(found["substrate"]) == ["steel", "zinc", ""]
    assert list(found["coat_system"]) == ["primer, topcoat", "primer", ""]
    assert list(found["made_with"]) == ["", "", ""]


def test_wet_paint_has_no_circumstances() -> None:
    """Nor has a table without rows."""
    rows = pd.DataFrame({"batch": ["RB-010"], "panel": ["RB-010-1"]})
    wet = placed(rows, REGISTER, None, of_panels=False)
    assert wet[["substrate", "coat_system", "made_with"]].to_numpy().tolist() == [["", "", ""]]
    empty = placed(rows.iloc[:0], REGISTER, None, of_panels=True)
    assert list(empty.columns) == ["batch", "panel", "substrate", "coat_system", "made_with"]
