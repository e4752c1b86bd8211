"""A first study file: it runs as it stands, and what it says of scatter and panels is true."""

from __future__ import annotations

import math
import re
import tomllib
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from offered_study import CATALOGUE, load_study
from scipy.stats import t as student
from study_tables import NONE_FILED, panel_rows, panels_of, register
from test_like_with_like import ALONE, PLAN, TOPPED, pull_offs, registered
from undrawn import undrawn

import tiecoat
from tiecoat.ask.query import Archive
from tiecoat.ask.study_draft import draft_study
from tiecoat.cli import main
from tiecoat.compare.comparison import compare
from tiecoat.compare.study import Study
from tiecoat.compare.study_draft import COUNTED, draft, least_margin
from tiecoat.errors import UnknownName
from tiecoat.evaluate.film.defects import CLASSES
from tiecoat.evaluate.result import together

EXAMPLE = Path(__file__).parents[2] / "archive_example"
NAMED = "RB-010", "RB-011", "RB-016"


@pytest.fixture(scope="module")
def archive() -> Archive:
    """The archive of the example."""
    return tiecoat.open(EXAMPLE)


@pytest.fixture(scope="module")
def text(archive: Archive) -> str:
    """The first study of two candidates of the example; the control is not named."""
    return draft_study(archive, ["rb-011", "RB-016"], "first.toml")


def comments(text: str, name: str) -> str:
    """Return what stands in comments below a property, as one line."""
    (table,) = (one for one in text.split("\n[[property]]\n") if f'name = "{name}"\n' in one)
    lines = table.split("\n\n")[0].splitlines()
    return " ".join(one.removeprefix("# ") for one in lines if one.startswith("# "))


def test_it_is_a_study_of_the_batches_and_of_every_property_with_data(text: str) -> None:
    """Control first though not named, the candidates, and the catalogue; no margin is stated."""
    study = load_study(text)
    assert (study.control, study.batches) == (NAMED[0], NAMED)
    assert [one.name for one in study.property] == list(CATALOGUE.usual)
    assert {(one.margin, one.margin_percent) for one in study.property} == {(None, None)}
    assert study.property[0].exposure_h == (240,)
    assert "there are results after 1, 24, 72, 168, 240 h" in text
    assert '    "RB-016",  # 10 % glass flake\n' in text


def test_each_margin_is_left_to_fill_in(text: str) -> None:
    """The commented line below each property takes a number, and then it is the margin."""
    filled, count = re.subn(r"(?m)^# (margin(?:_percent)?) =   # fill in.*$", r"\1 = 7", text)
    assert count == len(CATALOGUE.usual)
    wanted = load_study(filled).property
    assert {one.margin or one.margin_percent for one in wanted} == {7.0}


def test_what_tiecoat_knows_no_property_of_needs_a_direction_and_a_margin(
    text: str, archive: Archive
) -> None:
    """The tables that are commented out are properties that the same archive can compare.

    What is better is for a person to say: a direction that was put there might turn a verdict over.
    """
    after = text[text.index("# Also filed of these batches.") :]
    lines = [one.removeprefix("# ") for one in after.splitlines() if " = " in one or "[[" in one]
    filled = "\n".join(lines).replace("margin =", "margin = 1")
    filled = re.sub("margin_percent =", "margin_percent = 50", filled)
    with pytest.raises(tomllib.TOMLDecodeError):
        tomllib.loads(filled)
    filled = filled.replace("direction =", 'direction = "lower"')
    tables = tomllib.loads(filled)["property"]
    by_name = [one["name"] for one in tables if "kind" not in one]
    assert by_name == [
        "time to a rust grade",
        "time to a blister grade",
        "smallest escaping bubble",  # of paints that hold every bubble, a bound
    ]
    (counted,) = (one for one in tables if "method" in one)
    assert counted["area"] in archive.read(counted["kind"])
    tables = [one for one in tables if "kind" in one and one is not counted]
    gloss = next(one for one in tables if one["kind"] == "gloss")
    assert (gloss["quantity"], gloss["condition"]) == ("gloss_mean", "60 deg")
    found = {kind: archive.evaluate(kind) for kind in {one["kind"] for one in tables}}
    for one in tables:
        mine = found[one["kind"]]
        mine = mine[mine["quantity"] == one["quantity"]]
        assert (mine["condition"] == one.get("condition", "")).any()


def test_the_scatter_is_that_of_the_panels_of_the_control(text: str, archive: Archive) -> None:
    """The standard deviation of the control's water uptakes, reckoned here by numpy."""
    found = archive.evaluate("impedance", quantity="water_uptake")
    found = found[found["batch"].isin(NAMED) & found["exposure_h"].sub(240).abs().lt(1)]
    assert len(found) == 9
    deviation = np.std(found.loc[found["batch"] == "RB-010", "value"], ddof=1)
    told = comments(text, "water uptake")
    scatter = f"3 panels of the control RB-010 scatter by {deviation:.2g} points (standard"
    assert scatter in told
    least = float(re.findall(r"margins from about ([0-9.]+) points on", told)[0])
    assert share_shown(3, least / deviation, 2) == pytest.approx(0.8, abs=0.04)  # two digits
    assert "(preset 0.5)" in told


def share_shown(n: int, margin: float, candidates: int) -> float:
    """Return in how many simulated studies Welch's interval, by Sidak, lies within a margin.

    Of equal paints with standard deviation 1; a share is known to three errors of 0.2 %, or 0.6 %.
    """
    draws = np.random.default_rng(13).normal(0, 1, (2, 40_000, n))
    of = draws.var(axis=2, ddof=1) / n
    freedom = (n - 1) * of.sum(axis=0) ** 2 / (of**2).sum(axis=0)  # Satterthwaite, equal n
    level = 0.5 + 0.95 ** (1 / candidates) / 2
    below = draws[1].mean(axis=1) - draws[0].mean(axis=1)
    low = below - student.ppf(level, freedom) * np.sqrt(of.sum(axis=0))
    return float((low > -margin).mean())


@pytest.mark.parametrize(("n", "candidates"), [(2, 1), (3, 8), (6, 4), (20, 1)])
def test_the_least_margin_is_shown_in_four_studies_of_five(n: int, candidates: int) -> None:
    """Simulated studies of equal paints keep it in 80 %, and a smaller one in fewer."""
    found = least_margin(n, 1.7, candidates, CATALOGUE.usual["pull-off strength"])
    assert share_shown(n, found / 1.7, candidates) == pytest.approx(0.8, abs=0.01)
    assert share_shown(n, 0.9 * found / 1.7, candidates) < 0.79


def test_names_cannot_break_the_file() -> None:
    """A name with quotes and line ends stays a comment or a text."""
    table = together(
        [
            panel_rows("modulus", {"RB-010": [1e8, 2e8], "RB-011": [1e8, 1e8]}, condition="0.1 Hz"),
            panel_rows("odd", {"RB-010": [1.0, 2.0]}, condition='so "said"\n[[property]]'),
        ]
    )
    register = pd.DataFrame(
        {
            "batch": ["RB-010", "RB-011"],
            "recipe": "base",
            "candidate": [None, 'talc"\ncontrol = "RB-011"\n# '],
            "dose_percent": [math.nan, 5.0],
            "role": ["control", "candidate"],
        }
    )
    results = {"impedance": table, "odd": table[table["quantity"] == "odd"]}
    comparison = compare(
        Study(batches=("RB-010", "RB-011")),
        results=results,
        batches=register,
        panels=panels_of(table),
        filed=NONE_FILED,
    )
    study = load_study(draft(comparison, {}, results, {}, "a.toml"))
    assert study.control == "RB-010"
    assert [one.name for one in study.property] == ["modulus"]  # of the others there is nothing


def test_lines_of_one_property_are_named() -> None:
    """Two coat systems and two dollies become keys that the same study understands."""
    small = pull_offs(PLAN)
    large = pull_offs(PLAN, 50.0).assign(measurement=lambda rows: rows["measurement"] + "-50")
    rows = pd.concat([small, large], ignore_index=True)
    given = {
        "results": {"pull_off": panel_rows("strength_mean_censored", {"RB-010": [7.0]})},
        "batches": register(["RB-010", "RB-011"]),
        "raw": {"pull_off": rows},
        "panels": registered(PLAN),
        "filed": NONE_FILED,
    }
    comparison = compare(Study(), **given)
    lines = [one.label for one in comparison.properties if one.name == "pull-off strength"]
    assert len(lines) == 4
    text = draft(comparison, {}, {}, {}, "a.toml")
    (wanted,) = load_study(text).property
    assert wanted.coat_systems == (ALONE, TOPPED)
    assert wanted.dollies_mm == (20, 50)
    again = compare(load_study(text), **given)
    assert [one.label for one in again.properties] == lines
    assert again.problems == ()


def test_panels_that_no_test_was_made_on_do_not_count() -> None:
    """Seven are registered of each batch and three measured: what three can show, and both numbers.

    Before anything is measured those registered count, and are told as such.
    """
    values = {"RB-010": [1e8, 2e8, 3e8], "RB-011": [2e8, 2e8, 3e8]}
    table = panel_rows("modulus", values, condition="0.1 Hz")
    panels = panels_of(table)
    batches = register(["RB-010", "RB-011"])
    given = {"batches": batches, "panels": panels, "filed": NONE_FILED}
    seven = {"RB-010": 7, "RB-011": 7}
    measured = compare(Study(), results={"impedance": table}, **given)
    told = " ".join(draft(measured, {}, {}, seven, "a.toml").replace("#", "").split())
    assert "- modulus: 3 panels against 3 cannot come out better or worse: p is 0.1" in told
    assert "Registered are 7 panels of each batch: here those count that were measured." in told
    assert "7 panels against 7" not in told
    nothing = compare(Study(), results={}, **given)
    told = " ".join(draft(nothing, {}, {}, seven, "a.toml").replace("#", "").split())
    assert "nothing is measured on panels yet: 7 panels against 7 can come out better" in told
    assert "here those count" not in told


def test_panels_that_were_rated_count_beside_those_that_others_were_measured_on() -> None:
    """Three had impedance and five were inspected: times to a grade are compared over the five."""
    values = {"RB-010": [1e8, 2e8, 3e8], "RB-011": [2e8, 2e8, 3e8]}
    table = panel_rows("modulus", values, condition="0.1 Hz")
    hours = {batch: [math.nan] * 5 for batch in values}
    rated = panel_rows("time_to_rust_grade", hours, unit="h").assign(low=504.0, high=720.0)
    given = {"batches": register(list(values)), "panels": panels_of(table), "filed": NONE_FILED}
    measured = compare(Study(), results={"impedance": table}, **given)
    further = {"impedance": table, "exposure_rating": rated}
    told = draft(measured, {}, further, dict.fromkeys(values, 8), "a.toml")
    told = " ".join(told.replace("#", "").split())
    assert "- modulus: 3 panels against 3 cannot come out better or worse" in told
    assert "- time to a rust grade: 5 panels against 5 can come out better or worse: p is" in told
    assert "Registered are 8 panels of each batch: here those count that were measured." in told


def test_what_is_counted_and_each_condition_is_offered_as_a_study_takes_it() -> None:
    """With the # away it is a study: counts on an area, a condition in quotes, whole."""
    values = {"RB-010": [1e8, 2e8, 3e8], "RB-011": [2e8, 2e8, 3e8]}
    table = panel_rows("modulus", values, condition="0.1 Hz")
    given = {"batches": register(list(values)), "panels": panels_of(table), "filed": NONE_FILED}
    measured = compare(Study(), results={"impedance": table}, **given)
    conditions = "1 to 3 mm", "3 to 10 mm; wide"
    waves = [panel_rows("brightness_waves", values, unit="%", condition=one) for one in conditions]
    steps = "Ri 1; salt spray", "Ri 3; salt spray"
    times = [panel_rows("time_to_rust_grade", values, unit="h", condition=one) for one in steps]
    further = {"defects": together(waves), "exposure_rating": together(times)}
    text = draft(measured, {}, further, dict.fromkeys(values, 3), "a.toml")
    assert 'condition = "1 to 3 mm"  # or "3 to 10 mm; wide"' in text
    assert (
        "# Each of its conditions is compared, and each weighs, unless one is named:\n"
        '# condition = "Ri 1; salt spray"  # or "Ri 3; salt spray"\n'
    ) in text
    (offered,) = (one for one in text.split("#\n") if 'method = "counts"' in one)
    filled = re.sub("^# ", "", offered, flags=re.MULTILINE).replace(
        "margin_percent =", "margin = 4"
    )
    (counted,) = load_study(filled.replace("direction =", 'direction = "lower"')).property
    assert (counted.method, counted.quantity, counted.margin) == ("counts", "craters", 4)
    columns, area = COUNTED["defects"]
    assert set(columns) == set(CLASSES.values())
    assert area == counted.area


def test_panels_that_are_equal_say_nothing_of_scatter() -> None:
    """No margin is named where the spread is not resolved."""
    table = panel_rows("modulus", {"RB-010": [1e8] * 3, "RB-011": [2e8] * 3}, condition="0.1 Hz")
    register = pd.DataFrame(
        {
            "batch": ["RB-010", "RB-011"],
            "recipe": "base",
            "candidate": ["none", "talc"],
            "dose_percent": [0.0, 5.0],
            "role": ["control", "candidate"],
        }
    )
    comparison = compare(
        Study(),
        results={"impedance": table},
        batches=register,
        panels=panels_of(table),
        filed=NONE_FILED,
    )
    told = comments(draft(comparison, {}, {}, {}, "a.toml"), "modulus")
    assert told.startswith(
        "the panels of the control RB-010 are equal: their spread is not resolved"
    )
    assert "power" not in told


@pytest.mark.thorough
def test_from_a_filed_lab_to_a_report_in_three_commands(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A study file is written, compared and reported as it is; a second one replaces nothing."""
    study, lab = tmp_path / "first.toml", str(EXAMPLE)
    assert main(["study", "RB-011", "--lab", lab, "-o", str(study)]) == 0
    assert f"tiecoat report {study} --lab {lab}" in capsys.readouterr().out
    assert main(["compare", str(study), "--lab", lab]) in {0, 1}
    assert "pull-off strength" in capsys.readouterr().out
    with undrawn():
        assert main(["report", str(study), "--lab", lab, "--to", str(tmp_path / "out")]) in {0, 1}
    assert (tmp_path / "out" / "report.html").is_file()
    before = study.read_bytes()
    assert main(["study", "RB-011", "--lab", lab, "-o", str(study)]) == 2
    assert "is there already, and may be filled in: name another" in capsys.readouterr().err
    assert study.read_bytes() == before


def test_a_batch_that_is_not_registered_is_told_with_those_that_are(archive: Archive) -> None:
    """Near names first, then all that there are."""
    with pytest.raises(UnknownName) as told:
        draft_study(archive, ["RB-0110"], "a.toml")
    there = ", ".join(f"RB-0{place}" for place in range(10, 19))
    assert str(told.value) == (
        "the register holds no batch RB-0110; near it: RB-011, RB-010, RB-018; there are " + there
    )
