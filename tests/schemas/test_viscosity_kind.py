"""Viscosity: the third of rate, stress and viscosity, and what each method asks for."""

from typing import Any

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas.viscosity import KIND, complete

NAN = float("nan")
NUMBERS = (
    *("elapsed_s", "shear_rate_per_s", "shear_stress_pa", "viscosity_pa_s", "efflux_s", "run"),
)


def frame_of(*rows: dict[str, Any]) -> pd.DataFrame:
    """Rows in the types of the kind, with nothing where nothing is said."""
    frame = pd.DataFrame([{"method": "rotational", "temperature_c": 23.0, **row} for row in rows])
    columns = {name: np.asarray(frame.get(name, [NAN] * len(frame)), float) for name in NUMBERS}
    texts = {
        name: pd.Series(frame.get(name, [None] * len(frame)), dtype="str")
        for name in ("method", "step", "cup")
    }
    names = list(KIND.model.to_schema().columns)
    return pd.DataFrame({**columns, **texts, "temperature_c": frame["temperature_c"]})[names]


@given(st.floats(1e-3, 1e4), st.floats(1e-3, 1e4))
def test_stress_and_viscosity_give_each_other(rate: float, viscosity: float) -> None:
    """stress = viscosity x rate, both ways."""
    forward = complete(frame_of({"shear_rate_per_s": rate, "viscosity_pa_s": viscosity}))
    stress = forward["shear_stress_pa"].iloc[0]
    assert stress == pytest.approx(rate * viscosity)
    back = complete(frame_of({"shear_rate_per_s": rate, "shear_stress_pa": stress}))
    assert back["viscosity_pa_s"].iloc[0] == pytest.approx(viscosity)


def test_at_rest_a_stress_gives_no_viscosity() -> None:
    """At a shear rate of zero the viscosity is not determinable and stays empty."""
    done = complete(frame_of({"shear_rate_per_s": 0.0, "shear_stress_pa": 4.2}))
    assert np.isnan(done["viscosity_pa_s"].iloc[0])


def test_at_rest_a_viscosity_gives_no_stress() -> None:
    """A paint with a yield stress carries one at rest, so none is computed."""
    done = complete(frame_of({"shear_rate_per_s": 0.0, "viscosity_pa_s": 80.0}))
    assert np.isnan(done["shear_stress_pa"].iloc[0])


def test_three_values_that_contradict_each_other_are_refused() -> None:
    """A stress more than 5 % off viscosity x rate is a contradiction, less is rounding."""
    good = {"shear_rate_per_s": 10.0, "shear_stress_pa": 102.0, "viscosity_pa_s": 10.0}
    complete(frame_of(good))
    with pytest.raises(FileHeld) as held:
        complete(frame_of(good, {**good, "shear_stress_pa": 1020.0}))
    (fault,) = held.value.faults
    assert (fault.reason, fault.row, fault.column) == (Reason.INCONSISTENT, 1, "shear_stress_pa")


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ({"viscosity_pa_s": 2.0}, "shear_rate_per_s"),
        ({"shear_rate_per_s": 2.0}, "viscosity_pa_s"),
        ({"method": "flow cup", "efflux_s": 58.0}, "cup"),
        ({"method": "flow cup", "cup": "ISO 2431 6 mm"}, "efflux_s"),
    ],
)
def test_each_method_asks_for_its_values(row: dict[str, object], column: str) -> None:
    """A rotational row needs its rate and one of the others; a cup row its cup and its time."""
    with pytest.raises(FileHeld) as held:
        complete(frame_of(row))
    told = [(fault.reason, fault.column) for fault in held.value.faults]
    assert told == [(Reason.MISSING_VALUE, column)]


@pytest.mark.parametrize(
    ("row", "column"),
    [
        ({"shear_rate_per_s": 2.0, "viscosity_pa_s": 2.0, "efflux_s": 58.0}, "efflux_s"),
        (
            {"method": "flow cup", "cup": "ISO 2431 6 mm", "efflux_s": 58.0, "viscosity_pa_s": 2.0},
            "viscosity_pa_s",
        ),
    ],
)
def test_a_row_of_one_method_has_no_values_of_the_other(row: dict[str, Any], column: str) -> None:
    """A cup has no shear rate, and a rotor no efflux time."""
    with pytest.raises(FileHeld) as held:
        complete(frame_of(row))
    assert [(f.reason, f.column) for f in held.value.faults] == [(Reason.INCONSISTENT, column)]


def test_both_methods_pass_the_model() -> None:
    """A completed flow curve and a cup reading are what the model asks for."""
    frame = frame_of(
        {"shear_rate_per_s": 0.1, "viscosity_pa_s": 81.2, "step": "up", "elapsed_s": 5.0},
        {"method": "Flow cup", "cup": "ISO 2431 6 mm", "efflux_s": 58.2},
    )
    KIND.model.validate(complete(frame), lazy=True)


def test_a_number_below_zero_is_held_as_what_it_is() -> None:
    """From a negative stress no viscosity is computed, and from a negative viscosity no stress."""
    done = complete(
        frame_of(
            {"shear_rate_per_s": 2.0, "shear_stress_pa": -4.0},
            {"shear_rate_per_s": 2.0, "viscosity_pa_s": -4.0},
        )
    )
    assert done["viscosity_pa_s"].isna().tolist() == [True, False]
    assert done["shear_stress_pa"].isna().tolist() == [False, True]
