"""Impedance of films in salt water: from spectra to results.

| quantity | unit | of |
| --- | --- | --- |
| modulus, phase | ohm cm2, deg | a spectrum at a set frequency |
| plateau_modulus | ohm cm2 | a spectrum, over its lowest decade |
| breakpoint_frequency | Hz | a spectrum |
| barrier_class | 3 good, 2 fair, 1 poor | a spectrum |
| coating_capacitance, relative_permittivity | F/cm2, 1 | a spectrum at a high frequency |
| water_uptake | % by volume | a spectrum against the first of its panel and spot |
| water_uptake_from_dry | % by volume | a spectrum against the dry film, extrapolated |
| water_saturation, water_diffusion | % by volume, cm2/s | a spot, and a batch over its panels |
| dry_capacitance | F/cm2 | a spot |
| kramers_kronig_passes | 1 | a spectrum |
| kramers_kronig_rms, kramers_kronig_systematic | % of modulus | a spectrum |
| kramers_kronig_largest | % of modulus | a spectrum |
| kramers_kronig_seen_loss | % of resistance | a spectrum: the loss that would be found |
| kramers_kronig_change | % of conductance | a spectrum, during its sweep |
| modulus_mean, coating_capacitance_mean, water_uptake_mean | as above | a batch at an exposure |
| water_uptake_from_dry_mean | as above | a batch at an exposure |
| modulus_decline | 1/d, decades of modulus | a panel, and a batch over its panels |
| time_to_limit | h | a panel, and a batch over its panels |
"""

from __future__ import annotations

from collections.abc import Mapping

import pandas as pd

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.impedance.barrier_class import class_rows
from tiecoat.evaluate.impedance.batch_means import batch_mean_rows
from tiecoat.evaluate.impedance.capacitance import capacitance_rows
from tiecoat.evaluate.impedance.decline import decline_rows
from tiecoat.evaluate.impedance.kramers_kronig import FAILS, kramers_kronig, kramers_kronig_rows
from tiecoat.evaluate.impedance.modulus import modulus_rows
from tiecoat.evaluate.impedance.plateau import plateau_rows
from tiecoat.evaluate.impedance.spectra import spectra_of
from tiecoat.evaluate.result import together


def compute(frames: Mapping[str, pd.DataFrame], choices: Choices) -> pd.DataFrame:
    """Return the results of all spectra; every result of one that fails a test says so.

    Parameters
    ----------
    frames
        impedance, and film_thickness and panels for a thickness that the spectra lack.
    choices
        What the laboratory has set.
    """
    wanted = choices.impedance
    spectra = spectra_of(frames["impedance"], frames.get("panels"), frames.get("film_thickness"))
    test = kramers_kronig(spectra, wanted.kramers_kronig_limit_percent)
    spectra = spectra.flagged(test.fails, FAILS)
    modulus, capacitance = modulus_rows(spectra, wanted), capacitance_rows(spectra, wanted)
    return together(
        [
            modulus,
            plateau_rows(spectra),
            class_rows(spectra, wanted),
            capacitance,
            batch_mean_rows(spectra, together([modulus, capacitance])),
            kramers_kronig_rows(spectra, test, wanted.kramers_kronig_limit_percent),
            decline_rows(spectra, wanted),
        ]
    )
