"""What somebody who reads rows may ask for, and what is said of what nobody can answer."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pandas as pd
import pytest
from archive_rows import export, file, make_lab, sweep, wet

import tiecoat
from tiecoat.errors import QueryInvalid, UnknownName


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> tiecoat.Archive:
    lab = make_lab(tmp_path_factory.mktemp("wanted") / "lab")
    batches = ["RB-014", "RB-015", "RB-016"]
    file(lab, export("wet.csv", {"density": [wet(1.3 + n / 10, b) for n, b in enumerate(batches)]}))
    sweeps = [sweep(f"{batch}-1", hours=hours) for batch in batches for hours in (0.0, 24.0)]
    file(lab, export("day.csv", {"impedance": sweeps}))
    return tiecoat.open(lab.root)


def test_lists_of_batches_and_panels_columns_and_a_time(archive: tiecoat.Archive) -> None:
    """Rows are read of several batches or panels, some columns only, from a moment on."""
    found = archive.read("density", ["rb-016", "RB-014"], columns=["density_g_cm3", "batch"])
    assert found.to_dict("list") == {"density_g_cm3": [1.3, 1.5], "batch": ["RB-014", "RB-016"]}
    rows = archive.read("impedance", panel={"RB-015-1", "RB-014-1"}, since="2026-10-02")
    assert sorted(set(rows["panel"])) == ["RB-014-1", "RB-015-1"]
    assert set(rows["exposure_h"]) == {24.0}
    assert len(archive.read("impedance", since=date(2026, 10, 3))) == 0
    assert len(archive.read("impedance", batch=[])) == 0
    assert len(archive.read("impedance", panel=[])) == 0
    assert len(archive.read("impedance", "RB-014", panel=[])) == 0
    assert len(archive.read("impedance", where="frequency_hz > 10", columns=["batch"])) == 12


WRONG: list[tuple[Callable[[tiecoat.Archive], object], str]] = [
    (lambda one: one.read(7), "kind must be a text such as 'impedance'; found '7' (int)"),  # type: ignore[arg-type]
    (
        lambda one: one.read("density", 14),  # type: ignore[arg-type]
        "batch must be a text such as 'RB-014', or a list of them; found '14' (int)",
    ),
    (lambda one: one.read("density", ["RB-014", 15]), "found '15' (int)"),  # type: ignore[list-item]
    (lambda one: one.read("impedance", panel={"a": 1}), "panel must be a text"),
    (lambda one: one.read("density", where=3), "where must be a text"),  # type: ignore[arg-type]
    (lambda one: one.read("density", columns="batch"), "columns must be a list of texts"),
    (lambda one: one.read("density", columns=[]), "columns is an empty list; name one at least"),
    (
        lambda one: one.read("density", columns=["panel", "batch", "panel"]),
        "columns names 'panel' twice; name each once",
    ),
    (lambda one: one.read("density", since=3), "3 (int) is no date"),  # type: ignore[arg-type]
    (lambda one: one.read("density", since=pd.NaT), "NaT (NaTType) is no date"),
    (lambda one: one.measurements(until=pd.NaT), "NaT (NaTType) is no date"),
    (lambda one: one.sql(3), "query must be a text"),  # type: ignore[arg-type]
    (lambda one: one.evaluate("density", 14), "batch must be a text"),  # type: ignore[arg-type]
    (lambda one: one.measurements(batch=14), "batch must be a text"),  # type: ignore[arg-type]
    (lambda one: one.measurements(batch=["RB-014"]), "batch must be a text"),  # type: ignore[arg-type]
    (lambda one: one.measurements(file=3), "file must be a text"),  # type: ignore[arg-type]
    (lambda one: one.measurements(remark=3), "remark must be a text"),  # type: ignore[arg-type]
    (lambda one: one.columns(None), "kind must be a text"),  # type: ignore[arg-type]
]


@pytest.mark.parametrize(("ask", "said"), WRONG, ids=[said for _, said in WRONG])
def test_what_is_of_a_wrong_type_is_said(
    archive: tiecoat.Archive, ask: Callable[[tiecoat.Archive], object], said: str
) -> None:
    """What is no text, list or date is named with what was expected, never a traceback of ours."""
    with pytest.raises(QueryInvalid, match=re.escape(said)):
        ask(archive)


def test_one_name_that_is_unknown_is_told(archive: tiecoat.Archive) -> None:
    """A batch, panel or column that there is none of is told, among others that there are, too."""
    with pytest.raises(UnknownName, match=r"no batch 'RB-041' .*; near it: RB-01"):
        archive.read("density", ["RB-014", "RB-041"])
    with pytest.raises(UnknownName, match=r"no panel 'RB-014-9' .*; near it: RB-014-1"):
        archive.read("impedance", panel=["RB-014-1", "RB-014-9"])
    with pytest.raises(UnknownName, match="no column 'density' in this archive; near it: density_"):
        archive.read("density", columns=["density"])


def test_units_and_meanings_are_told(archive: tiecoat.Archive) -> None:
    """Each column of a kind says its unit and its meaning."""
    own = Path(__file__).parents[2] / "archive_example"
    told = tiecoat.open(own).columns("density")
    assert told.loc["density_g_cm3"].to_dict()["unit"] == "g/cm3"
    assert told.loc["temperature_c", "unit"] == "degC"
    assert told.loc["batch"].to_dict() == {"unit": "", "meaning": "id of the batch of paint"}
    assert list(archive.columns("DENSITY").index[:2]) == ["measurement", "batch"]


def test_units_are_told_as_results_have_them() -> None:
    """Per cent, density and area have one spelling in columns, results, lists and references."""
    own = tiecoat.open(Path(__file__).parents[2] / "archive_example")
    told = {unit for kind in own.kinds() for unit in own.columns(kind)["unit"]}
    assert not {unit for unit in told if "*" in unit or unit == "percent"}
    assert {"%", "g/cm3", "mm2", "Pa s"} <= told
    results = {
        unit for kind in ("density", "viscosity") for unit in own.evaluate(kind)["unit"].unique()
    }
    assert {"g/cm3", "Pa s"} <= results


def test_columns_are_of_one_type_whichever_way_they_come() -> None:
    """Those of texts too where they hold none: by rows, by SQL, and of an empty answer."""
    own = tiecoat.open(Path(__file__).parents[2] / "archive_example")
    for kind in ("density", "pull_off"):
        rows = own.read(kind)
        assert "str" in {str(rows[name].dtype) for name in rows if rows[name].isna().all()}
        for more in ("", " where false"):
            found = own.sql(f"select * from {kind}{more}")
            assert found.dtypes.to_dict() == rows.dtypes.to_dict()
    twice = own.sql("select panel, panel as panel, 1 as n from density")
    assert [str(one) for one in twice.dtypes] == ["str", "str", "int32"]


def test_several_batches_are_evaluated_together() -> None:
    """Named in any way: each by itself, and what is pooled over batches over these."""
    own = tiecoat.open(Path(__file__).parents[2] / "archive_example")
    both = own.evaluate("density", batch=["rb-015", "RB-014"])
    each = [own.evaluate("density", batch=one) for one in ("RB-014", "RB-015")]
    assert both.equals(pd.concat(each, ignore_index=True))
    assert both.equals(own.evaluate("density", batch={"RB-014", "RB-015"}))
    with pytest.raises(UnknownName, match=r"no batch 'RB-0145' .*; near it: RB-01"):
        own.evaluate("density", batch=["RB-014", "RB-0145"])


@pytest.mark.parametrize("word", ["pulloff", "Pull-Off", "pul_off"])
def test_a_kind_that_is_nearly_named_is_offered(word: str) -> None:
    """By whatever asks for a kind."""
    own = tiecoat.open(Path(__file__).parents[2] / "archive_example")
    said = f"^no kind '{word}' in this archive; near it: pull_off$"
    for ask in (own.columns, own.batches, own.measurements, own.arrow):
        with pytest.raises(UnknownName, match=said):
            ask(word)
    with pytest.raises(UnknownName, match=said.replace(word, word.lower())):
        own.read(word)


def test_a_notebook_shows_what_there_is(archive: tiecoat.Archive) -> None:
    """An archive as the last line of a cell is a table of its kinds."""
    shown = archive._repr_html_()
    assert "<td>impedance</td><td>3</td><td>3</td><td>6</td><td>18</td>" in shown
    assert "<td>2026-10-01</td><td>2026-10-02</td>" in shown
