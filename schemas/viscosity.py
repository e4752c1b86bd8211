"""Viscosity of wet paint: a flow curve of a rotational viscometer, or the efflux of a flow cup."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

import numpy as np

from tiecoat.plugin import Fault, FileHeld, Kind, Reason, Relation, Spread, column, hookimpl
from tiecoat.schemas.flow_curve import jumps
from tiecoat.schemas.strict import StrictModel
from tiecoat.schemas.words import viscosity as words

if TYPE_CHECKING:
    import pandas as pd
    from numpy.typing import NDArray

METHODS = ("rotational", "flow cup")
CUPS = tuple(words.OF_CUPS)
AGREE_WITHIN = 0.05  # of the stress: what rounding of three printed values may do
_ROTATIONAL = ("shear_rate_per_s", "shear_stress_pa", "viscosity_pa_s")
_CUP = ("cup", "efflux_s")


class Viscosity(StrictModel):
    """Flow of a batch of wet paint: rotational (ISO 3219) or by cup (ISO 2431, ASTM D1200 ...)."""

    method: str = column(
        "",
        "rotational or flow cup",
        words=words.METHOD,
        values=words.METHOD_VALUES,
        isin=METHODS,
    )
    step: str = column(
        "",
        "part of the program, such as up or down",
        words=words.STEP,
        values=words.STEP_VALUES,
        nullable=True,
    )
    elapsed_s: float = column(
        "s", "time since the start", words=words.ELAPSED_S, ge=0, le=1e7, nullable=True
    )
    shear_rate_per_s: float = column(
        "1/s",
        "shear rate",
        words=words.SHEAR_RATE_PER_S,
        customary=True,
        ge=0,
        le=1e7,
        nullable=True,
    )
    shear_stress_pa: float = column(
        "Pa",
        "shear stress",
        words=words.SHEAR_STRESS_PA,
        customary=True,
        ge=0,
        le=1e6,
        nullable=True,
    )
    viscosity_pa_s: float = column(
        "Pa*s", "apparent viscosity", words=words.VISCOSITY_PA_S, gt=0, le=1e7, nullable=True
    )
    temperature_c: float = column(
        "degC",
        "temperature of the sample",
        words=words.TEMPERATURE_C,
        customary=True,
        ge=-10,
        le=100,
    )
    cup: str = column(
        "",
        "standard and size of the cup",
        words=words.CUP,
        values=words.CUP_VALUES,
        isin=CUPS,
        nullable=True,
    )
    efflux_s: float = column(
        "s", "efflux time", words=words.EFFLUX_S, customary=True, gt=0, le=3600, nullable=True
    )
    run: float = column(
        "",
        "number of the run of a cup, where it is known",
        words=words.RUN,
        ge=1,
        le=1000,
        nullable=True,
    )


def complete(frame: pd.DataFrame) -> pd.DataFrame:
    """Return the frame with stress from viscosity and rate, or viscosity from stress and rate.

    .. math:: \\tau = \\eta \\dot\\gamma

    At a shear rate of zero neither determines the other, and the missing one stays empty. A rate is
    set by the instrument and is never computed. Nothing is computed from a number below 0, so that
    it is held by its own name and value.

    Raises
    ------
    FileHeld
        Where all three are given and the stress is off by more than 5 %, where a rotational row
        lacks its rate or both others, where a cup row lacks its cup or its efflux time, and where
        a row of one method has values of the other.
    """
    frame = frame.assign(method=frame["method"].str.lower())
    rate, stress, viscosity = (frame[name].to_numpy(float) for name in _ROTATIONAL)
    faults = [*_incomplete(frame), *_mixed(frame), *_contradictions(rate, stress, viscosity)]
    if faults:
        raise FileHeld(faults[0].reason, tuple(faults))
    turning = np.where(rate > 0, rate, np.nan)
    return frame.assign(
        shear_stress_pa=np.where(np.isnan(stress) & (viscosity >= 0), viscosity * turning, stress),
        viscosity_pa_s=np.where(np.isnan(viscosity) & (stress >= 0), stress / turning, viscosity),
    )


def _incomplete(frame: pd.DataFrame) -> Iterator[Fault]:
    given = frame.notna()
    rotational, cup = (_is(frame, method) for method in METHODS)
    neither = ~(given["shear_stress_pa"] | given["viscosity_pa_s"])
    wanted = [
        ("shear_rate_per_s", rotational & ~given["shear_rate_per_s"], "a shear rate"),
        ("viscosity_pa_s", rotational & neither, "a viscosity or a shear stress"),
        ("cup", cup & ~given["cup"], "the standard and size of the cup"),
        ("efflux_s", cup & ~given["efflux_s"], "the efflux time"),
    ]
    for name, missing, expected in wanted:
        for position in np.flatnonzero(missing).tolist():
            yield Fault(Reason.MISSING_VALUE, position, name, "nothing", expected)


def _mixed(frame: pd.DataFrame) -> Iterator[Fault]:
    given = frame.notna()
    for method, foreign in zip(METHODS, (_CUP, _ROTATIONAL), strict=True):
        for name in foreign:
            for position in np.flatnonzero(_is(frame, method) & given[name]).tolist():
                yield Fault(
                    Reason.INCONSISTENT,
                    position,
                    name,
                    str(frame[name].iloc[position]),
                    f"nothing, because the method is {method}",
                )


def _contradictions(
    rate: NDArray[np.float64], stress: NDArray[np.float64], viscosity: NDArray[np.float64]
) -> Iterator[Fault]:
    implied = np.where(rate > 0, viscosity * rate, np.nan)
    apart = np.abs(stress - implied) > AGREE_WITHIN * np.abs(implied)
    for position in np.flatnonzero(apart).tolist():
        yield Fault(
            Reason.INCONSISTENT,
            position,
            "shear_stress_pa",
            f"{stress[position]:.4g} Pa",
            f"{implied[position]:.4g} Pa within 5 %, from the viscosity and the shear rate",
        )


def _is(frame: pd.DataFrame, method: str) -> pd.Series[bool]:
    return frame["method"] == method


def _named(values: NDArray[np.float64], method: str) -> NDArray[np.object_]:
    """Return the method in each row that shows one of its columns."""
    named = np.full(len(values), method, dtype=object)
    named[np.isnan(values)] = None
    return named


KIND = Kind(
    "viscosity",
    Viscosity,
    per="batch",
    identity=("method", "cup", "run"),
    unique=("step", "elapsed_s", "shear_rate_per_s"),
    order=("elapsed_s",),
    derive=complete,
    check=jumps,
    relations=(
        Relation("method", ("efflux_s",), lambda efflux: _named(efflux, METHODS[1])),
        Relation("method", ("shear_rate_per_s",), lambda rate: _named(rate, METHODS[0])),
    ),
    counted="run",
    shown_by=("viscosity_pa_s", "shear_stress_pa", "efflux_s"),
    spreads=(
        Spread(words.RUNS, "efflux_s", "run"),
        *(Spread(words.at_cup(cup), "efflux_s", "cup", cup) for cup in CUPS),
    ),
    beside=words.BESIDE,
)


@hookimpl
def tiecoat_kinds() -> list[Kind]:
    """Return the kind."""
    return [KIND]
