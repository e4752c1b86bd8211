"""How strongly the brightness of a film waves, by wavelength: a relative measure of orange peel.

It compares photographs taken with the same lamp, camera, exposure and distance. It is no height,
no reading of any instrument, and needs no standard to agree with. The noise of the camera makes
waves too, the more the darker a film is; what of them is alike at all wavelengths is taken out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy import fft

from tiecoat.picture.panel import Field

BANDS_MM = ((0.3, 1.0), (1.0, 3.0), (3.0, 10.0), (10.0, 30.0))  # common practice, no source
LEAST_PX = 4.0  # of the shortest wavelength: below, the pixels themselves damp it
LEAST_WAVES = 2.0  # of the longest wavelength across the film


def waviness_percent(
    ratio: Field,
    weight: Field,
    um_per_pixel: float,
    across_mm: float,
    bands_mm: Sequence[tuple[float, float]] = BANDS_MM,
) -> NDArray[np.float64]:
    r"""Return the root-mean-square wave of the brightness in bands of wavelength, in %.

    .. math:: f = w (\ln r - \overline{\ln r}), \qquad
        s_b^2 = \frac{1}{N \sum w^2} \sum_{\lambda(k) \in b} (|F(k)|^2 - P)

    with the Fourier transform F of N pixels, and P the mean of its squares below two pixels, where
    there is only noise. By Parseval's theorem the squares of all bands would, without P, add up to
    the weighted variance. A sine of amplitude a has :math:`a / \sqrt 2` in its band, less what the
    window spills over the ends of the band. 0 where nothing stands out of the noise.

    Parameters
    ----------
    ratio
        Light over the light of the even film, above 0, shape (rows, columns).
    weight
        0 to 1, same shape: 0 off the film and on defects, with a soft edge against spilling.
    um_per_pixel
        Size of a pixel, in µm.
    across_mm
        Diameter of the largest circle in the film, in mm.
    bands_mm
        Wavelengths from, up to; in mm.

    Returns
    -------
    Shape (bands,); NaN for a band whose shortest wave has fewer than 4 pixels, or of whose longest
    fewer than two fit across the film.

    Examples
    --------
    >>> x = np.arange(600) * 0.1  # mm
    >>> wave = np.exp(0.02 * np.sin(2 * np.pi * x / 2.0))[:, None] * np.ones(400)
    >>> window = np.outer(np.hanning(600), np.hanning(400))
    >>> waves = waviness_percent(wave.astype("f4"), window.astype("f4"), 100.0, 40.0)
    >>> waves.round(2)
    array([ nan, 1.41, 0.  ,  nan])
    """
    pixel_mm = um_per_pixel / 1000
    shortest = min(low for low, _ in bands_mm)
    block = max(1, math.floor(shortest / (LEAST_PX * pixel_mm)))
    field, window = _shrunk(np.log(ratio), weight, block)
    pixel_mm *= block
    powers = _power_by_wavelength(field, window, pixel_mm, bands_mm)
    seen = [
        low >= LEAST_PX * pixel_mm * 0.999 and across_mm >= LEAST_WAVES * high
        for low, high in bands_mm
    ]
    return np.where(seen, 100 * np.sqrt(powers), np.nan)


def _power_by_wavelength(
    field: Field, window: Field, pixel_mm: float, bands_mm: Sequence[tuple[float, float]]
) -> NDArray[np.float64]:
    squares = float((window.astype(np.float64) ** 2).sum())
    if not squares > 0:
        return np.full(len(bands_mm), np.nan)
    middle = float((field * window**2).sum(dtype=np.float64)) / squares
    waved = (field - np.float32(middle)) * window
    shape = tuple(int(fft.next_fast_len(side, real=True)) for side in waved.shape)
    counted = np.ones(shape[1] // 2 + 1, dtype=np.float32)
    counted[1 : (shape[1] + 1) // 2] = 2  # for the half of the spectrum that is left out
    power = np.abs(fft.rfft2(waved, shape)) ** 2 * counted
    down = np.fft.fftfreq(shape[0], pixel_mm)[:, None]
    right = np.fft.rfftfreq(shape[1], pixel_mm)[None, :]
    per_mm = np.hypot(down, right)

    def sums(chosen: NDArray[np.bool_]) -> tuple[float, float]:
        """Return the power of some wavelengths, and how many they are."""
        many = (chosen.sum(axis=0) * counted).sum(dtype=np.float64)
        return float(power[chosen].sum(dtype=np.float64)), float(many)

    noise, places = sums(per_mm > 0.5 / pixel_mm)
    found = []
    for low, high in bands_mm:
        all_of_it, many = sums((per_mm > 1 / high) & (per_mm <= 1 / low))
        found.append(max(all_of_it - noise * many / max(places, 1.0), 0.0))
    return np.asarray(found) / (shape[0] * shape[1] * squares)


def _shrunk(field: Field, weight: Field, block: int) -> tuple[Field, Field]:
    """Return the means of blocks of pixels; a remainder at the end is left out."""
    if block == 1:
        return field.astype(np.float32), weight.astype(np.float32)
    rows, columns = (side // block for side in field.shape)
    shape = (rows, block, columns, block)
    trimmed = (slice(0, rows * block), slice(0, columns * block))
    share = weight[trimmed].reshape(shape).mean(axis=(1, 3), dtype=np.float32)
    sums = (field[trimmed] * weight[trimmed]).reshape(shape).mean(axis=(1, 3), dtype=np.float32)
    mean = np.divide(sums, share, out=np.zeros_like(sums), where=share > 0)
    return mean, share
