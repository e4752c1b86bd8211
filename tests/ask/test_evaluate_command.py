"""From the exports of the example to results on the screen and in files, by the commands."""

from __future__ import annotations

import csv
import shutil
import subprocess
import sys
import weakref
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pandas as pd
import pytest
from bad_exports import panel_row, panels
from example_topcoat import ALONE
from example_truth import RECIPES
from labs import LabAtWork, make_lab

import tiecoat
from tiecoat.ask import evaluate as asked
from tiecoat.cli import main
from tiecoat.extend.loading import load_evaluations

EXPORTS = Path(__file__).resolve().parents[2] / "archive_example" / "exports"


@pytest.fixture(scope="module")
def example(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab that took in the register, the pull-off tests and the densities of the example."""
    lab = make_lab(tmp_path_factory.mktemp("evaluated") / "lab")
    for folder in ("register", "pull-off", "density"):
        shutil.copytree(EXPORTS / folder, lab.inbox / folder)
        assert main(["take", "--lab", str(lab.root)]) == 0
    return lab


@pytest.fixture
def own(example: LabAtWork, tmp_path: Path) -> Iterator[LabAtWork]:
    """A copy of that lab for tests that change it; readers of its own are allowed."""
    lab = example.copy(tmp_path / "lab")
    lab.settle(readers={"folder": True})
    load_evaluations.cache_clear()
    yield lab
    load_evaluations.cache_clear()


def test_results_on_the_screen(example: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """Each with its uncertainty in fitting digits, its n, and what must be known of it."""
    assert main(["evaluate", "pull_off", "--lab", str(example.root), "--panel", "rb-013-1"]) == 0
    shown = capsys.readouterr()
    assert shown.err == ""
    lines = shown.out.splitlines()
    panel = lines.index(next(line for line in lines if line.startswith("RB-013-1")))
    mean = next(line for line in lines[panel:] if line.startswith("  strength_mean\t"))
    assert mean.split() == ["strength_mean", "7.71", "±", "0.18", "MPa", "7.26", "to", "8.16", "6"]
    said = " ".join(shown.out.split())
    assert "± is the standard error; the interval is the 95 % one." in said
    assert "strength_mean: mean; interval by t, determinations as unit" in said
    assert "replace neither the standards nor the person who answers for a release" in said


def test_reasons_and_flags_on_the_screen(
    example: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """Notes stand below the table, each once, with the number that the rows give."""
    arguments = ["evaluate", "pull_off", "--lab", str(example.root), "--panel", "RB-014-3"]
    assert main([*arguments, "--quantity", "strength_mean"]) == 0
    shown = " ".join(capsys.readouterr().out.split())
    low = "2 of 6 determinations are lower bounds, the glue failed: the plain mean is too low"
    assert f"1 {low}" in shown


def test_one_quantity_only(example: LabAtWork, capsys: pytest.CaptureFixture[str]) -> None:
    """What else there is stays away."""
    arguments = ["evaluate", "density", "--lab", str(example.root), "--batch", "RB-010"]
    assert main([*arguments, "--quantity", "entrapped_air"]) == 0
    shown = capsys.readouterr().out
    assert "entrapped_air (as mixed)" in shown
    assert "density_mean" not in shown


def test_the_strengths_of_the_recipes_come_back(example: LabAtWork) -> None:
    """The intervals of the censored means hold what the demo data were made from.

    95 % intervals of nine batches: one of nine may miss.
    """
    table = tiecoat.open(example.root).evaluate("pull_off", quantity="strength_mean_censored")
    is_alone = (table["condition"] == f"coat system: {ALONE}") & (table["batch"] != "")
    of_batch = table[is_alone].set_index("batch")
    held = [
        of_batch.loc[recipe.batch, "low"] < recipe.strength_mpa < of_batch.loc[recipe.batch, "high"]
        for recipe in RECIPES
    ]
    assert len(of_batch) == len(RECIPES) == 9
    assert sum(held) >= 8


def test_results_as_csv(example: LabAtWork, tmp_path: Path) -> None:
    """Spreadsheets read it rightly, and take no text in it for a formula."""
    path = tmp_path / "Ergebnisse März.csv"
    assert main(["evaluate", "pull_off", "--lab", str(example.root), "--to", str(path)]) == 0
    assert path.read_bytes().startswith(b"\xef\xbb\xbfquantity,batch,panel")
    with path.open(encoding="utf-8-sig", newline="") as file:
        rows = list(csv.DictReader(file))
    table = tiecoat.open(example.root).evaluate("pull_off")
    assert len(rows) == len(table)
    values = [float(row["value"]) if row["value"] else None for row in rows]
    assert values == [None if pd.isna(value) else value for value in table["value"]]
    texts = {cell for row in rows for cell in (row["condition"], row["method"], row["flags"])}
    assert "'-/Y" in texts
    assert not [text for text in texts if text.startswith(("=", "+", "-", "@"))]
    assert list(tmp_path.iterdir()) == [path]


def test_results_as_parquet(example: LabAtWork, tmp_path: Path) -> None:
    """What a script reads is what Python gives; an older file is replaced."""
    path = tmp_path / "results.parquet"
    path.write_text("old")
    assert main(["evaluate", "density", "--lab", str(example.root), "--to", str(path)]) == 0
    table = tiecoat.open(example.root).evaluate("density")
    pd.testing.assert_frame_equal(pd.read_parquet(path), table)


@pytest.mark.parametrize("name", ["results.csv", "results.parquet"])
def test_results_of_some_batches_are_let_go_before_the_next(
    example: LabAtWork, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    """However many batches there are, the results of a few are in memory."""
    known: list[weakref.ref[pd.DataFrame]] = []
    alive: list[int] = []
    computed = asked.evaluate

    def evaluate(*args: Any, **more: Any) -> asked.Evaluated:
        alive.append(sum(one() is not None for one in known))
        found = computed(*args, **more)
        known.append(weakref.ref(found.table))
        return found

    monkeypatch.setattr(asked, "TOGETHER", 1)
    monkeypatch.setattr(asked, "evaluate", evaluate)
    command = ["evaluate", "density", "--to", str(tmp_path / name), "--lab", str(example.root)]
    assert main(command) == 0
    assert len(alive) > 1
    assert set(alive) == {0}


def test_a_place_where_results_cannot_stand_is_refused(
    example: LabAtWork, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Another sort of file, the lab's own folders, a folder that is not there."""
    for place, said in (
        (tmp_path / "results.xlsx", "written as .csv or .parquet"),
        (example.lab.archive / "pull_off" / "results.parquet", "is the lab's own"),
        (example.lab.originals / "results.csv", "is the lab's own"),
        (example.root / "inbox" / "results.csv", "is the lab's own"),
        (tmp_path / "none" / "results.csv", "cannot be written"),
        (tmp_path / "none" / "results.parquet", "cannot be written"),
    ):
        assert main(["evaluate", "pull_off", "--lab", str(example.root), "--to", str(place)]) == 2
        assert said in capsys.readouterr().err
        assert not place.exists()
    assert list(tmp_path.iterdir()) == []
    assert example.sound()


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["pulloff"], "no results are computed from 'pulloff'; near it: pull_off"),
        (["panels"], "no results are computed from 'panels'; there are: "),
        (["viscosity"], "no kind 'viscosity' in this archive"),
        (["pull_off", "--batch", "RB-031"], "no batch 'RB-031' in this archive; near it: RB-01"),
        (["pull_off", "--panel", "RB-013-9"], "no panel 'RB-013-9' in this archive; near it: RB"),
        (
            ["pull_off", "--quantity", "strength_meen"],
            "no quantity 'strength_meen' of pull_off here; near it: strength_mean",
        ),
    ],
)
def test_an_unknown_name_is_told_with_near_ones(
    example: LabAtWork, arguments: list[str], said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Kind, batch, panel and quantity."""
    assert main(["evaluate", *arguments, "--lab", str(example.root)]) == 2
    assert said in capsys.readouterr().err


def test_what_was_retracted_counts_no_more(own: LabAtWork) -> None:
    """Results are of valid measurements only."""
    archive = tiecoat.open(own.root)
    measurement = archive.measurements("pull_off", panel="RB-013-1")["measurement"].iloc[0]
    assert main(["retract", measurement, "--lab", str(own.root), "--why", "dolly slipped"]) == 0
    table = archive.evaluate("pull_off", panel="RB-013-1", quantity="strength_mean")
    assert set(table["n"]) == {5}
    assert set(table["flags"]) == {"5 determinations, where ISO 4624 asks for at least 6"}


def test_what_the_laboratory_sets_counts(own: LabAtWork) -> None:
    """The section [evaluate] of tiecoat.toml reaches the results."""
    own.settle(**{"evaluate.pull_off": {"least_determinations": 7}})
    table = tiecoat.open(own.root).evaluate("pull_off", panel="RB-013-1", quantity="determinations")
    assert set(table["flags"]) == {"6 determinations, where the settings ask for at least 7"}


def test_without_a_register_panels_have_no_coat_system(tmp_path: Path) -> None:
    """All else is computed; only the coat system is told as unknown."""
    lab = make_lab(tmp_path / "lab")
    shutil.copy(EXPORTS / "pull-off" / "Abreißversuch RB-010-1.csv", lab.inbox)
    assert main(["take", "--lab", str(lab.root)]) == 0
    table = tiecoat.open(lab.root).evaluate("pull_off", quantity="strength_mean")
    assert list(table["panel"]) == ["", "", "RB-010-1"]
    unknown = table[table["condition"] == "coat system: unknown"].iloc[0]
    assert unknown["reason"].endswith("without a coat system: RB-010-1")


def test_a_batch_without_such_measurements_gives_an_empty_table(
    own: LabAtWork, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is no error, and the screen says that there is nothing."""
    own.drop("register.csv", panels(panel_row("RB-019-1", "RB-019")))
    own.take()
    capsys.readouterr()
    assert main(["evaluate", "density", "--batch", "RB-019", "--lab", str(own.root)]) == 0
    assert capsys.readouterr().out.strip() == "There is nothing to compute results from."


BAD = "evaluate_bad.py"
DIVIDES_BY_ZERO = """
from tiecoat.plugin import Evaluation, hookimpl

@hookimpl
def tiecoat_evaluations():
    return [Evaluation("bad", "pull_off", lambda frames, choices: 1 / 0)]
"""


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("import no_such_library", "ModuleNotFoundError: No module named 'no_such_library'"),
        (
            DIVIDES_BY_ZERO,
            "evaluation 'bad' broke down: ZeroDivisionError: division by zero (evaluate_bad.py",
        ),
    ],
)
def test_an_evaluation_that_fails_is_told_and_the_others_are_there(
    own: LabAtWork, text: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the screen with exit code 1, in Python as a warning."""
    path = own.root / "readers" / BAD
    path.write_text(text)
    path.chmod(0o644)
    path.parent.chmod(0o755)
    assert main(["evaluate", "pull_off", "--lab", str(own.root), "--batch", "RB-013"]) == 1
    shown = capsys.readouterr()
    assert said in shown.err
    assert "strength_mean" in shown.out
    with pytest.warns(UserWarning, match=BAD.removesuffix(".py")) as warned:
        table = tiecoat.open(own.root).evaluate("pull_off", batch="RB-013")
    assert said in str(warned[0].message)
    assert len(table) > 0


def test_an_evaluation_of_the_lab_itself(own: LabAtWork) -> None:
    """A colleague's evaluation in readers/ is there without further ado."""
    path = own.root / "readers" / "evaluate_force.py"
    path.write_text(
        "from tiecoat.evaluate.result import results\n"
        "from tiecoat.plugin import Evaluation, hookimpl\n"
        "def compute(frames, choices):\n"
        "    rows = frames['pull_off'].groupby(['batch', 'panel'])['force_n'].max().reset_index()\n"
        "    return results('greatest_force', rows, rows['force_n'], 'N', method='maximum')\n"
        "@hookimpl\ndef tiecoat_evaluations():\n"
        "    return [Evaluation('force', 'pull_off', compute)]\n"
    )
    path.chmod(0o644)
    path.parent.chmod(0o755)
    archive = tiecoat.open(own.root)
    table = archive.evaluate("pull_off", panel="RB-013-1", quantity="greatest_force")
    assert table["value"].item() == archive.read("pull_off", panel="RB-013-1")["force_n"].max()


def test_results_need_no_validation_library(example: LabAtWork) -> None:
    """Evaluating loads neither pandera nor pint, and reading the archive loads no scipy."""
    script = (
        "import sys, tiecoat\n"
        f"archive = tiecoat.open({str(example.root)!r})\n"
        "archive.read('pull_off')\n"
        "assert 'scipy' not in sys.modules\n"
        "assert len(archive.evaluate('pull_off', batch='RB-013'))\n"
        "print({'pandera', 'pint', 'duckdb', 'scipy.stats'} & set(sys.modules))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout == "set()\n"
