"""Rise of bubbles against the package fluids, worked examples and the limits of theory."""

from __future__ import annotations

import math

import fluids
import pytest

from tiecoat.evaluate.wet_paint.bubbles import held_radius_um, rise
from tiecoat.evaluate.wet_paint.drag import Fluid


def power_law(viscosity_pa_s: float, index: float = 1.0) -> Fluid:
    """A paint of this viscosity at 1 1/s; of index 1 it is Newtonian."""
    return Fluid(lambda rate: viscosity_pa_s * rate**index)


def test_the_check_value_of_stokes() -> None:
    """Radius 50 µm, 1400 kg/m³ of difference, 1 Pa s: 7.627 µm/s (by hand from Stokes)."""
    found = rise(power_law(1.0), 50, 1.4, gas_g_cm3=0.0)
    assert found.velocity_um_s == pytest.approx(7.627, abs=5e-4)


@pytest.mark.parametrize("radius_um", [5, 20, 100])
@pytest.mark.parametrize("viscosity_pa_s", [0.1, 2.0])
def test_fluids_finds_the_same_terminal_velocity(radius_um: float, viscosity_pa_s: float) -> None:
    """The terminal velocity of a ball, with the drag of Stokes, from the package fluids.

    The package works with the weight of the ball: a heavy ball sinking is a bubble's mirror image.
    """
    other = fluids.v_terminal(
        D=2e-6 * radius_um, rhop=2400.0, rho=1000.0, mu=viscosity_pa_s, Method="Stokes"
    )
    found = rise(power_law(viscosity_pa_s), radius_um, 2.4, gas_g_cm3=1.0)
    assert found.velocity_um_s == pytest.approx(other * 1e6, rel=1e-6)


def test_the_limit_in_reynolds_number_is_worth_two_percent() -> None:
    """At Re = 0.1 a general drag law of the package fluids is 1 to 3 % above that of Stokes."""
    stokes = fluids.drag_sphere(0.1, Method="Stokes")
    assert 1.01 < fluids.drag_sphere(0.1, Method="Clift") / stokes < 1.03


@pytest.mark.parametrize("n", [1.0, 0.9, 0.7, 0.5])
def test_a_power_law_fluid_by_its_own_closed_form(n: float) -> None:
    """v = (drho g d^(n+1) / (18 K X))^(1/n), solved for by hand from the balance of forces."""
    x = {1.0: 1.0, 0.9: 1.138, 0.7: 1.356, 0.5: 1.476}[n]
    d, k = 100e-6, 2.0
    by_hand = (1400 * 9.80665 * d ** (n + 1) / (18 * k * x)) ** (1 / n)
    found = rise(power_law(k, n), 50, 1.4, gas_g_cm3=0.0)
    assert found.velocity_um_s == pytest.approx(by_hand * 1e6, rel=1e-6)


def test_a_ball_comes_to_rest_where_beris_has_it() -> None:
    """Beris et al. (1985): 2 pi tau_y R² / F = 0.143, F the buoyancy; to 0.1 %."""
    tau = 4.0
    radius = held_radius_um(Fluid(lambda rate: rate, tau), 1.4, gas_g_cm3=0.0) * 1e-6
    buoyancy = 4 / 3 * math.pi * radius**3 * 1400 * 9.80665
    assert 2 * math.pi * tau * radius**2 / buoyancy == pytest.approx(0.143, rel=1e-3)
