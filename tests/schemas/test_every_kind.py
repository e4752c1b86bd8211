"""What holds for every built-in kind, beside what the kit looks for (`tests/testing/`)."""

import importlib
import pkgutil

import pandas as pd
import pandera.pandas as pa
import pytest

import tiecoat.schemas
from tiecoat.errors import FileHeld
from tiecoat.plugin import Kind
from tiecoat.schemas import (
    batches,
    chamber_record,
    cross_section,
    defects,
    density,
    exposure_rating,
    film_thickness,
    foam,
    gloss,
    impedance,
    panels,
    pull_off,
    rust_image,
    viscosity,
)

KINDS = [
    module.KIND
    for module in (
        batches,
        chamber_record,
        cross_section,
        defects,
        density,
        exposure_rating,
        film_thickness,
        foam,
        gloss,
        impedance,
        panels,
        pull_off,
        rust_image,
        viscosity,
    )
]


def test_no_kind_is_forgotten_here() -> None:
    """The list above names every module of the folder that has a kind."""
    names = [module.name for module in pkgutil.iter_modules(tiecoat.schemas.__path__)]
    modules = [importlib.import_module(f"tiecoat.schemas.{name}") for name in names]
    assert [module.KIND for module in modules if hasattr(module, "KIND")] == KINDS


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_models_convert_nothing_and_let_nothing_else_in(kind: Kind) -> None:
    """1.5 is never taken for 1, and no column is added or there twice."""
    schema = kind.model.to_schema()
    assert (schema.strict, schema.coerce, schema.unique_column_names) == (True, False, True)


def test_registers_replace_and_measurements_do_not() -> None:
    """A corrected register is the normal case; a changed measurement is a conflict."""
    assert [kind.name for kind in KINDS if kind.replaces] == ["batches", "panels"]


def density_frame(**changes: object) -> pd.DataFrame:
    """One determination."""
    values = {
        "temperature_c": 23.0,
        "density_g_cm3": 1.39,
        "state": "As mixed",
        "elapsed_s": 0.0,
        "uncertainty_g_cm3": float("nan"),
        "determination": float("nan"),
        **changes,
    }
    return pd.DataFrame({name: [value] for name, value in values.items()})


def test_a_state_with_a_capital_letter_is_the_same_state() -> None:
    """Spreadsheets write "As mixed" for "as mixed"."""
    density.KIND.model.validate(density.with_times_at_rest(density_frame()), lazy=True)


@pytest.mark.parametrize("state", ["as mixed", "deaerated", "water"])
def test_only_of_a_rested_sample_the_time_must_be_known(state: str) -> None:
    """Who measures a paint as mixed or without air seldom writes how long it had stood."""
    frame = density.with_times_at_rest(density_frame(state=state, elapsed_s=float("nan")))
    density.KIND.model.validate(frame, lazy=True)
    with pytest.raises(FileHeld, match="needed"):
        density.with_times_at_rest(density_frame(state="Rested", elapsed_s=float("nan")))


@pytest.mark.parametrize("value", [0.139, 13.9, 1391.0, -1.39])
def test_a_slipped_decimal_mark_or_another_unit_is_outside(value: float) -> None:
    """A density ten times off, or in kg/m³, is not plausible as g/cm³."""
    frame = density.with_times_at_rest(density_frame(density_g_cm3=value))
    with pytest.raises(pa.errors.SchemaErrors, match="density_g_cm3"):
        density.KIND.model.validate(frame, lazy=True)


def register_frame(role: str, candidate: str | None) -> pd.DataFrame:
    """One batch."""
    nothing = pd.Series([None], dtype="str")
    return pd.DataFrame(
        {
            "recipe": ["primer 7"],
            "candidate": pd.Series([candidate], dtype="str"),
            "dose_percent": [float("nan")],
            "role": [role],
            "mixed_on": pd.Series([None], dtype="datetime64[us, UTC]"),
            "note": nothing,
        }
    )


def test_a_control_needs_no_candidate() -> None:
    """The control is the recipe without a candidate."""
    done = batches.settle_roles(register_frame("Control", None))
    batches.KIND.model.validate(done, lazy=True)


def test_a_candidate_batch_names_its_candidate() -> None:
    """A batch in the role of a candidate without the name of one cannot be compared."""
    with pytest.raises(FileHeld) as held:
        batches.settle_roles(register_frame("candidate", None))
    assert [(fault.row, fault.column) for fault in held.value.faults] == [(0, "candidate")]
