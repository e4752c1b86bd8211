"""The built-in readers read the whole example: nothing held, every number as it was meant."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pyarrow as pa
import pytest
from example_topcoat import ALONE, TOPPED, coats_on, film_um, pulls, topcoated
from example_truth import (
    BERLIN,
    RECIPES,
    cup_runs,
    densities,
    flow_curve,
    panels,
    pull_offs,
    spectra,
)
from generate_example import broken, write_broken, write_exports

from tiecoat.dialect.habits import Habits
from tiecoat.extend.loading import load_plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.notes import notes_beside
from tiecoat.intake.workers.answers import Chunk
from tiecoat.intake.workers.reading import read_chunk
from tiecoat.reasons import Reason

Row = dict[str, Any]
PANELS = [panel for recipe in RECIPES for panel in panels(recipe)]
TOPCOATED = [panel for recipe in RECIPES for panel in topcoated(recipe)]
KINDS = {"impedance", "pull_off", "density", "viscosity", "batches", "panels"}
JUDGED_LATER = {"ID_NOT_IN_PATTERN", "CONFLICT"}  # they need the settings and the archive


def _read(paths: Iterable[Path]) -> Chunk:
    tasks = []
    for path in paths:
        if path.suffix != ".toml":
            sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
            notes = notes_beside(path)
            folder = path.parent.name  # its words say what a picture is of
            noted = notes if notes.exists() else None
            tasks.append(ExportFile(path, path.name, folder, sha256, noted))
    return read_chunk(tasks, load_plugins(None), Habits(zone=BERLIN))


@pytest.fixture(scope="module")
def chunk(tmp_path_factory: pytest.TempPathFactory) -> Chunk:
    """All good exports, read."""
    return _read(write_exports(tmp_path_factory.mktemp("exports")))


@pytest.fixture(scope="module")
def tables(chunk: Chunk) -> dict[str, list[Row]]:
    """Kind -> rows, with the panel that the file says, or its name; other kinds have own tests."""
    panel_of = {keys.measurement: keys.panel for read in chunk.readings for keys in read.keys}
    batch_of = {keys.measurement: keys.batch for read in chunk.readings for keys in read.keys}
    return {
        kind: [
            {
                **row,
                "batch": batch_of[row["measurement"]],
                "panel": panel_of[row["measurement"]] or row["source_name"].split()[1],
            }
            for row in pa.ipc.open_stream(stream).read_all().to_pylist()
        ]
        for kind, stream in chunk.tables.items()
        if kind in KINDS
    }


def test_nothing_good_is_held(chunk: Chunk) -> None:
    """Each export has one reader that claims it, and no fault."""
    held = [(reading.reader, reading.hold) for reading in chunk.readings if reading.hold]
    assert held == []


def test_every_spectrum_arrives_with_sign_unit_and_area(tables: dict[str, list[Row]]) -> None:
    """Within the rounding of the exports, whichever layout it came in."""
    found = {
        (row["panel"], row["exposure_h"], row["frequency_hz"]): row for row in tables["impedance"]
    }
    sweeps = [sweep for panel in PANELS for sweep in spectra(panel, _points(panel.recipe.number))]
    assert len(found) == len(tables["impedance"]) == sum(len(sweep.points) for sweep in sweeps)
    for sweep in sweeps:
        for frequency_hz, z in sweep.points:
            row = found[sweep.panel.name, sweep.exposure_h, frequency_hz]
            assert complex(row["z_real_ohm"], row["z_imag_ohm"]) == pytest.approx(z, rel=1e-4)
            assert row["thickness_um"] == sweep.panel.thickness_um
            assert row["measured_at"] in (None, sweep.measured_at)


def _points(number: int) -> int:
    return 35 if number % 3 == 1 else 36


def test_every_pull_off_arrives_in_newton_and_megapascal(tables: dict[str, list[Row]]) -> None:
    """From kN, MPa and psi, with its failure and its time."""
    found = {(row["panel"], row["determination"]): row for row in tables["pull_off"]}
    alone = [pull for panel in PANELS for pull in pull_offs(panel)]
    topped = [pull for panel in TOPCOATED for pull in pulls(panel)]
    assert len(found) == len(tables["pull_off"]) == len(alone) + len(topped)
    for one in topped:
        row = found[one.panel.name, one.determination]
        assert (row["strength_mpa"], row["measured_at"]) == (one.strength_mpa, one.measured_at)
        parts = {part.replace(" ", "") for part in row["failure"].split(", ")}
        assert parts == {part.replace(" ", "") for part in one.failure.split(", ")}
    for pull in alone:
        row = found[pull.panel.name, pull.determination]
        assert row["strength_mpa"] == pytest.approx(pull.strength_mpa, abs=0.0055)
        assert row["force_n"] == pytest.approx(1000 * pull.force_kn, abs=2)
        assert row["measured_at"] == pull.measured_at
        parts = (part.split(" % ") for part in row["failure"].split(", "))
        assert {(int(share), place) for share, place in parts} == set(pull.failure)


def test_every_density_arrives_in_gram_per_cubic_centimetre(tables: dict[str, list[Row]]) -> None:
    """From g/cm³ with decimal comma and kg/m³ with point."""
    found = {(row["batch"], row["measured_at"]): row for row in tables["density"]}
    fillings = [filling for recipe in RECIPES for filling in densities(recipe)]
    assert len(found) == len(tables["density"]) == len(fillings)
    for filling in fillings:
        row = found[filling.batch, filling.measured_at]
        assert row["density_g_cm3"] == pytest.approx(filling.density_g_cm3, abs=1e-9)
        assert (row["state"], row["elapsed_s"]) == (filling.state, 60.0 * filling.rest_min)
        assert row["temperature_c"] == pytest.approx(filling.temperature_c)


def test_every_flow_curve_and_cup_time_arrives(tables: dict[str, list[Row]]) -> None:
    """Up and down, one single point, and two cup times a batch."""
    rows = tables["viscosity"]
    for recipe in RECIPES:
        mine = [row for row in rows if row["batch"] == recipe.batch]
        curve = [row for row in mine if row["step"] in ("up", "down")]
        assert [
            (row["step"], row["elapsed_s"], row["shear_rate_per_s"], row["shear_stress_pa"])
            for row in sorted(curve, key=lambda row: float(row["elapsed_s"]))
        ] == [(p.ramp, p.elapsed_s, p.rate_per_s, p.stress_pa) for p in flow_curve(recipe)]
        cups = {row["measured_at"]: (row["cup"], row["efflux_s"]) for row in mine if row["cup"]}
        assert cups == {run.measured_at: (run.cup, run.efflux_s) for run in cup_runs(recipe)}
    assert [row["batch"] for row in rows if row["step"] == "single"] == ["RB-010"]


def test_the_register_arrives_with_the_mistyped_dose_and_its_correction(
    tables: dict[str, list[Row]],
) -> None:
    """Batches and panels from the workbook, one batch again from the later sheet."""
    doses = [(row["batch"], row["dose_percent"]) for row in tables["batches"]]
    first = [(r.batch, 1.0 if r.batch == "RB-016" else r.dose_percent) for r in RECIPES]
    assert doses == [*first, ("RB-016", 10.0)]
    assert [
        (row["panel"], row["thickness_um"], row["immersed_at"])
        for row in tables["panels"]
        if row["coat_system"] == ALONE
    ] == [(panel.name, panel.thickness_um, panel.immersed_at) for panel in PANELS]


def test_the_register_of_the_topcoat_arrives_with_the_day_of_each_coat(
    tables: dict[str, list[Row]],
) -> None:
    """From German titles: two coats of the primer, then the topcoat."""
    days = ("coated_on", "coat_2_on", "coat_3_on")
    assert [
        (row["panel"], row["thickness_um"], tuple(row[day] for day in days))
        for row in tables["panels"]
        if row["coat_system"] == TOPPED
    ] == [(panel.name, film_um(panel), coats_on(panel)) for panel in TOPCOATED]


def test_every_broken_export_is_held_for_its_reason(tmp_path: Path) -> None:
    """Those that only settings or archive can tell from good ones are read without a fault."""
    readings = _read(write_broken(tmp_path)).readings
    found = [reading.hold and Reason.of(reading.hold.reason).name for reading in readings]
    assert found == [None if b.reason in JUDGED_LATER else b.reason for b in broken()]
