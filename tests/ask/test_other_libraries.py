"""Rows of an archive in the libraries that analysts use, by the lines that README names."""

from __future__ import annotations

import pickle
import re
from pathlib import Path

import duckdb
import polars as pl
import pytest
from archive_rows import export, file, make_lab, sha_of, wet
from spark_session import spark_session

import tiecoat
from tiecoat.archive.lock import write_lock
from tiecoat.archive.opening import open_index
from tiecoat.archive.store import Store
from tiecoat.archive.tables_now import OWN_AT_MOST

MANY = OWN_AT_MOST + 6
README = Path(__file__).parents[2] / "README.md"
MEANS = {f"RB-{n:03d}": 1 + n / 1000 for n in range(MANY)}


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> tiecoat.Archive:
    """Of many batches, with a retracted row, rolled up; one table has changed since."""
    lab = make_lab(tmp_path_factory.mktemp("libraries") / "lab")
    file(lab, export("a.csv", {"density": [wet(d, b) for b, d in MEANS.items() if b > "RB-000"]}))
    file(lab, export("b.csv", {"density": [wet(9.9, "RB-005", "deaerated")]}))
    with open_index(lab) as index, write_lock(lab):
        Store(lab, index).retract([f"{sha_of('b.csv')[:16]}-0001"], "M. Keller", "wet cup")
    found = tiecoat.open(lab.root)
    found.sql("select count(*) from density")
    assert lab.rollup.is_dir()
    file(lab, export("c.csv", {"density": [wet(MEANS["RB-000"], "RB-000")]}))
    file(lab, export("d.csv", {"density": [wet(9.9, "RB-007", "deaerated")]}))
    with open_index(lab) as index, write_lock(lab):
        Store(lab, index).retract([f"{sha_of('d.csv')[:16]}-0001"], "M. Keller", "wet cup")
    return found


def line_of(library: str) -> str:
    """The statement of README that reads rows into a library."""
    statement = rf"^density = (?:(?!^density)[\s\S])*?# {library}$"
    found = re.search(statement, README.read_text(encoding="utf-8"), re.MULTILINE)
    assert found, library
    return found[0]


def ran(library: str, **names: object) -> dict[str, object]:
    """What the line of README gives."""
    exec(line_of(library), names)
    return names


def test_polars(archive: tiecoat.Archive) -> None:
    """polars scans it lazily: columns and conditions go down to the files."""
    rows = ran("polars", pl=pl, archive=archive)["density"]
    assert isinstance(rows, pl.LazyFrame)
    means = rows.group_by("batch").agg(pl.col("density_g_cm3").mean()).collect()
    assert dict(means.iter_rows()) == MEANS
    some = rows.filter(pl.col("batch") == "RB-005").select("density_g_cm3").collect()
    assert some["density_g_cm3"].to_list() == [1.005]


def test_duckdb(archive: tiecoat.Archive) -> None:
    """DuckDB finds it under the name of its variable."""
    names = ran("DuckDB", duckdb=duckdb, archive=archive)
    density = names["density"]
    with duckdb.connect() as own:
        found = own.execute("select batch, avg(density_g_cm3) from density group by batch")
        assert dict(found.fetchall()) == MEANS
        some = own.execute("select density_g_cm3 from density where batch = 'RB-005'").fetchall()
    assert some == [(1.005,)]
    assert density is not None


def test_dask(archive: tiecoat.Archive) -> None:
    """Dask takes its rows in parts."""
    dd = pytest.importorskip("dask.dataframe", reason="Dask is not installed")
    density = ran("Dask", dd=dd, archive=archive)["density"]
    means = density.groupby("batch")["density_g_cm3"].mean().compute()  # type: ignore[attr-defined]
    assert means.to_dict() == MEANS


@pytest.mark.thorough
def test_spark(archive: tiecoat.Archive) -> None:
    """Spark takes its rows as they are in Arrow."""
    with spark_session() as spark:
        rows = ran("Spark", spark=spark, archive=archive)["density"]
        means = rows.groupBy("batch").avg("density_g_cm3").collect()  # type: ignore[attr-defined]
        assert {row[0]: row[1] for row in means} == MEANS


def test_an_archive_goes_to_other_processes(archive: tiecoat.Archive) -> None:
    """What a scheduler hands to another process reads the same there."""
    other = pickle.loads(pickle.dumps(archive))
    assert other.read("density").equals(archive.read("density"))
