"""The register of panels: what they are made of, how thick the film is, since when in the bath."""

from __future__ import annotations

from typing import Annotated

import pandas as pd

from tiecoat.contract.words import REMARK
from tiecoat.plugin import Fault, FileHeld, Kind, Reason, column, hookimpl
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import panels as words


class Panels(StrictModel):
    """One coated test piece of a batch. Cannot do without its coat system.

    Many a register tells no substrate and no date of coating.
    """

    substrate: str = column(
        "", "what was coated, and how it was prepared", words=words.SUBSTRATE, nullable=True
    )
    coat_system: str = column("", "the coats, from the substrate outwards", words=words.COAT_SYSTEM)
    thickness_um: float = column(
        "um",
        "dry film thickness of the whole system",
        words=words.THICKNESS_UM,
        customary=(20.0, 5000.0),
        gt=0,
        le=20_000,
        nullable=True,
    )
    coated_on: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "", "when the paint was applied (UTC)", words=words.COATED_ON, nullable=True
    )
    coat_2_on: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "",
        "when the second coat was applied, where that is told (UTC)",
        words=words.COAT_2_ON,
        nullable=True,
    )
    coat_3_on: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "",
        "when the third coat was applied, where that is told (UTC)",
        words=words.COAT_3_ON,
        nullable=True,
    )
    immersed_at: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "", "when it was put into the bath (UTC)", words=words.IMMERSED_AT, nullable=True
    )
    note: str = column("", "anything else", words=REMARK, nullable=True)


def in_order(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame as it is.

    Raises
    ------
    FileHeld
        Where a panel was put into the bath before it was coated.
    """
    early = frame["immersed_at"] < frame["coated_on"]
    faults = tuple(
        Fault(
            Reason.INCONSISTENT,
            position,
            "immersed_at",
            f"{frame['immersed_at'].iloc[position]:%Y-%m-%d}",
            f"a day after that of coating, {frame['coated_on'].iloc[position]:%Y-%m-%d}",
        )
        for position in early.to_numpy(dtype=bool, na_value=False).nonzero()[0].tolist()
    )
    if faults:
        raise FileHeld(Reason.INCONSISTENT, faults)
    return frame


KIND = Kind(
    "panels",
    Panels,
    per="panel",
    derive=in_order,
    replaces=True,
    version=2,
    beside=words.BESIDE,
    shown_by=("coat_system", "substrate", "coated_on", "immersed_at"),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
