"""The register of panels: what they are made of, how thick the film is, since when in the bath."""

from __future__ import annotations

from typing import Annotated

import pandas as pd

from tiecoat.plugin import Kind, column, hookimpl
from tiecoat.schemas.strict import StrictModel


class Panels(StrictModel):
    """One coated test piece of a batch."""

    substrate: str = column("", "what was coated, and how it was prepared")
    coat_system: str = column("", "the coats, from the substrate outwards")
    thickness_um: float = column(
        "um", "dry film thickness of the whole system", gt=0, le=20_000, nullable=True
    )
    coated_on: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "", "when the paint was applied (UTC)"
    )
    coat_2_on: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "", "when the second coat was applied, where that is told (UTC)", nullable=True
    )
    coat_3_on: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "", "when the third coat was applied, where that is told (UTC)", nullable=True
    )
    immersed_at: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "", "when it was put into the bath (UTC)", nullable=True
    )
    note: str = column("", "anything else", nullable=True)


KIND = Kind("panels", Panels, per="panel", replaces=True, version=2)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
