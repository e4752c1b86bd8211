"""Which circuit describes a spectrum, and which others are not ruled out by it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from tiecoat.contract.choices import CircuitChoices
from tiecoat.evaluate.impedance.circuit_fitting import (
    FittedCircuit,
    fit_circuit,
    fit_further,
    spread,
)
from tiecoat.evaluate.impedance.circuit_models import (
    CIRCUITS,
    DIFFUSION,
    FINITE_DIFFUSION,
    FURTHER,
    IDEAL,
    INTACT,
    PORES,
    RELAXING,
    Circuit,
    Floats,
)
from tiecoat.evaluate.impedance.circuit_starts import Scaled, scaled
from tiecoat.evaluate.impedance.effective_capacitance import ln_over_surface, ln_through_film
from tiecoat.evaluate.impedance.kramers_kronig import KramersKronig
from tiecoat.evaluate.impedance.spectra import Spectra, Texts
from tiecoat.evaluate.statistics.least_squares_many import Bools, Integers

PATTERN_DOUBT = 0.5  # standard deviations: from here on further circuits are tried
# The noise of a spectrum counts as even where it differs by less: its estimate scatters so much.
EVEN_NOISE = 2.0
# Circuits whose AICc is so close are supported about equally (Burnham and Anderson, Model
# Selection and Multimodel Inference, Springer 2002, section 2.6; from memory): the simplest of them
# is chosen. Measured with 1 % noise: the smallest alone sees pores in 8 % of intact films, this
# choice in 4 %, and it misses no film with pores.
NEARLY_AS_WELL = 2.0
# A simpler circuit so close is not ruled out (the same, "considerably less support" from 4 to 7 and
# essentially none above 10), and its values count as well.
NOT_RULED_OUT = 10.0
# Of which richer circuits a chosen one is a limit: its values count as well where they are fitted.
# Measured: without them the pore resistance held in 0.70 and 0.86 of films read as pores under
# which something diffuses, and in 0.91 and 0.90 of those with pores.
RICHER = {
    PORES: (DIFFUSION, FINITE_DIFFUSION),
    INTACT: (RELAXING,),
    IDEAL: (RELAXING,),
}
# By so much more a further circuit must be better, since three of them are tried where one of seven
# parameters does about as well.
FURTHER_MUST_GAIN = 8.0
# A polymer's own relaxation, also with water in it and between two coats, stores a few times what
# the film does; a double layer stores hundreds of times that, on the share of the area that pores
# have. Common practice, no source.
RELAXATION_STORES = 10.0


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


def uneven_noise(test: KramersKronig) -> Floats:
    """Return (n, m) the noise of each point over that of its spectrum, as the test found it.

    1 where it is about even, was not found, or a point is missing.
    """
    noise = np.where(np.isfinite(test.residual), test.noise, np.nan)
    known = np.isfinite(noise)
    most = np.where(known, noise, 0.0).max(axis=1, initial=0.0)
    least = np.where(known, noise, np.inf).min(axis=1, initial=np.inf)
    points = np.maximum(known.sum(axis=1), 1)
    whole = np.sqrt((np.where(known, noise, 0.0) ** 2).sum(axis=1) / points)
    uneven = known & (most > EVEN_NOISE * least)[:, None]
    return np.where(uneven, noise / np.where(whole > 0, whole, 1.0)[:, None], 1.0)


def choose(spectra: Spectra, rows: Integers, wanted: CircuitChoices, noise: Floats) -> Chosen:
    """Fit circuits to some spectra and choose one for each spectrum.

    It is the simplest whose AICc lies within 2 of the smallest, that of further circuits counted 8
    higher. Where it leaves the trace of a pattern, or pores that may be a relaxation of the film,
    the relaxing film is fitted too. Diffusion without end is fitted there and to all films with
    pores, through a layer only where the trace is left then as well.

    Parameters
    ----------
    noise
        Of all spectra, as `uneven_noise` gives it.
    """
    here = scaled(spectra.frequency_hz[rows], spectra.z_ohm_cm2[rows], noise[rows])
    fits = [fit_circuit(circuit, here) for circuit in CIRCUITS if circuit.name in wanted.tried]
    chosen = _chosen(rows, here, fits)
    doubt = _pattern_or_relaxation(chosen)
    for further, some in ((RELAXING, doubt), (DIFFUSION, doubt | _is(chosen, PORES))):
        chosen = _also(chosen, wanted, further, some)
    return _also(chosen, wanted, FINITE_DIFFUSION, doubt & _pattern_or_relaxation(chosen))


def _pattern_or_relaxation(chosen: Chosen) -> Bools:
    found: Bools = (chosen.of_fit("pattern") > PATTERN_DOUBT) | may_relax(chosen)
    return found


def _is(chosen: Chosen, circuit: Circuit) -> Bools:
    found: Bools = np.array([fit.circuit is circuit for fit in chosen.fits])[chosen.place]
    return found


def _also(chosen: Chosen, wanted: CircuitChoices, circuit: Circuit, doubt: Bools) -> Chosen:
    """Fit one of the further circuits to some of the spectra and choose again."""
    if circuit.name not in wanted.tried or not len(chosen.rows):
        return chosen
    rows = np.flatnonzero(doubt)
    start = next(fit for fit in chosen.fits if fit.circuit is PORES).scaled[rows]
    fit = fit_further(circuit, chosen.spectra.of(rows), start)
    fits = [*chosen.fits, spread(fit, rows, len(chosen.rows))]
    return _chosen(chosen.rows, chosen.spectra, fits)


def _chosen(rows: Integers, spectra: Scaled, fits: list[FittedCircuit]) -> Chosen:
    aicc = np.stack([fit.aicc for fit in fits], axis=1)
    aicc = aicc - np.where(np.isfinite(aicc), aicc, np.inf).min(axis=1)[:, None]
    weighed = aicc + np.array([FURTHER_MUST_GAIN * (fit.circuit in FURTHER) for fit in fits])
    least = np.where(np.isfinite(weighed), weighed, np.inf).min(axis=1)[:, None]
    place = (weighed <= least + NEARLY_AS_WELL).argmax(axis=1)
    return Chosen(rows, spectra, tuple(fits), place.astype(np.int64), aicc)


def rivals(chosen: Chosen) -> Bools:
    """Return (k, fits) which circuits besides the chosen one are not ruled out.

    Those that are no richer, unless their AICc is 10 above; the intact film beside the ideal one,
    which is its limit; and the richer ones whose AICc is below.
    """
    own = chosen.aicc[np.arange(len(chosen.rows)), chosen.place][:, None]
    size = np.array([len(fit.circuit.parameters) for fit in chosen.fits])
    circuits = np.array([fit.circuit for fit in chosen.fits], dtype=object)
    simple = size[None, :] <= size[chosen.place][:, None]
    ideal = np.array([one is IDEAL for one in circuits])[chosen.place][:, None]
    simple |= ideal & np.array([one is INTACT for one in circuits])[None, :]
    beyond = chosen.aicc - own
    found: Bools = np.where(simple, beyond <= NOT_RULED_OUT, beyond < 0)
    found[np.arange(len(found)), chosen.place] = False
    return found


def richer(chosen: Chosen) -> Bools:
    """Return (k, fits) which circuits that have the chosen one as a limit are not ruled out."""
    own = chosen.aicc[np.arange(len(chosen.rows)), chosen.place][:, None]
    contains = np.array(
        [[one.circuit in RICHER.get(of.circuit, ()) for one in chosen.fits] for of in chosen.fits]
    )
    found: Bools = contains[chosen.place] & (chosen.aicc - own <= NOT_RULED_OUT)
    return found


def stored(fit: FittedCircuit) -> Floats:
    """Return by how many times the second arc of films with pores stores more than the film.

    As in the equivalent film with a resistor and a capacitor in series beside it: the double
    layer's capacitance times (Rt/(Rp + Rt))^2 over that of the film.
    """
    place = fit.circuit.place
    q, n, r = (
        fit.parameters[:, place(name)]
        for name in ("coating_cpe_coefficient", "cpe_exponent", "pore_resistance")
    )
    film, _ = ln_through_film(q, n, r)
    rt = fit.parameters[:, place("charge_transfer_resistance")]
    layer, _ = ln_over_surface(
        fit.parameters[:, place("double_layer_cpe_coefficient")],
        fit.parameters[:, place("double_layer_exponent")],
        r,
        rt,
    )
    share = rt - np.logaddexp(r, rt)
    found: Floats = np.exp(np.minimum(layer + 2 * share - film, 700.0))
    return found


def may_relax(chosen: Chosen) -> Bools:
    """Return (k,) where the chosen circuit has pores that a relaxation of the film may feign."""
    return of_pores(chosen, stored) < RELAXATION_STORES


def total_over_pores(fit: FittedCircuit) -> Floats:
    """Return by how many times the resistance in all is above that of the pores."""
    places = [fit.circuit.place(f"{name}_resistance") for name in ("pore", "charge_transfer")]
    r, rt = fit.parameters[:, places].T
    found: Floats = np.exp(np.logaddexp(r, rt) - r)
    return found


def of_pores(chosen: Chosen, ratio: Callable[[FittedCircuit], Floats]) -> Floats:
    """Return (k,) a ratio of the chosen circuit where it has pores, else infinity."""
    found = np.full(len(chosen.rows), np.inf)
    for number, fit in enumerate(chosen.fits):
        if "double_layer_exponent" in fit.circuit.parameters:
            with np.errstate(invalid="ignore", over="ignore"):  # not every fit is of all spectra
                found = np.where(chosen.place == number, ratio(fit), found)
    return found
