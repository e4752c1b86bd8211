"""Units that an entry, a list or a sentence gives for the values of a column.

No source: how laboratories say units, from common practice.
"""

from __future__ import annotations

from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.plugin import Measurement
from tiecoat.schemas.chamber_record import KIND as CHAMBER
from tiecoat.schemas.density import KIND as DENSITY
from tiecoat.tabular.reader import AnyTable
from tiecoat.tabular.units_told import told_for

HABITS = Habits(
    ZoneInfo("Europe/Prague"), panel_ids=r"(?P<batch>K\d-\d\d)\.b\d", batch_ids=r"K\d-\d\d"
)
TITLES = "batch;state;rest;temperature;density"
ROW = "K7-04;as mixed;10;23,0;1392"
IN = st.sampled_from(["in", "en", "w", "v"])
READER = AnyTable({DENSITY.name: DENSITY, CHAMBER.name: CHAMBER})


def export_of(folder: Path, *lines: str) -> Export:
    """Return an export with these lines."""
    path = folder / "export.csv"
    path.write_text("\n".join([*lines, ""]), encoding="utf-8")
    return Export(path, path.name, "", HABITS)


def told(export: Export, name: str) -> str | None:
    """Return the unit that the lines beside the table tell for a column of the kind."""
    found = READER.attempts(export, READER.look(export).tables[0])[0]
    given = found.given[name]
    assert given.place is not None
    return told_for(found, given.role, found.titles[given.place])


def read(export: Export) -> list[Measurement]:
    """Return what is read of an export."""
    return list(READER.read(export))


@pytest.mark.parametrize(
    "line",
    [
        "unit of density: kg/m³",
        "density unit;kg/m³",
        "density values in kg/m³",
        "Units: rest in min; density in kg/m³",
        "rest in min, density in kg/m³",
    ],
)
def test_a_line_that_names_the_quantity_tells_its_unit(tmp_path: Path, line: str) -> None:
    """An entry, a sentence and a list of units all do."""
    assert told(export_of(tmp_path, line, "", TITLES, ROW), "density_g_cm3") == "kg/m³"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=40)
@given(
    density=st.sampled_from([("kg/m³", 1.392), ("g/l", 1.392), ("kg/m3", 1.392)]),
    rest=st.sampled_from([("min", 600.0), ("s", 10.0), ("h", 36_000.0)]),
    joint=IN,
)
def test_the_units_of_a_list_are_those_of_the_values(
    tmp_path: Path, density: tuple[str, float], rest: tuple[str, float], joint: str
) -> None:
    """Each unit is taken for the column whose title stands before it in the list."""
    line = f"Units: rest {joint} {rest[0]}; density {joint} {density[0]}"
    measurement = read(export_of(tmp_path, line, "", TITLES, ROW))[0]

    assert measurement.columns["density_g_cm3"] == [pytest.approx(density[1])]
    assert measurement.columns["elapsed_s"] == [pytest.approx(rest[1])]


@pytest.mark.parametrize(
    "lines",
    [
        ("density in kg/m³", "density in g/ml"),
        ("unit of density: kg/m³", "unit of density: lb/gal"),
    ],
)
def test_two_units_for_one_quantity_tell_none(tmp_path: Path, lines: tuple[str, ...]) -> None:
    """Where lines disagree nothing is taken, and nothing is read."""
    export = export_of(tmp_path, *lines, "", TITLES, ROW)

    assert told(export, "density_g_cm3") is None
    assert read(export) == []
    assert export.fault_count > 0


@pytest.mark.parametrize("line", ["room at 21 °C", "stored for 3 h", "operator in training", "m"])
def test_a_unit_of_something_else_is_not_taken(tmp_path: Path, line: str) -> None:
    """A line about room, storage or people gives a density no unit."""
    assert told(export_of(tmp_path, line, "", TITLES, ROW), "density_g_cm3") is None


def test_a_unit_is_not_assumed_where_the_file_speaks_of_another(tmp_path: Path) -> None:
    """No unit beside density, but one of densities elsewhere: held, not a thousand times off."""
    export = export_of(tmp_path, "balance calibrated, water 998 kg/m³", "", TITLES, ROW)

    assert read(export) == []
    assert export.fault_count > 0


def test_a_cell_that_lists_batches_is_filed_under_each(tmp_path: Path) -> None:
    """What was read off a chamber counts for every batch that the cell names; each is told once."""
    export = export_of(
        tmp_path,
        "batch;date;temperature [°C];pH",
        "K7-21, K7-22;2026-07-13 07:30;35,1;6,8",
        "K7-21;2026-07-14 07:30;35,0;6,9",
    )

    assert [one.batch for one in read(export)] == ["K7-21", "K7-22", "K7-21"]


def test_a_cell_that_lists_batches_is_no_batch_where_a_row_is_of_one(tmp_path: Path) -> None:
    """A density is of one batch: a list of two is not filed under each."""
    export = export_of(
        tmp_path,
        "batch;state;rest [min];temperature [°C];density [g/cm³]",
        "K7-21, K7-22;as mixed;0;23;1,39",
    )

    assert {one.batch for one in read(export)}.isdisjoint({"K7-21", "K7-22"})
