"""Bubbles in wet paint: rise, rest, escape."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.wet_paint.bubbles import held_radius_um, rise, smallest_escaping
from tiecoat.evaluate.wet_paint.drag import Fluid, drag_stress_pa, fluid_of
from tiecoat.evaluate.wet_paint.flow_fits import fit

RATES = np.geomspace(0.1, 1000, 17)
RADII = st.floats(1, 100)
VISCOSITIES = st.floats(1, 100)
INDICES = st.floats(0.3, 1.0)


def power_law(viscosity_pa_s: float, index: float = 1.0) -> Fluid:
    """A paint of this viscosity at 1 1/s; of index 1 it is Newtonian."""
    return Fluid(lambda rate: viscosity_pa_s * rate**index)


@given(RADII, VISCOSITIES)
def test_in_newtonian_paint_the_rise_is_that_of_stokes(radius: float, viscosity: float) -> None:
    """The general law becomes Stokes', written out here, where the index is one."""
    found = rise(power_law(viscosity), radius, 1.4)
    stokes = 2 / 9 * (1.4 - 0.0012) * 1000 * 9.80665 * (radius * 1e-6) ** 2 / viscosity
    assert found.velocity_um_s == pytest.approx(stokes * 1e6)
    assert found.shear_rate_per_s == pytest.approx(found.velocity_um_s / (2 * radius))


@given(RADII, VISCOSITIES, INDICES)
def test_the_drag_of_a_risen_bubble_balances_its_buoyancy(
    radius: float, viscosity: float, index: float
) -> None:
    """Drag over 3 pi d² at the rate found is buoyancy over 3 pi d²."""
    fluid = power_law(viscosity, index)
    found = rise(fluid, radius, 1.4)
    drive = (1.4 - 0.0012) * 1000 * 9.80665 * 2e-6 * radius / 18
    assert drag_stress_pa(fluid, found.shear_rate_per_s) == pytest.approx(drive, rel=1e-9)


def test_paint_that_thins_holds_small_bubbles_longer() -> None:
    """Same viscosity at 1 1/s: the lower the index, the slower a small bubble."""
    for radius in (10, 50, 100):
        fast, slower, slowest = (
            rise(power_law(2.0, index), radius, 1.4).velocity_um_s for index in (1.0, 0.7, 0.4)
        )
        assert fast > slower > slowest


def test_inertia_is_refused() -> None:
    """A millimetre bubble in water is no case for Stokes."""
    with pytest.raises(NotDeterminable) as caught:
        rise(power_law(0.001), 1000, 1.0)
    speed = 2 / 9 * (1.0 - 0.0012) * 1000 * 9.80665 * 0.001**2 / 0.001  # by Stokes, in m/s
    assert str(caught.value) == (
        f"the Reynolds number of {1000 * speed * 0.002 / 0.001:.2g} is above 0.1: inertia counts,"
        " and the laws of creeping flow do not hold"
    )


def test_a_yield_stress_holds_a_bubble_for_good() -> None:
    """Below the critical radius no rise; just above it, a slow one."""
    fluid = Fluid(lambda rate: 1.2 * rate**0.8, 0.05, 0.1, 1000)
    held = held_radius_um(fluid, 1.4)
    by_hand = 9 * 1.166 * 0.05 / ((1.4 - 0.0012) * 1000 * 9.80665)  # in air of 0.0012 g/cm³
    assert held == pytest.approx(by_hand * 1e6, rel=1e-9)
    with pytest.raises(NotDeterminable) as caught:
        rise(fluid, 0.99 * held, 1.4)
    assert str(caught.value) == (
        f"the yield stress of 0.05 Pa holds a bubble of {0.99 * held:g} µm radius; only one above"
        f" {held / 1000:.2g} mm would rise"
    )
    slow = rise(fluid, 1.01 * held, 1.4)
    without = rise(Fluid(fluid.viscous_pa), 1.01 * held, 1.4)
    assert 0 < slow.velocity_um_s < without.velocity_um_s / 10


def test_a_rate_below_the_measured_ones_is_told() -> None:
    """A flow curve carried on beyond its points does not pass in silence."""
    fluid = fluid_of(fit("power law", RATES, 2 * RATES**0.8))
    assert "lies below the measured 0.1 1/s" in rise(fluid, 50, 1.4).flags
    assert rise(fluid, 400, 1.4).flags == ""


def test_a_rate_that_was_measured_is_not_carried_on() -> None:
    """The lowest and the highest rate of the measurement belong to it; one beyond is told."""
    law = power_law(2.0)
    rate = rise(law, 100, 1.4).shear_rate_per_s
    assert rise(Fluid(law.viscous_pa, 0.0, rate, rate), 100, 1.4).flags == ""
    below = rise(Fluid(law.viscous_pa, 0.0, 0.1 * rate, 0.5 * rate), 100, 1.4).flags
    assert below == (
        f"extrapolated: its shear rate of {rate:.2g} 1/s lies above the measured {rate / 2:.2g} 1/s"
    )


@given(st.floats(50, 1000), st.floats(30, 3600), VISCOSITIES, INDICES)
def test_the_smallest_bubble_just_makes_it(
    film: float, open_time: float, viscosity: float, index: float
) -> None:
    """Rising for the open time takes its top from its start to the surface."""
    fluid = power_law(viscosity, index)
    radius, _ = smallest_escaping(fluid, film, open_time, 1.4)
    path = rise(fluid, radius, 1.4).velocity_um_s * open_time
    assert path == pytest.approx(film - 2 * radius, rel=1e-6, abs=1e-6 * film)


def test_the_smallest_bubble_in_newtonian_paint_solves_the_quadratic() -> None:
    """v t = h - 2 r with Stokes' v, written out."""
    radius, found = smallest_escaping(power_law(1.0), 200, 600, 1.4)
    factor = 2 / 9 * (1.4 - 0.0012) * 1000 * 9.80665 / 1.0 * 600 * 1e-6  # µm of path a µm² of r²
    assert radius == pytest.approx((math.sqrt(4 + 4 * factor * 200) - 2) / (2 * factor))
    assert found.flags == ""


@pytest.mark.parametrize("viscosity_pa_s", [1e-30, 1e40])
def test_a_paint_that_is_none_has_no_rise(viscosity_pa_s: float) -> None:
    """Thinner than any gas or stiffer than any solid: no number is made of it."""
    with pytest.raises(NotDeterminable) as caught:
        rise(power_law(viscosity_pa_s), 50, 1.4)
    assert str(caught.value) == "no steady rise is found between 1e-26 and 1e17 1/s"


def test_a_bubble_as_large_as_the_film_is_told() -> None:
    """Where walls count, the number is flagged."""
    _, found = smallest_escaping(power_law(100.0), 200, 60, 1.4)
    assert found.flags == (
        "not small against the film: its faces slow the bubble more than is counted here"
    )


def test_a_stiff_paint_lets_no_bubble_out() -> None:
    """A yield stress of 4 Pa holds all bubbles that fit into 200 µm."""
    with pytest.raises(NotDeterminable) as caught:
        smallest_escaping(Fluid(lambda rate: rate, 4.0), 200, 600, 1.4)
    assert str(caught.value) == (
        "the yield stress of 4 Pa holds every bubble that fits into a film of 200 µm"
    )


@given(st.floats(0.3, 1.05), st.floats(0.0, 10.0), st.floats(1e-4, 100))
def test_the_drag_rises_with_the_rate(n: float, tau: float, rate: float) -> None:
    """Else a bubble had two speeds."""
    fluid = Fluid(lambda one: one**n, tau)
    assert drag_stress_pa(fluid, rate) < drag_stress_pa(fluid, 1.05 * rate)


def test_paint_that_thickens_with_shear_is_refused() -> None:
    """The drag is known up to a flow index of 1.1."""
    with pytest.raises(NotDeterminable, match=r"thickens with shear: its flow index is 1\.30"):
        rise(Fluid(lambda rate: rate**1.3), 50, 1.4)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
def test_what_is_not_above_zero_is_refused(bad: float) -> None:
    """Radius, film, time."""
    with pytest.raises(NotDeterminable, match="above 0"):
        rise(power_law(1.0), bad, 1.4)
    with pytest.raises(NotDeterminable, match="above 0"):
        smallest_escaping(power_law(1.0), bad, 600, 1.4)
    with pytest.raises(NotDeterminable, match="above 0"):
        smallest_escaping(power_law(1.0), 200, bad, 1.4)


def test_a_bubble_heavier_than_the_paint_is_refused() -> None:
    """What is denser than the paint does not rise."""
    with pytest.raises(NotDeterminable, match="denser than the gas"):
        rise(power_law(1.0), 50, 1.4, gas_g_cm3=2.0)
