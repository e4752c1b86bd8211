"""Waves of known length and height come out in their band."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import ndimage

from tiecoat.picture.panel import Field
from tiecoat.picture.waviness import BANDS_MM, waviness_percent

PIXEL_MM = 0.075
SIDES = (900, 1000)
ACROSS_MM = 67.5


def window() -> Field:
    """Softly to zero at the edges."""
    return np.outer(np.hanning(SIDES[0]), np.hanning(SIDES[1])).astype(np.float32)


def sine(wavelength_mm: float, amplitude: float, angle_deg: float = 20.0) -> Field:
    """Light whose logarithm is a sine."""
    y, x = np.mgrid[0 : SIDES[0], 0 : SIDES[1]] * PIXEL_MM
    along = x * math.cos(math.radians(angle_deg)) + y * math.sin(math.radians(angle_deg))
    return np.exp(amplitude * np.sin(2 * math.pi * along / wavelength_mm)).astype(np.float32)


def bands(light: Field, across_mm: float = ACROSS_MM) -> list[float]:
    """The waves in %."""
    return waviness_percent(light, window(), 1000 * PIXEL_MM, across_mm).tolist()


@pytest.mark.parametrize(
    ("wavelength_mm", "band"), [(0.6, 0), (1.8, 1), (2.4, 1), (5.0, 2), (8.0, 2), (15.0, 3)]
)
def test_a_sine_is_told_in_its_band(wavelength_mm: float, band: int) -> None:
    """Its root mean square is the amplitude over the root of two, within 2 %; elsewhere little."""
    waves = bands(sine(wavelength_mm, 0.03))
    assert waves[band] == pytest.approx(3 / math.sqrt(2), rel=0.02)
    others = [wave for place, wave in enumerate(waves) if place != band]
    assert max(others) < 0.15 * waves[band]


def test_the_direction_of_the_wave_does_not_matter() -> None:
    """Along, across and askew."""
    told = [bands(sine(2.0, 0.03, angle))[1] for angle in (0.0, 45.0, 90.0)]
    assert told == pytest.approx([told[0]] * 3, rel=0.005)


def test_bands_add_up_to_the_whole() -> None:
    """Parseval: the squares of all wavelengths make the weighted variance."""
    waves = ndimage.gaussian_filter(np.random.default_rng(2).normal(0, 0.5, (200, 300)), 3)
    light = np.exp(waves).astype(np.float32)
    weight = np.outer(np.hanning(200), np.hanning(300)).astype(np.float32)
    told = waviness_percent(light, weight, 1000.0, 1e9, [(4.0, 20.0), (20.0, 1e6)])
    # what is shorter than four pixels is not in a band, so that it is computed plainly here
    field = np.log(light.astype(float))
    field = (field - np.average(field, weights=weight.astype(float) ** 2)) * weight
    power = np.abs(np.fft.fft2(field)) ** 2
    per_mm = np.hypot(*np.meshgrid(np.fft.fftfreq(200), np.fft.fftfreq(300), indexing="ij"))
    squares = float((weight.astype(float) ** 2).sum())
    long = power[(per_mm > 0) & (per_mm <= 0.25)].sum() / (field.size * squares)
    assert (told**2).sum() / 1e4 == pytest.approx(long, rel=1e-4)
    assert power.sum() / (field.size * squares) == pytest.approx((field**2).sum() / squares)


def test_noise_makes_no_waves() -> None:
    """A grainy picture of a wave tells the wave; of an even film, hardly anything in any band.

    Grain of 10 % of the light has 4.2 % in the first band, by its share of the spectrum. Over 16
    seeds the wave's square is right in the mean within 1 %, with a standard deviation of 4 %.
    """
    grain = np.random.default_rng(7).normal(0, 0.1, SIDES)
    assert max(bands(np.exp(grain).astype(np.float32))) < 0.8
    waved = bands((sine(0.5, 0.03) * np.exp(grain)).astype(np.float32))
    assert waved[0] == pytest.approx(3 / math.sqrt(2), rel=0.06)


def test_an_even_film_has_no_waves() -> None:
    """And nothing divides by zero, not even without any film."""
    assert bands(np.ones(SIDES, np.float32)) == pytest.approx([0, 0, 0, 0], abs=1e-6)
    nothing = np.zeros((100, 100), np.float32)
    assert np.isnan(waviness_percent(nothing + 1, nothing, 75.0, 60.0)).all()


def test_what_pixels_or_film_cannot_show_is_not_told() -> None:
    """Fewer than four pixels for the shortest wave, fewer than two of the longest across."""
    light = np.ones((300, 300), np.float32)
    coarse = waviness_percent(light, light, 100.0, 30.0)
    assert np.isnan(coarse).tolist() == [True, False, False, True]
    assert np.isnan(waviness_percent(light, light, 75.0, 60.0)).tolist() == [False] * 4
    assert len(BANDS_MM) == 4
