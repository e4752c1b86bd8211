"""Two evaluations of a kind that give one quantity: one unit, and no result twice."""

from __future__ import annotations

import pandas as pd
import pytest

from tiecoat.ask.agreeing import GivenResults
from tiecoat.evaluate.result import results


def of_panels(value: float, unit: str, *panels: str, quantity: str = "modulus") -> pd.DataFrame:
    """Results of panels, with a standard error of a tenth."""
    keys = {"batch": "RB-001", "panel": list(panels)}
    return results(quantity, keys, [value] * len(panels), unit, standard_error=value / 10)


@pytest.fixture
def given() -> GivenResults:
    """What the built-in evaluation has given: one panel, in ohms."""
    made = GivenResults()
    made.agreed("built_in", of_panels(1e6, "ohm cm2", "RB-001-1"), [])
    return made


def test_another_unit_is_converted(given: GivenResults) -> None:
    """Value, error and interval come in the unit of the evaluation that was there first."""
    told: list[str] = []
    table = given.agreed("mine", of_panels(2.0, "Mohm cm2", "RB-001-2"), told)
    assert table["unit"].tolist() == ["ohm cm2"]
    assert table["value"].tolist() == pytest.approx([2e6])
    assert table["standard_error"].tolist() == pytest.approx([2e5])
    assert told == []


def test_a_unit_that_does_not_convert_is_left_out(given: GivenResults) -> None:
    """It is told with both units; other quantities of the same evaluation stay."""
    told: list[str] = []
    other = of_panels(5.0, "degree", "RB-001-2", quantity="phase")
    both = pd.concat([of_panels(2.0, "percent", "RB-001-2"), other], ignore_index=True)
    assert given.agreed("mine", both, told)["quantity"].tolist() == ["phase"]
    (said,) = told
    assert said == (
        "modulus in percent of evaluation 'mine' was left out: 'built_in' gives it in ohm cm2,"
        " which does not convert; give it another name"
    )


def test_what_is_there_already_counts_once(given: GivenResults) -> None:
    """The same panel and condition by two evaluations would count twice in a comparison."""
    told: list[str] = []
    table = given.agreed("mine", of_panels(2e6, "ohm cm2", "RB-001-1", "RB-001-2"), told)
    assert table["panel"].tolist() == ["RB-001-2"]
    assert "'mine' was left out where 'built_in' gives it too (1 results)" in told[0]


def test_a_difference_of_temperatures_is_no_temperature() -> None:
    """The error of a temperature is scaled and not shifted."""
    given = GivenResults()
    given.agreed("built_in", of_panels(20.0, "degC", "RB-001-1", quantity="onset"), [])
    table = given.agreed("mine", of_panels(300.0, "kelvin", "RB-001-2", quantity="onset"), [])
    assert table["value"].tolist() == pytest.approx([26.85])
    assert table["standard_error"].tolist() == pytest.approx([30.0])
