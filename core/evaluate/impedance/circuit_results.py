"""Equivalent circuits of films in salt water: from spectra to results.

| quantity | unit | of |
| --- | --- | --- |
| circuit_chi_square, circuit_misfit | 1, % of modulus | the chosen circuit, named as condition |
| circuit_aicc | 1 | each circuit tried, above the smallest |
| electrolyte_resistance, pore_resistance, charge_transfer_resistance | ohm cm2 | a spectrum |
| coating_cpe_coefficient, double_layer_cpe_coefficient | s^n/(ohm cm2) | a spectrum |
| cpe_exponent, double_layer_exponent | 1 | a spectrum |
| diffusion_resistance, warburg_coefficient | ohm cm2, ohm cm2/s^(1/2) | a spectrum |
| relaxation_capacitance, relaxation_exponent | F/cm2, 1 | a spectrum |
| relaxation_time, diffusion_time | s | a spectrum |
| coating_capacitance_fitted, double_layer_capacitance_fitted | F/cm2 | a spectrum |

A value is withheld where the residuals follow a pattern, where a circuit that is not ruled out has
another one or none, and where the film's own relaxation would look like pores; its interval spans
those of all circuits that are not ruled out. The electrolyte's is given only where the phase at the
highest frequencies comes back above -80 degrees; that of a double layer above a diffusion without
end only beside a charge transfer. Given values held the truth in 91 to 98 % of films that one of
these circuits describes; see tests/outside/test_circuit_coverage.py.

Charge transfer and double layer of a film that is read as one with pores, and no diffusion, are not
determinable: one spectrum does not tell, and where something diffused through a layer 0.13 of such
charge transfers held. An upper limit of the charge transfer is given, which holds whatever
diffuses. A laboratory that has no circuit of diffusion tried is given them, flagged. Points weigh
by the noise around them where that differs by more than a factor of two (`kramers_kronig_fit`).

Every spectrum has a row of each quantity: what the chosen circuit lacks, or the spectrum does not
fix, is missing with a reason, and with a limit where the spectrum gives one. All areas are the
wetted area of the film, also for the double layer, whose own area at the ground of the pores is not
known.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.contract.choices import Choices, CircuitChoices
from tiecoat.evaluate.impedance.circuit_choice import (
    NEARLY_AS_WELL,
    Chosen,
    choose,
    uneven_noise,
)
from tiecoat.evaluate.impedance.circuit_models import FURTHER, Floats
from tiecoat.evaluate.impedance.circuit_value_sets import Values
from tiecoat.evaluate.impedance.circuit_values import circuit_values
from tiecoat.evaluate.impedance.kramers_kronig import FAILS, kramers_kronig
from tiecoat.evaluate.impedance.spectra import Spectra, Texts, joined, rows_of, spectra_of
from tiecoat.evaluate.result import together
from tiecoat.evaluate.statistics.least_squares_many import Integers

FEWEST_POINTS = 6  # below, the criterion that chooses does not exist for every circuit
INDUCTIVE_DEG = 5.0  # a phase above this is inductive beyond noise
PATTERN_LIMIT = 2.5  # standard deviations: no values from here on
PATTERN = "the residuals follow a pattern"
WEIGHTING = "complex least squares weighted by the modulus, chosen by AICc"


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
    test = kramers_kronig(spectra, choices.impedance.kramers_kronig_limit_percent)
    chosen = choose(spectra, np.flatnonzero(refused == ""), wanted, uneven_noise(test))
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
    pattern = (chosen.of_fit("pattern") > PATTERN_LIMIT) & (reason == "")
    reason[pattern] = f"{PATTERN}: none of the circuits tried describes the spectrum"
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
            listed.append(PATTERN)
        if not settled[k]:
            listed.append("the fit did not come to rest")
        others = [
            chosen.fits[other].circuit.name
            for other in np.flatnonzero(chosen.aicc[k] <= NEARLY_AS_WELL)
            if other != chosen.place[k]
        ]
        if others:
            listed.append(f"about as well: {' or '.join(others)}")
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
    told = not_fitted | np.array([one.startswith(PATTERN) for one in refused], dtype=bool)
    also = joined(flags, np.where(told, "", refused).astype(object))
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
        lacking = "too few points for it"
        if fit.circuit in FURTHER:
            lacking = "not fitted: simpler circuits leave no pattern"
        yield rows_of(
            spectra,
            "circuit_aicc",
            _numbers(len(spectra), chosen.rows, chosen.aicc[:, place]),
            "",
            reason=np.where(refused == "", lacking, refused),
            flags=_spread(len(spectra), chosen.rows, np.where(chosen.place == place, "chosen", "")),
            condition=fit.circuit.name,
            n=spectra.points,
            method=f"{fit.circuit.diagram}; above the smallest (Hurvich and Tsai 1989)",
        )


def _value_rows(
    spectra: Spectra, chosen: Chosen, refused: Texts, flags: Texts, wanted: CircuitChoices
) -> Iterable[pd.DataFrame]:
    for quantity, found in circuit_values(chosen, wanted):
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
