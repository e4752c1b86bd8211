"""Figures and words of a report, on data that the example does not have."""

from __future__ import annotations

import doctest
import math
from dataclasses import replace
from itertools import combinations
from types import SimpleNamespace

import numpy as np
import pandas as pd
import pytest
import report_reading
from hypothesis import example, given, settings
from hypothesis import strategies as st
from made_up_studies import compared, panel_rows
from matplotlib.figure import Figure
from matplotlib.text import Text
from offered_study import CATALOGUE
from report_reading import interval_of, number_of

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.dose import Trend
from tiecoat.compare.first_place import RankingChange
from tiecoat.compare.ranking import rank
from tiecoat.compare.recommendation import recommended
from tiecoat.compare.time_trend import METHOD
from tiecoat.compare.verdict import Firmness, VerdictWord
from tiecoat.evaluate.result import results
from tiecoat.evaluate.statistics.rank_correlation import RankCorrelation
from tiecoat.extend.loading import load_report_parts
from tiecoat.plugin import StudyContents, StudyCourse, StudyFigure, TimeCourse
from tiecoat.report import labels, line_up_figure, looks, sources
from tiecoat.report.bode_figures import bode_figures
from tiecoat.report.brought_pages import drawn_of
from tiecoat.report.candidate_grid import JOINS
from tiecoat.report.conclusions import candidate_rows
from tiecoat.report.courses import points_of_results
from tiecoat.report.failure_figure import failure_words
from tiecoat.report.failure_page import tiecoat_pages
from tiecoat.report.figure_words import all_verdicts_words, property_words
from tiecoat.report.first_page import AnswerTo, first_page, stability_words
from tiecoat.report.labels import interval, middle_words, number, title_of
from tiecoat.report.link_figure import links_title
from tiecoat.report.looks import drawn, log_axis, new_figure, titled
from tiecoat.report.over_time import OverTime, points_of
from tiecoat.report.over_time_figures import over_time_figures, over_time_words
from tiecoat.report.page import time_trend_words
from tiecoat.report.property_figure import property_figure
from tiecoat.report.slides import property_title
from tiecoat.report.small_multiples import groups_of
from tiecoat.report.strength_figure import strength_figures, strength_words

NUMBERS = st.floats(allow_nan=False, allow_infinity=False, width=32)


def test_the_examples_of_what_reads_a_report_hold() -> None:
    """The tests read pages with it; what its docstrings show is what comes out."""
    assert doctest.testmod(report_reading).failed == 0


@given(NUMBERS)
@example(-0.0)
def test_numbers_read_back(value: float) -> None:
    """Every number on the page is its value to four significant digits."""
    assert number_of(number(value)) == pytest.approx(value, rel=5.1e-4, abs=1e-300)
    assert value != 0 or number(value) == "0"


@given(NUMBERS | st.just(-math.inf), NUMBERS | st.just(math.inf))
def test_intervals_read_back(low: float, high: float) -> None:
    """Every interval on the page has its own ends, open ones too."""
    read = interval_of(interval(low, high))
    assert read == pytest.approx((low, high), rel=5.1e-4, abs=1e-300)


@given(NUMBERS.filter(lambda one: abs(one) < 1e12), st.integers(-9, 9))
@example(-0.0803, -2)
@example(-0.004, -1)
def test_numbers_rounded_to_a_place_read_back(value: float, place: int) -> None:
    """What is shown is off by half a unit of the place at most, and never of the other sign."""
    shown = number_of(labels.at_place(value, place))
    assert abs(shown - value) <= 0.5001 * 10.0**place + 1e-6 * abs(value)
    assert shown == 0 or math.copysign(1, shown) == math.copysign(1, value)


def test_every_known_property_has_a_title() -> None:
    """No property of the catalogue is called by a name of the program."""
    for one in CATALOGUE.known.values():
        assert one.quantity in labels.TITLES
        assert "_" not in title_of(one)


COUNTS = pd.DataFrame(
    {
        "batch": ["RB-010"] * 3 + ["RB-011"] * 3,
        "panel": [f"RB-010-{n}" for n in (1, 2, 3)] + [f"RB-011-{n}" for n in (1, 2, 3)],
        "craters": [4.0, 6.0, 5.0, 0.0, 0.0, 0.0],
        "area_cm2": 100.0,
    }
)
OF_COUNTS = """
[[property]]
name = "craters"
kind = "gloss"
quantity = "craters"
direction = "lower"
method = "counts"
margin_percent = 50
area = "area_cm2"
"""
OF_RATINGS = """
[[property]]
name = "rust"
kind = "gloss"
quantity = "rust_grade"
direction = "lower"
method = "ratings"
margin = 0.2
"""


@pytest.mark.parametrize("study", [OF_COUNTS, OF_RATINGS], ids=["counts", "ratings"])
def test_counts_and_ratings_are_drawn(study: str) -> None:
    """Rates that are zero, and open intervals, have a figure with a mark for each panel."""
    grades = panel_rows("rust_grade", {"RB-010": [2, 3, 3], "RB-011": [0, 1, 1]}, unit="")
    comparison = compared(grades, study, raw=COUNTS)
    (wanted,) = comparison.properties
    with looks.looks():
        figure = property_figure(comparison, wanted)
        (line_up,) = line_up_figure.line_up_figures(comparison)
        assert drawn(figure).png.startswith(b"\x89PNG")
        assert drawn(line_up).svg.startswith(b"<?xml")
    marks = [one for one in figure.axes[0].lines if one.get_marker() == "o"]
    assert sum(len(one.get_xdata()) for one in marks) == 6  # type: ignore[arg-type]


def one_property(table: pd.DataFrame, more: str, quantity: str = "gloss") -> Comparison:
    """Return the comparison of one quantity."""
    study = f'[[property]]\nname = "{quantity}"\nkind = "gloss"\nquantity = "{quantity}"\n'
    return compared(table, study + more)


def test_middle_of_the_figure_is_that_of_the_table() -> None:
    """A rate is all counts over all area, however the areas of panels differ."""
    raw = COUNTS.assign(area_cm2=[1000.0, 100.0, 10.0, 100.0, 100.0, 100.0])
    grades = panel_rows("rust_grade", {"RB-010": [1.0], "RB-011": [1.0]})
    comparison = compared(grades, OF_COUNTS, raw=raw)
    with looks.looks():
        figure = property_figure(comparison, comparison.properties[0])
    upright = [one for one in figure.axes[0].lines if one.get_marker() == "None"]
    control = np.asarray(upright[0].get_xdata(), dtype=float)
    assert control.tolist() == pytest.approx([15 / 1110] * 2)
    assert comparison.verdicts[0].value_control == pytest.approx(15 / 1110)
    assert middle_words(comparison.properties[0]) == "rate"
    mark = looks.OUTCOME_LOOKS[comparison.verdicts[0].outcome]["marker"]
    effect = next(one for one in figure.axes[1].lines if one.get_marker() == mark)
    low, high = sorted(figure.axes[1].get_xlim())
    assert low <= np.asarray(effect.get_xdata(), dtype=float)[0] <= high  # of a ratio of 0


def test_marks_are_called_what_they_are() -> None:
    """Wet paint has no panels: its marks are determinations."""
    wet = [
        results("air", {"batch": batch, "measurement": ["a", "b", "c"]}, values, "%")
        for batch, values in (("RB-010", [1.0, 1.1, 1.2]), ("RB-011", [1.4, 1.5, 1.7]))
    ]
    comparison = one_property(pd.concat(wet, ignore_index=True), "margin = 1", "air")
    with looks.looks():
        figure = property_figure(comparison, comparison.properties[0])
    assert figure.axes[0].get_title(loc="left") == "measured: each mark a determination"


def test_the_line_up_shows_how_large_an_effect_is() -> None:
    """A factor of 18 and one of 729 stand where they belong, and the doses are joined."""
    values = {"RB-010": [1.0, 1.01, 0.99], "RB-011": [18.0, 18.1, 17.9], "RB-012": [729, 730, 728]}
    comparison = one_property(panel_rows("gloss", values), 'scale = "ratio"\nmargin_percent = 50')
    alike = comparison.batches.assign(candidate="talc", dose_percent=[0.0, 10.0, 5.0])
    verdicts = tuple(replace(one, candidate="talc") for one in comparison.verdicts)
    changed = replace(comparison, batches=alike, verdicts=verdicts)
    with looks.looks():
        (figure,) = line_up_figure.line_up_figures(changed)
        (steps,) = strength_figures(changed)
    (axes,) = (one for one in figure.axes if one.axison)
    mark = looks.OUTCOME_LOOKS[VerdictWord.BETTER]["marker"]
    marks = [one for one in axes.lines if one.get_marker() == mark and len(one.get_xdata()) == 1]  # type: ignore[arg-type]
    assert [float(np.asarray(one.get_xdata())[0]) for one in marks] == pytest.approx(
        [729, 18], rel=1e-2
    )
    assert [one.get_text() for one in axes.get_yticklabels()] == [
        "RB-012 · 5 % talc",
        "RB-011 · 10 % talc",
    ]
    for of_doses in (axes, steps.axes[0]):
        joins = [one for one in of_doses.lines if one.get_zorder() == JOINS]
        assert [np.asarray(one.get_ydata()).tolist() for one in joins] == [[0, 1]]
    assert [one.get_text() for one in steps.axes[0].get_yticklabels()] == ["5 % talc", "10 % talc"]
    assert strength_words(changed) == ("Strongly better: 10 % talc on gloss and 5 % talc on gloss.")


def test_line_up_fits_a_page() -> None:
    """Many candidates and properties, with long names, go into figures that fit, each once."""
    quantities = [f"{place} after a very long time in the cold room" for place in range(5)]
    values = {f"RB-{place:03}": [1.0, 1.2 + place / 90, 1.1] for place in range(10, 34)}
    table = pd.concat([panel_rows(one, values) for one in quantities], ignore_index=True)
    study = "".join(
        f'[[property]]\nname = "{one}"\nkind = "gloss"\nquantity = "{one}"\n' for one in quantities
    )
    comparison = compared(table, study)
    long = comparison.batches.assign(candidate="surface treated calcium carbonate " * 4)
    with looks.looks():
        figures = list(line_up_figure.line_up_figures(replace(comparison, batches=long)))
        for one in figures:
            one.draw_without_rendering()  # a name too long for its place is a warning
    assert max(one.get_figheight() for one in figures) <= looks.MOST_HEIGHT
    drawn_in = [[one for one in figure.axes if one.axison] for figure in figures]
    assert [len(one) for one in drawn_in] == [3, 2]  # two lines would squeeze 24 batches together
    titles = [one.get_title(loc="left") for axes in drawn_in for one in axes]
    assert [one[0] for one in titles] == [one[0] for one in quantities]
    shown = [*titles, *(one.get_text() for one in figures[0].axes[0].get_yticklabels())]
    assert max(one.count("\n") for one in shown) == 1


def test_headings_of_the_steps_do_not_run_into_each_other() -> None:
    """Six properties with headings as wide as they are let be: fewer stand side by side."""
    names = [f"modulus after {hours} h" for hours in (24, 48, 72, 84, 96, 99)]
    values = {"RB-010": [1.0, 1.1, 1.05], "RB-011": [2.0, 2.1, 2.05]}
    table = pd.concat([panel_rows(one, values) for one in names], ignore_index=True)
    study = "".join(
        f'[[property]]\nname = "{one}"\nkind = "gloss"\nquantity = "{one}"\n' for one in names
    )
    with looks.looks():
        (figure,) = strength_figures(compared(table, study))
        figure.draw_without_rendering()
        texts = [one for one in figure.findobj() if isinstance(one, Text)]
        heads = [one for one in texts if one.get_text() in names]
        boxes = [one.get_window_extent() for one in heads]
    assert len(boxes) == len(names)
    assert not any(one.overlaps(other) for one, other in combinations(boxes, 2))
    assert max(one.x1 for one in boxes) <= figure.bbox.x1


def test_doses_of_one_candidate_look_different() -> None:
    """Twenty doses of one candidate have twenty looks."""
    every = looks.dose_looks([str(place) for place in range(20)]).values()
    assert len({(one["color"], one["marker"]) for one in every}) == 20


def test_batches_without_dose_or_candidate_are_drawn() -> None:
    """A further control names neither: it stands by its batch, and no number is made up."""
    comparison = one_property(panel_rows("gloss", {"RB-010": [80, 82], "RB-011": [70, 71]}), "")
    bare = comparison.batches.assign(candidate=None, dose_percent=math.nan)
    (group,) = groups_of(replace(comparison, batches=bare))
    assert (group.name, group.words["RB-011"]) == ("no candidate named", "RB-011")


TIED = """
[[property]]
name = "gloss"
kind = "gloss"
quantity = "gloss"
ideal = 85
unacceptable = 60
[[property]]
name = "haze"
kind = "gloss"
quantity = "haze"
direction = "lower"
ideal = 10
unacceptable = 30
"""


def test_a_shared_first_rank_is_nobodys() -> None:
    """Batches of equal desirability share the first rank; none of them comes out first."""
    gloss = panel_rows("gloss", {"RB-010": [50, 51, 52], "RB-011": [80, 81, 82]})
    haze = panel_rows("haze", {"RB-010": [20, 21, 22], "RB-011": [50, 51, 52]})
    comparison = compared(pd.concat([gloss, haze], ignore_index=True), TIED)
    ranking = rank(comparison)
    told = recommended("", comparison, ranking, "")
    data = SimpleNamespace(comparison=comparison, ranking=ranking, recommendations=[told])
    quality = SimpleNamespace(held=[], missing=())
    rows = candidate_rows(data, [])  # type: ignore[arg-type]
    blocks = first_page(data, rows, quality)  # type: ignore[arg-type]
    (sure,) = (block.sentences for block in blocks if block.of is AnswerTo.SURE)
    assert sure[0] == (
        "With the weights of the study no batch comes out first overall: RB-010, RB-011 share the"
        " first rank."
    )


def test_changes_that_leave_nobody_first_alone_are_counted_too() -> None:
    """The numbers add up to that of the changes."""
    gloss = panel_rows("gloss", {"RB-010": [80, 81, 82], "RB-011": [80, 81, 83]})
    ranking = rank(one_property(gloss, "margin = 5"))
    changes = tuple(RankingChange("change", one, 0.5) for one in ("A", "A", "B", "", ""))
    told = stability_words(replace(ranking, changes=changes, first=""))
    assert told[0].endswith("(5 changes), first is: A 2 times, B 1 time and nobody alone 2 times.")


def test_what_a_dose_does_to_a_time_is_said_in_words() -> None:
    """Longer or shorter where the interval of the ratio leaves out 1; other methods say nothing."""
    label = "time to a rust grade"
    start = Trend(label, "", (0, 5, 10), 12, "h", "ratio", method=METHOD)
    trends = [
        replace(start, candidate="glass flake", change=1.09, low=1.06, high=1.13),
        replace(start, candidate="talc", change=1.03, low=0.99, high=1.06),
        replace(start, candidate="silica", change=0.9, low=0.8, high=0.99),
        replace(start, candidate="mica", change=1.2, low=1.1, high=1.3, method="least squares"),
        replace(start, candidate="chalk", method="", reason="no panel has reached it by 24 h"),
    ]
    assert time_trend_words(trends) == [
        "Time to a rust grade: the median time is longer the more glass flake.",
        "Time to a rust grade: no change of the median time with the dose of talc is shown.",
        "Time to a rust grade: the median time is shorter the more silica.",
    ]


def test_the_title_of_a_slide_hides_no_benefit() -> None:
    """Who is firmly not worse, and better on a condition, stands in both; who differs is named."""
    names = [f"RB-{place:03}" for place in range(11, 16)]
    gloss = panel_rows("gloss", {one: [80.0, 81, 82] for one in ("RB-010", *names)})
    comparison = one_property(gloss, "margin = 5")
    words = [VerdictWord.NOT_WORSE] * 4 + [VerdictWord.BETTER]
    verdicts = [
        replace(one, outcome=word, standing=Firmness.FIRM, if_alike=None)
        for one, word in zip(comparison.verdicts, words, strict=True)
    ]
    verdicts[1] = replace(verdicts[1], if_alike=VerdictWord.BETTER)
    data = SimpleNamespace(comparison=replace(comparison, verdicts=tuple(verdicts)))
    (wanted,) = comparison.properties
    told = "Gloss: better RB-015; better, if RB-012; not worse 4"
    assert property_title(data, wanted) == told  # type: ignore[arg-type]
    assert "RB-012 (0.0; better, if)" in property_words(data.comparison, wanted)
    data.comparison = replace(
        comparison, verdicts=tuple(replace(one, outcome=VerdictWord.BETTER) for one in verdicts)
    )
    title = property_title(data, wanted)  # type: ignore[arg-type]
    assert title.startswith("Gloss: better RB-011, RB-012, RB-013, RB-014 and RB-015")


def test_how_many_verdicts_stand_on_a_condition_is_told_of_each_word() -> None:
    """The title of all verdicts counts no conditional one as if it were firm."""
    gloss = panel_rows("gloss", {b: [90, 90.1, 89.9] for b in ("RB-011", "RB-012", "RB-013")})
    gloss = pd.concat([gloss, panel_rows("gloss", {"RB-010": [80, 80.1, 79.9]})])
    comparison = one_property(gloss, "margin = 5")
    hollow, *firm = comparison.verdicts
    changed = (replace(hollow, standing=Firmness.CONDITIONAL, condition="if so"), *firm)
    told = all_verdicts_words(replace(comparison, verdicts=changed))
    assert told == "3 verdicts: better 3 (1 of them on a condition)."


@pytest.mark.parametrize(
    ("found", "title"),
    [
        ([(-0.83, -0.96, -0.2), (0.2, -0.5, 0.8)], "Together between batches: air and a (−0.83)"),
        ([(0.2, -0.5, 0.8)], "No two results are shown to go together between batches"),
        (
            [(0.9, 0.5, 1.0)] * 3 + [(0.2, -0.5, 0.8)],
            "3 of 4 pairs of results go together between batches",
        ),
    ],
)
def test_the_title_of_pairs_says_which_go_together(
    found: list[tuple[float, float, float]], title: str
) -> None:
    """Those whose interval leaves out 0, by name while they are few."""
    pairs = [
        SimpleNamespace(
            first=SimpleNamespace(label="air"),
            second=SimpleNamespace(label=chr(97 + place)),
            between=RankCorrelation(*of, 9),
        )
        for place, of in enumerate(found)
    ]
    assert links_title(pairs) == title  # type: ignore[arg-type]


def test_every_benefit_is_told_with_effect_interval_and_condition() -> None:
    """Of a candidate that does harm elsewhere too; what is better on a condition only says so."""
    gloss = panel_rows("gloss", {"RB-010": [80, 80.1, 79.9], "RB-011": [90, 90.1, 89.9]})
    comparison = one_property(gloss, "margin = 5")
    (firm,) = comparison.verdicts
    condition = "if the panels of all batches scatter alike"
    told = []
    for one in (
        firm,
        replace(firm, standing=Firmness.CONDITIONAL, condition=condition),
        replace(
            firm, outcome=VerdictWord.NOT_WORSE, if_alike=VerdictWord.BETTER, condition=condition
        ),
        replace(firm, outcome=VerdictWord.WORSE),
    ):
        data = SimpleNamespace(
            comparison=replace(comparison, verdicts=(one,)),
            ranking=None,
            no_ranking="nothing can be ranked",
            recommendations=[],
        )
        rows = candidate_rows(data, [])  # type: ignore[arg-type]
        blocks = first_page(data, rows, SimpleNamespace(held=[], missing=()))  # type: ignore[arg-type]
        told += [one.sentences for one in blocks if one.of is AnswerTo.BENEFIT]
    numbers = f"{labels.effect_text(firm)}; {labels.ends_text(firm)}"
    start = "RB-011 (5 % filler RB-011) is better on gloss"
    assert told == [
        [f"{start} ({numbers})."],
        [f"{start} ({numbers}), {condition}."],
        [f"{start} ({numbers} without that condition), {condition}."],
        ["None is shown on gloss."],
    ]


@pytest.mark.parametrize(
    ("method", "names"),
    [
        ("as rated (ISO 4628-3)", ["ISO 4628-3"]),
        ("of the rusted area (ASTM D610)", ["ASTM D610"]),
        ("Delesse: share of the area", ["Delesse"]),
        ("8 on 0.11 dm2; exact Poisson interval (Garwood)", ["Garwood"]),
        ("Turnbull; no interval", ["Turnbull"]),
    ],
)
def test_methods_of_every_kind_have_references(method: str, names: list[str]) -> None:
    """Who or what a method names stands among the references."""
    found = [name for name, _ in sources.references([method])]
    assert found == [*names, *sources.ALWAYS]


def moduli_of(table: pd.DataFrame) -> OverTime:
    """Return result rows of a modulus as they are drawn."""
    course = load_report_parts(None).figures["modulus"]
    assert isinstance(course, StudyCourse)
    points = points_of(course, TimeCourse("", points_of_results(table)))
    return OverTime("modulus", course, "|Z| × area (Ω cm²)", points)


def test_property_without_data_has_a_figure() -> None:
    """Where a candidate has no value the figure says so, and the verdicts are drawn."""
    table = panel_rows(
        "gloss", {"RB-010": [80, 82, 81], "RB-011": [math.nan] * 3, "RB-012": [7, 9, 8]}
    )
    study = '[[property]]\nname = "gloss"\nkind = "gloss"\nquantity = "gloss"\nmargin = 5\n'
    comparison = compared(table, study)
    with looks.looks():
        figure = property_figure(comparison, comparison.properties[0])
    words = [one.get_text().strip() for one in figure.axes[1].texts]
    assert words == ["control", "not compared"]


def test_many_candidates_take_several_figures() -> None:
    """Four candidates stand beside each other; the fifth begins a new figure."""
    batches = [f"RB-{place:03}" for place in range(10, 16)]
    values = {batch: [1e8, 2e8] for batch in batches}
    parts = [
        panel_rows("modulus", values, unit="ohm cm2", exposure_h=hours, condition="0.1 Hz")
        for hours in (1.0, 24.0)
    ]
    table = pd.concat(parts, ignore_index=True)
    comparison = compared(table, '[[property]]\nname = "modulus"\n', kind="impedance")
    assert len(groups_of(comparison)) == 5
    with looks.looks():
        figures = list(over_time_figures(comparison, moduli_of(table)))
    assert [sum(one.axison for one in figure.axes) for figure in figures] == [4, 1]
    assert figures[0].axes[0].get_xlabel() == "hours of exposure"


def test_nothing_to_draw_is_no_figure() -> None:
    """Without spectra near the time, without a modulus, without a failure there is no figure."""
    table = panel_rows("gloss", {"RB-010": [80, 82], "RB-011": [70, 71]})
    comparison = compared(table, "")
    empty = pd.DataFrame({"exposure_h": [np.nan], "batch": "RB-010"})
    assert list(bode_figures(comparison, empty, 24.0)) == []
    assert list(over_time_figures(comparison, moduli_of(table.iloc[:0]))) == []
    nothing = pd.DataFrame({"failure": [None], "panel": ["RB-010-1"], "batch": ["RB-010"]})
    assert failures(nothing).axes == []


@settings(max_examples=25)
@given(st.floats(min_value=1e-9, max_value=1e9), st.floats(min_value=1.05, max_value=1e12))
def test_log_axes_have_few_and_some_ticks(low: float, factor: float) -> None:
    """Whatever the range, a logarithmic axis has at least one number and no crowd of them."""
    figure = new_figure(1.0)
    axes = figure.subplots()
    axes.set_xscale("log")
    high = low * factor
    axes.set_xlim(low, high)
    log_axis(axes.xaxis, low, high)
    shown = [one for one in axes.xaxis.get_majorticklocs() if low <= one <= high]
    assert 1 <= len(shown) <= 9


def pulls(**failures: list[str]) -> pd.DataFrame:
    """Return pull-off tests, one a panel, with where each failed."""
    rows = [
        (batch.replace("_", "-"), f"{batch.replace('_', '-')}-{place}", one)
        for batch, of_batch in failures.items()
        for place, one in enumerate(of_batch, 1)
    ]
    return pd.DataFrame(rows, columns=["batch", "panel", "failure"])


NAMES = {"RB-010": "RB-010 · control", "RB-011": "RB-011 · 5 % talc"}


def failures(rows: pd.DataFrame, of_study: pd.DataFrame | None = None) -> Figure:
    """Return the figure of the page on failures, of some rows of a study."""
    rows_of_study = {"pull_off": rows if of_study is None else of_study}
    told = StudyContents("", "RB-010", NAMES, rows, {}, rows_of_study, rows)
    (page,) = tiecoat_pages()
    (figure,) = page.tell(told)
    assert isinstance(figure, StudyFigure)
    return drawn_of(figure, rows, rows, NAMES)


def test_each_place_of_failure_looks_different_in_grey_print() -> None:
    """No two places have a hatch in common, nor a lightness; the hatch stands out of its fill."""
    every = [one for of_kind in looks.SITES.values() for one in of_kind]
    assert len({hatch for _, hatch in every}) == len(every)
    shades = sorted(looks.lightness(colour) for colour, _ in every)
    assert min(np.diff(shades)) > 0.02
    for kind in looks.SITES.values():
        of_kind = sorted(looks.lightness(colour) for colour, _ in kind)
        assert min(np.diff(of_kind)) > 0.08
    lines = {True: looks.lightness(looks.INK), False: 1.0}
    for colour, _ in every:
        shade = looks.lightness(colour)
        assert abs(shade - lines[shade >= looks.DARK_HATCH_FROM]) > 0.3


def test_a_place_of_failure_looks_the_same_in_every_figure() -> None:
    """Also where the figure before it has places that this one has not."""
    first = pulls(RB_010=["100% B", "50% B, 50% B/C"], RB_011=["100% A/B", "100% Y"])
    second = pulls(RB_010=["100% C", "100% B/C"], RB_011=["100% C/D", "100% C/D"])
    places = sorted({"B", "B/C", "A/B", "Y", "C", "C/D"})
    found = []
    with looks.looks():
        for rows in (first, second):
            figure = failures(rows, pd.concat([first, second]))
            (legend,) = figure.legends
            found.append(
                {
                    text.get_text(): (patch.get_facecolor(), patch.get_hatch())
                    for text, patch in zip(legend.get_texts(), legend.get_patches(), strict=True)
                }
            )
    both = found[0].keys() & found[1].keys()
    assert both == {"B/C (adhesive)"}
    assert all(found[0][one] == found[1][one] for one in both)
    assert len({*found[0].values(), *found[1].values()}) == len(places)


def test_each_bar_of_failures_bears_its_panel_and_the_figure_its_coats() -> None:
    """Panels beside the bars, batches beside these, the coat system above."""
    rows = pulls(RB_010=["100% B", "50% B, 50% B/C"], RB_011=["100% A/B"])
    figure = titled(failures(rows), "epoxy primer, 2 coats")
    (axes,) = figure.axes
    shown = [one.get_text() for one in axes.get_yticklabels()]
    assert shown == ["RB-010-1", "RB-010-2", "RB-011-1"]
    (beside,) = axes.child_axes
    assert [one.get_text().partition(" ")[0] for one in beside.get_yticklabels()] == [
        "RB-010",
        "RB-011",
    ]
    assert figure.get_suptitle() == "epoxy primer, 2 coats"


def test_the_words_of_a_figure_of_failures_say_what_is_seen() -> None:
    """Where each batch fails most, and which has most and least of each sort."""
    rows = pulls(RB_010=["100% B", "50% B, 50% B/C"], RB_011=["100% A/B", "20% B, 80% A/B"])
    assert failure_words(rows, rows, NAMES) == (
        "Most at B (cohesive): RB-010 (75 %). Most at A/B (adhesive): RB-011 (90 %)."
        " Adhesive failure: most RB-011 (90 %), least RB-010 (25 %)."
    )
    alike = pulls(RB_010=["100% B"], RB_011=["100% B"])
    assert (
        failure_words(alike, alike, NAMES)
        == "Most at B (cohesive): RB-010 (100 %) and RB-011 (100 %)."
    )


def test_the_words_of_a_figure_of_moduli_say_where_the_panels_end() -> None:
    """The geometric mean of each batch over its panels, each of these when it was last measured."""
    comparison = compared(panel_rows("gloss", {"RB-010": [80, 82], "RB-011": [70, 71]}), "")
    moduli = pd.concat(
        results(
            "modulus",
            {"batch": batch, "panel": [f"{batch}-{n}" for n in (1, 2)], "exposure_h": hours},
            values,
            "ohm_cm2",
            condition="0.1 Hz",
        )
        for hours, batch, values in [
            (24.0, "RB-010", [9e9, 9e9]),
            (240.0, "RB-010", [1e8, 4e8]),
            (24.0, "RB-011", [5e9, 5e9]),
        ]
    )
    assert over_time_words(comparison, moduli_of(moduli)) == (
        "|Z| × area (Ω cm²) when last read, after 10 days of exposure at the latest, geometric"
        " means: RB-010 2 × 10⁸ and RB-011 5 × 10⁹."
    )
    assert over_time_words(comparison, moduli_of(moduli.iloc[:0])) == ""


@pytest.mark.parametrize(("value", "low", "high"), [(0.0, -10.0, 10.0), (80.0, 70.0, 90.0)])
def test_equal_values_have_an_axis_that_fits_them(value: float, low: float, high: float) -> None:
    """Where every value is the same the axis reaches two margins to both sides of it."""
    equal = [value] * 3
    table = panel_rows("gloss", {"RB-010": equal, "RB-011": equal, "RB-012": equal})
    comparison = one_property(table, "margin = 5")
    with looks.looks():
        figure = property_figure(comparison, comparison.properties[0])
        drawn(figure)
    assert sorted(figure.axes[0].get_xlim()) == pytest.approx([low, high])


def test_an_axis_of_shares_ends_at_0_and_100() -> None:
    """No place on the axis of a share stands for less than nothing or more than everything."""
    table = panel_rows(
        "failure_adhesive", {"RB-010": [0, 0, 2], "RB-011": [99, 100, 100]}, unit="%"
    )
    study = '[[property]]\nname = "adhesive failure"\n'
    comparison = compared(table, study, kind="pull_off")
    with looks.looks():
        figure = property_figure(comparison, comparison.properties[0])
        drawn(figure)
    low, high = sorted(figure.axes[0].get_xlim())
    assert -2 < low <= 0
    assert 100 <= high < 102
    shown = [tick for tick in figure.axes[0].get_xticks() if low <= tick <= high]
    assert min(shown) >= 0
    assert max(shown) <= 100
    verdict = comparison.verdicts[0]
    assert verdict.high <= 100
    assert verdict.low >= -100
