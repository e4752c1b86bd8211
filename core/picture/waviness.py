"""How strongly the brightness of a film waves, by wavelength: a relative measure of orange peel.

It compares photographs taken with the same lamp, camera, exposure and distance. It is no height,
no reading of any instrument, and needs no standard to agree with.
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
        s_b^2 = \frac{1}{N \sum w^2} \sum_{\lambda(k) \in b} |F(k)|^2

    with the Fourier transform F of N pixels. By Parseval's theorem the squares of all bands add up
    to the weighted variance. A sine of amplitude a has :math:`a / \sqrt 2` in its band, less what
    the window spills over the ends of the band.

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
    power = np.abs(fft.rfft2(waved, shape)) ** 2
    power[:, 1 : (shape[1] + 1) // 2] *= 2  # the half of the spectrum that is left out
    down = np.fft.fftfreq(shape[0], pixel_mm)[:, None]
    right = np.fft.rfftfreq(shape[1], pixel_mm)[None, :]
    per_mm = np.hypot(down, right)
    total = shape[0] * shape[1] * squares
    ends = [(1 / high, 1 / low) for low, high in bands_mm]
    sums = [power[(per_mm > a) & (per_mm <= b)].sum(dtype=np.float64) for a, b in ends]
    return np.asarray(sums) / total


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
