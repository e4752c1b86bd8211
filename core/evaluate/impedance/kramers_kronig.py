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
0.85 (Schoenleber, Klotz and Ivers-Tiffee, Electrochim. Acta 131 (2014) 20: the limit as public
programs that cite it have it, the sum in mu from memory). Two things are ours, each with its
reason, measured on 23 sorts of causal circuit over seven decades:

- counting starts at 3 elements per decade, not at one: over seven decades of modulus, mu falls
  below 0.85 by chance at three elements, and films with pores then leave residuals of 10 to 40 %.
  From 3 per decade on they leave 0.08 % rms at most, 2000 random films 0.14 %.
- tau reaches half a decade beyond the measured frequencies at both ends. Without, the points at the
  ends leave residuals of up to 1 %.

What the test judges is left by a second fit, in which each point weighs by the noise that the first
one left around it: few instruments are as exact at 0.01 Hz as at 10 kHz, and the few loud points
would otherwise pass for a pattern.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr, stdtrit

from tiecoat.evaluate.impedance.kramers_kronig_fit import (
    BEYOND_DECADES,
    fit_admittance,
    fit_by_noise,
)
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
LEAST_POINTS = 10
PATTERN_SIGNIFICANCE = 3.0  # standard deviations of the correlation between neighbours
CHANGE_SIGNIFICANCE = 3.5  # standard deviations of a normal distribution; Student's t is used
CHANGE_PERCENT = 5.0
OUTLIER_DEVIATIONS = 4.5  # of the noise around the point
OUTLIER_MEDIANS = 6.0  # of the noise of all points
OUTLIER_PERCENT = 5.0
NORMAL_95 = 1.96
BATCH_NUMBERS = 4_000_000  # of a design matrix for a batch: 32 MB
SHARED_FROM = 8  # spectra with one frequency grid; fewer do not pay for their own pass
# Of what loss of resistance during a sweep 9 of 10 are found: it raises the conductance at the
# lowest frequency by the least change that counts and so many of its standard errors. Measured with
# films that conduct and films with pores, even noise of 0.3 to 3 % and noise that grows or falls,
# over 4 to 7 decades: found in 0.89 to 1.00, if there are so many numbers for each coefficient and
# the loss is no larger than this; else in 0.01 to 1, since the fit takes it for the film or noise.
SEEN_ERRORS = 12.0
NUMBERS_FOR_POWER = 3.5  # a coefficient; 48 points over seven decades
MOST_LOSS = 0.6
FAILS = "fails the Kramers-Kronig test"
ANY_BY_POINTS = "proves little: with so few points any loss of resistance during the sweep may pass"
ANY_BY_NOISE = "proves little: in this noise any loss of resistance during the sweep may pass"


@dataclass(frozen=True)
class KramersKronig:
    """The test of n spectra.

    Parameters
    ----------
    elements, mu
        (n,) number of elements, 0 where not tested, and the criterion reached.
    residual
        (n, m) complex, (Z - fit) / |Z|; NaN where there is no point or no test.
    noise
        (n, m) standard deviation of its parts around each point; NaN likewise.
    rms_percent
        (n,) root mean square of the real and imaginary residuals.
    systematic_percent
        (n,) the part of it that goes on from point to point.
    change_percent, change_error
        (n,) by how much the conductance rose during the sweep, of 1 / max |Z|, and its standard
        error.
    largest_percent
        (n,) largest |residual|.
    seen_loss
        (n,) which share of the film's resistance, lost during the sweep, would be found in 9 of 10;
        NaN where none would.
    fails
        (n,) the verdict; False where not tested.
    reason
        (n,) why it was not tested, else "".
    """

    elements: Integers
    mu: Floats
    residual: Complexes
    noise: Floats
    rms_percent: Floats
    systematic_percent: Floats
    change_percent: Floats
    change_error: Floats
    largest_percent: Floats
    seen_loss: Floats
    fails: Bools
    reason: Texts


def kramers_kronig(spectra: Spectra, limit_percent: float = 0.4) -> KramersKronig:
    """Test spectra.

    With the residuals r of the second fit (real and imaginary parts, N numbers), over the noise s
    around each point: systematic^2 = mean product of neighbouring r; correlation = that over the
    mean of r^2, or the same of r/s where that is less. Beside it the fit is made with one more
    coefficient, a conductance that rose during the sweep (see `kramers_kronig_fit`).

    A spectrum fails if

    - systematic > `limit_percent`, and the correlation exceeds 3 / sqrt(N): three standard
      deviations of what noise alone gives; or
    - the conductance changed by more than 5 % of 1 / max |Z| and by 3.5 of its standard errors; or
    - one |residual| is above 5 %, above 4.5 times the noise around it and above six times that of
      all points, by the median of |residual|.

    Parameters
    ----------
    limit_percent
        Of |Z|.

    Notes
    -----
    Needed: ten points, and as many points as the fit has coefficients (27 over seven decades).

    Stated rate of false alarms: 1 % at most, for noise of 0.1 to 5 % in both parts that may grow or
    fall over the decades. Measured on 4600 causal spectra each: 0 to 0.8 %; the rates stand in
    tests/evaluate/impedance/test_kramers_kronig.py.

    What it finds at 71, 36 and 29 points over seven decades, in noise of 1 % in both parts: a loss
    of 30 % of the resistance during a sweep of three cycles a point, in 100, 80 and 45 %; a point
    off by 15 % in 100, 65 and 15 %; a drift of 5 % per decade always. Where the noise grows to 3 %
    at the lowest frequency, it finds that loss in 80 % at 71 points, in 25 % at 36 and 10 % at 29.

    What it does not find: **a capacitance that drifts**, where the film conducts at the lowest
    frequencies (a fifth more is found in no such film, in half of those that block); what changed
    before the lowest frequencies were measured; a phase that is off by 0.3 degrees throughout. That
    a spectrum passes proves no film still.
    """
    test = _untested(spectra)
    for rows, least, most in _batches(spectra, test.reason):
        points = int(spectra.points[rows[0]])
        z = spectra.z_ohm_cm2[rows, :points]
        omega = 2 * np.pi * spectra.frequency_hz[rows, :points]
        if (omega == omega[0]).all():
            omega = omega[:1]
        elements, mu, residual = _search(omega, z, least, most)
        found = fit_by_noise(omega, z, elements, residual)
        test.elements[rows], test.mu[rows] = elements, mu
        test.residual[rows, :points] = found.residual
        test.noise[rows, :points] = found.noise
        test.change_percent[rows] = 100 * found.change
        test.change_error[rows] = 100 * found.change_error
    _judge(test, spectra.points, limit_percent)
    test.seen_loss[:] = _seen_loss(test, spectra)
    return test


def _enough_points(test: KramersKronig, points: Integers) -> Bools:
    found: Bools = 2 * points >= NUMBERS_FOR_POWER * (test.elements + 2)
    return found


def _seen_loss(test: KramersKronig, spectra: Spectra) -> Floats:
    """Return which loss of resistance the test finds in 9 of 10 spectra as noisy as each is.

    A resistance that falls by the share L raises the conductance g at the lowest frequency, in
    1 / max |Z|, by g L / (1 - L): it is seen where that is c = 5 % and 12 standard errors of the
    change, at L = c / (c + g).
    """
    if not len(spectra) or not spectra.z_ohm_cm2.shape[1]:
        return np.full(len(spectra), np.nan)
    z = spectra.z_ohm_cm2
    with np.errstate(invalid="ignore", divide="ignore"):
        largest = np.where(np.isfinite(z), np.abs(z), 0.0).max(axis=1)
        conductance = (1 / z[:, 0]).real * largest
        rise = (CHANGE_PERCENT + SEEN_ERRORS * test.change_error) / 100
        loss = rise / (rise + conductance)
        told = (test.elements > 0) & _enough_points(test, spectra.points) & (loss <= MOST_LOSS)
    found: Floats = np.where(told & (conductance > 0), loss, np.nan)
    return found


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
        noise=np.full(spectra.z_ohm_cm2.shape, np.nan),
        rms_percent=np.full(count, np.nan),
        systematic_percent=np.full(count, np.nan),
        change_percent=np.full(count, np.nan),
        change_error=np.full(count, np.nan),
        largest_percent=np.full(count, np.nan),
        seen_loss=np.full(count, np.nan),
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


def _judge(test: KramersKronig, points: Integers, limit_percent: float) -> None:
    """Fill in the numbers and the verdict of what was tested."""
    tested = np.flatnonzero(test.elements > 0)
    if not len(tested):
        return
    residual, noise = 100 * test.residual[tested], 100 * test.noise[tested]
    count = points[tested]
    size = np.abs(residual)
    largest = np.nanmax(size, axis=1)
    goes_on = _mean_pair(residual, count) / 2
    systematic = np.sqrt(np.maximum(goes_on, 0.0))
    with np.errstate(invalid="ignore"):  # what is not finite fails anyhow
        in_noise = residual / noise
    correlation = np.minimum(_correlation(residual, count), _correlation(in_noise, count))
    pattern = (systematic > limit_percent) & (
        correlation > PATTERN_SIGNIFICANCE / np.sqrt(2 * count)
    )
    change = np.abs(test.change_percent[tested])
    freedom = np.maximum(2 * count - test.elements[tested] - 2, 1)
    beyond = stdtrit(freedom, ndtr(CHANGE_SIGNIFICANCE)) * test.change_error[tested]
    changed = (change > CHANGE_PERCENT) & (change > beyond)
    # for normal noise of standard deviation s in both parts the median of |r| is s sqrt(2 ln 2)
    usual = np.nanmedian(size, axis=1, keepdims=True) / np.sqrt(2 * np.log(2))
    above = np.fmax(OUTLIER_DEVIATIONS * noise, OUTLIER_MEDIANS * usual)
    outlier = (size > np.fmax(OUTLIER_PERCENT, above)).any(axis=1)
    test.rms_percent[tested] = np.sqrt(np.nansum(size**2, axis=1) / (2 * count))
    test.systematic_percent[tested] = systematic
    test.largest_percent[tested] = largest
    test.fails[tested] = pattern | changed | outlier | ~np.isfinite(largest)


def _mean_pair(residual: Complexes, points: Integers) -> Floats:
    """Return the mean product of neighbours, both parts added."""
    pairs = (residual[:, 1:] * residual[:, :-1].conj()).real
    found: Floats = np.nansum(pairs, axis=1) / (points - 1)
    return found


def _correlation(residual: Complexes, points: Integers) -> Floats:
    """Return the correlation between neighbours."""
    found: Floats = _mean_pair(residual, points) * points / np.nansum(np.abs(residual) ** 2, axis=1)
    return found


def kramers_kronig_rows(
    spectra: Spectra, test: KramersKronig, limit_percent: float
) -> pd.DataFrame:
    """Return the results of this module: a row a spectrum for each of the quantities.

    kramers_kronig_passes (1 or 0), which says what may have passed; in percent of |Z|
    kramers_kronig_rms, kramers_kronig_systematic, kramers_kronig_largest; in percent of 1 / max |Z|
    kramers_kronig_change, with standard error and 95 % interval; in percent of the film's
    resistance kramers_kronig_seen_loss, which lost during the sweep would be found in 9 of 10.
    """
    passes = np.where(test.elements > 0, np.where(test.fails, 0.0, 1.0), np.nan)
    method = (
        "linear Kramers-Kronig test, admittance form (Boukamp 1995; Schoenleber et al. 2014); "
        f"fails above {limit_percent:g} % systematic residual that noise does not explain, with a "
        f"point off by more than {OUTLIER_PERCENT:g} % and {OUTLIER_DEVIATIONS:g} times the noise, "
        f"or a conductance that changed by more than {CHANGE_PERCENT:g} % and "
        f"{CHANGE_SIGNIFICANCE:g} standard errors; a drifting capacitance need not show"
    )
    none = np.full(len(spectra), np.nan)
    seen = 100 * test.seen_loss
    any_loss = np.where(_enough_points(test, spectra.points), ANY_BY_NOISE, ANY_BY_POINTS)
    may_pass = [
        ""
        if one != 1
        else f"a loss of less than {loss:.0f} % of the film's resistance during the sweep may pass"
        if loss > 0
        else str(any_)
        for one, loss, any_ in zip(passes, seen, any_loss, strict=True)
    ]
    parts = [
        rows_of(
            spectra,
            f"kramers_kronig_{name}",
            value,
            unit,
            reason=np.where((test.reason == "") & np.isnan(value), any_loss, test.reason),
            flags=texts(may_pass) if name == "passes" else None,
            n=spectra.points,
            condition=texts([f"{one} elements" if one else "" for one in test.elements]),
            method=method,
            standard_error=known,
            low=value - NORMAL_95 * known,
            high=value + NORMAL_95 * known,
        )
        for name, value, unit, known in (
            ("passes", passes, "1", none),
            ("rms", test.rms_percent, "% of |Z|", none),
            ("systematic", test.systematic_percent, "% of |Z|", none),
            ("largest", test.largest_percent, "% of |Z|", none),
            ("change", test.change_percent, "% of 1 / max |Z|", test.change_error),
            ("seen_loss", seen, "%", none),
        )
    ]
    return together(parts)
