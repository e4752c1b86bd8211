"""Figures and words of a report, on data that the example does not have."""

from __future__ import annotations

import doctest
import math
from types import ModuleType

import numpy as np
import pandas as pd
import pytest
import report_reading
from hypothesis import given, settings
from hypothesis import strategies as st
from made_up_studies import compared, panel_rows
from report_reading import interval_of, number_of

from tiecoat.compare.properties import CATALOGUE
from tiecoat.report import conclusions, labels, line_up_figure, looks, origins, page, sources
from tiecoat.report.exposure_figures import bode_figures, groups_of, modulus_figures
from tiecoat.report.failure_figure import failure_figure
from tiecoat.report.labels import interval, number, title_of
from tiecoat.report.looks import drawn, log_axis, new_figure
from tiecoat.report.property_figure import property_figure

NUMBERS = st.floats(allow_nan=False, allow_infinity=False, width=32)
DOCUMENTED = (labels, line_up_figure, looks, origins, page, sources, conclusions, report_reading)


@pytest.mark.parametrize("module", DOCUMENTED, ids=lambda module: module.__name__)
def test_examples_in_docstrings_hold(module: ModuleType) -> None:
    """What the docstrings show is what comes out."""
    assert doctest.testmod(module).failed == 0


@given(NUMBERS)
def test_numbers_read_back(value: float) -> None:
    """Every number on the page is its value to four significant digits."""
    assert number_of(number(value)) == pytest.approx(value, rel=5.1e-4, abs=1e-300)


@given(NUMBERS | st.just(-math.inf), NUMBERS | st.just(math.inf))
def test_intervals_read_back(low: float, high: float) -> None:
    """Every interval on the page has its own ends, open ones too."""
    read = interval_of(interval(low, high))
    assert read == pytest.approx((low, high), rel=5.1e-4, abs=1e-300)


def test_every_known_property_has_a_title() -> None:
    """No property of the catalogue is called by a name of the program."""
    for one in CATALOGUE.values():
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
        figure = property_figure(comparison, wanted, comparison.values())
        line_up = line_up_figure.line_up_figure(comparison)
        assert drawn(figure).png.startswith(b"\x89PNG")
        assert drawn(line_up).svg.startswith(b"<?xml")
    marks = [one for one in figure.axes[0].lines if one.get_marker() == "o"]
    assert sum(len(one.get_xdata()) for one in marks) == 6  # type: ignore[arg-type]


def test_property_without_data_has_a_figure() -> None:
    """Where a candidate has no value the figure says so, and the verdicts are drawn."""
    table = panel_rows(
        "gloss", {"RB-010": [80, 82, 81], "RB-011": [math.nan] * 3, "RB-012": [7, 9, 8]}
    )
    study = '[[property]]\nname = "gloss"\nkind = "gloss"\nquantity = "gloss"\nmargin = 5\n'
    comparison = compared(table, study)
    with looks.looks():
        figure = property_figure(comparison, comparison.properties[0], comparison.values())
    words = [one.get_text().strip() for one in figure.axes[1].texts]
    assert words == ["control", "no data to compare"]


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
        figures = list(modulus_figures(comparison, table, "0.1 Hz"))
    assert [sum(one.axison for one in figure.axes) for figure in figures] == [4, 1]
    assert figures[0].axes[0].get_xlabel() == "hours of exposure"


def test_nothing_to_draw_is_no_figure() -> None:
    """Without spectra near the time, without a modulus, without a failure there is no figure."""
    table = panel_rows("gloss", {"RB-010": [80, 82], "RB-011": [70, 71]})
    comparison = compared(table, "")
    empty = pd.DataFrame({"exposure_h": [np.nan], "batch": "RB-010"})
    assert list(bode_figures(comparison, empty, 24.0)) == []
    assert list(modulus_figures(comparison, table, "0.1 Hz")) == []
    nothing = pd.DataFrame({"failure": [None], "panel": ["RB-010-1"], "batch": ["RB-010"]})
    assert failure_figure(comparison, nothing) is None


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
