"""Density of wet paint, fresh from the mixer or with the air drawn off, and of water as a check."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np

from tiecoat.contract.notations.not_stated import NOT_STATED
from tiecoat.plugin import Custom, Fault, FileHeld, Kind, Reason, Relation, Source, column, hookimpl
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import density as words

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

ROUNDING = 0.005  # of the density: buoyancy of air, and what rounding of the masses may do
RESTED = "rested"
STATES = ("as mixed", "deaerated", RESTED, "water", NOT_STATED)


class Density(StrictModel):
    """Density of a batch of wet paint in one state (ISO 2811)."""

    temperature_c: float = column(
        "degC",
        "temperature of the sample",
        words=words.TEMPERATURE_C,
        customary=True,
        ge=-10,
        le=60,
        nullable=True,
    )
    # from thinned clear coats to zinc-rich primers; a slip of the decimal mark falls outside
    density_g_cm3: float = column(
        "g/cm**3", "density", words=words.DENSITY_G_CM3, customary=True, ge=0.5, le=4
    )
    state: str = column(
        "",
        "how the sample was treated before",
        words=words.STATE,
        values=words.STATE_VALUES,
        isin=STATES,
    )
    elapsed_s: float = column(
        "s",
        "time at rest since mixing",
        words=words.ELAPSED_S,
        ge=0,
        le=1e7,
        nullable=True,
    )
    uncertainty_g_cm3: float = column(
        "g/cm**3",
        "standard uncertainty of the density",
        words=words.UNCERTAINTY_G_CM3,
        customary=True,
        gt=0,
        le=0.5,
        nullable=True,
    )
    determination: float = column(
        "",
        "number of the determination on its batch, where it is known",
        words=words.DETERMINATION,
        ge=1,
        le=1000,
        nullable=True,
    )


def of_cup(
    full_g: NDArray[np.float64], empty_g: NDArray[np.float64], volume_cm3: NDArray[np.float64]
) -> NDArray[np.float64]:
    r"""Return the density in g/cm³ from the masses of the full and of the empty cup, shape (n,).

    .. math:: \rho = (m_2 - m_1) / V

    with the masses in g and the volume of the cup in cm³. Source: ISO 2811-1, without its
    correction for the buoyancy of air, which is about 0.001 g/cm³ (from memory).

    Examples
    --------
    >>> of_cup(np.array([327.2]), np.array([200.0]), np.array([100.0])).round(3)
    array([1.272])
    """
    return of_sample(full_g - empty_g, volume_cm3)


def of_sample(
    sample_g: NDArray[np.float64], volume_cm3: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return the density in g/cm³ of a mass in g that fills a volume in cm³, shape (n,).

    Also of the mass that an immersed body of this volume displaces (ISO 2811-2, from memory). It is
    NaN where the volume is not above 0.
    """
    return sample_g / np.where(volume_cm3 > 0, volume_cm3, np.nan)


def of_expanded(expanded_g_cm3: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the standard uncertainty of an expanded one with the coverage factor 2, shape (n,).

    u = U / k (JCGM 100, the guide to the expression of uncertainty, 6.2.1 and 6.3; from memory).
    """
    return expanded_g_cm3 / 2


def with_times_at_rest(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with states in lower case: spreadsheets turn "water" into "Water".

    Raises
    ------
    FileHeld
        Where a sample rested and nothing says how long; of other states the time may be unknown.
    """
    state = frame["state"].str.lower()
    unknown = ((state == RESTED) & frame["elapsed_s"].isna()).to_numpy()
    faults = tuple(
        Fault(
            Reason.MISSING_VALUE, position, "elapsed_s", "nothing", "the time that the paint rested"
        )
        for position in np.flatnonzero(unknown).tolist()
    )
    if faults:
        raise FileHeld(Reason.MISSING_VALUE, faults)
    return frame.assign(state=state)


_DEGREES = re.compile(
    r"\d\s?(?:[°º]\s?[CFK]?|(?i:deg)\s?[CFKcfk]|[CF])(?![^\W_])|\b(?i:T|temp[^\W\d]*)\.?\s*[:=]?\s*\d"
)


def speaks_of_degrees(text: str) -> bool:
    """Tell whether a text has an amount in degrees, which may be the temperature of the sample.

    Examples
    --------
    >>> [speaks_of_degrees(one) for one in ("at rest in the cup, 23 °C", "T 23", "density (g/ml)")]
    [True, True, False]
    """
    return _DEGREES.search(text) is not None


KIND = Kind(
    "density",
    Density,
    per="batch",
    version=2,
    identity=("state", "elapsed_s", "determination"),
    derive=with_times_at_rest,
    sources=(
        Source("mass_full_g", "g", "mass of the cup with the sample", words.MASS_FULL_G, True),
        Source("mass_empty_g", "g", "mass of the empty cup", words.MASS_EMPTY_G, True),
        Source("mass_sample_g", "g", "mass of the sample in the cup", words.MASS_SAMPLE_G, True),
        Source(
            "mass_displaced_g",
            "g",
            "mass of the paint that an immersed body displaces",
            words.MASS_DISPLACED_G,
            True,
        ),
        Source(
            "expanded_uncertainty_g_cm3",
            "g/cm**3",
            "expanded uncertainty of the density, coverage factor 2",
            words.EXPANDED_UNCERTAINTY_G_CM3,
            True,
        ),
        Source(
            "volume_cm3",
            "cm**3",
            "volume of the cup, or of the body that is immersed",
            words.VOLUME_CM3,
            True,
        ),
    ),
    relations=(
        Relation("density_g_cm3", ("mass_full_g", "mass_empty_g", "volume_cm3"), of_cup, ROUNDING),
        Relation("density_g_cm3", ("mass_sample_g", "volume_cm3"), of_sample, ROUNDING),
        Relation("density_g_cm3", ("mass_displaced_g", "volume_cm3"), of_sample, ROUNDING),
        Relation("uncertainty_g_cm3", ("expanded_uncertainty_g_cm3",), of_expanded, ROUNDING),
    ),
    counted="determination",
    beside=words.BESIDE,
    customs=(
        Custom("state", NOT_STATED, "so that no entrapped air is computed from it"),
        Custom(
            "temperature_c",
            None,
            "so that the density stays as it was read",
            unless=speaks_of_degrees,
        ),
    ),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
