"""Linear Kramers-Kronig test: is a spectrum that of one linear film that kept still?

A spectrum is fitted by a sum of elements that each obey the Kramers-Kronig relations. What the sum
cannot follow, such as a film that changed during the sweep, is left over as a pattern.

The sum here is of admittances, since a film is a capacitance with leaks parallel to it:

    Y(w) = G + j w C + sum_k B_k j w tau_k / (1 + j w tau_k)

with G, C and B_k of either sign by linear least squares on real and imaginary parts weighted by
|Z|, and fixed tau_k, evenly spaced in lg tau. (Boukamp, J. Electrochem. Soc. 142 (1995) 1885, gives
impedance and admittance form; from memory.) A film without plateau needs no further term, where
the impedance form needs a capacitor in series.

The number of elements is the smallest for which mu = 1 - sum |B_k < 0| / sum B_k >= 0 falls below
0.85 (Schoenleber, Klotz and Ivers-Tiffee, Electrochim. Acta 131 (2014) 20; from memory). Two things
are ours, each with its reason, measured on 23 sorts of causal circuit over seven decades:

- counting starts at 3 elements per decade, not at one: over seven decades of modulus, mu falls
  below 0.85 by chance at three elements, and films with pores then leave residuals of 10 to 40 %.
  From 3 per decade on they leave 0.08 % rms at most, 2000 random films 0.14 %.
- tau reaches half a decade beyond the measured frequencies at both ends. Without, the points at the
  ends leave residuals of up to 1 %.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.evaluate.impedance.spectra import (
    Bools,
    Complexes,
    Floats,
    Integers,
    Spectra,
    Texts,
    rows_of,
    texts,
)
from tiecoat.evaluate.result import together

MU_LIMIT = 0.85
LEAST_PER_DECADE = 3.0
MOST_PER_DECADE = 5.0  # denser elements cannot be told apart: the condition number passes 1e5
BEYOND_DECADES = 0.5
LEAST_POINTS = 10
PATTERN_SIGNIFICANCE = 3.0  # standard deviations of the correlation between neighbours
OUTLIER_DEVIATIONS = 6.0
OUTLIER_PERCENT = 5.0
BATCH_NUMBERS = 4_000_000  # of a design matrix for a batch: 32 MB
SHARED_FROM = 8  # spectra with one frequency grid; fewer do not pay for their own pass
FAILS = "fails the Kramers-Kronig test"


@dataclass(frozen=True)
class KramersKronig:
    """The test of n spectra.

    Parameters
    ----------
    elements, mu
        (n,) number of elements, 0 where not tested, and the criterion reached.
    residual
        (n, m) complex, (Z - fit) / |Z|; NaN where there is no point or no test.
    rms_percent
        (n,) root mean square of the real and imaginary residuals.
    noise_percent
        (n,) the part of it that does not go on from point to point.
    systematic_percent
        (n,) the part that does.
    largest_percent
        (n,) largest |residual|.
    fails
        (n,) the verdict; False where not tested.
    reason
        (n,) why it was not tested, else "".
    """

    elements: Integers
    mu: Floats
    residual: Complexes
    rms_percent: Floats
    noise_percent: Floats
    systematic_percent: Floats
    largest_percent: Floats
    fails: Bools
    reason: Texts


def kramers_kronig(spectra: Spectra, limit_percent: float = 0.4) -> KramersKronig:
    """Test spectra.

    With the residuals r (real and imaginary parts, N numbers): rms^2 = mean r^2; noise^2 = half the
    mean squared difference of neighbours in frequency (von Neumann et al., Ann. Math. Stat. 12
    (1941) 153), which a slow pattern hardly touches; systematic^2 = rms^2 - noise^2.

    A spectrum fails if

    - systematic > `limit_percent`, and the correlation between neighbours, 1 - noise^2 / rms^2,
      exceeds 3 / sqrt(N): three standard deviations of what noise alone gives; or
    - one |residual| is above 5 % and above six times the noise, by the median of |residual|.

    The rates behind 0.4 % and the rest stand in tests/evaluate/impedance/test_kramers_kronig.py.

    Parameters
    ----------
    limit_percent
        Of |Z|.

    Notes
    -----
    Needed: ten points, and as many points as the fit has coefficients (27 over seven decades).

    What it finds, in noise of 1 % at 71 points over seven decades: a drift of 2 % or more per
    decade of time if each point takes as many cycles (always), a loss of a third of the resistance
    during the sweep (always), of a fifth (3 in 4), a step of 5 % (4 in 5), a point off by 15 %
    (always). What it does not: what a still film could show as well, such as a phase that is off by
    0.3 degrees throughout, or a drift below 1 % per decade. With 36 points it finds less.
    """
    test = _untested(spectra)
    for rows, least, most in _batches(spectra, test.reason):
        points = int(spectra.points[rows[0]])
        z = spectra.z_ohm_cm2[rows, :points]
        omega = 2 * np.pi * spectra.frequency_hz[rows, :points]
        if (omega == omega[0]).all():
            omega = omega[:1]
        elements, mu, residual = _search(omega, z, least, most)
        test.elements[rows], test.mu[rows] = elements, mu
        test.residual[rows, :points] = residual
    _judge(test, spectra.points, limit_percent)
    return test


def _untested(spectra: Spectra) -> KramersKronig:
    count = len(spectra)
    low, high = spectra.range_hz
    needed = np.maximum(_least_elements(spectra) + 2, LEAST_POINTS)
    reason = texts(
        [
            f"{points} points from {a:.4g} to {b:.4g} Hz are too few for the test: {n} are needed"
            if 0 < points < n
            else why
            for points, n, a, b, why in zip(
                spectra.points, needed, low, high, spectra.reason, strict=True
            )
        ]
    )
    return KramersKronig(
        elements=np.zeros(count, dtype=np.int64),
        mu=np.full(count, np.nan),
        residual=np.full(spectra.z_ohm_cm2.shape, complex(np.nan, np.nan)),
        rms_percent=np.full(count, np.nan),
        noise_percent=np.full(count, np.nan),
        systematic_percent=np.full(count, np.nan),
        largest_percent=np.full(count, np.nan),
        fails=np.zeros(count, dtype=np.bool_),
        reason=reason,
    )


def _decades(spectra: Spectra) -> Floats:
    low, high = spectra.range_hz
    usable = spectra.points > 0
    ratio = np.where(usable, high, 1.0) / np.where(usable, low, 1.0)
    found: Floats = np.log10(ratio) + 2 * BEYOND_DECADES
    return found


def _least_elements(spectra: Spectra) -> Integers:
    # 1e-4 decades more or less, from rounding in an export, are not to give another element
    return np.ceil(LEAST_PER_DECADE * _decades(spectra) - 1e-3).astype(np.int64) + 1


def _batches(spectra: Spectra, reason: Texts) -> Iterator[tuple[Integers, int, int]]:
    """Yield rows with equally many points and elements, those with one frequency grid together."""
    least = _least_elements(spectra)
    most = np.floor(MOST_PER_DECADE * _decades(spectra)).astype(np.int64) + 1
    most = np.maximum(np.minimum(most, spectra.points - 2), least)
    grids: dict[bytes, list[int]] = {}
    for n in np.flatnonzero(reason == ""):
        grids.setdefault(spectra.frequency_hz[n, : spectra.points[n]].tobytes(), []).append(int(n))
    groups = [rows for rows in grids.values() if len(rows) >= SHARED_FROM]
    single: dict[tuple[int, int, int], list[int]] = {}
    for rows in grids.values():
        if len(rows) < SHARED_FROM:
            alike = (int(spectra.points[rows[0]]), int(least[rows[0]]), int(most[rows[0]]))
            single.setdefault(alike, []).extend(rows)
    for rows in [*groups, *single.values()]:
        points, first, last = (int(one[rows[0]]) for one in (spectra.points, least, most))
        size = max(1, BATCH_NUMBERS // (2 * points * (last + 2)))
        for start in range(0, len(rows), size):
            yield np.array(rows[start : start + size]), first, last


def _search(
    omega: Floats, z: Complexes, least: int, most: int
) -> tuple[Integers, Floats, Complexes]:
    """Return the number of elements, mu and the residuals: the first number with mu < 0.85."""
    count = len(z)
    elements = np.zeros(count, dtype=np.int64)
    mu, residual = np.full(count, np.nan), np.empty(z.shape, dtype=np.complex128)
    left = np.arange(count)
    for number in range(least, most + 1):
        grid = omega if len(omega) == 1 else omega[left]
        mu_now, residual_now = fit_admittance(grid, z[left], number)
        elements[left], mu[left], residual[left] = number, mu_now, residual_now
        left = left[mu_now >= MU_LIMIT]
        if not len(left):
            break
    return elements, mu, residual


def fit_admittance(omega: Floats, z: Complexes, elements: int) -> tuple[Floats, Complexes]:
    """Fit the sum of admittances with a given number of elements.

    Weighted linear least squares by the normal equations, columns scaled to length one: the
    condition number stays near 1e5 up to five elements a decade, so its square leaves five digits.

    Parameters
    ----------
    omega
        (1, m) or (n, m), rad/s, ascending: one grid for all spectra, or one each.
    z
        (n, m), ohm cm2, none zero.
    elements
        Number of time constants, 2 or more.

    Returns
    -------
    mu, residual
        (n,), and (n, m) complex: (Z - fit) / |Z|.
    """
    columns = _columns(omega, elements)
    z = z / np.abs(z).max(axis=1, keepdims=True)
    y = 1 / z
    weight = np.abs(z) ** 2  # of squares: 1 / |Y|^2
    gram = _gram(columns, weight)
    right = _right(columns, weight, y)
    length = np.sqrt(np.einsum("npp->np", gram))
    scaled = gram / (length[:, :, None] * length[:, None, :])
    solution = _solved(scaled, right / length) / length
    fitted = np.matmul(solution[:, None, :], columns.transpose(0, 2, 1))[:, 0, :]
    inner = solution[:, 1 : elements + 1]
    below, above = np.where(inner < 0, -inner, 0).sum(1), np.where(inner > 0, inner, 0).sum(1)
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        mu = np.where(above > 0, 1 - below / np.where(above > 0, above, 1.0), -np.inf)
        return mu, (z - 1 / fitted) / np.abs(z)


def _solved(matrix: Floats, right: Floats) -> Floats:
    column = right[:, :, None]
    try:
        found = np.linalg.solve(matrix, column)
    except np.linalg.LinAlgError:  # singular: what no film gives; the smallest solution will do
        found = np.matmul(np.linalg.pinv(matrix, rcond=1e-12, hermitian=True), column)
    return np.asarray(found[:, :, 0], dtype=np.float64)


def _columns(omega: Floats, elements: int) -> Complexes:
    """Return (1 or n, m, elements + 2): conductance, elements, capacitance."""
    reach = 10**BEYOND_DECADES
    shortest, longest = 1 / (omega[:, -1] * reach), reach / omega[:, 0]
    share = np.linspace(0, 1, elements)
    tau = shortest[:, None] * (longest / shortest)[:, None] ** share
    turn = 1j * omega[:, :, None] * tau[:, None, :]
    whole = np.ones((*omega.shape, 1), dtype=np.complex128)
    # the capacitance over the highest frequency, so that no column is very small
    scaled = 1j * (omega / omega[:, -1:])[:, :, None]
    return np.concatenate([whole, turn / (1 + turn), scaled], axis=2)


def _gram(columns: Complexes, weight: Floats) -> Floats:
    """Return (n, p, p): sum over points of weight times column times column, both parts."""
    count = columns.shape[2]
    if len(columns) > 1:
        both = np.concatenate([columns.real, columns.imag], axis=1)
        doubled = np.concatenate([weight, weight], axis=1)
        one_each: Floats = np.matmul(both.transpose(0, 2, 1), doubled[:, :, None] * both)
        return one_each
    products = np.einsum("mp,mq->mpq", columns[0], columns[0].conj()).real
    gram: Floats = (weight @ products.reshape(len(products), -1)).reshape(-1, count, count)
    return gram


def _right(columns: Complexes, weight: Floats, y: Complexes) -> Floats:
    weighted = (weight * y)[:, None, :]
    found: Floats = np.matmul(weighted, columns.conj())[:, 0, :].real
    return found


def _judge(test: KramersKronig, points: Integers, limit_percent: float) -> None:
    """Fill in the numbers and the verdict of what was tested."""
    tested = np.flatnonzero(test.elements > 0)
    if not len(tested):
        return
    residual = 100 * test.residual[tested]
    count = points[tested]
    squares = np.nansum(np.abs(residual) ** 2, axis=1) / (2 * count)
    steps = np.nansum(np.abs(np.diff(residual, axis=1)) ** 2, axis=1) / (4 * (count - 1))
    systematic = np.sqrt(np.maximum(squares - steps, 0.0))
    size = np.abs(residual)
    largest = np.nanmax(size, axis=1)
    # for normal noise of standard deviation s in both parts the median of |r| is s sqrt(2 ln 2)
    noise = np.nanmedian(size, axis=1) / np.sqrt(2 * np.log(2))
    goes_on = squares - steps > PATTERN_SIGNIFICANCE / np.sqrt(2 * count) * squares
    outlier = (largest > OUTLIER_PERCENT) & (largest > OUTLIER_DEVIATIONS * noise)
    test.rms_percent[tested] = np.sqrt(squares)
    test.noise_percent[tested] = np.sqrt(steps)
    test.systematic_percent[tested] = systematic
    test.largest_percent[tested] = largest
    test.fails[tested] = ((systematic > limit_percent) & goes_on) | outlier | ~np.isfinite(largest)


def kramers_kronig_rows(
    spectra: Spectra, test: KramersKronig, limit_percent: float
) -> pd.DataFrame:
    """Return the results of this module: a row a spectrum for each of the quantities.

    kramers_kronig_passes (1 or 0), and in percent of |Z| kramers_kronig_rms,
    kramers_kronig_systematic, kramers_kronig_largest.
    """
    passes = np.where(test.elements > 0, np.where(test.fails, 0.0, 1.0), np.nan)
    method = (
        "linear Kramers-Kronig test, admittance form (Boukamp 1995; Schoenleber et al. 2014); "
        f"fails above {limit_percent:g} % systematic residual that noise does not explain, or with "
        f"a point off by more than {OUTLIER_PERCENT:g} % and {OUTLIER_DEVIATIONS:g} times the noise"
    )
    parts = [
        rows_of(
            spectra,
            f"kramers_kronig_{name}",
            value,
            unit,
            reason=test.reason,
            n=spectra.points,
            condition=texts([f"{one} elements" if one else "" for one in test.elements]),
            method=method,
        )
        for name, value, unit in (
            ("passes", passes, "1"),
            ("rms", test.rms_percent, "% of |Z|"),
            ("systematic", test.systematic_percent, "% of |Z|"),
            ("largest", test.largest_percent, "% of |Z|"),
        )
    ]
    return together(parts)
