"""Several publish into one lake at once: on an S3 server of this machine, and into a folder."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import duckdb
import polars as pl
import pytest
from archive_rows import export, make_lab, sweep, wet

pytest.importorskip("deltalake", reason="the extra lake is not installed")
pytest.importorskip("moto", reason="no S3 server is installed")

from deltalake import DeltaTable
from lakes import file, lake_equals, publish, retract, s3_server
from spark_session import spark_session

from tiecoat.errors import LakeDisagrees
from tiecoat.lab.settings import Lab

NAMES = ("hall", "quay", "shed", "tower", "yard")
README = Path(__file__).parents[2] / "README.md"


def at_once(works: Sequence[Callable[[], object]]) -> list[object]:
    """Do all at the same time; what one raises is its result."""
    start = threading.Barrier(len(works))

    def one(work: Callable[[], object]) -> object:
        start.wait()
        try:
            return work()
        except LakeDisagrees as error:
            return error

    with ThreadPoolExecutor(len(works)) as pool:
        return list(pool.map(one, works))


def lab_of(folder: Path, number: int) -> Lab:
    lab = make_lab(folder / NAMES[number])
    batches = ["RB-014", f"RB-1{number:02d}"]
    tables = {
        "density": [wet(1.2 + number / 100, one) for one in batches],
        "impedance": [sweep(f"{one}-1", scale=1.0 + number) for one in batches],
    }
    file(lab, export(f"{number}.csv", tables))
    return lab


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """An S3 server that the environment names, with the bucket lake."""
    folder = tmp_path_factory.mktemp("s3")
    with pytest.MonkeyPatch.context() as patch, s3_server(folder) as environment:
        for name, value in environment.items():
            patch.setenv(name, value)
        yield


@pytest.fixture(scope="module")
def labs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Lab]:
    """Five labs."""
    folder = tmp_path_factory.mktemp("labs")
    return {name: lab_of(folder, number) for number, name in enumerate(NAMES)}


@pytest.fixture(scope="module", params=["folder", pytest.param("s3", marks=pytest.mark.thorough)])
def lake(
    request: pytest.FixtureRequest,
    labs: dict[str, Lab],
    tmp_path_factory: pytest.TempPathFactory,
) -> str:
    """Into which five labs have published at once, and again what has changed."""
    url = str(tmp_path_factory.mktemp("lake"))
    if request.param == "s3":
        request.getfixturevalue("server")
        url = "s3://lake/coatings"
    at_once([lambda lab=lab: publish(lab, url) for lab in labs.values()])  # type: ignore[misc]
    lake_equals(url, labs)
    for lab in labs.values():
        name = f"more {request.param}.csv"
        file(lab, export(name, {"density": [wet(1.4, "RB-014", f"in {request.param}")]}))
        retract(lab, name)
    at_once([lambda lab=lab: publish(lab, url) for lab in labs.values()])  # type: ignore[misc]
    return url


def test_five_labs_publish_into_one_lake_at_once(lake: str, labs: dict[str, Lab]) -> None:
    """Every row of each is there once; each kind has one commit of each lab that changed it."""
    lake_equals(lake, labs)
    history = DeltaTable(f"{lake}/density").history()
    assert [one["operation"] for one in history].count("WRITE") == 2 * len(NAMES)
    assert {one.get("tiecoat.lab") for one in history} >= {*NAMES}


def rows(labs: dict[str, Lab]) -> dict[str, int]:
    """How many valid densities each lab has."""
    return dict.fromkeys(labs, 2)  # two, one more, and one retracted


def test_polars_reads_it_without_tiecoat(lake: str, labs: dict[str, Lab]) -> None:
    """By the line of README, conditions go down to the files."""
    density = line("polars", lake, pl=pl)
    valid = density.filter(pl.col("withdrawn").is_null()).group_by("lab").len().collect()
    assert dict(valid.iter_rows()) == rows(labs)


def test_duckdb_reads_it_without_tiecoat(lake: str, labs: dict[str, Lab]) -> None:
    """By the line of README, under the name of its variable."""
    density = line("DuckDB", lake, DeltaTable=DeltaTable)
    with duckdb.connect() as own:
        found = own.execute("select lab, count(*) from density where withdrawn is null group by 1")
        assert dict(found.fetchall()) == rows(labs)
    assert density is not None


def test_dask_reads_it_without_tiecoat(lake: str, labs: dict[str, Lab]) -> None:
    """By the line of README, a part for each lab."""
    dd = pytest.importorskip("dask.dataframe", reason="Dask is not installed")
    density = line("Dask", lake, dd=dd, DeltaTable=DeltaTable)
    assert density.npartitions == len(labs)
    valid = density[density["withdrawn"].isna()].groupby("lab").size().compute()
    assert valid.to_dict() == rows(labs)


@pytest.mark.thorough
def test_spark_reads_it_without_tiecoat(lake: str, labs: dict[str, Lab]) -> None:
    """By the line of README."""
    with spark_session() as spark:
        density = line("Spark", lake, spark=spark, DeltaTable=DeltaTable)
        valid = density.where("withdrawn is null").groupBy("lab").count().collect()
        assert {row["lab"]: row["count"] for row in valid} == rows(labs)


def line(library: str, url: str, **names: object) -> Any:
    """What the statement of README gives that reads a table of a lake into a library."""
    text = README.read_text(encoding="utf-8")
    part = text[text.index("## Many labs") :]
    statement = rf"^density = (?:(?!^density)[\s\S])*?# {library}$"
    found = re.search(statement, part, re.MULTILINE)
    assert found
    known: dict[str, object] = {"url": url, **names}
    exec(found[0], known)
    return known["density"]


@pytest.mark.thorough
def test_one_lab_published_by_two_at_once_is_there_once(tmp_path: Path) -> None:
    """Whoever comes second looks again, and finds nothing left to do."""
    lab, url = lab_of(tmp_path, 0), tmp_path / "lake"
    for number in range(3):
        at_once([lambda: publish(lab, url)] * 3)
        lake_equals(url, {"hall": lab})
        file(lab, export(f"more {number}.csv", {"density": [wet(1.4, "RB-014", f"{number}")]}))


@pytest.mark.thorough
def test_of_two_labs_that_want_one_name_at_once_one_has_it(tmp_path: Path) -> None:
    """The other is told so, and publishes nothing."""
    url = tmp_path / "lake"
    both = [lab_of(tmp_path / one, 0) for one in ("a", "b")]
    done = at_once([lambda lab=lab: publish(lab, url) for lab in both])  # type: ignore[misc]
    refused = [isinstance(one, LakeDisagrees) for one in done]
    assert sorted(refused) == [False, True]
    lake_equals(url, {"hall": both[refused.index(False)]})
