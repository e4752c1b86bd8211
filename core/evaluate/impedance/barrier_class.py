"""Barrier class of a film by its modulus at low frequency."""

from __future__ import annotations

import numpy as np
import pandas as pd

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.modulus import modulus_at
from tiecoat.evaluate.impedance.spectra import Floats, Spectra, rows_of, texts

# abstract on salt spray of clear coats to 3000 h, kept at
# https://discovery.researcher.life/topic/protection-properties-of-coatings/25692167
LOW_FREQUENCY = (
    "graded by a modulus at low frequency: a limit of 1e6 ohm cm2 at 0.01 Hz has missed corrosion"
    " under the film"
)


def barrier_class(modulus_ohm_cm2: Floats, good_from: float, poor_below: float) -> Floats:
    """Return 3 good, 2 fair, 1 poor; NaN for NaN.

    Parameters
    ----------
    modulus_ohm_cm2
        Any shape.
    good_from, poor_below
        Limits in ohm cm2; usually 1e8 and 1e6. They are of the resistance that a film keeps for
        months, by direct current (Bacon, Smith and Rugg, Ind. Eng. Chem. 40 (1948) 161, as
        Greenfield and Scantlebury tell it, J. Corros. Sci. Eng. 3 (2000) paper 5); with a modulus
        at 0.1 Hz they are common practice.

    Examples
    --------
    >>> print(barrier_class(np.array([1e8, 2e7, 1e6, 9e5]), 1e8, 1e6))
    [3. 2. 2. 1.]
    """
    level = np.where(modulus_ohm_cm2 >= good_from, 3.0, 2.0)
    level = np.where(modulus_ohm_cm2 < poor_below, 1.0, level)
    return np.where(np.isnan(modulus_ohm_cm2), np.nan, level)


def class_rows(spectra: Spectra, choices: ImpedanceChoices) -> pd.DataFrame:
    """Return barrier_class (3 good, 2 fair, 1 poor), a row a spectrum.

    Each carries the published caution on grading by a modulus at low frequency.
    """
    at_hz = choices.class_frequency_hz
    if at_hz is None:
        modulus, reason = _lowest(spectra), spectra.reason
        where = texts([f"lowest frequency measured, {low:.4g} Hz" for low in spectra.range_hz[0]])
    else:
        found = modulus_at(spectra, at_hz)
        modulus, reason = found.modulus_ohm_cm2, found.reason
        where = texts([f"{at_hz:g} Hz"] * len(spectra))
    good, poor = choices.good_from_ohm_cm2, choices.poor_below_ohm_cm2
    level = barrier_class(modulus, good, poor)
    return rows_of(
        spectra,
        "barrier_class",
        level,
        "",
        reason=reason,
        condition=where,
        flags=np.where(np.isnan(level), "", LOW_FREQUENCY).astype(object),
        method=f"3 good from {good:g}, 2 fair, 1 poor below {poor:g} ohm cm2 (Bacon, Smith and Rugg"
        " 1948, of the resistance that a film keeps, by direct current; with the modulus common"
        " practice)",
    )


def _lowest(spectra: Spectra) -> Floats:
    modulus = spectra.modulus_ohm_cm2
    return modulus[:, 0] if modulus.shape[1] else np.full(len(spectra), np.nan)
