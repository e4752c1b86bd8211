"""Records of a test chamber: what was read off it, for each batch that was exposed in it then."""

from __future__ import annotations

import pandas as pd

from tiecoat.plugin import Caution, Fault, FileHeld, Kind, Reason, column, hookimpl
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import chamber_record as words

READINGS = ("temperature_c", "collected_ml_h", "ph", "salt_g_l")


class ChamberRecord(StrictModel):
    """Readings of a salt spray or damp chamber at one time, filed under a batch exposed in it."""

    chamber: str = column("", "which chamber", words=words.CHAMBER, nullable=True)
    temperature_c: float = column(
        "degC",
        "temperature in the chamber",
        words=words.TEMPERATURE_C,
        customary=True,
        ge=-40,
        le=90,  # no chamber for coatings is hotter: °F typed as °C falls outside
        nullable=True,
    )
    collected_ml_h: float = column(
        "ml/h",
        "spray collected in an hour on 80 cm2",
        words=words.COLLECTED_ML_H,
        ge=0,
        le=20,
        nullable=True,
    )
    ph: float = column(
        "", "pH of the collected solution at 25 degC", words=words.PH, ge=0, le=14, nullable=True
    )
    salt_g_l: float = column(
        "g/l",
        "sodium chloride in the collected solution",
        words=words.SALT_G_L,
        ge=0,
        le=360,
        nullable=True,
    )


def with_a_reading(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame as it is.

    Raises
    ------
    FileHeld
        Where a row holds no reading at all.
    """
    void = frame[list(READINGS)].isna().all(axis=1).to_numpy(dtype=bool)
    faults = tuple(
        Fault(Reason.MISSING_VALUE, position, READINGS[0], "nothing", "a reading, or no row")
        for position in void.nonzero()[0].tolist()
    )
    if faults:
        raise FileHeld(Reason.MISSING_VALUE, faults)
    return frame


OTHER_COLLECTOR = Caution(
    r"(?<![\d.,])(?!80(?:[.,]0+)?\s?cm)\d+(?:[.,]\d+)?\s?cm(?:²|\^?2)(?!\w)",
    "the file names a collector of another area than 80 cm2, for which the volume is filed",
)

KIND = Kind(
    "chamber_record",
    ChamberRecord,
    per="batch",
    identity=("chamber",),
    derive=with_a_reading,
    beside=words.BESIDE,
    cautions=(OTHER_COLLECTOR,),
    timed=True,
    shared=True,
    shown_by=("collected_ml_h", "ph", "salt_g_l"),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
