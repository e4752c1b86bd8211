"""What a result is taken to tell of its batch: how many, how sure, and what weakens it."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm
from scipy.stats import t as student

from tiecoat.compare.properties import Property
from tiecoat.compare.result_samples import means_of_units, samples
from tiecoat.compare.samples import Sample, panel_values
from tiecoat.evaluate.result import results

CUP = Property("cup", "viscosity", "cup", margin=5)
VALUE, ERROR = 40.0, 0.25


def reported(factor: float, n: int = 5, error: float = ERROR, **more: object) -> pd.DataFrame:
    """Return one result whose interval reaches so many standard errors to each side."""
    half = factor * error
    return results(
        "cup",
        {"batch": ["RB-010"], **more},
        [VALUE],
        "s",
        standard_error=error,
        low=VALUE - half,
        high=VALUE + half,
        n=n,
    )


def sample_of(table: pd.DataFrame, *, of_panels: bool = False) -> Sample:
    """Return the sample of the one batch."""
    found = samples(table, CUP, ["RB-010"], of_panels=of_panels)["RB-010"]
    assert isinstance(found, Sample)
    return found


@pytest.mark.parametrize("freedom", [1.0, 1.5, 2.0, 4.0, 11.0, 60.0, 5000.0])
def test_an_interval_by_students_t_tells_its_degrees_of_freedom(freedom: float) -> None:
    """Where the interval reaches as far as scipy's t with so many degrees, so many there are."""
    found = sample_of(reported(float(student.ppf(0.975, freedom)))).reported
    assert found is not None
    assert (found.value, found.standard_error, found.n) == (VALUE, ERROR, 5)
    assert found.freedom == pytest.approx(freedom, rel=1e-6)


@pytest.mark.parametrize(
    ("factor", "freedom"),
    [
        (float(norm.ppf(0.975)), math.inf),  # stated: by the normal distribution
        (1.959964, math.inf),  # the same, as a table prints it
        (1.0, math.inf),  # narrower than any t
        (math.nan, math.inf),
        (13.0, 1.0),  # wider than any t, of which 12.71 is the widest
        (40.0, 1.0),
    ],
)
def test_an_interval_that_is_stated_has_no_degrees_of_freedom(
    factor: float, freedom: float
) -> None:
    """An uncertainty that is stated is taken as known; one that no t explains, as known least."""
    found = sample_of(reported(factor)).reported
    assert found is not None
    assert (found.value, found.standard_error, found.n) == (VALUE, ERROR, 5)
    assert found.freedom == freedom


def test_a_result_without_uncertainty_has_no_degrees_of_freedom() -> None:
    """A standard error of 0 divides nothing."""
    found = sample_of(reported(2.0, error=0.0)).reported
    assert found is not None
    assert (found.standard_error, found.freedom) == (0.0, math.inf)


ALONE = "how another one would differ is not in the interval"


@pytest.mark.parametrize(
    ("table", "of_panels", "n", "told"),
    [
        (reported(2.0, n=37, measurement=["a"]), False, 1, f"one determination: {ALONE}"),
        (reported(2.0, n=1), False, 1, f"one determination: {ALONE}"),
        (reported(2.0, n=1), True, 1, f"one panel: {ALONE}"),
        (reported(2.0, n=2), True, 2, "one result, pooled over 2 panels"),
        (
            reported(2.0, n=2),
            False,
            2,
            "determinations of one batch: mixing it again is not in the interval",
        ),
    ],
)
def test_a_result_says_of_how_many_it_is(
    table: pd.DataFrame, of_panels: bool, n: int, told: str
) -> None:
    """The points of one curve make one determination; a pooled result names what it is of."""
    found = sample_of(table, of_panels=of_panels)
    assert found.n == n
    assert found.cautions == (told,)


def test_what_is_compared_is_listed_for_plots() -> None:
    """A row for each value with its interval where it is a result; what is missing has none."""
    columns = ["property", "batch", "name", "value", "unit", "area", "low", "high", "is_floor"]
    assert list(panel_values({}).columns) == columns
    known = samples(reported(2.0), CUP, ["RB-010", "RB-011"], of_panels=False)
    table = panel_values({"cup": known})
    assert list(table.columns) == columns
    (row,) = table.to_dict("records")
    assert (row["property"], row["batch"], row["unit"]) == ("cup", "RB-010", "s")
    assert (row["value"], row["is_floor"], math.isnan(row["area"])) == (VALUE, False, True)
    assert (row["low"], row["high"]) == pytest.approx((VALUE - 2 * ERROR, VALUE + 2 * ERROR))
    panels = Sample("RB-011", ("a", "b"), np.array([1.0, 2.0]), "panels", "GU", is_floor=True)
    listed = panel_values({"gloss": {"RB-011": panels}})
    assert listed["name"].tolist() == ["a", "b"]
    assert listed["value"].tolist() == [1.0, 2.0]
    assert listed["is_floor"].all()
    assert listed[["area", "low", "high"]].isna().all(axis=None)


def test_what_is_compared_is_listed_in_the_order_of_people_with_what_is_known() -> None:
    """Panel 10 comes after panel 9; a time has the ends between which it lies, an open one none."""
    names, ends = ("P10", "P8", "P9"), ([720.0, 504.0, 0.0], [math.inf, 720.0, 24.0])
    low, high = map(np.array, ends)
    times = Sample("RB-011", names, np.array([720.0, 612.0, 24.0]), "panels", "h", ends=(low, high))
    listed = panel_values({"rust": {"RB-011": times}})
    assert listed["name"].tolist() == ["P8", "P9", "P10"]
    assert listed["value"].tolist() == [612.0, 24.0, 720.0]
    assert listed["low"].tolist() == [504.0, 0.0, 720.0]
    assert listed["high"].tolist() == pytest.approx([720.0, 24.0, math.nan], nan_ok=True)


@pytest.mark.parametrize(("scale", "means"), [("difference", [2.5, 10.0]), ("ratio", [2.0, 10.0])])
def test_panels_have_their_means_in_the_order_of_their_names(
    scale: str, means: list[float]
) -> None:
    """Whatever the order of the rows: the plain mean of 1 and 4, or the geometric one."""
    values, units = pd.Series([10.0, 1.0, 4.0]), pd.Series(["b", "a", "a"])
    found = means_of_units(values, units, scale)
    assert found.index.tolist() == ["a", "b"]
    assert found.tolist() == pytest.approx(means)
