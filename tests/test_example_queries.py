"""The query scripts of the example need no tiecoat and find what is there."""

from __future__ import annotations

import math
import os
import re
import shutil
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path
from statistics import fmean
from typing import Any

import pyarrow as pa
import pyarrow.parquet as pq
import pytest
from example_topcoat import ALONE, TOPPED, Pull, pulls, topcoated
from example_truth import (
    AREA_CM2,
    RECIPES,
    PullOff,
    densities,
    film_impedance,
    panels,
    pull_offs,
    spectra,
)

EXAMPLE = Path(__file__).resolve().parent.parent / "archive_example"
CONTROL = RECIPES[0]
BY_BATCH = {recipe.batch: recipe for recipe in RECIPES}


def _pulls(batch: str) -> list[PullOff]:
    return [pull for panel in panels(BY_BATCH[batch]) for pull in pull_offs(panel)]


def _pulls_with_topcoat(batch: str) -> list[Pull]:
    return [pull for panel in topcoated(BY_BATCH[batch]) for pull in pulls(panel)]


MARKS: dict[str, Any] = {"withdrawn": None, "superseded_by": None}


def _rows(kind: str, batch: str) -> list[dict[str, Any]]:
    recipe = BY_BATCH[batch]
    match kind:
        case "batches":
            row = {"batch": batch, "candidate": recipe.candidate}
            mistyped = [{**row, "dose_percent": 99.0, **MARKS, "withdrawn": "superseded"}]
            return [{**row, "dose_percent": recipe.dose_percent, **MARKS}, *mistyped]
        case "density":
            return [{**asdict(row), **MARKS} for row in densities(recipe)]
        case "pull_off":
            told = [
                (pull, ", ".join(f"{share} % {place}" for share, place in pull.failure))
                for pull in _pulls(batch)
            ]
            told += [(pull, pull.failure) for pull in _pulls_with_topcoat(batch)]
            return [
                {
                    "measurement": f"{pull.panel.name} {pull.determination}",
                    "batch": batch,
                    "panel": pull.panel.name,
                    "determination": float(pull.determination),
                    "strength_mpa": pull.strength_mpa,
                    "failure": failure,
                    **MARKS,
                }
                for pull, failure in told
            ]
        case "panels":
            of_systems = {ALONE: panels(recipe), TOPPED: topcoated(recipe)}
            return [
                {"batch": batch, "panel": panel.name, "coat_system": coats, **MARKS}
                for coats, listed in of_systems.items()
                for panel in listed
            ]
    return [
        {
            "measurement": f"{panel.name} {spectrum.exposure_h}",
            "batch": batch,
            "exposure_h": spectrum.exposure_h,
            "area_cm2": AREA_CM2,
            "frequency_hz": frequency_hz,
            "z_real_ohm": z.real,
            "z_imag_ohm": z.imag,
            **MARKS,
        }
        for panel in panels(recipe)
        for spectrum in spectra(panel)
        for frequency_hz, z in spectrum.points
    ]


@pytest.fixture(scope="module")
def lab(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A lab with the query scripts and an archive made straight from the truth."""
    root = tmp_path_factory.mktemp("lab")
    shutil.copytree(EXAMPLE / "queries", root / "queries")
    text = pa.string()
    for kind in ("batches", "panels", "density", "pull_off", "impedance"):
        for batch in BY_BATCH:
            table = pa.Table.from_pylist(_rows(kind, batch))
            for mark in MARKS:
                place = table.schema.get_field_index(mark)
                table = table.set_column(place, mark, table[mark].cast(text))
            path = root / "archive" / kind / batch / "data.parquet"
            path.parent.mkdir(parents=True)
            pq.write_table(table, path)
    return root


def _printed(lab: Path, script: str, only: str = "") -> dict[tuple[str, ...], list[str]]:
    """Run a query script elsewhere; return candidate and dose -> the other words of its row.

    Where `only` is given, of the rows with that text.
    """
    done = subprocess.run(
        [sys.executable, "-W", "error", str(lab / "queries" / script)],
        capture_output=True,
        check=True,
        cwd=lab.parent,
        encoding="utf-8",
        env={**os.environ, "PYTHONUTF8": "1"},
    )
    found: dict[tuple[str, ...], list[str]] = {}
    for line in filter(lambda one: only in one, done.stdout.splitlines()):
        for candidate in {recipe.candidate for recipe in RECIPES if recipe.candidate in line}:
            before, after = (re.findall(r"[\w.-]+", part) for part in line.split(candidate))
            found[candidate, f"{float(after[0]):g}"] = before + after[1:]
    return found


def test_pandas_finds_the_modulus_by_day(lab: Path) -> None:
    """Without tiecoat, without superseded doses, and interpolated to 0.1 Hz."""
    found = _printed(lab, "with_pandas.py")
    assert len(found) == 9
    best = [float(word) for word in found["glass flake", "10"]]
    plain = [float(word) for word in found["none", "0"]]
    assert len(best) == len(plain) == 5
    assert plain == sorted(plain, reverse=True)
    assert all(b > p + 0.8 for b, p in zip(best, plain, strict=True))
    ideal = film_impedance(0.1, CONTROL, 240, 180, CONTROL.pores_lg)
    assert plain[-1] == pytest.approx(math.log10(abs(ideal) * AREA_CM2), abs=0.2)


def test_duckdb_finds_strength_and_failure(lab: Path) -> None:
    """Without tiecoat, each determination once, though its failure has several parts."""
    found = _printed(lab, "with_duckdb.py", f"│ {ALONE}  ")
    assert len(found) == 9
    n, mean, _, adhesive, _ = map(float, found["glass flake", "10"][-5:])
    assert n == 18
    assert mean == pytest.approx(fmean(p.strength_mpa for p in _pulls("RB-016")), abs=0.006)
    assert adhesive == pytest.approx(
        fmean(
            {place: share for share, place in pull.failure}.get("A/B", 0)
            for pull in _pulls("RB-016")
        ),
        abs=0.6,
    )


def test_duckdb_keeps_panels_with_a_topcoat_apart(lab: Path) -> None:
    """The few flakes that hold on as well as the control, but not under the topcoat."""
    found = _printed(lab, "with_duckdb.py", TOPPED)
    assert len(found) == 9
    n, mean, _, adhesive, _ = map(float, found["glass flake", "5"][-5:])
    mine = _pulls_with_topcoat("RB-015")
    assert n == len(mine) == 24
    assert mean == pytest.approx(fmean(one.strength_mpa for one in mine), abs=0.006)
    assert adhesive == pytest.approx(fmean(one.adhesive_percent for one in mine), abs=0.6)


def test_polars_finds_the_air(lab: Path) -> None:
    """Without tiecoat, by batch."""
    found = _printed(lab, "with_polars.py")
    assert len(found) == 9
    for recipe in RECIPES:
        batch, _, _, air = found[recipe.candidate, f"{recipe.dose_percent:g}"]
        assert batch == recipe.batch
        assert float(air) == pytest.approx(100 * recipe.air, abs=0.25)  # 0.1 outlasts the vacuum


@pytest.mark.parametrize("library", ["pandas", "duckdb", "polars"])
def test_a_query_script_needs_only_the_library_in_its_name(library: str) -> None:
    """Nobody needs tiecoat to read its archive (numpy comes with pandas)."""
    text = (EXAMPLE / "queries" / f"with_{library}.py").read_text("utf-8")
    imported = set(re.findall(r"^(?:import|from) (\w+)", text, flags=re.MULTILINE))
    assert imported - {"pathlib"} == {library} | ({"numpy"} if library == "pandas" else set())
