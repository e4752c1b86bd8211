"""The story of the example's micrographs: from the inbox to what tells batches apart."""

from __future__ import annotations

from pathlib import PurePosixPath

import pandas as pd
import pytest
from example_formats import INVENTED
from example_sections import MICROGRAPHS, exports
from labs import LabAtWork, make_lab

import tiecoat
from tiecoat.cli import main


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    """The micrographs, made once."""
    return exports()


@pytest.fixture(scope="module")
def taken(tmp_path_factory: pytest.TempPathFactory, files: dict[str, bytes]) -> LabAtWork:
    """A lab that has taken them all in."""
    lab = make_lab(tmp_path_factory.mktemp("sections") / "lab")
    for name, content in files.items():
        path = PurePosixPath(name)
        lab.drop(path.name, content, str(path.parent))
    outcomes = lab.take()
    assert {outcome.status for outcome in outcomes.values()} == {"filed"}, lab.held()
    return lab


@pytest.mark.thorough
def test_they_are_small_and_the_same_every_time(files: dict[str, bytes]) -> None:
    """A repository can hold them, whoever doubts them can make them again, and they say so."""
    again = exports(MICROGRAPHS[3:4])
    assert again == {name: files[name] for name in again}
    assert max(map(len, files.values())) < 60_000
    assert all(INVENTED.encode() in content for content in files.values())


def test_each_field_shows_the_truth(taken: LabAtWork) -> None:
    """Void fraction within a tenth of itself, thickness as the gauge would have it; scales told."""
    rows = {row["source_name"]: row for row in taken.rows("cross_section")}
    assert len(rows) == len(MICROGRAPHS)
    for one in MICROGRAPHS:
        row = rows[PurePosixPath(one.path).name]
        assert row["panel"] == one.panel.name
        assert row["void_fraction_percent"] == pytest.approx(one.true_percent, rel=0.1)
        assert row["thickness_um"] == pytest.approx(one.panel.thickness_um, abs=1.5)
        assert row["scale_source"] == ("notes" if one.noted else "metadata of the file")
        assert row["substrate_side"] == ("right" if one.turns else "bottom")
        large = [disc for disc in one.cut.pores if disc.radius > 2.4]  # 12 px are a radius of 2.0
        assert len(large) <= row["pores"] <= len(one.cut.pores)
    assert len(taken.rows("pores")) == sum(row["pores"] for row in rows.values())


def test_the_evaluation_tells_batches_apart(taken: LabAtWork) -> None:
    """The more air the paint held, the more pores: silica above the control, glass flake below."""
    table = tiecoat.open(taken.root).evaluate("cross_section")
    void = of_batches(table, "void_fraction")
    assert void.loc["RB-018", "value"] > 2 * void.loc["RB-010", "value"]
    assert void.loc["RB-016", "value"] < 0.9 * void.loc["RB-010", "value"]
    assert void.loc["RB-018", "low"] < 3.8 < void.loc["RB-018", "high"]
    assert set(void["n"]) == {4}
    largest = of_batches(table, "largest_pore_share")
    assert largest["value"].between(5, 20).all()
    spheres = of_batches(table, "spheres_per_volume")
    assert spheres.loc["RB-018", "value"] > 0
    assert "whole pores; it takes 50" in spheres.loc["RB-016", "reason"]


def of_batches(table: pd.DataFrame, quantity: str) -> pd.DataFrame:
    """The rows of a quantity that are of whole batches."""
    rows = table[(table["quantity"] == quantity) & (table["panel"] == "")]
    return rows.set_index("batch")


def test_an_overlay_shows_what_was_counted(taken: LabAtWork) -> None:
    """`tiecoat overlay` draws on every micrograph of a batch."""
    assert main(["overlay", "--batch", "RB-010", "--lab", str(taken.root)]) == 0
    assert len(list((taken.root / "overlays").rglob("*.jpg"))) == 4
