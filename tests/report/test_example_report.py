"""The report of the example: a stranger can read the answer in it and check where it comes from."""

from __future__ import annotations

import csv
import hashlib
import math
import re
import shutil
import subprocess
from collections import Counter
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import unquote

import numpy as np
import pandas as pd
import pytest
from example_study import example_data, example_report
from example_topcoat import ALONE, TOPPED
from example_truth import RECIPES, panels
from PIL import Image
from report_reading import Element, interval_of, number_of, read_page, verdict_rows
from shared_work import SharedWork

import tiecoat
from tiecoat.ask.query import Archive
from tiecoat.ask.study_data import StudyData
from tiecoat.cli.answer_values import of_comparison
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.verdict import Firmness, VerdictWord
from tiecoat.report.property_figure import property_figure

EXAMPLE = Path(__file__).parents[2] / "archive_example"
SHOWN = {
    VerdictWord.BETTER: "▲ better",
    VerdictWord.NOT_WORSE: "● not worse",
    VerdictWord.WORSE: "▼ worse",
    VerdictWord.SIGNS_OF_HARM: "! signs of harm",
    VerdictWord.CANNOT_TELL: "? cannot tell",
}
HOLLOW = {"▲": "△", "●": "○", "▼": "▽"}
USED = {  # by the study file; thickness by the impedance
    "batches",
    "panels",
    "impedance",
    "film_thickness",
    "pull_off",
    "density",
}
STRENGTH, ADHESIVE = f"pull-off strength, {ALONE}", f"adhesive failure, {ALONE}"
STRENGTH_TOPPED, ADHESIVE_TOPPED = f"pull-off strength, {TOPPED}", f"adhesive failure, {TOPPED}"
A4_POINTS = (595, 842)


@dataclass(frozen=True)
class Written:
    """The report of the example, what it was made from, and its page read back."""

    archive: Archive
    data: StudyData
    path: Path
    page: Element

    @property
    def comparison(self) -> Comparison:
        """The comparison behind it."""
        return self.data.comparison


@pytest.fixture(scope="module")
def report(shared_work: SharedWork) -> Written:
    """The report of the example's study file."""
    path = example_report(shared_work)
    return Written(tiecoat.open(EXAMPLE), example_data(shared_work), path, read_page(path))


def same(shown: float, meant: float, side: float) -> bool:
    """Whether a number is the one that is meant, to two digits of the interval's shorter side."""
    if math.isnan(side):
        return shown == pytest.approx(meant, rel=6e-4, nan_ok=True)
    return shown == pytest.approx(meant, abs=0.05 * side, rel=1e-9, nan_ok=True)


def test_tables_say_what_the_verdicts_say(report: Written) -> None:
    """Every verdict stands in the table of its property with its numbers, outcome and reason."""
    rows = verdict_rows(report.page)
    meant = {(one.property, one.batch): one for one in report.comparison.verdicts}
    assert set(rows) == set(meant)
    assert len(meant) == 8 * 7
    for key, one in meant.items():
        _, _, n, value, effect, ends, p, verdict, why, _ = rows[key]
        assert int(n) == one.n
        side = np.fmin(one.effect - one.low, one.high - one.effect)
        of_value = side * one.value / one.effect if one.effect_is == "ratio" else side
        assert same(number_of(value), one.value, of_value)
        assert same(number_of(effect), one.effect, side)
        low, high = interval_of(ends)
        assert same(low, one.low, side)
        assert same(high, one.high, side)
        small = p == "below 0.0001"
        assert (
            one.p < 1e-4 if small else number_of(p) == pytest.approx(one.p, rel=0.05, nan_ok=True)
        )
        meant_words = SHOWN[one.outcome]
        if one.standing is Firmness.CONDITIONAL:
            sign, _, words = meant_words.partition(" ")
            meant_words = f"{HOLLOW[sign]} {words}, if"
        if one.if_alike is not None:  # what else would be concluded stands hollow behind it
            sign, _, words = meant_words.partition(" ")
            other, _, also = SHOWN[one.if_alike].partition(" ")
            meant_words = f"{sign}{HOLLOW[other]} {words}; {also}, if"
        assert (verdict, why) == (meant_words, one.because)


def test_tables_as_files_have_all_digits(report: Written) -> None:
    """verdicts.csv read back is the verdict frame."""
    read = pd.read_csv(report.path.parent / "tables" / "verdicts.csv", encoding="utf-8-sig")
    meant = report.comparison.table()
    numbers = ["effect", "low", "high", "value", "value_control", "needed"]
    numbers += ["p", "p_over_candidates", "p_alone", "p_alone_if_alike"]
    assert read["batch"].tolist() == meant["batch"].tolist()
    assert read["outcome"].tolist() == meant["outcome"].tolist()
    for name in numbers:
        np.testing.assert_array_equal(read[name].to_numpy(), meant[name].to_numpy(), strict=True)


def test_a_name_is_one_thing_in_tables_and_in_answers_for_scripts(report: Written) -> None:
    """Whatever both have under one name they have the same value of; p is adjusted over all."""
    answers = pd.DataFrame(of_comparison(report.data, [])["verdicts"])
    table = report.comparison.table()
    shared = [name for name in answers if name in table.columns]
    assert {"p", "p_over_candidates", "p_alone", "effect", "n"} <= {*shared}
    for name in shared:
        assert answers[name].equals(table[name]), name
    assert (table["p_alone"] <= table["p_over_candidates"]).all()
    assert (table["p_over_candidates"] <= table["p"]).all()


def test_committed_report_says_the_same(report: Written) -> None:
    """archive_example/report has the verdicts that the program gives now, within a millionth."""
    columns = ["property", "batch", "outcome", "effect", "low", "high"]
    committed, made = (
        pd.read_csv(folder / "tables" / "verdicts.csv", encoding="utf-8-sig")[columns]
        for folder in (EXAMPLE / "report", report.path.parent)
    )
    pd.testing.assert_frame_equal(committed, made, rtol=1e-6)
    assert (EXAMPLE / "report" / "report.html").stat().st_size > 100_000


@dataclass(frozen=True)
class OnFirstPage:
    """Headings of the first page with their sentences, and what stands below them."""

    blocks: dict[str, list[str]]
    caution: str


@pytest.fixture(scope="module")
def first(report: Written) -> OnFirstPage:
    """The first page read back."""
    (answer,) = (one for one in report.page.all("section") if one.attributes["id"] == "answer")
    blocks = {
        one.all("h3")[0].text: [item.text for item in one.all("li")]
        for one in answer.all("div")
        if one.attributes["class"].startswith("block ")
    }
    return OnFirstPage(blocks, answer.all("p")[0].text)


def test_answer_stands_at_the_beginning(report: Written, first: OnFirstPage) -> None:
    """Which candidate, how sure, which harm: the first section says what the generator put in."""
    assert first.blocks["Which candidate"] == [
        "No candidate is shown to do no harm on all 7 properties.",
        (
            "Only if the panels of all batches scatter alike it is shown for RB-014 (20 % micaceous"
            " iron oxide)."
        ),
        "It is not shown for RB-013, RB-011, RB-012, RB-015, RB-016, RB-017 and RB-018.",
    ]
    assert first.blocks["What harm"] == [
        (
            "RB-011 (5 % lamellar talc) shows signs of harm on entrapped air (+0.37 points; 0.12 to"
            " 0.61): worse, if that stood alone."
        ),
        "RB-012 (10 % lamellar talc) is worse on entrapped air (+0.88 points; 0.74 to 1.03).",
        (
            f"RB-015 (5 % glass flake) is worse on {STRENGTH_TOPPED} (−2.75 MPa; −3.54 to −1.95)"
            f" and {ADHESIVE_TOPPED} (+72.1 points; 62.3 to 81.9)."
        ),
        (
            f"RB-016 (10 % glass flake) is worse on {STRENGTH_TOPPED} (−2.29 MPa; −2.68 to −1.91)"
            f" and {ADHESIVE_TOPPED} (+62 points; 49 to 75)."
        ),
        (
            f"RB-016 is worse on {STRENGTH} (−2.47 MPa; −3.39 to −1.55) and {ADHESIVE} (+42 points;"
            " 19 to 66), if the panels of all batches scatter alike."
        ),
        (
            "RB-017 (1 % precipitated silica) is worse on entrapped air (+1.67 points; 1.46 to"
            " 1.88)."
        ),
        (
            "RB-018 (2 % precipitated silica) is worse on modulus after 240 h (× 0.39; 0.25 to"
            " 0.62) and entrapped air (+3.60 points; 3.48 to 3.72)."
        ),
        (
            "RB-018 shows signs of harm on water uptake after 240 h (+0.7 points; −1.2 to 2.6):"
            " worse, if that stood alone."
        ),
    ]
    assert report.data.ranking is not None
    assert Counter(one.first for one in report.data.ranking.changes) == {"RB-014": 26, "RB-013": 1}
    assert first.blocks["Recommended"] == [
        (
            "No recommendation yet. 20 % micaceous iron oxide leads, but with the margin of"
            " entrapped air halved 10 % micaceous iron oxide does. Next is 10 % micaceous iron"
            " oxide, first in 10 % of the recalculations. To decide between the two it would take 9"
            " panels of each for pull-off strength, epoxy primer, 2 coats; 16 panels of each for"
            " water uptake after 240 h; and 13 panels of each for adhesive failure, epoxy primer, 2"
            " coats."
        )
    ]
    assert first.blocks["How sure"] == [
        (
            "With each margin and weight halved and doubled, one at a time (27 changes), first is:"
            " RB-014 26 times and RB-013 1 time."
        ),
        (
            "The ranking knows only the scatter of panels: no recipe in the archive has several"
            " batches: how batches differ is not known."
        ),
        (
            'Each "not worse" is wrong in at most 2.5 % of studies; that one or more on 7'
            " properties is wrong, in at most 17.5 %. That a candidate passes on all of them and"
            " does harm on one: 2.5 %."
        ),
    ]
    assert first.blocks["Resting on"][-1:] == [
        (
            "Each batch is compared as it was made. Panels of one batch tell how panels scatter,"
            " not how batches do: the verdicts are about these batches, not about every batch of"
            " the recipe."
        )
    ]
    assert first.caution == (
        "Read with care. These verdicts support the judgement of the responsible person. They"
        " replace neither that nor the acceptance test of a standard or specification."
    )


def test_what_is_open_stands_with_what_would_settle_it(report: Written, first: OnFirstPage) -> None:
    """Each candidate that cannot be told on a property is named, and the cheapest step first."""
    open_ = {
        (one.batch, one.property)
        for one in report.comparison.verdicts
        if one.outcome is VerdictWord.CANNOT_TELL
    }
    assert len(open_) == 9
    listed = set()
    for sentence in first.blocks["Left open"]:
        label, _, batches = (
            sentence.removeprefix("Cannot tell on ").removesuffix(".").partition(": ")
        )
        listed |= {(batch, label) for batch in batches.split(", ")}
    assert listed == open_
    steps = first.blocks["What next"]
    assert steps[-1].startswith("To speak of a recipe and not of one batch of it")
    totals = [int(re.findall(r"\((\d+) more in all\)", one)[0]) for one in steps[:-1]]
    assert totals == sorted(totals)
    table = report.comparison.table()
    waiting = table[
        table["outcome"].isin(["cannot tell", "signs of harm"])
        | (table["standing"] == "conditional")
    ]
    for step in steps[:-1]:
        label, _, words = step.partition(": ")
        mine = waiting[waiting["property"] == label]
        more = mine["needed"] - 3  # there are three panels of each batch
        assert (mine[["n", "n_control"]] == 3).all(axis=None)
        least = more.min()
        cheapest = mine.loc[more == least, "batch"].tolist()
        assert words.startswith(f"{least + 3:.0f} panels each of the control and of {cheapest[0]}")
        further = int(least * (1 + len(cheapest)))
        assert f"would do ({further} more in all)" in words
        if more.max() > least:
            whole = f"up to {more.max() + 3:.0f} of each for all {len(mine)} that are open"
            assert f"{whole} ({more.sum() + more.max():.0f} more)" in words


def test_what_stands_on_a_condition_says_so_in_words(report: Written, first: OnFirstPage) -> None:
    """Each that is better or worse on alike scatter only is told so under benefit or harm.

    Those not worse are counted, and which ones they are the table of all verdicts shows.
    """
    condition = "if the panels of all batches scatter alike"
    counted = {}
    for sentence in first.blocks["Resting on"][:-1]:
        words, _, rest = sentence.removesuffix(".").partition(f", {condition}: ")
        found = re.fullmatch(r"(\d+) verdicts, drawn hollow in the table of all verdicts", rest)
        assert found
        counted[words] = int(found[1])
    meant = set()
    for one in report.comparison.verdicts:
        claims = [one.outcome] if one.standing is Firmness.CONDITIONAL else []
        claims += [one.if_alike] if one.if_alike else []
        meant |= {(SHOWN[claim].partition(" ")[2], one.property, one.batch) for claim in claims}
    assert counted == {"not worse": sum(one[0] == "not worse" for one in meant)}
    assert sum(one[0] == "worse" for one in meant) == 2
    for word, block in (("better", "What benefit"), ("worse", "What harm")):
        mine = {one[1:] for one in meant if one[0] == word}
        told = [one for one in first.blocks[block] if one.endswith(f", {condition}.")]
        assert all(any(batch in one and label in one for one in told) for label, batch in mine)
        assert len(told) == len({batch for _, batch in mine})
    assert len(meant) > 10


def test_what_is_filed_and_not_compared_is_on_the_first_page(
    report: Written, first: OnFirstPage
) -> None:
    """Every kind filed for these batches that no property is of, and every time left out."""
    everything = report.archive.measurements()
    unnamed = set(everything["kind"]) - {"impedance", "pull_off", "density"}
    told = " ".join(first.blocks["Measured, not compared"])
    for kind in unnamed - {"batches", "panels"}:
        assert kind.replace("_", " ") in told
    for words in ("modulus decline", "modulus after 1, 24, 72, 168 h", "rested 30 min"):
        assert words in told
    listed = pd.read_csv(report.path.parent / "tables" / "not_compared.csv", encoding="utf-8-sig")
    assert listed["what"].tolist() == [one.what for one in report.comparison.not_compared]
    assert "Held and not filed, so that nothing here is computed from it: 9 files" in told


def test_margins_that_the_study_states_are_not_called_preset(report: Written) -> None:
    """The study states every margin: nothing on the page comes with the program."""
    assert "preset" not in report.page.text


def test_appendix_lists_every_measurement(report: Written) -> None:
    """Each valid measurement of the kinds used, with its original, whose SHA-256 is true."""
    everything = report.archive.measurements()
    known = everything[everything["kind"].isin(USED)]
    assert set(known["kind"]) == USED < set(everything["kind"])
    listed: set[str] = set()
    for body in report.page.all("tbody"):
        if sha256 := body.attributes.get("data-sha256"):
            head, *rows = body.all("tr")
            original = report.archive.original(sha256)
            assert hashlib.sha256(original.read_bytes()).hexdigest() == sha256
            of_file = known[known["source_sha256"] == sha256]
            name, reader = of_file["source_name"].iloc[0], of_file["reader"].iloc[0]
            assert f". {name} read by {reader} {sha256}" in head.text
            mine = {row.all("td")[0].text for row in rows}
            assert mine == set(of_file["measurement"])
            listed |= mine
    assert listed == set(known["measurement"])
    assert report.page.text.count(f"{len(known)} measurements from") == 1


def test_page_needs_nothing_from_elsewhere(report: Written) -> None:
    """No script, no link out, no picture or style from elsewhere; every anchor is there once."""
    every = report.page.every()
    ids = [one.attributes["id"] for one in every if "id" in one.attributes]
    assert len(ids) == len(set(ids))
    assert {one.tag for one in every} & {"script", "link", "iframe", "object", "img"} == set()
    for one in every:
        assert [name for name in one.attributes if name.startswith("on")] == []
        for name in ("href", "xlink:href", "src", "clip-path", "fill", "style"):
            for target in re.findall(r"url\(([^)]*)\)", one.attributes.get(name, "")):
                assert target.removeprefix("#") in ids
        for name in ("href", "xlink:href", "src"):
            if name in one.attributes:
                assert one.attributes[name].removeprefix("#") in ids
    assert "url(" not in report.page.all("style")[0].text


def test_figures_show_every_panel(report: Written) -> None:
    """The picture of a property has a mark for each panel's value, not a bar of means."""
    values = report.comparison.values()
    wanted = report.comparison.properties[0]
    figure = property_figure(report.comparison, wanted)
    axes = figure.axes[0]
    drawn = np.concatenate([np.asarray(one.get_xdata(), dtype=float) for one in axes.lines])
    meant = values.loc[values["property"] == wanted.label, "value"]
    assert len(meant) == len([panel for recipe in RECIPES for panel in panels(recipe)])
    assert set(meant) <= set(drawn.tolist())
    assert axes.containers == []


def test_figures_and_tables_stand_beside_the_page(report: Written) -> None:
    """Each figure on the page is a file of its own as SVG and PNG; each table is CSV."""
    figures = report.path.parent / "figures"
    svg, png = (sorted(one.stem for one in figures.glob(f"*.{end}")) for end in ("svg", "png"))
    assert svg == png
    assert len(svg) == len(report.page.all("figure"))
    assert {"line_up", "modulus", "bode", "failure_1", "failure_2"} < set(svg)
    assert {
        f"property_pull_off_strength_epoxy_primer_2_coats{one}" for one in ("", "_polyurethane")
    } < set(svg)
    tables = {one.stem for one in (report.path.parent / "tables").iterdir()}
    assert {"verdicts", "values", "measurements", "held", "ranking", "results_impedance"} <= tables


def test_data_quality_is_told(report: Written) -> None:
    """Held files, glue failures, the outlier and the superseded row of the register are named."""
    (quality,) = (one for one in report.page.all("section") if one.attributes["id"] == "quality")
    held = {
        path.name: "RB-0" in path.name or b"RB-0" in path.read_bytes().replace(b"\0", b"")
        for path in (EXAMPLE / "broken").iterdir()
    }
    assert set(held.values()) == {True, False}
    for name, names_a_batch in held.items():
        assert (name in quality.text) is names_a_batch
    told = [one.text for one in quality.all("p")]
    assert "135 spectra were tested; 0 failed or could not be tested." in told
    assert (
        "determination 5 of RB-018-3 (6.46 MPa) is an outlier (Grubbs) and is kept" in quality.text
    )
    for of_no_property in ("zero by definition", "rested: uncertainty assumed"):
        everything = pd.concat(report.data.results.values())["flags"]
        assert everything.str.contains(of_no_property).any()  # on results that are not compared
        assert of_no_property not in quality.text
    bounds = {
        row.all("td")[0].text: row.all("td")[2].text
        for row in quality.all("table")[0].all("tr")[1:]
    }
    assert bounds["RB-014"] == "4"
    every = report.archive.read("batches", batch="RB-016", withdrawn=True)
    superseded = every["measurement"][every["withdrawn"] == "superseded"].item()
    assert f"{superseded} batches RB-016" in quality.text


def test_methods_name_their_sources(report: Written) -> None:
    """What the verdicts were found by is told with its reference, and the versions."""
    (methods,) = (one for one in report.page.all("section") if one.attributes["id"] == "methods")
    for words in ("J. Am. Stat. Assoc. 50 (1955) 1096", "Scand. J. Stat. 6 (1979) 65", "ISO 4624"):
        assert words in methods.text
    assert f"tiecoat {tiecoat.__version__}" in methods.text.replace("\xa0", " ")


@pytest.mark.skipif(not shutil.which("chromium"), reason="there is no chromium on this machine")
def test_browser_shows_and_prints_it(report: Written, tmp_path: Path) -> None:
    """A browser draws the page, and prints it on A4 pages with every section."""
    pdf, screen = tmp_path / "report.pdf", tmp_path / "report.png"
    browser = [shutil.which("chromium") or "", "--headless", "--no-sandbox", "--disable-gpu"]
    browser += [f"--user-data-dir={tmp_path / 'profile'}", "--hide-scrollbars"]
    page = report.path.as_uri()
    assert "report.html" in unquote(page)
    for more in (
        ["--no-pdf-header-footer", f"--print-to-pdf={pdf}"],
        [f"--screenshot={screen}", "--window-size=800,3000"],
    ):
        subprocess.run([*browser, *more, page], check=True, capture_output=True, timeout=120)
    boxes = re.findall(rb"/MediaBox\s*\[([^\]]*)\]", pdf.read_bytes())
    assert len(boxes) > len(report.comparison.properties) + 6
    for box in boxes:
        assert [round(float(one)) for one in box.split()[2:]] == pytest.approx(A4_POINTS, abs=1)
    with Image.open(screen) as image:
        seen = np.asarray(image.convert("L"), dtype=float)
    dark = (seen < 128).mean(axis=1)
    assert (dark.reshape(10, -1).max(axis=1) > 0.01).all()  # every tenth of it has something


def test_tables_defuse_formulas(report: Written) -> None:
    """No cell of a CSV begins as a spreadsheet's formula, but numbers."""
    for path in (report.path.parent / "tables").glob("*.csv"):
        with path.open(encoding="utf-8-sig", newline="") as lines:
            for row in csv.reader(lines):
                for cell in row:
                    if cell.startswith(("=", "+", "-", "@")):
                        assert math.isfinite(float(cell)) or cell == "-inf"
