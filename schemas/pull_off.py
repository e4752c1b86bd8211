"""Pull-off adhesion: one dolly, the force or the strength at break, and where the film failed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from tiecoat.contract.notations.failure_notation import shares_of, text_of
from tiecoat.contract.notations.not_stated import NOT_STATED
from tiecoat.plugin import (
    Custom,
    Fault,
    FileHeld,
    Kind,
    Notation,
    Reason,
    Relation,
    Source,
    Spread,
    column,
    hookimpl,
)
from tiecoat.schemas.failure_words import (
    in_notation,
    is_pattern,
    is_place,
    left_open,
    speaks_of_failure,
)
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import pull_off as words

if TYPE_CHECKING:
    from numpy.typing import NDArray

AGREE_WITHIN = 0.02  # of the strength: what rounding of force and dolly diameter may do


class PullOff(StrictModel):
    """Pull-off test of a coated panel, one determination (ISO 4624)."""

    determination: float = column(
        "", "number of the determination on its panel", words=words.DETERMINATION, ge=1, le=1000
    )
    dolly_diameter_mm: float = column(
        "mm",
        "diameter of the dolly",
        words=words.DOLLY_DIAMETER_MM,
        customary=True,
        ge=5,
        le=100,
    )
    force_n: float = column("N", "force at break", words=words.FORCE_N, ge=0, le=1e6, nullable=True)
    strength_mpa: float = column(
        "MPa",
        "pull-off strength",
        words=words.STRENGTH_MPA,
        customary=(0.05, 50.0),  # a higher number without a unit may be of kgf/cm² or bar
        ge=0,
        le=100,
        nullable=True,
    )
    failure: str = column(
        "", "where it failed, with the share of the area (ISO 4624)", words=words.FAILURE
    )


def area_mm2(dolly_diameter_mm: NDArray[np.float64]) -> NDArray[np.float64]:
    r"""Return the area under a round dolly, in mm².

    .. math:: A = \pi d^2 / 4

    Source: ISO 4624, from which also :math:`\sigma = 4 F / (\pi d^2)` with the force in N and
    the strength in MPa (N/mm²); from memory.

    Examples
    --------
    >>> round(float(1000 / area_mm2(np.array([20.0]))[0]), 4)
    3.1831
    """
    return np.asarray(np.pi * dolly_diameter_mm**2 / 4)


def diameter_mm(area_mm2: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the diameter of a round dolly from its area in mm²: `area_mm2` turned around.

    Examples
    --------
    >>> diameter_mm(area_mm2(np.array([20.0])))
    array([20.])
    """
    return np.asarray(np.sqrt(4 * area_mm2 / np.pi))


def complete(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with strength from force or force from strength, and failures normalised.

    Nothing is computed from a number below 0, so that it is held by its own name and value.

    Raises
    ------
    FileHeld
        Where both are given and differ by more than 2 %, where neither is given, and where a
        failure is not in the notation of ISO 4624.
    """
    force = frame["force_n"].to_numpy(float)
    strength = frame["strength_mpa"].to_numpy(float)
    area = area_mm2(frame["dolly_diameter_mm"].to_numpy(float))
    normalised, bad = _normalise(frame["failure"])
    faults = [*_contradictions(force, strength, area), *bad]
    if faults:
        raise FileHeld(faults[0].reason, tuple(faults))
    return frame.assign(
        force_n=np.where(np.isnan(force) & (strength >= 0), strength * area, force),
        strength_mpa=np.where(np.isnan(strength) & (force >= 0), force / area, strength),
        failure=pd.Series(normalised, index=frame.index, dtype="str"),
    )


def _contradictions(
    force: NDArray[np.float64], strength: NDArray[np.float64], area: NDArray[np.float64]
) -> Iterator[Fault]:
    implied = force / area
    apart = np.abs(strength - implied) > AGREE_WITHIN * np.abs(implied)
    for position in np.flatnonzero(apart).tolist():
        yield Fault(
            Reason.INCONSISTENT,
            position,
            "strength_mpa",
            f"{strength[position]:.4g} MPa",
            f"{implied[position]:.4g} MPa within 2 %, from the force and the dolly diameter",
        )
    for position in np.flatnonzero(np.isnan(force) & np.isnan(strength)).tolist():
        yield Fault(Reason.MISSING_VALUE, position, "force_n", "nothing", "a force or a strength")


def _normalise(failures: pd.Series[str]) -> tuple[list[str | None], list[Fault]]:
    """Return the texts in the notation, and a fault for each that leaves open where it was."""
    normalised: list[str | None] = []
    faults = []
    for position, text in enumerate(failures):
        if not isinstance(text, str):
            normalised.append(None)
            continue
        try:
            normalised.append(text_of(shares_of(in_notation(text))))
        except ValueError as error:
            normalised.append(text)
            expected = left_open(text) or str(error)
            faults.append(Fault(Reason.BAD_NOTATION, position, "failure", repr(text), expected))
    return normalised, faults


def swapped(columns: Mapping[str, Any]) -> Iterator[Fault]:
    """Tell dollies that differ from pull to pull of a panel while all break at one stress.

    A dolly is of one size, and what it holds scatters: common practice, no source.
    """
    panels, lines = columns["panel"], columns["row"]
    for panel in dict.fromkeys(panels.tolist()):
        own = np.flatnonzero(panels == panel)
        diameters = columns["dolly_diameter_mm"][own]
        strengths = columns["strength_mpa"][own]
        if len(set(diameters.tolist())) > 1 and len(set(strengths.tolist())) == 1:
            yield Fault(
                Reason.INCONSISTENT,
                int(own[0]),
                "dolly_diameter_mm",
                f"dollies from {diameters.min():g} to {diameters.max():g} mm on {panel}, and "
                f"{strengths[0]:g} MPa with each, from row {int(lines[own[0]])}",
                "dollies of one size and strengths that scatter: are the two swapped?",
            )


KIND = Kind(
    "pull_off",
    PullOff,
    per="panel",
    identity=("determination",),
    derive=complete,
    sources=(Source("dolly_area_mm2", "mm**2", "area under the dolly", words.DOLLY_AREA_MM2),),
    relations=(Relation("dolly_diameter_mm", ("dolly_area_mm2",), diameter_mm, AGREE_WITHIN),),
    counted="determination",
    together=swapped,
    shown_by=("strength_mpa", "force_n"),
    spreads=(
        Spread(words.PULLS, "strength_mpa", "determination"),
        *(
            Spread(words.share_of(place), "failure", "", place, partial(is_place, place))
            for place in words.PLACES
        ),
    ),
    beside=words.BESIDE,
    notations=(Notation("failure", is_pattern),),
    customs=(
        Custom(
            "failure",
            NOT_STATED,
            "so that it is in no share, and a lower bound if glue failed",
            unless=speaks_of_failure,
        ),
    ),
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
