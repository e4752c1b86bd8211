"""Specular gloss of the dry film: one reading at one angle on one spot of a panel."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from tiecoat.plugin import Fault, FileHeld, Kind, Reason, Spread, column, hookimpl
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import gloss as words

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import ArrayLike, NDArray

ANGLES_DEG = (20.0, 60.0, 85.0)
MOST_OF_A_PAINT = 100.0  # at 60 degrees; metallic and mirror-like films have more
INDEX_OF_BLACK_GLASS = 1.567  # at 587.6 nm; by definition it has 100 units (ISO 2813, 3.3)


class Gloss(StrictModel):
    """Specular gloss of the dry film (ISO 2813)."""

    angle_deg: float = column(
        "deg",
        "angle of incidence",
        words=words.ANGLE_DEG,
        customary=True,
        isin=ANGLES_DEG,
        gt=0,
        lt=90,
    )
    spot: float = column("", "number of the spot on its panel", words=words.SPOT, ge=1, le=1000)
    gloss_gu: float = column("", "gloss in gloss units", words=words.GLOSS_GU, ge=0, le=2100)


def gloss_of_mirror(angle_deg: ArrayLike) -> NDArray[np.float64]:
    r"""Return the gloss units of a mirror that reflects all light: no surface has more.

    .. math:: G = 100 / R, \quad R = \frac{1}{2} \left[
        \left(\frac{\cos\theta - w}{\cos\theta + w}\right)^2
        + \left(\frac{n^2\cos\theta - w}{n^2\cos\theta + w}\right)^2 \right], \quad
        w = \sqrt{n^2 - \sin^2\theta}

    with the reflectance R of black glass, n = 1.567, for unpolarised light.

    Parameters
    ----------
    angle_deg
        Angle of incidence in degrees, at least 0 and below 90; shape (n,) or one.

    Raises
    ------
    ValueError
        If an angle is outside.

    References
    ----------
    ISO 2813, 3.3 for the reference glass, as printed in published copies. Fresnel's equations; by
    Snell's law and their sine and tangent forms the tests get the same.

    Examples
    --------
    >>> gloss_of_mirror([20.0, 60.0, 85.0]).round(1)
    array([2037.6,  999.4,  161.5])
    """
    angle = np.radians(np.asarray(angle_deg, dtype=float))
    if not ((angle >= 0) & (angle < np.pi / 2)).all():
        raise ValueError("expected angles from 0 to below 90 degrees")
    cosine, square = np.cos(angle), INDEX_OF_BLACK_GLASS**2
    within = np.sqrt(square - np.sin(angle) ** 2)
    across = (cosine - within) / (cosine + within)
    along = (square * cosine - within) / (square * cosine + within)
    return np.asarray(200 / (across**2 + along**2))


def refuse_more_than_a_mirror(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame as it is.

    Raises
    ------
    FileHeld
        Where a reading is above what a mirror has at its angle, by more than 1 %.
    """
    angle, gloss = (frame[name].to_numpy(float) for name in ("angle_deg", "gloss_gu"))
    known = np.isin(angle, ANGLES_DEG)
    most = np.full(len(frame), np.inf)
    most[known] = gloss_of_mirror(angle[known])
    faults = tuple(
        Fault(
            Reason.OUT_OF_BOUNDS,
            position,
            "gloss_gu",
            f"{gloss[position]:g} at {angle[position]:g} degrees",
            f"at most {most[position]:.0f}, which a mirror has at this angle",
        )
        for position in np.flatnonzero(np.isfinite(gloss) & (gloss > 1.01 * most)).tolist()
    )
    if faults:
        raise FileHeld(Reason.OUT_OF_BOUNDS, faults)
    return frame


def glossier_when_steep(columns: Mapping[str, Any]) -> Iterator[tuple[int, str]]:
    """Tell readings at 20° that are above one at 60° on the same spot, as if titles were swapped.

    Fresnel's equations and roughness both make a paint reflect more at the flatter angle; only what
    is nearly a mirror, above 100 units, may do otherwise. Common practice, no source.
    """
    keys = list(zip(columns["panel"].tolist(), columns["spot"].tolist(), strict=True))
    angle, gloss = columns["angle_deg"], columns["gloss_gu"]
    flat = {keys[at]: float(gloss[at]) for at in np.flatnonzero(angle == ANGLES_DEG[1]).tolist()}
    for at in np.flatnonzero(angle == ANGLES_DEG[0]).tolist():
        other = flat.get(keys[at], np.inf)
        if gloss[at] > other and other <= MOST_OF_A_PAINT:
            yield at, f"gloss {gloss[at]:g} at 20 degrees, above {other:g} at 60 degrees"


KIND = Kind(
    "gloss",
    Gloss,
    per="panel",
    identity=("angle_deg", "spot"),
    derive=refuse_more_than_a_mirror,
    spreads=(
        Spread(words.READINGS, "gloss_gu", "spot"),
        *(
            Spread(words.at_angle(int(angle)), "gloss_gu", "angle_deg", angle)
            for angle in ANGLES_DEG
        ),
    ),
    odd=glossier_when_steep,
    counted="spot",
    shown_by=("gloss_gu",),
    beside=words.BESIDE,
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
