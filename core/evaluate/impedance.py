"""Impedance of films in salt water: from spectra to results.

| quantity | unit | of |
| --- | --- | --- |
| modulus, phase | ohm cm2, deg | a spectrum at a set frequency |
| plateau_modulus | ohm cm2 | a spectrum, over its lowest decade |
| breakpoint_frequency | Hz | a spectrum |
| barrier_class | 3 good, 2 fair, 1 poor | a spectrum |
| coating_capacitance, relative_permittivity | F/cm2, 1 | a spectrum at a high frequency |
| water_uptake | % by volume | a spectrum against the first of its panel and spot |
| kramers_kronig_passes, _rms, _systematic, _largest | 1, % of modulus | a spectrum |
| modulus_decline | 1/d, decades of modulus | a panel, and a batch over its panels |
| time_to_limit | h | a panel, and a batch over its panels |
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import pandas as pd

from tiecoat.evaluate.capacitance import capacitance_rows
from tiecoat.evaluate.choices import Choices
from tiecoat.evaluate.decline import decline_rows
from tiecoat.evaluate.kramers_kronig import FAILS, kramers_kronig, kramers_kronig_rows
from tiecoat.evaluate.modulus import modulus_rows
from tiecoat.evaluate.result import together
from tiecoat.evaluate.spectra import spectra_of
from tiecoat.plugin import Evaluation, hookimpl


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
    return together(
        [
            modulus_rows(spectra, wanted),
            capacitance_rows(spectra, wanted),
            kramers_kronig_rows(spectra, test, wanted.kramers_kronig_limit_percent),
            decline_rows(spectra, wanted),
        ]
    )


EVALUATION = Evaluation(
    "impedance",
    "impedance",
    compute,
    needs=("panels", "film_thickness"),
    pooled=("water_uptake",),
)


@hookimpl
def tiecoat_evaluations() -> Iterable[Evaluation]:
    """Return the evaluation."""
    return [EVALUATION]
