"""Brightness as amount of light, and the unevenness of the lamp taken out of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tiecoat.picture.nothing import NothingToMeasure
from tiecoat.picture.panel import Field
from tiecoat.picture.regions import Mask, Pixels

DEGREE = 4  # of the polynomial that follows the lamp; 15 terms
CELLS = 40  # across the shorter side of the panel
LEAST_CELLS = 60  # four for each term, or a third of a strip around the film
BEYOND = 0.5  # in ln of light: so far the fit is followed beyond what it was fitted to
STEPS = 30
TUKEY = 4.685  # 95 % as efficient as least squares where all is normal
ENOUGH = "enough film to follow how evenly the lamp shines"
BLACK = 16  # of 255: a picture that is all below shows nothing
DARKEST = 1 / 255 / 12.92  # light of the darkest grey that is not black


def _decoding() -> Field:
    encoded = np.arange(256) / 255
    curved = ((encoded + 0.055) / 1.055) ** 2.4
    return np.where(encoded <= 0.04045, encoded / 12.92, curved).astype(np.float32)


TO_LINEAR = _decoding()


def linear_light(pixels: Pixels) -> Field:
    """Return the luminance of sRGB colours as amount of light, white being 1.

    .. math:: Y = 0.2126\\,l(R) + 0.7152\\,l(G) + 0.0722\\,l(B), \\quad
        l(c) = \\begin{cases} c / 12.92 & c \\le 0.04045 \\\\
        ((c + 0.055) / 1.055)^{2.4} & \\text{else} \\end{cases}

    Parameters
    ----------
    pixels
        8 bits, shape (..., 3).

    References
    ----------
    IEC 61966-2-1:1999, sRGB, as in scikit-image, with which the tests compare.

    Examples
    --------
    >>> grey = np.full((1, 3), 128, dtype=np.uint8)
    >>> round(float(linear_light(grey)[0]), 4)
    0.2159
    """
    light = np.float32(0.2126) * TO_LINEAR[pixels[..., 0]]
    light += np.float32(0.7152) * TO_LINEAR[pixels[..., 1]]
    light += np.float32(0.0722) * TO_LINEAR[pixels[..., 2]]
    return light


def grey_of(light: float) -> int:
    """Return the nearest 8-bit grey of an amount of light, to speak of it to a person."""
    return int(np.abs(TO_LINEAR - light).argmin())


def darkest_and_brightest(light: Field, expected: str) -> tuple[int, int]:
    """Return the greys of nearly the darkest and the brightest of a picture.

    Raises
    ------
    NothingToMeasure
        If it is black; `expected` says what it should show.
    """
    darkest, brightest = (grey_of(float(np.quantile(light, share))) for share in (0.005, 0.995))
    if brightest < BLACK:
        raise NothingToMeasure(f"black: hardly a pixel above {brightest} of 255", expected)
    return darkest, brightest


@dataclass(frozen=True)
class Lamp:
    """The light that the even film lets through.

    Parameters
    ----------
    light
        Shape (rows, columns); beyond the panel held near what was found on it.
    left_over
        Robust standard deviation of what the fit does not follow, as a share of the light.
    """

    light: Field
    left_over: float


def fit_lamp(light: Field, inside: Mask) -> Lamp:
    r"""Return the large-scale light on the panel: lamp times mean transmission of the film.

    .. math:: \ln I(x, y) = \sum_{i + j \le 4} c_{ij}\, x^i y^j

    Fitted to the medians of cells by iteratively reweighted least squares with Tukey's biweight,
    so that defects, which are few and bright, do not pull it. All terms up to a degree are there,
    so that turning the picture does not change the fit.

    Parameters
    ----------
    light
        Amount of light, shape (rows, columns).
    inside
        What is film and nothing else, same shape.

    Raises
    ------
    NothingToMeasure
        If the film is too small on the picture.

    References
    ----------
    Beaton and Tukey, Technometrics 16 (1974) 147, for the weights (from memory).
    """
    down, right = np.flatnonzero(inside.any(axis=1)), np.flatnonzero(inside.any(axis=0))
    if not len(down):
        raise NothingToMeasure("no film inside of the margin", ENOUGH)
    found, terms = _cells(light, inside, _side(inside))
    if len(found) < LEAST_CELLS:
        raise NothingToMeasure(f"film on {len(right)} x {len(down)} pixels", ENOUGH)
    coefficients, left_over = _biweight(terms, found)
    fitted = terms @ coefficients
    field = _evaluated(coefficients, light.shape)
    np.clip(field, fitted.min() - BEYOND, fitted.max() + BEYOND, out=field)
    np.exp(field, out=field)
    return Lamp(field, left_over)


def lamp_over_film(light: Field, film: Mask, beside: Mask) -> float | None:
    r"""Return how many times brighter the bare lamp is than the film before it.

    .. math:: \ln I(x, y) = \sum_{i + j \le 4} c_{ij}\, x^i y^j + s\,[\text{beside}]

    and the result is :math:`e^s`, fitted as in `fit_lamp`. The lamp may be darker beside the film
    than behind it, as lamps are towards their edge. Made pictures of films with waves of up to 15 %
    before lamps that fall by up to 80 % to the corners gave 5.9 to 6.9 where 6.25 is true.

    Parameters
    ----------
    light
        Amount of light, shape (rows, columns).
    film, beside
        What is film, and what is bare lamp, same shape.

    Returns
    -------
    None if hardly any bare lamp is seen.
    """
    side = _side(film)
    bare, bare_terms = _cells(light, beside, side)
    if len(bare) < LEAST_CELLS:
        return None
    found, terms = _cells(light, film, side)
    is_bare = np.repeat([0.0, 1.0], [len(found), len(bare)])
    both = np.column_stack([np.concatenate([terms, bare_terms]), is_bare])
    coefficients, _ = _biweight(both, np.concatenate([found, bare]))
    return float(np.exp(coefficients[-1]))


def _side(inside: Mask) -> int:
    """Return the side of the cells in pixels."""
    down, right = (int(inside.any(axis=axis).sum()) for axis in (1, 0))
    return max(3, min(down, right) // CELLS)


def _cells(
    light: Field, inside: Mask, side: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the ln of the median light of the cells that are all inside, and their terms."""
    rows, columns = (length // side for length in light.shape)
    trimmed = (slice(0, rows * side), slice(0, columns * side))
    film = inside[trimmed].reshape(rows, side, columns, side).all(axis=(1, 3))
    cells = light[trimmed].reshape(rows, side, columns, side).swapaxes(1, 2)[film]
    medians = np.median(cells.reshape(len(cells), side * side), axis=1).astype(np.float64)
    row, column = (place.astype(np.float64) for place in np.nonzero(film))
    within = (side - 1) / 2
    middle, scale = _frame(light.shape)
    x, y = (column * side + within - middle[1]) / scale, (row * side + within - middle[0]) / scale
    return np.log(np.maximum(medians, DARKEST)), _terms(x, y)


def _frame(shape: tuple[int, ...]) -> tuple[tuple[float, ...], float]:
    """Return the middle of a picture, and how far from it the terms are 1."""
    return tuple((side - 1) / 2 for side in shape), max(shape) / 2


def _terms(x: NDArray[np.float64], y: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.stack([x**i * y**j for i, j in _powers()], axis=1)


def _powers() -> list[tuple[int, int]]:
    return [(i, j) for i in range(DEGREE + 1) for j in range(DEGREE + 1 - i)]


def _biweight(
    terms: NDArray[np.float64], found: NDArray[np.float64]
) -> tuple[NDArray[np.float64], float]:
    """Return the coefficients and the robust standard deviation of the residuals."""
    weights: NDArray[np.float64] = np.ones(len(found))
    spread = 0.0
    coefficients: NDArray[np.float64] = np.zeros(terms.shape[1])
    for _ in range(STEPS):
        root = np.sqrt(weights)
        step = np.asarray(np.linalg.lstsq(terms * root[:, None], found * root, rcond=None)[0])
        settled = np.abs(step - coefficients).max() < 1e-9
        coefficients = step
        residuals = found - terms @ coefficients
        spread = float(np.median(np.abs(residuals))) / 0.6745
        if settled or spread < 1e-7:
            break
        weights = np.clip(1 - (residuals / (TUKEY * spread)) ** 2, 0, None) ** 2
    return coefficients, spread


def _evaluated(coefficients: NDArray[np.float64], shape: tuple[int, ...]) -> Field:
    """Return the polynomial at each pixel, as a product of two small matrices."""
    middle, scale = _frame(shape)
    table = np.zeros((DEGREE + 1, DEGREE + 1))
    for (i, j), value in zip(_powers(), coefficients, strict=True):
        table[j, i] = value
    y, x = (
        np.vander((np.arange(side) - centre) / scale, DEGREE + 1, increasing=True)
        for side, centre in zip(shape, middle, strict=True)
    )
    return np.asarray((y @ table).astype(np.float32) @ x.T.astype(np.float32))
