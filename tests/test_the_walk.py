"""The whole job once: what a chemist shows of a study, each question by a command, against truth.

Nine batches of a primer for bridge girders, a control and four candidates at two doses each, from
the wet paint to the salt spray; the exports were made from a truth that the program does not know.
Glass flake is the best barrier, and lets the topcoat go; silica foams, and keeps its foam.
"""

from __future__ import annotations

import json
import shutil
from contextlib import redirect_stdout
from io import StringIO
from pathlib import Path
from typing import Any, TypeAlias

import openpyxl  # type: ignore[import-untyped]
import pandas as pd
import pptx
import pytest
from example_foam import foaming
from example_sections import MICROGRAPHS
from example_topcoat import TOPPED_MPA
from example_truth import AIR_AFTER_VACUUM, RECIPES
from slides_read import unreadable

from tiecoat.cli import main

TREE = Path(__file__).parent.parent
README = (TREE / "README.md").read_text(encoding="utf-8")
MOST_COMMANDS = 10
STUDY = """
name = "Which filler or pigment for the girders?"
control = "RB-010"
exposure_h = [240]

[[property]]
name = "modulus"
margin_percent = 50

[[property]]
name = "pull-off strength"
margin = 1

[[property]]
name = "adhesive failure"
margin = 20

[[property]]
name = "entrapped air"
margin = 0.5

[[property]]
name = "foam half-life"
margin_percent = 50

[[property]]
name = "rust"
kind = "exposure_rating"
quantity = "rust_grade"
condition = "neutral salt spray"
method = "ratings"
direction = "lower"
margin = 0.3
exposure_h = [480]

[application.airless]
decisive = ["entrapped air"]

[application.roller]
weight = { "foam half-life" = 3 }
decisive = ["foam half-life"]
"""
CONTROL, *CANDIDATES = RECIPES
FLAKE = ("RB-015", "RB-016")
ALONE = "pull-off strength, epoxy primer, 2 coats"
TOPPED = f"{ALONE}, polyurethane topcoat"
Answer: TypeAlias = dict[str, Any]


def air_percent(air: float) -> float:
    """Return the air that a density against the deaerated paint shows."""
    return 100 * (1 - (1 - air) / (1 - AIR_AFTER_VACUUM))


# What each candidate truly is against the control: on these properties the truth is a number.
TRUE_EFFECTS = {
    ALONE: {one.batch: one.strength_mpa - CONTROL.strength_mpa for one in CANDIDATES},
    TOPPED: {one.batch: TOPPED_MPA[one.batch][0] - TOPPED_MPA["RB-010"][0] for one in CANDIDATES},
    "entrapped air": {
        one.batch: air_percent(one.air) - air_percent(CONTROL.air) for one in CANDIDATES
    },
    "foam half-life": {
        one.batch: foaming(one).time_to_half_min / foaming(CONTROL).time_to_half_min
        for one in CANDIDATES
    },
}


@pytest.fixture(scope="module")
def walked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The lab of the example, with a study of everything in it."""
    lab = tmp_path_factory.mktemp("walk") / "girders"
    shutil.copytree(TREE / "archive_example", lab, ignore=shutil.ignore_patterns("report"))
    (lab / "inbox").mkdir()
    (lab / "walk.toml").write_text(STUDY, encoding="utf-8")
    return lab


def asked(lab: Path, *words: str) -> Answer:
    """Return what a command says for scripts."""
    with redirect_stdout(StringIO()) as printed:
        main([*words, "--json", "--lab", str(lab)])
    found: Answer = json.loads(printed.getvalue())
    return found


@pytest.fixture(scope="module")
def compared(walked: Path) -> Answer:
    """What `tiecoat compare` says, with one candidate against the others too."""
    words = ("compare", str(walked / "walk.toml"), "--against", "20 % micaceous iron oxide")
    return asked(walked, *words)


def of_property(rows: list[Answer], wanted: str) -> dict[str, Answer]:
    """Return the verdicts on one property by batch."""
    return {one["batch"]: one for one in rows if one["property"] == wanted}


def test_the_readme_shows_the_walk_in_few_commands() -> None:
    """At most ten, and all that this module asks is among them."""
    part = README.partition("### The whole way")[2].partition("\n#")[0]
    shown = [
        line.split("#")[0].split() for line in part.splitlines() if line[:12] == "    tiecoat "
    ]
    assert len(shown) <= MOST_COMMANDS
    asked_here = {"take", "contents", "study", "evaluate", "compare", "why", "plate", "report"}
    assert {words[1] for words in shown} == asked_here


def test_what_is_held_is_broken_on_purpose(walked: Path) -> None:
    """Is everything in? All that the laboratory measured well is filed, and nothing waits."""
    broken = {path.name for path in (TREE / "archive_example/broken").iterdir()}
    assert asked(walked, "take")["files"] == []
    assert {one["name"] for one in asked(walked, "held")["files"]} == broken
    there = {one["kind"]: one["batches"] for one in asked(walked, "contents")["kinds"]}
    wet, film = ("density", "foam", "viscosity"), ("impedance", "pull_off", "exposure_rating")
    assert {there[kind] for kind in (*wet, *film)} == {len(RECIPES)}


@pytest.mark.parametrize(
    ("kind", "quantity", "condition"),
    [("density", "entrapped_air", "as mixed"), ("foam", "foam_half_life", "stirred, height")],
)
def test_how_the_wet_paint_is(walked: Path, kind: str, quantity: str, condition: str) -> None:
    """Of each batch one number with its interval; of nine, at most one misses the truth."""
    rows = pd.DataFrame(asked(walked, "evaluate", kind, "--quantity", quantity)["results"])
    whole = rows[(rows["condition"] == condition) & (rows["measurement"] == "")]
    found = whole.set_index("batch")[["low", "high"]]
    assert sorted(found.index) == [recipe.batch for recipe in RECIPES]
    true = {
        "entrapped_air": lambda one: air_percent(one.air),
        "foam_half_life": lambda one: foaming(one).time_to_half_min,
    }[quantity]
    inside = [found["low"][r.batch] <= true(r) <= found["high"][r.batch] for r in RECIPES]
    assert inside.count(False) <= 1


@pytest.mark.parametrize("wanted", TRUE_EFFECTS)
def test_which_candidate_is_better_and_which_does_harm(compared: Answer, wanted: str) -> None:
    """The intervals of a property hold the truth all at once, so no verdict contradicts it."""
    found, true = of_property(compared["verdicts"], wanted), TRUE_EFFECTS[wanted]
    assert {*found} == {*true}
    outside = {b: one for b, one in found.items() if not one["low"] <= true[b] <= one["high"]}
    assert outside == {}


def test_harm_under_the_topcoat_does_not_hide(compared: Answer) -> None:
    """Glass flake at 5 % holds as well as the control alone, and lets the topcoat go."""
    alone, topped = (of_property(compared["verdicts"], one) for one in (ALONE, TOPPED))
    assert alone["RB-015"]["outcome"] == "not worse (within the margin)"
    worse = {batch for batch, one in topped.items() if one["outcome"] == "worse"}
    assert worse == {*FLAKE}
    assert {topped[batch]["step"] for batch in FLAKE} == {"clearly worse"}


def test_how_strong_each_is(compared: Answer) -> None:
    """Ratios of 4 and of 300 are told apart, and the least dose of silica from its largest."""
    modulus = of_property(compared["verdicts"], "modulus after 240 h")
    assert modulus["RB-011"]["step"] == "clearly better"
    assert modulus["RB-016"]["step"] == "strongly better"
    foam = of_property(compared["verdicts"], "foam half-life")
    assert foam["RB-017"]["effect"] < foam["RB-018"]["effect"]


def test_what_the_design_can_show_is_said(compared: Answer) -> None:
    """Three panels against three, by ranks, can never come out better."""
    (rust,) = [one for one in compared["reaches"] if one["property"] == "rust after 480 h"]
    assert (rust["n"], rust["n_control"], rust["least_p"]) == (3, 3, pytest.approx(0.1))
    found = of_property(compared["verdicts"], "rust after 480 h").values()
    assert not {"better", "worse"} & {one["outcome"] for one in found}


def test_one_candidate_against_another(compared: Answer) -> None:
    """Glass flake against iron oxide under the topcoat: weaker, as it truly is."""
    pairs = [one for one in compared["pairs"] if one["against"] == "RB-014"]
    found = of_property(pairs, TOPPED)
    for batch in FLAKE:
        true = TOPPED_MPA[batch][0] - TOPPED_MPA["RB-014"][0]
        assert found[batch]["outcome"] == "worse"
        assert found[batch]["low"] <= true <= found[batch]["high"]


def test_nothing_is_recommended_that_a_verdict_calls_worse(compared: Answer) -> None:
    """For neither use; each says what it would be, or what is missing."""
    recommended = {one["application"]: one for one in compared["recommendations"]}
    assert [*recommended] == ["airless", "roller"]
    worse = {one["batch"] for one in compared["verdicts"] if one["outcome"] == "worse"}
    assert not worse & {one["batch"] for one in recommended.values()}
    assert all(one["said"].startswith(name) for name, one in recommended.items())


def test_why(walked: Path) -> None:
    """What holds more air after mixing foams more: so it was made, and so it is found."""
    words = ("why", str(walked / "walk.toml"), "--pair", "entrapped air", "initial foam")
    found = asked(walked, *words)
    between = found["links"][0]
    assert (between["level"], between["n"]) == ("between batches", len(RECIPES))
    assert between["low"] > 0.5
    assert "no proof" in found["cautions"][-1]


@pytest.mark.thorough
def test_the_pictures_beside_each_other(walked: Path) -> None:
    """Cut films, films before a lamp, rusted panels; the numbers below are those of the truth."""
    plates = asked(walked, "plate", str(walked / "walk.toml"))["plates"]
    assert len(plates) == 3
    for one in plates:
        assert Path(one["png"]).stat().st_size > 0
        assert Path(one["tiff"]).stat().st_size > 0
        assert one["pictures"][0].startswith("RB-010")
    of_silica = plates[0]["pictures"][-1]
    told = float(of_silica.rpartition("this picture: ")[2].partition(" %")[0])
    fields = [one for one in MICROGRAPHS if (one.batch, one.place) == ("RB-018", 1)]
    assert min(abs(told - one.true_percent) for one in fields) < 0.25


@pytest.mark.thorough
def test_slides_and_sheets(walked: Path, tmp_path: Path) -> None:
    """A slide for each property, whose title says what came out; every table in the workbook."""
    slides, book = tmp_path / "walk.pptx", tmp_path / "walk.xlsx"
    words = ["report", str(walked / "walk.toml"), "--to", str(tmp_path / "report")]
    words += ["--slides", str(slides), "--workbook", str(book), "--lab", str(walked)]
    assert main(words) == 0
    shown = pptx.Presentation(str(slides)).slides
    titles = [one.shapes.title.text_frame.text for one in shown if one.shapes.title is not None]
    assert len(titles) == len(shown)
    (topped,) = [one for one in titles if one.startswith("Pull-off strength") and "topcoat" in one]
    assert "worse RB-015 and RB-016" in topped
    assert unreadable(slides) == []
    sheets = openpyxl.load_workbook(book, read_only=True)
    assert "verdicts" in sheets.sheetnames
    assert all(
        cell.data_type != "f" for name in sheets.sheetnames for row in sheets[name] for cell in row
    )
