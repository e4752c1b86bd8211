"""Pull-off: strength from force, force from strength, failure patterns."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pandera.errors import SchemaErrors

from tiecoat.errors import FileHeld
from tiecoat.reasons import Reason
from tiecoat.schemas.pull_off import KIND, complete

NAN = float("nan")


def frame_of(
    force: list[float], strength: list[float], failure: list[str | None], dolly: float = 20.0
) -> pd.DataFrame:
    """Determinations 1, 2, ... as they come from a reader."""
    return pd.DataFrame(
        {
            "determination": np.arange(1.0, len(force) + 1),
            "dolly_diameter_mm": [dolly] * len(force),
            "force_n": force,
            "strength_mpa": strength,
            "failure": pd.Series(failure, dtype="str"),
        }
    )


@given(st.floats(1, 50_000), st.sampled_from([14.0, 20.0, 50.0]))
def test_force_and_strength_give_each_other(force: float, dolly: float) -> None:
    """From a force comes a strength, and from that strength the same force."""
    forward = complete(frame_of([force], [NAN], ["100 % B"], dolly))
    back = complete(frame_of([NAN], [forward["strength_mpa"].iloc[0]], ["100 % B"], dolly))
    assert back["force_n"].iloc[0] == pytest.approx(force, rel=1e-12)
    assert forward["strength_mpa"].iloc[0] == pytest.approx(4 * force / (np.pi * dolly**2))


def test_a_force_and_a_strength_that_agree_are_both_kept() -> None:
    """Rounding by the instrument (here 1 %) is no contradiction, and nothing is recomputed."""
    done = complete(frame_of([1000.0], [3.15], ["B"]))
    assert done[["force_n", "strength_mpa"]].iloc[0].tolist() == [1000.0, 3.15]


def test_contradiction_lack_and_notation_are_told_together() -> None:
    """All faults of a frame come at once, each with its row and column."""
    frame = frame_of([1000.0, NAN, 500.0], [4.0, NAN, NAN], ["B", "B", "70B 20Y"])
    with pytest.raises(FileHeld) as held:
        complete(frame)
    told = [(fault.reason, fault.row, fault.column) for fault in held.value.faults]
    assert told == [
        (Reason.INCONSISTENT, 0, "strength_mpa"),
        (Reason.MISSING_VALUE, 1, "force_n"),
        (Reason.BAD_NOTATION, 2, "failure"),
    ]
    assert "3.183 MPa within 2 %" in held.value.faults[0].sentence


def test_failures_are_kept_in_one_way_of_writing() -> None:
    """The archive holds the normalised pattern, and a missing one stays missing."""
    done = complete(frame_of([1000.0, 1000.0], [NAN, NAN], ["40%B/C; 60%B", None]))
    assert done["failure"].iloc[0] == "60 % B, 40 % B/C"
    assert pd.isna(done["failure"].iloc[1])


def test_a_completed_frame_is_what_the_model_asks_for() -> None:
    """What derive returns passes the model of the kind."""
    KIND.model.validate(complete(frame_of([1000.0], [NAN], ["B"])), lazy=True)


def test_a_strength_below_zero_is_held_as_what_it_is() -> None:
    """-8 MPa is told as a strength, and not as the force of -2513 N that it would be."""
    done = complete(frame_of([NAN, -300.0], [-8.0, NAN], ["B", "B"]))
    assert done["force_n"].isna().tolist() == [True, False]
    assert done["strength_mpa"].isna().tolist() == [False, True]
    with pytest.raises(SchemaErrors) as caught:
        KIND.model.validate(done, lazy=True)
    cases = caught.value.failure_cases
    assert cases[["column", "failure_case"]].to_numpy().tolist() == [
        ["force_n", -300.0],
        ["strength_mpa", -8.0],
    ]


def test_a_cohesive_failure_is_kept_whose_coat_nobody_names() -> None:
    """As what it is: in one of the coats, and in no letter."""
    done = complete(frame_of([1000.0, 1000.0], [NAN, NAN], ["100 % Kohäsion", "coh 80 adh 20"]))
    assert done["failure"].tolist() == ["100 % cohesive", "80 % cohesive, 20 % interface"]


def test_words_that_leave_the_coat_open_are_told_as_such() -> None:
    """In a topcoat, the second or the third, and where the rest failed: what is open is said."""
    frame = frame_of([1000.0, 1000.0], [NAN, NAN], ["cohesive in topcoat", "lijm 10%"])
    with pytest.raises(FileHeld) as held:
        complete(frame)
    cohesive, glue = (fault.sentence for fault in held.value.faults)
    assert (
        "in which coat: B in the first, C in the second ...; 'cohesive in topcoat' does not say it"
        in cohesive
    )
    assert "shares that add up to 100 %; these add up to 10 %" in glue
