"""Values of the chosen circuits with errors and limits; what a spectrum does not fix says why."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from scipy.special import stdtrit

from tiecoat.contract.choices import CircuitChoices
from tiecoat.evaluate.impedance.circuit_choice import (
    Chosen,
    may_relax,
    of_pores,
    rivals,
    total_over_pores,
)
from tiecoat.evaluate.impedance.circuit_doubts import (
    FEIGNED,
    IF_NOTHING_DIFFUSES,
    LAYER,
    OF_PORES,
    TRANSFER,
    over_circuits,
    withhold,
    withhold_beside_diffusion,
    withhold_electrolyte,
    withhold_layer,
)
from tiecoat.evaluate.impedance.circuit_fitting import FittedCircuit
from tiecoat.evaluate.impedance.circuit_limits import ONE_SIDED, TWO_SIDED, resistance_limits
from tiecoat.evaluate.impedance.circuit_models import (
    BLOCKING,
    DIFFUSING,
    EXPONENT_OF,
    EXPONENTS,
    FURTHER,
    INTACT,
    PORES,
    RELAXATION_CAPACITANCE,
    RESISTANCES,
    TIMES,
    WARBURG_COEFFICIENT,
    Floats,
)
from tiecoat.evaluate.impedance.circuit_starts import LEAST_EXPONENT, LN10, MOST_EXPONENT, Scaled
from tiecoat.evaluate.impedance.circuit_value_sets import Values
from tiecoat.evaluate.impedance.effective_capacitance import ln_over_surface, ln_through_film
from tiecoat.evaluate.impedance.spectra import joined
from tiecoat.evaluate.statistics.least_squares_many import Bools, Integers

PROFILE_FROM = 0.05  # lg; measured: with a larger error, intervals even in lg are too short
TIED_SHARE = 0.2  # of the largest error allowed: below, a correlation is told and does no harm
EXPONENT_ERROR = (MOST_EXPONENT - LEAST_EXPONENT) / np.sqrt(12)  # as much as not knowing anything
IDEAL_FLAG = "at its upper bound 1: an ideal capacitor"
PARAMETERS = tuple(
    dict.fromkeys(name for circuit in (PORES, *FURTHER) for name in circuit.parameters)
)
WORDS = {name: name.replace("_", " ").replace("cpe", "CPE") for name in PARAMETERS}
UNITS = {
    **dict.fromkeys(RESISTANCES, "ohm cm2"),
    **dict.fromkeys(TIMES, "s"),
    **dict.fromkeys(EXPONENTS, "1"),
    **dict.fromkeys(EXPONENT_OF, "s^n/(ohm cm2)"),
    RELAXATION_CAPACITANCE: "F/cm2",
    WARBURG_COEFFICIENT: "ohm cm2/s^(1/2)",
}
FILM = ("coating_cpe_coefficient", "cpe_exponent")
# Where the resistance in all is no more above that of the pores, the doubt is told and no more.
TOLD_ONLY = 10.0


def circuit_values(chosen: Chosen, wanted: CircuitChoices) -> Iterator[tuple[str, Values]]:
    """Return each quantity's name and values for k spectra.

    A value holds for every circuit that is not ruled out: its interval spans all of theirs, and it
    is withheld where one of them has no such value or another one, and where a relaxation of the
    film may feign the pores that it is of; the electrolyte's where the phase hardly shows it; the
    double layer's where diffusion was chosen and no charge transfer is given beside it; that and
    the charge transfer where none was chosen, unless the laboratory has no diffusion tried.
    """
    against, doubtful = rivals(chosen), may_relax(chosen)
    without = np.array([fit.circuit is PORES for fit in chosen.fits])[chosen.place]
    hidden = without & any(one.name in wanted.tried for one in DIFFUSING)
    feigned = doubtful & ~(of_pores(chosen, total_over_pores) <= TOLD_ONLY)
    found = {}
    for name in PARAMETERS:
        values = _parameter(chosen.fits, chosen.place, chosen.spectra, name, wanted)
        if name in OF_PORES:
            told = np.isfinite(values.value) & doubtful & ~feigned
            values.flags = joined(values.flags, np.where(told, FEIGNED, ""))
        found[name] = over_circuits(values, chosen, name, against, feigned)
        if name in PORES.parameters[4:]:
            withhold_beside_diffusion(found[name], name, hidden)
            _say_if_nothing_diffuses(found[name], without)
    withhold_electrolyte(found["electrolyte_resistance"], chosen.spectra)
    withhold_layer(found, chosen)
    yield from found.items()
    film = _coating(chosen.fits, chosen.place, wanted)
    layer = _double_layer(chosen.fits, chosen.place, wanted)
    for values, of in ((film, FILM), (layer, LAYER)):
        for row in np.flatnonzero(np.isfinite(values.value)).tolist():
            withhold(values, row, chosen, against[row], of)
            if feigned[row]:
                values.miss(row, FEIGNED)
    for name in (*LAYER, TRANSFER):
        lacking = np.isfinite(layer.value) & np.isnan(found[name].value)
        for row in np.flatnonzero(lacking).tolist():
            layer.miss(row, found[name].reason[row])
    _say_if_nothing_diffuses(layer, without)
    yield "coating_capacitance_fitted", film
    yield "double_layer_capacitance_fitted", layer


def _say_if_nothing_diffuses(values: Values, without: Bools) -> None:
    told = without & np.isfinite(values.value)
    values.flags = joined(values.flags, np.where(told, IF_NOTHING_DIFFUSES, ""))


def _chosen(
    fits: Sequence[FittedCircuit], place: Integers
) -> Iterable[tuple[FittedCircuit, Integers]]:
    for number, fit in enumerate(fits):
        rows = np.flatnonzero(place == number)
        if rows.size:
            yield fit, rows


def _t(fit: FittedCircuit, rows: Integers) -> Floats:
    found: Floats = stdtrit(fit.freedom[rows], 0.975)
    return found


def _parameter(
    fits: Sequence[FittedCircuit],
    place: Integers,
    spectra: Scaled,
    name: str,
    wanted: CircuitChoices,
) -> Values:
    values = Values.none(UNITS[name], len(place), f"the chosen circuit has no {WORDS[name]}")
    for fit, rows in _chosen(fits, place):
        if name in fit.circuit.parameters:
            if fit.circuit.is_exponent(name):
                _set_exponent(values, fit, rows, name, wanted)
            else:
                _set_positive(values, fit, rows, name, spectra=spectra, wanted=wanted)
        elif fit.circuit is BLOCKING and name == "pore_resistance":
            _limit_blocking(values, fits, rows, spectra)
        elif name == "cpe_exponent":
            values.value[rows], values.reason[rows] = 1.0, ""
            values.flags[rows] = "of the chosen circuit"
    return values


def _open_because(
    fit: FittedCircuit, row: int, name: str, error_limit: float, wanted: CircuitChoices
) -> str:
    """Return why a spectrum does not fix a parameter, else ""."""
    column = fit.circuit.place(name)
    if fit.at_low[row, column]:
        return "at its lower bound"
    if fit.at_high[row, column]:
        return "at its upper bound"
    error = fit.errors[row, column]
    share = error / error_limit
    exponent = fit.circuit.is_exponent(name)
    if not share <= 1:
        return f"standard error {error:.2g}" if exponent else f"standard error {_decades(error)}"
    if share > TIED_SHARE:
        return _tied(fit, row, name, wanted)
    return ""


def _tied(fit: FittedCircuit, row: int, name: str, wanted: CircuitChoices) -> str:
    """Return on which other parameter one hangs, else ""."""
    column = fit.circuit.place(name)
    tied = np.abs(fit.correlation[row, column])
    tied[column] = 0.0
    if tied.max() <= wanted.most_correlation:
        return ""
    other = WORDS[fit.circuit.parameters[int(tied.argmax())]]
    return f"hangs on {other}, correlation {tied.max():.3f}"


def _decades(error: float) -> str:
    lg = error / LN10
    return "more than 100 decades" if lg > 100 else f"{lg:.2g} decades"


def _set_exponent(
    values: Values, fit: FittedCircuit, rows: Integers, name: str, wanted: CircuitChoices
) -> None:
    column = fit.circuit.place(name)
    value, error = fit.parameters[rows, column], fit.errors[rows, column]
    t = _t(fit, rows)
    values.value[rows], values.standard_error[rows] = value, error
    values.low[rows] = np.maximum(value - t * error, LEAST_EXPONENT)
    values.high[rows] = np.minimum(value + t * error, MOST_EXPONENT)
    values.reason[rows] = ""
    for row in rows:
        if fit.at_high[row, column]:
            values.flags[row] = IDEAL_FLAG
        elif why := _open_because(fit, row, name, EXPONENT_ERROR, wanted):
            values.miss(row, f"not identifiable: {why}")
        else:
            values.flags[row] = _tied(fit, row, name, wanted)


def _set_positive(
    values: Values,
    fit: FittedCircuit,
    rows: Integers,
    name: str,
    *,
    spectra: Scaled,
    wanted: CircuitChoices,
) -> None:
    column = fit.circuit.place(name)
    error = fit.errors[rows, column]
    values.set_logarithmic(rows, fit.parameters[rows, column], error, _t(fit, rows))
    limit = wanted.most_lg_error * LN10
    why = {row: _open_because(fit, row, name, limit, wanted) for row in rows.tolist()}
    open_rows = np.array([row for row in rows if why[row]], dtype=np.int64)
    for row in rows.tolist():
        if why[row]:
            values.miss(row, f"not identifiable: {why[row]}")
        else:
            values.flags[row] = _tied(fit, row, name, wanted)
    if name in RESISTANCES:
        wide = np.array([not why[row] for row in rows], dtype=bool)
        wide &= (error > PROFILE_FROM * LN10) | (values.flags[rows] != "")
        endless = _profile(values, fit, spectra, name, rows[wide])
        _limit(values, fit, spectra, name, np.concatenate([open_rows, endless]))


def _profile(
    values: Values, fit: FittedCircuit, spectra: Scaled, name: str, rows: Integers
) -> Integers:
    """Set intervals by the profile; return where they have no end: these values are open too."""
    low, high = resistance_limits(fit, spectra, name, rows, TWO_SIDED)
    values.low[rows], values.high[rows] = low, high
    for row, least, most in zip(rows, low, high, strict=True):
        if np.isnan(least) or np.isnan(most):
            side = "above" if np.isnan(most) else "below"
            values.miss(row, f"not identifiable: the spectrum sets no limit from {side}")
    return rows[np.isnan(low) | np.isnan(high)]


def _limit(values: Values, fit: FittedCircuit, spectra: Scaled, name: str, rows: Integers) -> None:
    """Give limits instead of values that are open."""
    if not rows.size:
        return
    low, high = resistance_limits(fit, spectra, name, rows, ONE_SIDED)
    values.low[rows], values.high[rows] = low, high
    for row, least, most in zip(rows, low, high, strict=True):
        known = [f"above {least:.2g}"] if np.isfinite(least) else []
        known += [f"below {most:.2g}"] if np.isfinite(most) else []
        if known:
            values.reason[row] += f"; {' and '.join(known)} ohm cm2 (95 %, one-sided)"


def _limit_blocking(
    values: Values, fits: Sequence[FittedCircuit], rows: Integers, spectra: Scaled
) -> None:
    """Say of a film without plateau how large its resistance must be at least."""
    values.reason[rows] = "not identifiable: no resistive plateau within the measured frequencies"
    for fit in fits:
        if fit.circuit is INTACT:
            _limit(values, fit, spectra, "pore_resistance", rows)
            values.high[rows] = np.nan  # its circuit was not chosen: the plateau is not to be seen


def _coating(fits: Sequence[FittedCircuit], place: Integers, wanted: CircuitChoices) -> Values:
    more = "; C = Q^(1/n) R^((1-n)/n) (Hsu and Mansfeld 2001)"
    values = Values.none("F/cm2", len(place), "", more)
    for fit, rows in _chosen(fits, place):
        names = ["coating_cpe_coefficient", "cpe_exponent", "pore_resistance"]
        columns = [fit.circuit.place(one) for one in names if one in fit.circuit.parameters]
        if len(columns) == 3:
            q, n, r = fit.parameters[rows][:, columns].T
            ln_c, slopes = ln_through_film(q, n, r)
            bound = (fit.at_low | fit.at_high)[rows, columns[2]]
            lacking = bound & (n < MOST_EXPONENT)
            needs = "the film's resistance, which the conversion needs, is not identifiable"
        else:  # Q is a capacitance, or cannot be made one
            ln_c, slopes = fit.parameters[rows, columns[0]], np.eye(len(columns))[:1]
            lacking = np.zeros(len(rows), dtype=bool)
            if fit.circuit is BLOCKING:
                lacking = fit.parameters[rows, columns[1]] < MOST_EXPONENT
            needs = (
                "the film shows no resistance, which the conversion of a constant-phase element "
                "needs; see coating_capacitance"
            )
        _set_converted(values, fit, rows, columns, ln_c=ln_c, slopes=slopes, wanted=wanted)
        for row in rows[lacking]:
            values.miss(row, needs)
    return values


def _double_layer(fits: Sequence[FittedCircuit], place: Integers, wanted: CircuitChoices) -> Values:
    more = "; C = Q^(1/n) (1/(Rs+Rp) + 1/Rt)^((n-1)/n) (Brug et al. 1984), per area of film"
    values = Values.none("F/cm2", len(place), "the chosen circuit has no double layer", more)
    for fit, rows in _chosen(fits, place):
        if fit.circuit not in (PORES, *DIFFUSING):
            continue
        names = (
            "double_layer_cpe_coefficient",
            "double_layer_exponent",
            "electrolyte_resistance",
            "pore_resistance",
            "charge_transfer_resistance",
        )
        columns = [fit.circuit.place(one) for one in names]
        q, n, rs, rp, rt = fit.parameters[rows][:, columns].T
        series = np.logaddexp(rs, rp)
        ln_c, by = ln_over_surface(q, n, series, rt)
        slopes = np.stack(
            [
                by[:, 0],
                by[:, 1],
                by[:, 2] * np.exp(rs - series),
                by[:, 2] * np.exp(rp - series),
                by[:, 3],
            ],
            axis=-1,
        )
        _set_converted(values, fit, rows, columns, ln_c=ln_c, slopes=slopes, wanted=wanted)
        bound = (fit.at_low | fit.at_high)[rows][:, [columns[0], columns[3]]].any(axis=1)
        bound |= fit.at_low[rows, columns[1]]
        for row in rows[bound]:
            values.miss(row, "not identifiable: a part of the double layer's circuit is at a bound")
    return values


def _set_converted(
    values: Values,
    fit: FittedCircuit,
    rows: Integers,
    columns: Sequence[int],
    *,
    ln_c: Floats,
    slopes: Floats,
    wanted: CircuitChoices,
) -> None:
    """Set capacitances with errors by propagation of the fit's covariance."""
    covariance = fit.covariance[rows][:, columns][:, :, columns]
    slopes = np.broadcast_to(slopes, (len(rows), len(columns)))
    error = np.sqrt(np.einsum("kp,kpq,kq->k", slopes, covariance, slopes))
    values.set_logarithmic(rows, ln_c, error, _t(fit, rows))
    for row, one in zip(rows, error, strict=True):
        if not 0 < one <= wanted.most_lg_error * LN10:
            values.miss(row, f"not identifiable: standard error {_decades(one)}")
