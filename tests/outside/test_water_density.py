"""Density of water against the international standard for water and the printed table."""

import iapws
import numpy as np
import pytest

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.wet_paint.water import water_density_kg_m3

# °C -> kg/m³; Tanaka et al., Metrologia 38 (2001) 301, values of the formula; 20 and 25 °C as
# public programs print them (997.0470217 in the tests of the package chempy 0.9.0), the others
# computed with the coefficients that these have
PRINTED = {
    0: 999.8428,
    4: 999.9749,
    10: 999.7027,
    15: 999.1026,
    20: 998.2067,
    23: 997.5408,
    25: 997.0470,
    30: 995.6488,
    40: 992.2152,
}


@pytest.mark.parametrize("celsius", PRINTED)
def test_the_table_is_met_to_its_last_digit(celsius: int) -> None:
    """Half of the last printed digit."""
    assert float(water_density_kg_m3(celsius)) == pytest.approx(PRINTED[celsius], abs=5.1e-5)


@pytest.mark.parametrize("celsius", np.linspace(0.5, 40, 9).tolist())
def test_iapws_95_gives_the_same_density(celsius: float) -> None:
    """IAPWS-95 as the package iapws computes it, at 101.325 kPa.

    Tanaka tells 0.001 kg/m³ for his formula, IAPWS-95 one part in a million for itself: 0.002.
    """
    other = iapws.IAPWS95(T=celsius + 273.15, P=0.101325).rho
    assert float(water_density_kg_m3(celsius)) == pytest.approx(other, abs=0.002)


@pytest.mark.parametrize("celsius", [-0.1, 40.1, float("nan")])
def test_outside_of_the_formula_there_is_no_density(celsius: float) -> None:
    """Tanaka gives it from 0 to 40 °C; one such temperature among others is enough."""
    with pytest.raises(NotDeterminable) as caught:
        water_density_kg_m3([20.0, celsius])
    assert str(caught.value) == (
        f"the density of water is known here from 0 to 40 °C only, not at 20, {celsius:g} °C"
    )
