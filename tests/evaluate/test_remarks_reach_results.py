"""A remark on a row reaches every result made of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path

import pandas as pd
import pytest
from bad_exports import batches, panels, pull_off
from build_example import EXAMPLE
from labs import LabAtWork
from undrawn import undrawn

import tiecoat
from tiecoat.ask.query import Archive
from tiecoat.cli import main
from tiecoat.compare.properties import Property
from tiecoat.compare.raw_samples import count_samples, strength_samples
from tiecoat.compare.result_rows import panel_rows_of, result_rows
from tiecoat.compare.result_samples import samples
from tiecoat.compare.samples import Sample
from tiecoat.contract.choices import Choices, PullOffChoices
from tiecoat.evaluate.remarked import with_remarks
from tiecoat.extend.loading import load_evaluations
from tiecoat.plugin import Evaluation

REMARK = "spread: a value that was made up for this test"
KEYS = ["quantity", "batch", "panel", "measurement", "exposure_h", "condition"]
EVALUATIONS = load_evaluations(None).evaluations
BATCH, PANEL = "RB-014", "RB-014-1"
OTHER = {"batch": "", "quantity": "", "panel": "", "measurement": "", "condition": ""}


@pytest.fixture(scope="module")
def archive() -> Archive:
    return tiecoat.open(EXAMPLE)


def frames_of(archive: Archive, one: Evaluation) -> dict[str, pd.DataFrame]:
    """The rows of a batch that an evaluation gets; of a slow one those of three spectra."""
    kinds = dict.fromkeys((one.kind, *one.needs))
    batch = (
        BATCH if len(archive.read(one.kind, batch=BATCH)) else archive.read(one.kind)["batch"][0]
    )
    frames = {kind: archive.read(kind, batch=batch) for kind in kinds}
    if one.slow:
        own = frames[one.kind]
        few = own[own["panel"] == PANEL]["measurement"].unique()[:3]
        frames[one.kind] = own[own["measurement"].isin(few)].reset_index(drop=True)
    return frames


def computed(archive: Archive, one: Evaluation, frames: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """The results of an evaluation, with remarks, as the archive gives them."""
    lab = archive.lab
    choices = lab.settings.evaluate
    if one.choices is not Choices:
        choices = lab.evaluating.of(one.name, one.choices)
    return with_remarks(one.compute(frames, choices), frames, one)


def told(table: pd.DataFrame) -> dict[tuple[str, ...], list[str]]:
    """Everything that results say but their flags, by what they are of."""
    found: dict[tuple[str, ...], list[str]] = {}
    for row in table.fillna({"exposure_h": -1.0}).fillna(OTHER).to_dict("records"):
        key = tuple(str(row[name]) for name in KEYS)
        values = {name: row[name] for name in row if name not in (*KEYS, "flags")}
        said = repr({name: shown(value) for name, value in values.items()})
        found.setdefault(key, []).append(said)
    return {key: sorted(said) for key, said in found.items()}


def shown(value: object) -> object:
    """A number without its last digits: many spectra are computed at once, in other rounding."""
    return f"{value:.6g}" if isinstance(value, float) else value


def flags_of(table: pd.DataFrame) -> dict[tuple[str, ...], str]:
    rows = table.fillna({"exposure_h": -1.0}).fillna({**OTHER, "flags": ""}).to_dict("records")
    return {tuple(str(row[name]) for name in KEYS): row["flags"] for row in rows}


@pytest.mark.every(5)
@pytest.mark.parametrize("name", sorted(EVALUATIONS))
def test_whatever_a_measurement_changes_carries_its_remark(archive: Archive, name: str) -> None:
    """Results that come out otherwise, or not at all, without a measurement carry its remark."""
    one = EVALUATIONS[name]
    frames = frames_of(archive, one)
    whole = told(computed(archive, one, frames))
    changes = 0
    for kind, rows in frames.items():
        every = rows["measurement"].unique().tolist()
        for measurement in dict.fromkeys([*every[:2], *every[len(every) // 2 :][:1], *every[-1:]]):
            is_it = rows["measurement"] == measurement
            remarked = rows.assign(remark=rows["remark"].mask(is_it, REMARK))
            without = {**frames, kind: rows[~is_it].reset_index(drop=True)}
            flags = flags_of(computed(archive, one, {**frames, kind: remarked}))
            left = told(computed(archive, one, without))
            touched = [key for key, said in whole.items() if left.get(key) != said]
            changes += len(touched)
            assert [key for key in touched if REMARK not in flags[key]] == [], measurement
    assert changes


def test_a_remark_stays_with_its_measurement(archive: Archive) -> None:
    """Where results are of one measurement, those of the others of the panel are not flagged."""
    one = EVALUATIONS["impedance"]
    frames = frames_of(archive, one)
    rows = frames["impedance"]
    first = rows["measurement"].iloc[0]
    frames["impedance"] = rows.assign(
        remark=rows["remark"].mask(rows["measurement"] == first, REMARK)
    )
    table = computed(archive, one, frames)
    table = table[table["quantity"] == "modulus"]
    flagged = set(table[table["flags"].str.contains(REMARK, regex=False)]["measurement"].fillna(""))
    assert flagged == {first}


def test_an_evaluation_that_does_not_say_gets_every_remark_of_the_panel(archive: Archive) -> None:
    """A stranger's evaluation may use any row of a panel: all its results count as made of all."""
    one = EVALUATIONS["pull_off"]
    unsaid = Evaluation(one.name, one.kind, one.compute, one.needs)
    frames = frames_of(archive, one)
    rows = frames["pull_off"]
    frames["pull_off"] = rows.assign(
        remark=rows["remark"].mask(rows["measurement"] == rows["measurement"].iloc[0], REMARK)
    )
    table = computed(archive, unsaid, frames)
    of_panel = table[table["panel"] == rows["panel"].iloc[0]]
    assert of_panel["flags"].str.contains(REMARK, regex=False).all()


def test_results_without_remarks_are_as_they_were(archive: Archive) -> None:
    """Without any remark no flag is added."""
    one = EVALUATIONS["pull_off"]
    frames = frames_of(archive, one)
    bare = one.compute(frames, archive.lab.settings.evaluate)
    pd.testing.assert_frame_equal(with_remarks(bare, frames, one), bare)


# Through the real way


def odd_lab(lab: Callable[..., LabAtWork]) -> LabAtWork:
    """Six dollies on each of two panels of two batches; one strength is ten times the others."""
    at_work = lab()
    two = batches("RB-014", "RB-015").replace(
        "RB-015,EP-1,,0,control", "RB-015,EP-2,talc,5,candidate"
    )
    at_work.drop("batches.csv", two)
    names = [f"{batch}-{n}" for batch in ("RB-014", "RB-015") for n in (1, 2)]
    rows = [f"{one},{one[:6]},steel,2 x primer,180,2026-09-14,," for one in names]
    at_work.drop("panels.csv", panels(*rows))
    strengths = [5.1, 4.9, 5.3, 5.0, 5.2]
    for place, name in enumerate(names):
        own = [*strengths, 52.0 if place == 0 else 5.05]
        each = [pull_off(panel=name, number=n, strength=f"{s}") for n, s in enumerate(own, 1)]
        title = each[0].splitlines()[0]
        lines = [title, *(one.splitlines()[1] for one in each)]
        at_work.drop(f"{name}.csv", "\n".join(lines) + "\n")
    assert {one.status for one in at_work.take().values()} == {"filed"}
    return at_work


def test_an_odd_value_is_seen_in_results_comparison_and_report(
    lab: Callable[..., LabAtWork], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The remark of one dolly is told by evaluate, contents, compare, and in the report."""
    at_work = odd_lab(lab)
    words = "strength_mpa 52 MPa beside 5 others of RB-014-1 from 4.9 to 5.3"
    (row,) = [row for row in at_work.rows("pull_off") if row["remark"]]
    assert row["strength_mpa"] == 52.0
    assert row["remark"].startswith("factor-ten: force_n ")
    assert words in row["remark"]
    table = tiecoat.open(at_work.root).evaluate("pull_off")
    flagged = table[table["flags"].str.contains("factor-ten")]
    assert set(flagged["batch"]) == {"RB-014", ""}  # what is pooled over batches too
    assert "strength_mean" in set(flagged["quantity"])
    root = str(at_work.root)
    for command in (["contents"], ["evaluate", "pull_off"], ["compare"]):
        main([*command, "--lab", root])
        assert "strength_mpa 52 MPa" in " ".join(capsys.readouterr().out.split()), command
    with undrawn():
        main(["report", "--lab", root, "--to", str(tmp_path / "report")])
    page = (tmp_path / "report" / "report.html").read_text(encoding="utf-8")
    assert "strength_mpa 52\u00a0MPa" in page


def test_cautions_of_samples_tell_of_remarks(archive: Archive) -> None:
    """A sample made of raw rows or of results has their remarks among its cautions."""
    rows = archive.read("pull_off", batch=BATCH)
    odd = rows.assign(remark=rows["remark"].mask(rows.index == 0, REMARK))
    wanted = Property("strength", "pull_off", "strength_mean")
    of_raw = strength_samples(odd, wanted, [BATCH], PullOffChoices())[BATCH]
    pores = archive.read("cross_section")
    odd_pores = pores.assign(remark=pores["remark"].mask(pores.index == 0, REMARK))
    counted = Property("pores", "cross_section", "pores", area="film_area_mm2")
    batch = pores["batch"][0]
    of_counts = count_samples(odd_pores, counted, [batch])[batch]
    one = EVALUATIONS["pull_off"]
    results = computed(archive, one, {**frames_of(archive, one), "pull_off": odd})
    rows = panel_rows_of(result_rows(results, wanted))
    of_results = samples(rows, wanted, [BATCH], of_panels=True)[BATCH]
    for sample in (of_raw, of_counts, of_results):
        assert isinstance(sample, Sample)
        assert any(REMARK in caution for caution in sample.cautions)
