"""Every word of a verdict has its place wherever verdicts are told; one without a place is noticed.

The words are walked through the judgement on harm, the screen, the page and the figures. Then
there is one more of them: each of these places must refuse it rather than pass it over.
"""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pytest
from one_more_word import one_more_word
from report_reading import Element, read_page
from rich.console import Console
from undrawn import undrawn

import tiecoat
from tiecoat.ask.study_data import StudyData, study_data
from tiecoat.cli.verdict_screen import show_overview, show_verdicts
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.study import load_study
from tiecoat.compare.verdict import VerdictWord
from tiecoat.report.conclusions import candidate_rows
from tiecoat.report.first_page import Answer, first_page
from tiecoat.report.labels import OUTCOME_WORDS
from tiecoat.report.line_up_figure import line_up_figures
from tiecoat.report.looks import OUTCOME_LOOKS
from tiecoat.report.property_figure import property_figure
from tiecoat.report.quality import quality_of
from tiecoat.report.verdict_page import outcome_code, overview
from tiecoat.report.write import write_report

EXAMPLE = Path(__file__).parents[2] / "archive_example"
STUDY = '[[property]]\nname = "entrapped air"\nmargin = 0.4\n'
NOTHING = {"effect": math.nan, "low": math.nan, "high": math.nan}
DRAWN = [one for one in VerdictWord if one is not VerdictWord.NOT_TESTED]
EVERY = pytest.mark.parametrize("outcome", VerdictWord, ids=outcome_code)


@dataclass(frozen=True)
class Told:
    """A study of one property that has every word, with its page."""

    data: StudyData
    page: Element


def with_outcomes(data: StudyData, *outcomes: VerdictWord) -> StudyData:
    """Return the data as if candidates had come out so, one after the other."""
    verdicts = [
        replace(one, outcome=outcome, **(NOTHING if outcome is VerdictWord.NOT_TESTED else {}))
        for one, outcome in zip(data.comparison.verdicts, outcomes, strict=False)
    ]
    return replace(data, comparison=replace(data.comparison, verdicts=tuple(verdicts)))


def screen_of(comparison: Comparison) -> str:
    """Return what the terminal shows of a comparison, with its styles."""
    console = Console(file=io.StringIO(), width=200, force_terminal=True)
    show_verdicts(comparison, console)
    assert isinstance(console.file, io.StringIO)
    return console.file.getvalue()


@pytest.fixture(scope="module")
def air() -> StudyData:
    """The air in the paints of the example."""
    return study_data(tiecoat.open(EXAMPLE), load_study(STUDY))


@pytest.fixture(scope="module")
def told(air: StudyData, tmp_path_factory: pytest.TempPathFactory) -> Told:
    """The same, with each word once."""
    data = with_outcomes(air, *VerdictWord)
    with undrawn():
        path = write_report(data, tmp_path_factory.mktemp("report"), date(2026, 11, 26))
    return Told(data, read_page(path))


@EVERY
def test_every_word_has_a_sign_and_a_look_of_its_own(outcome: VerdictWord) -> None:
    """Sign, words, mark and colour tell each word from every other."""
    others = [one for one in VerdictWord if one is not outcome]
    assert not {*OUTCOME_WORDS[outcome]} & {text for one in others for text in OUTCOME_WORDS[one]}
    looks = [OUTCOME_LOOKS[one] for one in others if one in DRAWN]
    for part in ("marker", "color") if outcome in DRAWN else ():
        assert OUTCOME_LOOKS[outcome][part] not in [look[part] for look in looks]


@pytest.mark.every(5)
@EVERY
def test_every_word_stands_on_the_page(told: Told, outcome: VerdictWord) -> None:
    """It stands in its candidate's row and in no other; the text below explains it."""
    sign, words = OUTCOME_WORDS[outcome]
    batch = told.data.comparison.verdicts[list(VerdictWord).index(outcome)].batch
    (section,) = (one for one in told.page.every() if one.attributes.get("id") == "verdicts")
    (table,) = section.all("table")
    cells = {row.cells[0].split()[0]: row.cells[1] for row in table.all("tr")[1:]}
    told_so = f"{sign} {words}".strip()
    assert [one for one, text in cells.items() if f"{text} ".startswith(f"{told_so} ")] == [batch]
    assert words in {one.text for one in section.all("em")}
    spans = told.page.all("span")
    marked = [
        one.text
        for one in spans
        if outcome_code(outcome) in one.attributes.get("class", "").split()
    ]
    assert set(marked) == {told_so}


@EVERY
def test_every_word_stands_in_the_legends(told: Told, outcome: VerdictWord) -> None:
    """The legend below the overview on the screen names it, and that of the line-up."""
    sign, words = OUTCOME_WORDS[outcome]
    shown = Console(file=io.StringIO(), width=200)
    show_overview(told.data.comparison, shown)
    assert isinstance(shown.file, io.StringIO)
    lines = shown.file.getvalue().splitlines()
    assert f"{sign or 'empty:'} {words}" in [part for line in lines for part in line.split("   ")]
    (figure,) = line_up_figures(told.data.comparison)
    told_in = figure.legends[0].get_texts() if outcome in DRAWN else figure.axes[0].texts
    assert words in [one.get_text().strip() for one in told_in]


@EVERY
def test_only_better_and_not_worse_do_no_harm(told: Told, outcome: VerdictWord) -> None:
    """No word but these two may say that a candidate does no harm."""
    one = told.data.comparison.verdicts[list(VerdictWord).index(outcome)]
    meant = outcome in {VerdictWord.BETTER, VerdictWord.NOT_WORSE}
    assert told.data.comparison.does_no_harm(one.batch)[0] is meant


def first_page_of(data: StudyData) -> list[Answer]:
    """Return the blocks of the first page."""
    return first_page(data, candidate_rows(data, []), quality_of(data))


OF_A_CANDIDATE: dict[str, Callable[[StudyData], object]] = {
    "no harm": lambda data: data.comparison.does_no_harm(data.comparison.verdicts[0].batch),
    "first page": first_page_of,
    "overview": lambda data: overview(data.comparison),
    "screen": lambda data: screen_of(data.comparison),
    "figure": lambda data: property_figure(data.comparison, data.comparison.properties[0]),
    "line-up": lambda data: list(line_up_figures(data.comparison)),
}


@pytest.mark.parametrize("place", OF_A_CANDIDATE)
def test_a_word_without_a_place_is_refused_where_it_comes_out(air: StudyData, place: str) -> None:
    """Nobody is told "no harm", or nothing, of a candidate that came out by an unknown word."""
    OF_A_CANDIDATE[place](with_outcomes(air, VerdictWord.BETTER))
    with one_more_word(VerdictWord, "another word") as another:
        data = with_outcomes(air, another)
        with pytest.raises((AssertionError, KeyError), match=r"another word|ONE_MORE"):
            OF_A_CANDIDATE[place](data)


OF_NOBODY: dict[str, Callable[[StudyData, Path], object]] = {
    "page": lambda data, folder: write_report(data, folder, date(2026, 11, 26)),
    "legend on the screen": lambda data, _: show_overview(data.comparison, Console(quiet=True)),
    "legend of the line-up": lambda data, _: list(line_up_figures(data.comparison)),
}


@pytest.mark.parametrize("place", OF_NOBODY)
def test_a_word_without_a_place_is_refused_where_words_are_listed(
    air: StudyData, place: str, tmp_path: Path
) -> None:
    """No list of the words leaves one out, though no candidate came out by it."""
    data = with_outcomes(air, VerdictWord.BETTER)
    with undrawn():
        OF_NOBODY[place](data, tmp_path)
    with (
        undrawn(),
        one_more_word(VerdictWord, "another word"),
        pytest.raises((AssertionError, KeyError), match=r"another word|ONE_MORE"),
    ):
        OF_NOBODY[place](data, tmp_path)
