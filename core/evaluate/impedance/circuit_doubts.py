"""Values that hang on the choice of the circuit, or on what may hide in it: widened or withheld."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from scipy.special import stdtrit

from tiecoat.evaluate.impedance.circuit_choice import RELAXATION_STORES, Chosen, richer
from tiecoat.evaluate.impedance.circuit_fitting import FittedCircuit
from tiecoat.evaluate.impedance.circuit_models import (
    BLOCKING,
    DIFFUSION,
    FINITE_DIFFUSION,
    IDEAL,
    INTACT,
    PORES,
)
from tiecoat.evaluate.impedance.circuit_starts import Scaled
from tiecoat.evaluate.impedance.circuit_value_sets import Values
from tiecoat.evaluate.statistics.least_squares_many import Bools
from tiecoat.wording import unlike

PLATEAUS = (IDEAL, INTACT)
LAYER = ("double_layer_cpe_coefficient", "double_layer_exponent")
TRANSFER = "charge_transfer_resistance"
OF_PORES = ("pore_resistance", *PORES.parameters[4:], *DIFFUSION.parameters[7:])
OF_PORES += FINITE_DIFFUSION.parameters[7:]
FEIGNED = (
    "a relaxation of the film itself would look the same: the second arc stores less than "
    f"{RELAXATION_STORES:g} times what the film does"
)
# No spectrum alone tells: measured in 1 % noise, 1 of 98 films with pores rules out, by an AICc 10
# above, that diffusion through a layer takes half of the resistance below them. Of 381 values of
# films over diffusion that are read as pores 0.13 of the charge transfers held.
HIDES_DIFFUSION = "not determinable: one spectrum does not part it from something that diffuses"
# Said where the laboratory has no circuit of diffusion tried.
IF_NOTHING_DIFFUSES = "holds if nothing that diffuses has a part in it"
NEEDS_TRANSFER = "not determinable: no charge transfer is given that parts it from diffusion"
# An ideal film's phase is -90 degrees but for the electrolyte: from here on this is 17 % of the
# modulus. Measured in even noise of 1 %: where it shows less, intervals held in 0.87.
SHOWS_FROM_DEG = -80.0
HIGHEST_POINTS = 3
NOT_RULED_OUT_TEXT = "another circuit describes the spectrum nearly as well"


def withhold_layer(found: Mapping[str, Values], chosen: Chosen) -> None:
    """Leave the double layer open beside diffusion without a charge transfer."""
    diffuses = np.array([fit.circuit is DIFFUSION for fit in chosen.fits])[chosen.place]
    for name in LAYER:
        given = np.isfinite(found[name].value) & np.isnan(found[TRANSFER].value)
        for row in np.flatnonzero(given & diffuses).tolist():
            found[name].miss(row, NEEDS_TRANSFER)


def withhold_electrolyte(values: Values, spectra: Scaled) -> None:
    """Leave the electrolyte open where the film hides it at the highest frequencies."""
    rows = np.arange(len(spectra))[:, None]
    last = np.maximum(spectra.points[:, None] - 1 - np.arange(HIGHEST_POINTS), 0)
    phase = np.median(np.angle(spectra.impedance[rows, last], deg=True), axis=1)
    for row in np.flatnonzero(np.isfinite(values.value) & (phase <= SHOWS_FROM_DEG)).tolist():
        said = unlike(phase[row], SHOWS_FROM_DEG, 2)
        values.miss(
            row,
            f"not determinable: the phase at the highest frequencies is {said} degrees, "
            f"above {SHOWS_FROM_DEG:.0f} is needed",
        )


def withhold_beside_diffusion(values: Values, name: str, hidden: Bools) -> None:
    """Leave open in what diffusion may have a part, but for the upper limit of a charge transfer.

    That holds: whatever diffuses adds to the resistance below the pores.
    """
    told = np.isfinite(values.value) | np.isfinite(values.low) | np.isfinite(values.high)
    for row in np.flatnonzero(told & hidden).tolist():
        most = float(values.high[row])
        values.miss(row, HIDES_DIFFUSION)
        if name == TRANSFER and np.isfinite(most):
            values.reason[row] += f"; below {most:.2g} ohm cm2 (95 %, one-sided)"
            values.high[row] = most


def over_circuits(
    values: Values, chosen: Chosen, name: str, against: Bools, feigned: Bools
) -> Values:
    """Widen intervals to those of all circuits that are not ruled out, or withhold the value."""
    given, also = np.isfinite(values.value), richer(chosen)
    told = given | np.isfinite(values.low) | np.isfinite(values.high)
    for row in np.flatnonzero(told).tolist():
        if feigned[row] and name in OF_PORES:
            values.miss(row, FEIGNED)
        elif withhold(values, row, chosen, against[row], (name,)):
            continue
        elif given[row]:
            _widen(values, row, chosen, against[row] | also[row], name)
        elif name in OF_PORES and against[row].any():  # limits of one circuit bind no other
            others = [
                fit.circuit.name for fit, so in zip(chosen.fits, against[row], strict=True) if so
            ]
            values.miss(row, f"{NOT_RULED_OUT_TEXT}: {' or '.join(others)}")
    return values


def withhold(
    values: Values, row: int, chosen: Chosen, against: Bools, names: Sequence[str]
) -> bool:
    """Leave a value open if a circuit that is not ruled out lacks what it needs."""
    for number in np.flatnonzero(against):
        fit = chosen.fits[number]
        lacks = [one for one in names if one not in fit.circuit.parameters]
        if any(one != "cpe_exponent" for one in lacks):
            low = values.low[row]
            values.miss(row, f"{NOT_RULED_OUT_TEXT}: {fit.circuit.name}, which has none")
            if fit.circuit is BLOCKING and chosen.fits[chosen.place[row]].circuit in PLATEAUS:
                values.low[row] = low if names == ("pore_resistance",) else np.nan
            return True
    return False


def _widen(values: Values, row: int, chosen: Chosen, against: Bools, name: str) -> None:
    low, high = values.low[row], values.high[row]
    if np.isnan(low) and np.isnan(high):  # the exponent of an ideal film, or one at its bound
        low = high = values.value[row]
    for number in np.flatnonzero(against):
        fit = chosen.fits[number]
        least, most = _interval(fit, row, name)
        if not (least <= high and most >= low):
            values.miss(row, f"{NOT_RULED_OUT_TEXT}: {fit.circuit.name}, with another value")
            return
        low, high = min(low, least), max(high, most)
    values.low[row], values.high[row] = low, high


def _interval(fit: FittedCircuit, row: int, name: str) -> tuple[float, float]:
    """Return a rival's interval, even in the parameter as fitted; NaN where it is at a bound."""
    if name not in fit.circuit.parameters:  # the exponent of an ideal film
        return 1.0, 1.0
    column = fit.circuit.place(name)
    value = float(fit.parameters[row, column])
    half = float(stdtrit(fit.freedom[row], 0.975) * fit.errors[row, column])
    if fit.circuit.is_exponent(name):
        return (value, value) if fit.at_high[row, column] else (value - half, value + half)
    with np.errstate(over="ignore"):
        return float(np.exp(value - half)), float(np.exp(value + half))
