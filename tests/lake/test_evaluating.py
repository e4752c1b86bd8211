"""Results over a lake are those of the labs, to the last digit, wherever they are computed."""

from __future__ import annotations

import re
import shutil
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest

pytest.importorskip("deltalake", reason="the extra lake is not installed")

from lakes import publish
from spark_session import spark_session

import tiecoat
import tiecoat.lake
from tiecoat.ask.study_data import read_study, study_data
from tiecoat.compare.ranking import rank
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.lab.settings import open_lab
from tiecoat.lake import evaluating
from tiecoat.report.line_up_figure import line_up_figures

ROOT = Path(__file__).parents[2]
EXAMPLE = ROOT / "archive_example"
KINDS = ("density", "pull_off")


@pytest.fixture(scope="module")
def lake(tmp_path_factory: pytest.TempPathFactory) -> tiecoat.lake.Lake:
    """The lab of the example, published; each part is of a few batches."""
    url = tmp_path_factory.mktemp("lake")
    publish(open_lab(EXAMPLE), url, "hall-3")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(evaluating, "BATCHES_IN_PART", 4)
        yield tiecoat.lake.open(url)  # type: ignore[misc]


@pytest.fixture(scope="module")
def expected() -> dict[str, pd.DataFrame]:
    """What the archive gives, one batch after the other."""
    archive = tiecoat.open(EXAMPLE)
    return {
        kind: pd.concat(
            [archive.evaluate(kind, batch) for batch in _batches(archive, kind)], ignore_index=True
        )
        for kind in KINDS
    }


def _batches(archive: tiecoat.Archive, kind: str) -> list[str]:
    return sorted(archive.read(kind, columns=["batch"])["batch"].unique())


@pytest.fixture(scope="module")
def client() -> Iterator[Any]:
    """A cluster of Dask in this process."""
    distributed = pytest.importorskip("distributed", reason="Dask is not installed")
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        cluster = distributed.LocalCluster(
            n_workers=1, threads_per_worker=1, processes=False, dashboard_address=":0"
        )
        with cluster, distributed.Client(cluster) as found:
            yield found


def same(found: pd.DataFrame, expected: pd.DataFrame) -> None:
    assert {*found["lab"]} == {"hall-3"}
    pd.testing.assert_frame_equal(found.drop(columns="lab"), expected, check_exact=True)


@pytest.mark.parametrize("kind", KINDS)
def test_in_this_process(
    lake: tiecoat.lake.Lake, expected: dict[str, pd.DataFrame], kind: str
) -> None:
    """Without an engine the results are those of the archive."""
    same(lake.evaluate(kind), expected[kind])


@pytest.mark.thorough
@pytest.mark.parametrize("kind", KINDS)
def test_on_dask(
    lake: tiecoat.lake.Lake, expected: dict[str, pd.DataFrame], client: Any, kind: str
) -> None:
    """On a client of Dask they are, too."""
    same(lake.evaluate(kind, on=client), expected[kind])


@pytest.mark.thorough
def test_on_workers_of_dask(lake: tiecoat.lake.Lake, expected: dict[str, pd.DataFrame]) -> None:
    """So they are where workers are processes of their own."""
    distributed = pytest.importorskip("distributed", reason="Dask is not installed")
    archive = tiecoat.open(EXAMPLE)
    impedance = pd.concat(
        [archive.evaluate("impedance", one) for one in _batches(archive, "impedance")],
        ignore_index=True,
    )
    cluster = distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0")
    with cluster, distributed.Client(cluster) as two:
        same(lake.evaluate("density", on=two), expected["density"])
        same(lake.evaluate("impedance", on=two), impedance)


@pytest.mark.thorough
@pytest.mark.filterwarnings("ignore:PySpark does not yet fully support pandas:FutureWarning")
def test_on_spark(lake: tiecoat.lake.Lake, expected: dict[str, pd.DataFrame]) -> None:
    """So they are on a session of Spark."""
    with spark_session() as spark:
        for kind in KINDS:
            same(lake.evaluate(kind, on=spark), expected[kind])


def test_one_batch_one_panel_one_quantity(lake: tiecoat.lake.Lake) -> None:
    """What is asked for is what the archive gives for it."""
    archive = tiecoat.open(EXAMPLE)
    asked = {"batch": "RB-016", "quantity": "strength_mean"}
    found = lake.evaluate("pull_off", "HALL-3", **asked)
    same(found, archive.evaluate("pull_off", **asked))
    same(
        lake.evaluate("pull_off", panel="RB-016-1", batch="RB-016"),
        archive.evaluate("pull_off", panel="RB-016-1", batch="RB-016"),
    )


def test_each_unit_is_told_in_one_way(lake: tiecoat.lake.Lake) -> None:
    """Of every column whose name says per cent, by the archive and by the lake."""
    archive = tiecoat.open(EXAMPLE)
    for kind in archive.kinds():
        for told in (archive.columns(kind), lake.columns(kind)):
            assert {told["unit"][name] for name in told.index if "_percent" in name} <= {"%"}
            assert "percent" not in set(told["unit"])


def test_what_cannot_be_computed_is_told(lake: tiecoat.lake.Lake) -> None:
    """No such kind, batch or quantity; and an engine that is none."""
    with pytest.raises(UnknownName, match="no kind 'haze' in this lake"):
        lake.evaluate("haze")
    with pytest.raises(UnknownName, match="no batch 'RB-099' of density"):
        lake.evaluate("density", batch="RB-099")
    with pytest.raises(UnknownName, match="no panel 'RB-016-77' of density"):
        lake.evaluate("density", panel="RB-016-77")
    with pytest.raises(UnknownName, match="no quantity 'colour' of density"):
        lake.evaluate("density", quantity="colour")
    with pytest.raises(UnknownName, match="no results are computed from 'panels'"):
        lake.evaluate("panels")
    with pytest.raises(QueryInvalid, match=r"a client of dask\.distributed or a session of Spark"):
        lake.evaluate("density", on="cluster")
    for asked in ({"quantity": 3}, {"panel": ["RB-016-1"]}, {"lab": ["hall-3"]}, {"batch": 3}):
        with pytest.raises(QueryInvalid, match="text"):
            lake.evaluate("density", **asked)  # type: ignore[arg-type]
    with pytest.raises(QueryInvalid, match="as read_study returns it; found str"):
        lake.comparison("study.toml")  # type: ignore[arg-type]


@pytest.mark.thorough
def test_comparison_and_line_up_read_these_results(lake: tiecoat.lake.Lake) -> None:
    """Verdicts, ranking and line-up are those of the archive."""
    archive, study = tiecoat.open(EXAMPLE), read_study(EXAMPLE / "study.toml")
    here, there = study_data(archive, study).comparison, lake.comparison(study, "hall-3")
    assert there.verdicts == here.verdicts
    assert len(there.verdicts) > 20
    for name in ("problems", "cautions", "not_compared", "never_measured", "without_results"):
        assert getattr(there, name) == getattr(here, name)
    pd.testing.assert_frame_equal(rank(there).table, rank(here).table)
    assert len([*line_up_figures(there)]) == len([*line_up_figures(here)])


@pytest.mark.thorough
def test_the_lines_of_the_readme(
    lake: tiecoat.lake.Lake, client: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An analyst's lines do what stands beside them."""
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    block = re.search(r"```python\nimport tiecoat\.lake\n([\s\S]*?)```", text)
    assert block
    lines = block[1].strip().splitlines()
    assert len(lines) == 5
    opened = tiecoat.lake.open
    monkeypatch.setattr(tiecoat.lake, "open", lambda url: lake)
    study = read_study(EXAMPLE / "study.toml")
    names: dict[str, Any] = {"tiecoat": tiecoat, "client": client, "study": study}
    exec("\n".join(lines), names)
    monkeypatch.setattr(tiecoat.lake, "open", opened)
    assert len(names["results"]) == len(lake.evaluate("density"))
    assert names["verdicts"].verdicts


def test_a_kind_that_no_publishing_has_begun_is_told(tmp_path: Path) -> None:
    """One that was cut short leaves a lab without some of its kinds: no empty results of them."""
    publish(open_lab(EXAMPLE), tmp_path / "lake", "hall-3")
    shutil.rmtree(tmp_path / "lake" / "density")
    lake = tiecoat.lake.open(tmp_path / "lake")
    for ask in (lake.read, lake.evaluate):
        with pytest.raises(UnknownName, match="nothing of 'density' has been published"):
            ask("density")
