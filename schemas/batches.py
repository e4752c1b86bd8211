"""The register of batches: recipe, candidate and dose of each, and which is the control."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import numpy as np
import pandas as pd

from tiecoat.contract.words import REMARK
from tiecoat.plugin import Fault, FileHeld, Kind, Reason, Relation, column, hookimpl
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import batches as words

if TYPE_CHECKING:
    from numpy.typing import NDArray


class Batches(StrictModel):
    """One batch of paint as made: one recipe, one dose. Cannot do without its role.

    Where no recipe is named, batches of one recipe are not known as such.
    """

    recipe: str = column(
        "", "the recipe that the batch was made by", words=words.RECIPE, nullable=True
    )
    candidate: str = column(
        "",
        "the raw material under test; may be empty for a control",
        words=words.CANDIDATE,
        nullable=True,
    )
    dose_percent: float = column(
        "percent",
        "dose of the candidate by mass of the paint",
        words=words.DOSE_PERCENT,
        ge=0,
        le=100,
        nullable=True,
    )
    role: str = column(
        "",
        "whether it is compared or compared against",
        words=words.ROLE,
        values=words.ROLE_VALUES,
        isin=("control", "candidate"),
    )
    mixed_on: Annotated[pd.DatetimeTZDtype, "us", "UTC"] = column(
        "", "when it was mixed (UTC)", words=words.MIXED_ON, nullable=True
    )
    note: str = column("", "anything else", words=REMARK, nullable=True)


def settle_roles(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with roles in lower case: spreadsheets turn "control" into "Control".

    Raises
    ------
    FileHeld
        Where a batch is a candidate and the candidate is not named.
    """
    frame = frame.assign(role=frame["role"].str.lower())
    nameless = frame["candidate"].isna() & (frame["role"] == "candidate")
    faults = tuple(
        Fault(
            Reason.MISSING_VALUE,
            position,
            "candidate",
            "nothing",
            "the name of the candidate, or the role control",
        )
        for position in nameless.to_numpy(dtype=bool).nonzero()[0].tolist()
    )
    if faults:
        raise FileHeld(Reason.MISSING_VALUE, faults)
    return frame


def role_of(
    candidate: NDArray[np.object_], dose_percent: NDArray[np.float64]
) -> NDArray[np.object_]:
    """Return the role that candidate and dose make plain, else "", shape (n,).

    Neither a candidate nor a dose is a control; a candidate in a dose above 0 is a candidate.
    """
    named, dosed = candidate != "", np.nan_to_num(dose_percent) > 0
    roles = np.where(named & dosed, "candidate", "")
    return np.where(~named & (dose_percent == 0), "control", roles).astype(object)


KIND = Kind(
    "batches",
    Batches,
    per="batch",
    derive=settle_roles,
    replaces=True,
    relations=(Relation("role", ("candidate", "dose_percent"), role_of),),
    beside=words.BESIDE,
    shown_by=("recipe", "candidate", "dose_percent", "role"),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
