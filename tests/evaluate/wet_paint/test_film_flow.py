"""Sagging and levelling of a wet film."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.wet_paint.sag_and_levelling import (
    levelling_half_time_s,
    levelling_s,
    levelling_stress_pa,
    sag_limit_um,
)

VISCOSITIES = st.floats(0.01, 100)
WAVES = st.floats(0.1, 20)
FILMS = st.floats(20, 1000)
TENSIONS = st.floats(15, 80)


@given(st.floats(0.1, 50), st.floats(0.8, 4))
def test_the_film_at_the_sag_limit_weighs_what_the_yield_stress_bears(
    tau: float, rho: float
) -> None:
    """rho g h at the limit is the yield stress."""
    limit = sag_limit_um(Estimate(tau), Estimate(rho)).value
    assert 1000 * rho * 9.80665 * limit * 1e-6 == pytest.approx(tau)


def test_the_sag_limit_carries_both_uncertainties() -> None:
    """5 % of the yield stress and 1 % of the density are 5.1 % of the limit."""
    found = sag_limit_um(Estimate(5.0, 0.25, 10, 17), Estimate(1.4, 0.014))
    assert found.standard_error / found.value == pytest.approx(math.hypot(0.05, 0.01))
    assert found.freedom == 10


@pytest.mark.parametrize(("tau", "rho"), [(0.0, 1.4), (-1.0, 1.4), (math.nan, 1.4), (5.0, 0.0)])
def test_no_yield_stress_no_sag_limit(tau: float, rho: float) -> None:
    """Without a yield stress paint runs at any thickness."""
    with pytest.raises(NotDeterminable, match="above 0"):
        sag_limit_um(Estimate(tau), Estimate(rho))


def thin_film_levelling_s(
    viscosity_pa_s: float, wavelength_mm: float, film_um: float, surface_tension_mn_m: float
) -> float:
    """Orchard's law of thin films, Appl. Sci. Res. A 11 (1962) 451.

    As a published page on levelling prints it: 3 viscosity (length / 2 pi)^4 / (tension depth^3).
    """
    tension, depth, length = surface_tension_mn_m * 1e-3, film_um * 1e-6, wavelength_mm * 1e-3
    return 3 * length**4 * viscosity_pa_s / (16 * math.pi**4 * depth**3 * tension)


@given(VISCOSITIES, st.floats(100, 1000), FILMS, TENSIONS)
def test_long_waves_level_as_in_a_thin_film(
    viscosity: float, ratio: float, film: float, tension: float
) -> None:
    """From 100 times the thickness on, both forms agree within 1 %."""
    wave = ratio * film / 1000
    thin = thin_film_levelling_s(viscosity, wave, film, tension)
    assert levelling_s(viscosity, wave, film, tension) == pytest.approx(thin, rel=0.01)


def test_the_law_of_thin_films_is_off_by_what_the_docstring_tells() -> None:
    """15 % too short at 20 times the thickness, 41 % at 10 times."""
    for ratio, off in ((20, 0.15), (10, 0.41)):
        thin = thin_film_levelling_s(1, ratio * 0.1, 100, 30)
        assert 1 - thin / levelling_s(1, ratio * 0.1, 100, 30) == pytest.approx(off, abs=0.005)


@given(st.floats(0.0001, 60))
def test_the_series_for_thin_films_meets_the_formula(kh: float) -> None:
    """Across the switch to the series and to a deep film, nothing jumps."""
    film = kh / (2 * math.pi) * 1e3  # wavelength 1 mm
    one, other = levelling_s(1, 1, film, 30), levelling_s(1, 1, film * (1 + 1e-7), 30)
    assert other == pytest.approx(one, rel=1e-6)


@given(WAVES, FILMS, TENSIONS)
def test_a_thicker_film_levels_sooner(wave: float, film: float, tension: float) -> None:
    """Time falls with thickness and surface tension, and is in proportion to the viscosity."""
    time = levelling_s(1, wave, film, tension)
    assert levelling_s(1, wave, 1.1 * film, tension) <= time * (1 + 1e-12)
    assert levelling_s(1, wave, film, 2 * tension) == pytest.approx(time / 2)
    assert levelling_s(3, wave, film, tension) == pytest.approx(3 * time)
    assert levelling_half_time_s(1, wave, film, tension) == pytest.approx(math.log(2) * time)


def test_the_stress_of_long_waves_is_gradient_times_thickness() -> None:
    """gamma k^3 a h, within 1 % at 100 times the thickness."""
    k = 2 * math.pi / 10e-3
    found = levelling_stress_pa(10, 100, 30, 20)
    assert found == pytest.approx(0.03 * k**3 * 20e-6 * 100e-6, rel=0.01)


@pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
@pytest.mark.parametrize("place", range(4))
def test_what_is_not_above_zero_is_refused(place: int, bad: float) -> None:
    """Viscosity, wavelength, thickness, surface tension."""
    given_values = [1.0, 2.0, 100.0, 30.0]
    given_values[place] = bad
    with pytest.raises(NotDeterminable) as caught:
        levelling_s(*given_values)
    assert str(caught.value) == (
        "levelling needs viscosity, wavelength, thickness and surface tension above 0"
    )


@pytest.mark.parametrize("height_um", [80.0, 50.1, 0.0, -1.0, math.nan])
def test_high_marks_are_refused(height_um: float) -> None:
    """Marks as high as the film is thick are beyond the theory, and there must be some."""
    with pytest.raises(NotDeterminable) as caught:
        levelling_stress_pa(2, 100, 30, height_um)
    told = f"marks of {height_um:g} µm are not low against a film of 100 µm"
    assert str(caught.value) == told


def test_marks_of_half_the_film_are_still_low() -> None:
    """They level with five times the stress of marks of a tenth."""
    tenth = levelling_stress_pa(2, 100, 30, 10)
    assert levelling_stress_pa(2, 100, 30, 50) == pytest.approx(5 * tenth, rel=1e-12)
