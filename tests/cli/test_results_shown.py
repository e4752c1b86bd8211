"""Numbers on the screen: as many digits as they are good for."""

from __future__ import annotations

import math
import re

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.console import Console

from tiecoat.ask.result_files import harmless
from tiecoat.cli.result_screen import interval_text, show_results, value_text
from tiecoat.evaluate.result import results, together

SIZES = st.floats(1e-12, 1e12)


@pytest.mark.parametrize(
    ("value", "error", "text"),
    [
        (7.711588, 0.176089, "7.71 ± 0.18"),
        (1.4027412, 0.00015, "1.40274 ± 0.00015"),
        (62.3, 11.2, "62 ± 11"),
        (1234.5, 250.0, "1234 ± 250"),
        (-7.5, 0.25, "-7.50 ± 0.25"),
        (3.2158e8, 1.24e7, "(3.22 ± 0.12)e+08"),
        (2.338e-11, 4e-13, "(2.338 ± 0.040)e-11"),
        (0.0, 0.5, "0.00 ± 0.50"),
        (7.711588, math.nan, "7.712"),
        (7.711588, 0.0, "7.712"),
        (6.0, math.nan, "6"),
        (1.303e10, math.nan, "1.303e+10"),
        (math.nan, math.nan, "–"),
    ],
)
def test_the_digits_of_a_value(value: float, error: float, text: str) -> None:
    """Two digits of its standard error; four where it has none; a dash where there is none."""
    assert value_text(value, error) == text


@given(st.floats(-1e12, 1e12), SIZES)
def test_what_is_shown_is_the_value_within_a_tenth_of_its_error(value: float, error: float) -> None:
    """Rounding never costs more than a twentieth of the standard error."""
    shown = value_text(value, error)
    found = re.fullmatch(r"\(?(-?[\d.]+) ± ([\d.]+)(?:\)(e[+-]\d+))?", shown)
    assert found, shown
    power = float(f"1{found[3] or 'e0'}")
    assert abs(float(found[1]) * power - value) <= 0.051 * error + 1e-9 * abs(value) + 0.5e-12
    assert float(found[2]) * power == pytest.approx(error, rel=0.06, abs=1.0 * (error > 99))


@pytest.mark.parametrize(
    ("low", "high", "error", "text"),
    [
        (7.258936, 8.164239, 0.176, "7.26 to 8.16"),
        (7.258936, math.nan, 0.176, "above 7.26"),
        (math.nan, 8.164239, math.nan, "below 8.164"),
        (math.nan, math.nan, 0.2, ""),
        (240.0, math.nan, math.nan, "above 240"),
    ],
)
def test_the_digits_of_an_interval(low: float, high: float, error: float, text: str) -> None:
    """Those of the value; one end alone is told as such."""
    assert interval_text(low, high, error) == text


def test_a_text_with_brackets_is_shown_as_it_is() -> None:
    """What stands in square brackets is no markup."""
    console = Console(width=100, record=True)
    table = together(
        [
            results("x", {"batch": "RB-014"}, 1.0, "", condition="[red]", flags="[bold]a; b"),
            results("y", {"batch": "RB-014"}, math.nan, "MPa", reason="b"),
        ]
    )
    show_results(table, console)
    shown = console.export_text()
    assert "x ([red])" in shown
    assert "1 [bold]a" in shown
    assert shown.count("2 b") == 1


def test_bounds_of_what_has_no_value_are_no_interval() -> None:
    """They stand where the value would, with the unit, and not under 95 %."""
    console = Console(width=100, record=True)
    why = {"reason": "inspections do not tell"}
    table = together(
        [
            results("x", {"batch": "RB-014"}, math.nan, "h", low=480.0, high=720.0, **why),
            results("y", {"batch": "RB-014"}, math.nan, "h", low=1000.0, **why),
            results("z", {"batch": "RB-014"}, math.nan, "h", **why),
            results("w", {"batch": "RB-014"}, 600.0, "h", low=480.0, high=720.0),
        ]
    )
    show_results(table, console)
    lines = {line.split()[0]: line.split()[1:] for line in console.export_text().splitlines()[2:6]}
    assert lines["x"] == ["480", "to", "720", "h", "1", "1"]
    assert lines["y"] == ["above", "1000", "h", "1", "1"]
    assert lines["z"] == ["–", "1", "1"]
    assert lines["w"] == ["600", "h", "480", "to", "720", "1"]


@given(st.text(max_size=6))
def test_no_text_is_taken_for_a_formula(text: str) -> None:
    """What begins like one gets an apostrophe; all else stays as it is."""
    (shown,) = harmless(pd.DataFrame({"flags": [text]}))["flags"]
    if text[:1] in {"=", "+", "-", "@", "\t", "\r"}:
        assert shown == f"'{text}"
    else:
        assert shown == text
