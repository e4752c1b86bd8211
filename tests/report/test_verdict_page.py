"""One page read back to the letter: headings, harm, rows, notes, overview and first overall.

Numbers of a row are reckoned here from the filed rows by scipy; words are written out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

import pandas as pd
import pytest
from example_truth import RECIPES
from offered_study import load_study
from report_reading import Element, read_page, verdict_rows
from scipy.stats import t as student
from undrawn import undrawn

import tiecoat
from tiecoat.ask.study_data import StudyData, study_data
from tiecoat.report.write import write_report

EXAMPLE = Path(__file__).parents[2] / "archive_example"
DOSE = {one.batch: f"{one.dose_percent:g} % {one.candidate}" for one in RECIPES}
DAY = date(2026, 11, 26)
STUDY = """
name = "every sort of property"
control = "RB-010"

[[property]]
name = "modulus"

[[property]]
name = "entrapped air"
margin = 0.4

[[property]]
name = "shear-thinning index"
margin_percent = 25

[[property]]
name = "modulus decline"
weight = 2

[[property]]
name = "rust"
kind = "exposure_rating"
quantity = "rust_grade"
condition = "neutral salt spray"
method = "ratings"
direction = "lower"
margin = 0.3
exposure_h = [480]

[[property]]
name = "craters"
kind = "defects"
quantity = "craters"
area = "evaluated_mm2"
method = "counts"
direction = "lower"
margin_percent = 50
weight = 0

[[property]]
name = "voids"
kind = "cross_section"
quantity = "void_fraction"
direction = "lower"
margin = 0.5

[[property]]
name = "gloss"
kind = "gloss"
quantity = "gloss_mean"
condition = "60 deg"
direction = "target"
margin = 5

[[property]]
name = "gloss by number"
kind = "gloss"
quantity = "gloss_mean"
condition = "60 deg"
direction = "target"
target = 80
"""


@dataclass(frozen=True)
class Written:
    """The page of the study, read back, and what it was made from."""

    data: StudyData
    page: Element

    def section(self, anchor: str) -> Element:
        """Return a section by its anchor."""
        (found,) = (one for one in self.page.all("section") if one.attributes["id"] == anchor)
        return found

    def of(self, label: str) -> Element:
        """Return the section of a property."""
        (found,) = (
            one
            for one in self.page.all("section")
            if "property" in one.attributes.get("class", "").split()
            and one.all("h2")[0].text == label
        )
        return found

    def table(self, label: str) -> Element:
        """Return the table of the verdicts on a property."""
        (found,) = (
            one for one in self.page.all("table") if one.attributes.get("data-property") == label
        )
        return found

    @property
    def notes(self) -> list[str]:
        """What is written below the tables, by its numbers from 1 on."""
        (found,) = (one for one in self.page.all("ol") if one.attributes["class"] == "notes")
        return [item.text for item in found.all("li")]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Written:
    """The report of a study with differences, ratios, counts, ratings and targets."""
    data = study_data(tiecoat.open(EXAMPLE), load_study(STUDY))
    with undrawn():
        return Written(data, read_page(write_report(data, tmp_path_factory.mktemp("page"), DAY)))


@dataclass(frozen=True)
class Words:
    """What stands on the page about a property."""

    title: str
    unit: str
    direction: str
    harm: str
    weight: str
    middle: str
    effect: str


WORDS = {
    "modulus after 240 h": Words(
        "impedance modulus × area, 0.1 Hz, after 240 h",
        "Ω cm²",
        "higher is better",
        "more than 50 % below the control (preset)",
        "1",
        "geometric mean (Ω cm²)",
        "effect",
    ),
    "entrapped air": Words(
        "entrapped air by volume, as mixed",
        "%",
        "lower is better",
        "more than 0.4 points above the control",
        "1",
        "mean (%)",
        "effect (points)",
    ),
    "shear-thinning index": Words(
        "shear-thinning index, down; 1 over 10 1/s",
        "–",
        "should stay at the control's value",
        "more than 25 % above or below the control",
        "1",
        "geometric mean",
        "effect",
    ),
    "modulus decline": Words(
        "fall of lg |Z| in a day, 0.1 Hz",
        "1/d",
        "lower is better",
        "more than 0.02 1/d above the control (preset)",
        "2",
        "mean (1/d)",
        "effect (1/d)",
    ),
    "rust after 480 h": Words(
        "rust grade, neutral salt spray, after 480 h",
        "–",
        "lower is better",
        "probability of superiority below 0.2",
        "1",
        "median",
        "effect",
    ),
    "craters": Words(
        "craters",
        "per dm², from 0.3 mm on",
        "lower is better",
        "more than 50 % above the control",
        "0",
        "rate (per dm², from 0.3 mm on)",
        "effect",
    ),
    "voids": Words(
        "void fraction",
        "%",
        "lower is better",
        "more than 0.5 points above the control",
        "1",
        "mean (%)",
        "effect (points)",
    ),
    "gloss": Words(
        "gloss mean, 60 deg",
        "GU",
        "should stay at the control's value",
        "more than 5 GU above or below the control",
        "1",
        "mean (GU)",
        "effect (GU)",
    ),
    "gloss by number": Words(
        "gloss mean, 60 deg",
        "GU",
        "should be 80 GU",
        "no margin is stated, so nothing can be called not worse",
        "1",
        "mean (GU)",
        "effect (GU)",
    ),
}


@pytest.mark.parametrize("label", WORDS)
def test_each_property_says_what_it_is_and_what_counts_as_harm(
    written: Written, label: str
) -> None:
    """Title, unit, which way is better and the margin stand above its figure, word for word."""
    meant = WORDS[label]
    unit = {"–": "", "per dm², from 0.3 mm on": ", per dm², from 0.3 mm on"}.get(
        meant.unit, f", in {meant.unit}"
    )
    lead = f"{meant.title}{unit}; {meant.direction}. Harm: {meant.harm}."
    assert written.of(label).all("p")[0].text == lead


@pytest.mark.parametrize("label", WORDS)
def test_the_table_of_a_property_says_what_its_numbers_are(written: Written, label: str) -> None:
    """A mean, geometric mean, median or rate with its unit, and the unit of a difference."""
    table = written.table(label)
    first = ["batch", "candidate", "n"]
    last = ["95 % interval", "p", "verdict", "why", "notes"]
    shown = [one.text for one in table.all("thead")[0].all("th")]
    assert shown == [*first, WORDS[label].middle, WORDS[label].effect, *last]
    caption = written.of(label).all("figcaption")[0].text
    assert f"the upright line is the {WORDS[label].middle.partition(' (')[0]}. Right:" in caption


def test_the_study_lists_every_property_with_its_harm(written: Written) -> None:
    """The same words again in the table of the study, with the weight; presets are explained."""
    section = written.section("study")
    shown = [[one.text for one in row.all("td")] for row in section.all("table")[1].all("tr")[1:]]
    meant = [
        [label, one.title, one.unit, one.direction, one.harm, one.weight]
        for label, one in WORDS.items()
    ]
    assert shown == meant
    assert section.all("p")[-1].text == (
        "Margins marked preset come with the program; they are common practice without a source."
        " What counts as harm is for the responsible person to say, in the study file."
    )


def test_each_row_has_the_numbers_of_its_own_notes(written: Written) -> None:
    """What weakens a verdict, and nothing else, stands under the numbers that its row gives."""
    rows = verdict_rows(written.page)
    notes = written.notes
    assert len(notes) == len(set(notes))  # each stands once
    cited: set[int] = set()
    for one in written.data.comparison.verdicts:
        batch, recipe, *_, shown = rows[one.property, one.batch]
        assert (batch, recipe) == (one.batch, DOSE[one.batch])
        numbers = [int(number) for number in shown.split(", ") if number]
        assert numbers == sorted(set(numbers))
        assert {notes[number - 1] for number in numbers} == set(one.cautions)
        assert 0 not in numbers
        cited |= set(numbers)
    of_trends = {note for one in written.data.trends for note in (one.reason, one.cautions)}
    assert {place for place, note in enumerate(notes, 1) if note not in of_trends} <= cited
    assert len(cited) >= 3  # or all numbers could be 1


def test_a_note_is_that_of_the_row_that_it_stands_with(written: Written) -> None:
    """Which have three equal grades, and which areas between two grades: each row names its own."""
    rows = verdict_rows(written.page)
    shown = {batch: cells[-1] for (name, batch), cells in rows.items() if name.startswith("rust")}
    equal, between = {"RB-012", "RB-013"}, {"RB-013", "RB-014", "RB-015"}
    for batch, numbers in shown.items():
        expected = [f"all 3 values of {batch} are equal: their spread is not resolved"] * (
            batch in equal
        ) + [f"3 of 3 panels of {batch} have no one grade: both ends count"] * (batch in between)
        assert [written.notes[int(one) - 1] for one in numbers.split(", ") if one] == expected


def rounded(value: float, side: float) -> str:
    """Return a number to the place of the second digit of a side of its interval."""
    second = Decimal(f"{side:.1e}").as_tuple().exponent
    assert isinstance(second, int)
    return str(Decimal(value).quantize(Decimal((0, (1,), second)))).replace("-", "−")


def gloss_of(batch: str) -> pd.Series[float]:
    """Return the mean gloss at 60 degrees of each panel of a batch, from the filed rows."""
    rows = tiecoat.open(EXAMPLE).read("gloss", batch=batch)
    rows = rows[rows["angle_deg"] == 60]
    return rows.groupby("panel")["gloss_gu"].mean()


def against_80(batch: str) -> tuple[float, float, float]:
    """Return difference from 80 and its interval: Student's t, adjusted by Sidak over 8."""
    values = gloss_of(batch)
    reach = student.ppf(0.5 + 0.95 ** (1 / 8) / 2, len(values) - 1)
    half = float(reach * values.std(ddof=1) / math.sqrt(len(values)))
    effect = float(values.mean()) - 80
    return effect, effect - half, effect + half


@pytest.mark.parametrize("batch", ["RB-011", "RB-012", "RB-018"])
def test_a_row_of_a_difference_holds_what_is_reckoned_from_the_filed_rows(
    written: Written, batch: str
) -> None:
    """Batch, recipe, n, mean, effect, interval, outcome, reason: each cell of the row."""
    effect, low, high = against_80(batch)
    cells = verdict_rows(written.page)["gloss by number", batch]
    assert cells[:6] == [
        batch,
        DOSE[batch],
        str(len(gloss_of(batch))),
        rounded(float(gloss_of(batch).mean()), effect - low),
        rounded(effect, effect - low),
        f"{rounded(low, effect - low)} to {rounded(high, effect - low)}",
    ]
    assert cells[7:9] == ["▼ worse", "the interval excludes equality; no margin is stated"]


def test_the_overview_has_the_same_with_less_room(written: Written) -> None:
    """Each cell stands below its property and in the row of its batch."""
    shown = overview(written.section("verdicts"))
    rows = verdict_rows(written.page)
    assert set(shown) == {(label, batch) for label in WORDS for batch in DOSE if batch != "RB-010"}
    for key, text in shown.items():
        assert text.startswith(rows[key][7])
    for batch in ("RB-011", "RB-012", "RB-018"):
        effect, low, high = against_80(batch)
        side = effect - low
        interval = f"{rounded(low, side)} to {rounded(high, side)}"
        told = f"▼ worse {rounded(effect, side)} GU {interval}"
        assert shown["gloss by number", batch] == told
    assert shown["craters", "RB-011"] == "not tested"


def overview(section: Element) -> dict[tuple[str, str], str]:
    """Return the cells of the overview by property and batch; its blocks stand below another."""
    found = {}
    for table in section.all("table"):
        labels = [one.text for one in table.all("thead")[0].all("th")[1:]]
        for row in table.all("tbody")[0].all("tr"):
            batch = row.all("th")[0].text
            assert batch.partition(" ")[2] == DOSE[batch.partition(" ")[0]]
            for label, cell in zip(labels, row.all("td"), strict=True):
                found[label, batch.partition(" ")[0]] = cell.text
    return found


def test_how_often_a_candidate_is_first_stands_with_it(written: Written) -> None:
    """The chance of the first rank of each that is ranked, and of no other."""
    (table,) = written.section("ranking").all("table")
    column = [one.text for one in table.all("th")].index("rank 1")
    shown = {row.cells[1]: row.cells[column] for row in table.all("tr")[1:]}
    assert written.data.ranking is not None
    chances = written.data.ranking.chances[1]
    assert shown == {batch: f"{100 * chances[batch]:.0f} %" for batch in chances.index}
    assert 1 < len(shown) < len(DOSE)
