"""Density of wet paint, fresh from the mixer or with the air drawn off, and of water as a check."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tiecoat.plugin import Kind, column, hookimpl
from tiecoat.schemas.strict import StrictModel

if TYPE_CHECKING:
    import pandas as pd

STATES = ("as mixed", "deaerated", "rested", "water")


class Density(StrictModel):
    """Density of a batch of wet paint in one state (ISO 2811)."""

    temperature_c: float = column("degC", "temperature of the sample", ge=-10, le=60)
    # from thinned clear coats to zinc-rich primers; a slip of the decimal mark falls outside
    density_g_cm3: float = column("g/cm**3", "density", ge=0.5, le=4)
    state: str = column("", "how the sample was treated before", isin=STATES)
    elapsed_s: float = column("s", "time at rest since mixing", ge=0, le=1e7)
    uncertainty_g_cm3: float = column(
        "g/cm**3", "standard uncertainty of the density", gt=0, le=0.5, nullable=True
    )


def lower_case_state(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with states in lower case: spreadsheets turn "water" into "Water"."""
    return frame.assign(state=frame["state"].str.lower())


KIND = Kind(
    "density",
    Density,
    per="batch",
    identity=("state", "elapsed_s"),
    derive=lower_case_state,
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
