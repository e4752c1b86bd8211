"""Equivalent circuits of films in salt water: from spectra to results.

| quantity | unit | of |
| --- | --- | --- |
| circuit_chi_square, circuit_misfit | 1, % of modulus | the chosen circuit, named as condition |
| circuit_aicc | 1 | each circuit tried, above the smallest |
| electrolyte_resistance, pore_resistance, charge_transfer_resistance | ohm cm2 | a spectrum |
| coating_cpe_coefficient, double_layer_cpe_coefficient | s^n/(ohm cm2) | a spectrum |
| cpe_exponent, double_layer_exponent | 1 | a spectrum |
| coating_capacitance_fitted, double_layer_capacitance_fitted | F/cm2 | a spectrum |

Every spectrum has a row of each quantity: what the chosen circuit lacks, or the spectrum does not
fix, is missing with a reason, and with a limit where the spectrum gives one. All areas are the
wetted area of the film, also for the double layer, whose own area at the ground of the pores is not
known.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.evaluate.choices import Choices, CircuitChoices
from tiecoat.evaluate.circuit_starts import Scaled, scaled
from tiecoat.evaluate.circuit_values import Values, circuit_values
from tiecoat.evaluate.circuits import CIRCUITS, Floats
from tiecoat.evaluate.fitted_circuits import FittedCircuit, fit_circuit
from tiecoat.evaluate.fitting import Integers
from tiecoat.evaluate.kramers_kronig import FAILS, kramers_kronig
from tiecoat.evaluate.result import together
from tiecoat.evaluate.spectra import Spectra, Texts, joined, rows_of, spectra_of
from tiecoat.plugin import Evaluation, hookimpl

FEWEST_POINTS = 6  # below, the criterion that chooses does not exist for every circuit
INDUCTIVE_DEG = 5.0  # a phase above this is inductive beyond noise
PATTERN_LIMIT = 3.0  # standard deviations
# Circuits whose AICc is so close are supported about equally (Burnham and Anderson, Model
# Selection and Multimodel Inference, Springer 2002, section 2.6; from memory): the simplest of them
# is chosen. Measured with 1 % noise: the smallest alone sees pores in 8 % of intact films, this
# choice in 4 %, and it misses no film with pores.
NEARLY_AS_WELL = 2.0
WEIGHTING = "complex least squares weighted by the modulus, chosen by AICc"


@dataclass(frozen=True)
class Chosen:
    """The circuit chosen for each of n spectra.

    Parameters
    ----------
    rows
        (k,) the spectra that were fitted.
    spectra
        k of them, without dimension.
    fits
        By place in `tried`, each of all k.
    place
        (k,) which of `fits` was chosen.
    aicc
        (k, tried) above the smallest; NaN where it does not exist.
    """

    rows: Integers
    spectra: Scaled
    fits: tuple[FittedCircuit, ...]
    place: Integers
    aicc: Floats

    def of_fit(self, name: str) -> Any:
        """Return (k,) an array of each spectrum's chosen fit."""
        every = np.stack([getattr(fit, name) for fit in self.fits])
        return every[self.place, np.arange(len(self.rows))]

    @property
    def names(self) -> Texts:
        """(k,) name of the chosen circuit."""
        return np.array([fit.circuit.name for fit in self.fits], dtype=object)[self.place]


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the circuits of all spectra; those of one that fails a test say so.

    Parameters
    ----------
    frames
        impedance.
    choices
        What the laboratory has set.
    """
    wanted = choices.circuits
    spectra = spectra_of(frames["impedance"])
    refused = _refused(spectra, wanted)
    chosen = choose(spectra, np.flatnonzero(refused == ""), wanted)
    test = kramers_kronig(spectra, choices.impedance.kramers_kronig_limit_percent)
    spectra = spectra.flagged(test.fails, FAILS).flagged(*_inductive(spectra))
    refused[chosen.rows] = _missed(chosen, wanted)
    flags = _spread(len(spectra), chosen.rows, _flags(chosen, wanted))
    return together(
        [
            _chi_square_rows(spectra, chosen, refused, flags),
            *_aicc_rows(spectra, chosen, refused),
            *_value_rows(spectra, chosen, refused, flags, wanted),
        ]
    )


def choose(spectra: Spectra, rows: Integers, wanted: CircuitChoices) -> Chosen:
    """Fit each circuit to some spectra and choose one for each spectrum.

    It is the simplest whose AICc lies within 2 of the smallest.
    """
    tried = [circuit for circuit in CIRCUITS if circuit.name in wanted.tried]
    here = scaled(spectra.frequency_hz[rows], spectra.z_ohm_cm2[rows])
    fits = tuple(fit_circuit(circuit, here) for circuit in tried)
    aicc = np.stack([fit.aicc for fit in fits], axis=1)
    aicc = aicc - np.where(np.isfinite(aicc), aicc, np.inf).min(axis=1)[:, None]
    place = (aicc <= NEARLY_AS_WELL).argmax(axis=1)
    return Chosen(rows, here, fits, place.astype(np.int64), aicc)


def _refused(spectra: Spectra, wanted: CircuitChoices) -> Texts:
    """Return why a spectrum is not fitted at all."""
    reason = spectra.reason.copy()
    low, high = spectra.range_hz
    share = _inductive_points(spectra) / np.maximum(spectra.points, 1)
    fewest = max(wanted.least_points, FEWEST_POINTS)
    for n in np.flatnonzero(reason == ""):
        decades = np.log10(high[n] / low[n])
        if spectra.points[n] < fewest:
            reason[n] = f"{spectra.points[n]} points, fewer than {fewest}"
        elif decades < wanted.least_decades:
            reason[n] = f"{decades:.1f} decades of frequency, fewer than {wanted.least_decades:g}"
        elif share[n] > wanted.most_inductive:
            reason[n] = f"{share[n]:.0%} of the points are inductive: no circuit here can be so"
    return reason


def _inductive_points(spectra: Spectra) -> Integers:
    angle = np.angle(spectra.z_ohm_cm2, deg=True)
    inductive = np.where(np.isfinite(spectra.frequency_hz), angle, 0.0) > INDUCTIVE_DEG
    found: Integers = inductive.sum(axis=1)
    return found


def _inductive(spectra: Spectra) -> tuple[Any, str]:
    return _inductive_points(spectra) > 0, "inductive points, which no circuit here can follow"


def _missed(chosen: Chosen, wanted: CircuitChoices) -> Texts:
    """Return why the chosen circuit is not to be used, else ""."""
    misfit = 100 * chosen.of_fit("misfit")
    reason = np.full(len(chosen.rows), "", dtype=object)
    for k in np.flatnonzero(misfit > wanted.misfit_limit_percent):
        reason[k] = (
            f"no circuit describes the spectrum: the best, {chosen.names[k]}, "
            f"misses it by {misfit[k]:.3g} % of the modulus"
        )
    return reason


def _flags(chosen: Chosen, wanted: CircuitChoices) -> Texts:
    misfit = 100 * chosen.of_fit("misfit")
    pattern, settled = chosen.of_fit("pattern"), chosen.of_fit("settled")
    flags: list[str] = []
    for k in range(len(chosen.rows)):
        listed = []
        if misfit[k] > wanted.misfit_doubt_percent:
            listed.append(f"misfit {misfit[k]:.3g} % of the modulus")
        if pattern[k] > PATTERN_LIMIT:
            listed.append("residuals follow a pattern: true errors are larger than stated")
        if not settled[k]:
            listed.append("the fit did not come to rest")
        rivals = [
            chosen.fits[other].circuit.name
            for other in np.flatnonzero(chosen.aicc[k] <= NEARLY_AS_WELL)
            if other != chosen.place[k]
        ]
        if rivals:
            listed.append(f"about as well: {' or '.join(rivals)}")
        flags.append("; ".join(listed))
    return np.array(flags, dtype=object)


def _spread(count: int, rows: Integers, found: Any) -> Texts:
    """Return texts of the fitted spectra as texts of all, "" for the others."""
    every = np.full(count, "", dtype=object)
    every[rows] = found
    return every


def _numbers(count: int, rows: Integers, found: Floats) -> Floats:
    every = np.full(count, np.nan)
    every[rows] = found
    return every


def _chi_square_rows(
    spectra: Spectra, chosen: Chosen, refused: Texts, flags: Texts
) -> pd.DataFrame:
    count = len(spectra)
    not_fitted = np.ones(count, dtype=bool)
    not_fitted[chosen.rows] = False
    found = {
        "condition": _spread(count, chosen.rows, chosen.names),
        "n": spectra.points,
        "method": WEIGHTING,
    }
    chi_square = _numbers(count, chosen.rows, chosen.of_fit("chi_square"))
    misfit = 100 * _numbers(count, chosen.rows, chosen.of_fit("misfit"))
    also = joined(flags, np.where(not_fitted, "", refused).astype(object))
    return together(
        [
            rows_of(
                spectra, "circuit_chi_square", chi_square, "", reason=refused, flags=also, **found
            ),
            rows_of(
                spectra,
                "circuit_misfit",
                misfit,
                "% of modulus",
                reason=refused,
                flags=also,
                **found,
            ),
        ]
    )


def _aicc_rows(spectra: Spectra, chosen: Chosen, refused: Texts) -> Iterable[pd.DataFrame]:
    for place, fit in enumerate(chosen.fits):
        yield rows_of(
            spectra,
            "circuit_aicc",
            _numbers(len(spectra), chosen.rows, chosen.aicc[:, place]),
            "",
            reason=np.where(refused == "", "too few points for it", refused),
            flags=_spread(len(spectra), chosen.rows, np.where(chosen.place == place, "chosen", "")),
            condition=fit.circuit.name,
            n=spectra.points,
            method=f"{fit.circuit.diagram}; above the smallest (Hurvich and Tsai 1989)",
        )


def _value_rows(
    spectra: Spectra, chosen: Chosen, refused: Texts, flags: Texts, wanted: CircuitChoices
) -> Iterable[pd.DataFrame]:
    for quantity, found in circuit_values(chosen.fits, chosen.place, chosen.spectra, wanted):
        yield _rows_of_values(spectra, chosen, quantity, found, refused=refused, flags=flags)


def _rows_of_values(
    spectra: Spectra,
    chosen: Chosen,
    quantity: str,
    found: Values,
    *,
    refused: Texts,
    flags: Texts,
) -> pd.DataFrame:
    count, rows = len(spectra), chosen.rows
    usable = refused[rows] == ""
    reason = refused.copy()
    reason[rows[usable]] = found.reason[usable]
    numbers = {
        name: _numbers(count, rows, np.where(usable, getattr(found, name), np.nan))
        for name in ("value", "standard_error", "low", "high")
    }
    own = _spread(count, rows, np.where(usable, found.flags, ""))
    circuits = [f"{name}; {WEIGHTING}{found.more}" for name in chosen.names]
    return rows_of(
        spectra,
        quantity,
        numbers.pop("value"),
        found.unit,
        reason=reason,
        flags=joined(own, flags),
        n=spectra.points,
        method=_spread(count, rows, circuits),
        **numbers,
    )


EVALUATION = Evaluation("impedance_circuits", "impedance", compute, slow=True, pooled=())


@hookimpl
def tiecoat_evaluations() -> Iterable[Evaluation]:
    """Return the evaluation."""
    return [EVALUATION]
