"""Foam of a batch of wet paint: its height or volume over time once it has been made."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from tiecoat.contract.notations.not_stated import NOT_STATED
from tiecoat.plugin import Custom, Fault, FileHeld, Kind, Reason, Relation, Source, column, hookimpl
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import foam as words

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

METHODS = ("stirred", "shaken", "aerated", "poured", NOT_STATED)
AMOUNTS = {"foam_height_mm": "mm", "foam_volume_ml": "ml"}
READ_WITHIN = 2.0  # mm or ml that two readings of one level may differ; common practice, no source
AGREE_WITHIN = 0.02  # of the total: what rounding of two levels may do
FACTOR_OFF = 2.5  # common practice, no source: foam at rest changes less between neighbours
LEAST_STEP = 10.0  # mm or ml: below it, a factor is a matter of reading
STRAIGHT_WITHIN = 0.3  # of the mean cross-section that height and volume tell; no source


class Foam(StrictModel):
    """Foam over time on a batch of wet paint, after stirring, shaking, blowing in air or pouring.

    The standards measure it on other liquids: water-based fluids stirred (ASTM D3519) and shaken
    (ASTM D3601), oils with air blown in (ASTM D892, ISO 6247), surfactants poured (ASTM D1173,
    ISO 696). Foam made in different ways is not comparable (ASTM D3519, significance and use).
    """

    method: str = column(
        "",
        "how the foam was made",
        words=words.METHOD,
        values=words.METHOD_VALUES,
        isin=METHODS,
    )
    elapsed_s: float = column(
        "s", "time since the foam was made", words=words.ELAPSED_S, ge=0, le=1e6
    )
    foam_height_mm: float = column(
        "mm",
        "height of the foam above its liquid",
        words=words.FOAM_HEIGHT_MM,
        ge=0,
        le=1000,
        nullable=True,
    )
    foam_volume_ml: float = column(
        "ml",
        "volume of the foam above its liquid",
        words=words.FOAM_VOLUME_ML,
        ge=0,
        le=10_000,
        nullable=True,
    )
    liquid_height_mm: float = column(
        "mm",
        "height of the liquid before it foamed",
        words=words.LIQUID_HEIGHT_MM,
        gt=0,
        le=1000,
        nullable=True,
    )
    liquid_volume_ml: float = column(
        "ml",
        "volume of the liquid before it foamed",
        words=words.LIQUID_VOLUME_ML,
        gt=0,
        le=10_000,
        nullable=True,
    )
    temperature_c: float = column(
        "degC",
        "temperature of the sample",
        words=words.TEMPERATURE_C,
        customary=True,
        ge=-10,
        le=150,
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


def above_liquid(total: NDArray[np.float64], liquid: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the foam above the level of the liquid before it foamed, shape (n,), mm or ml.

    The total less that of the liquid (ASTM D3601, 8.1 and 8.3: F = M - I). Two readings of a level
    without foam may differ by 2 mm or ml the wrong way round, which counts as no foam.

    Examples
    --------
    >>> above_liquid(np.array([95.0, 59.0, 40.0]), np.array([60.0, 60.0, 60.0]))
    array([ 35.,   0., -20.])
    """
    foam = total - liquid
    return np.where((foam < 0) & (foam >= -READ_WITHIN), 0.0, foam)


def with_an_amount(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with methods in lower case.

    Raises
    ------
    FileHeld
        Where a row has neither a height nor a volume of foam.
    """
    nothing = frame[list(AMOUNTS)].isna().all(axis=1).to_numpy()
    faults = tuple(
        Fault(
            Reason.MISSING_VALUE,
            position,
            "foam_height_mm",
            "nothing",
            "the height or the volume of the foam",
        )
        for position in np.flatnonzero(nothing).tolist()
    )
    if faults:
        raise FileHeld(Reason.MISSING_VALUE, faults)
    return frame.assign(method=frame["method"].str.lower())


def slipped(columns: Mapping[str, Any]) -> Iterator[Fault]:
    """Say where foam stands far off the readings before and after it: a digit slipped.

    Foam at rest falls, or rises while bubbles still come up, but it does not leap and come back.

    Parameters
    ----------
    columns
        elapsed_s and `AMOUNTS` of one measurement, shape (n,).
    """
    order = np.argsort(np.asarray(columns["elapsed_s"], dtype=float), kind="stable")
    for name, unit in AMOUNTS.items():
        foam = np.asarray(columns[name], dtype=float)[order]
        for at in range(1, len(foam) - 1):
            near = foam[[at - 1, at + 1]]
            above = foam[at] - max(FACTOR_OFF * near.max(), near.max() + LEAST_STEP)
            below = min(near.min() / FACTOR_OFF, near.min() - LEAST_STEP) - foam[at]
            if above > 0 or below > 0:
                yield Fault(
                    Reason.INCONSISTENT,
                    int(order[at]),
                    name,
                    f"{foam[at]:g} {unit} between {near[0]:g} and {near[1]:g} {unit}",
                    "foam that falls without leaps; see whether a digit slipped",
                )


def in_no_straight_vessel(columns: Mapping[str, Any]) -> Iterator[tuple[int, str]]:
    """Tell where height and volume of the foam do not change in one ratio.

    In a cylinder they do; in a bottle or a jar they need not.
    """
    height, volume = (np.asarray(columns[name], dtype=float) for name in AMOUNTS)
    readable = (height >= LEAST_STEP) & (volume >= LEAST_STEP)
    if readable.sum() < 2:
        return
    across = volume[readable] / height[readable] * 10  # cm²; 1 ml/mm is 10 cm²
    off = np.abs(across / np.median(across) - 1)
    if off.max() > STRAIGHT_WITHIN:
        at = int(np.flatnonzero(readable)[int(off.argmax())])
        told = f"volume over height of the foam is {across.min():.3g} to {across.max():.3g} cm²"
        yield at, f"{told}: a vessel that is not straight, or a slip in one of them"


KIND = Kind(
    "foam",
    Foam,
    per="batch",
    identity=("method", "determination"),
    unique=("elapsed_s",),
    order=("elapsed_s",),
    derive=with_an_amount,
    check=slipped,
    odd=in_no_straight_vessel,
    sources=(
        Source(
            "total_height_mm", "mm", "height of liquid and foam together", words.TOTAL_HEIGHT_MM
        ),
        Source(
            "total_volume_ml", "ml", "volume of liquid and foam together", words.TOTAL_VOLUME_ML
        ),
    ),
    relations=(
        Relation(
            "foam_height_mm",
            ("total_height_mm", "liquid_height_mm"),
            above_liquid,
            AGREE_WITHIN,
            "total_height_mm",
        ),
        Relation(
            "foam_volume_ml",
            ("total_volume_ml", "liquid_volume_ml"),
            above_liquid,
            AGREE_WITHIN,
            "total_volume_ml",
        ),
    ),
    counted="determination",
    shown_by=tuple(AMOUNTS),
    beside=words.BESIDE,
    customs=(Custom("method", NOT_STATED, "and is compared only with foam of which that is so"),),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
