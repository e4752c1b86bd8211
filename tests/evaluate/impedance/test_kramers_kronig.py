"""The Kramers-Kronig test: beside a plain reference, and its rates of false and missed alarms."""

from __future__ import annotations

import films
import numpy as np
import pytest
from films import (
    CIRCUITS,
    SWEEP_HZ,
    Q,
    R,
    drifting,
    frame_of,
    impedance,
    noisy,
    parallel,
    series,
)
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm
from scipy.stats import t as student

from tiecoat.contract.choices import Choices
from tiecoat.evaluate.impedance.impedance import compute
from tiecoat.evaluate.impedance.kramers_kronig import (
    FAILS,
    MU_LIMIT,
    KramersKronig,
    kramers_kronig,
)
from tiecoat.evaluate.impedance.spectra import spectra_of

THIN_HZ = np.logspace(-2, 5, 36)


def plain_test(
    hz: films.Floats, z: films.Complexes, limit_percent: float = 0.4
) -> tuple[int, float, films.Complexes, bool]:
    """One spectrum by the book: a design matrix, numpy's least squares, one more element, again."""
    omega, decades = 2 * np.pi * hz, np.log10(hz[-1] / hz[0]) + 1
    least = int(np.ceil(3 * decades - 1e-3)) + 1
    most = max(least, min(int(np.floor(5 * decades)) + 1, len(hz) - 2))
    for count in range(least, most + 1):
        tau = np.logspace(np.log10(10**-0.5 / omega[-1]), np.log10(10**0.5 / omega[0]), count)
        columns = [np.ones(len(hz)) + 0j]
        columns += [1j * omega * t / (1 + 1j * omega * t) for t in tau]
        columns += [1j * omega / omega[-1]]
        design = np.array(columns).T * np.abs(z)[:, None]
        wanted = np.abs(z) / z
        x = np.linalg.lstsq(
            np.vstack([design.real, design.imag]), np.r_[wanted.real, wanted.imag], rcond=None
        )[0]
        inner = x[1:-1]
        mu = 1 - np.abs(inner[inner < 0]).sum() / inner[inner >= 0].sum()
        if mu < MU_LIMIT:
            break
    first = (z - 1 / (np.array(columns).T @ x)) / np.abs(z)
    noise = plain_noise(first, count)
    residual, _, _ = weighted(np.array(columns).T, z, noise)
    noise_left = plain_noise(residual, count)
    _, change, error = weighted(np.array([*columns, omega[0] / omega]).T, z, noise)
    error *= max(np.median(noise) / noise[0], 1)
    changed = (
        abs(change) > 0.05
        and abs(change) > student.ppf(norm.cdf(3.5), 2 * len(hz) - count - 2) * error
    )
    pairs = np.array(
        [residual[:-1].real * residual[1:].real, residual[:-1].imag * residual[1:].imag]
    )
    in_noise = pairs / noise_left[:-1] / noise_left[1:]
    pattern = max(pairs.mean(), 0) ** 0.5 > 0.01 * limit_percent
    squares = (np.abs(residual / noise_left) ** 2).mean() / 2
    size = np.abs(residual)
    correlation = min(in_noise.mean() / squares, pairs.mean() / ((size**2).mean() / 2))
    goes_on = correlation > 3 / np.sqrt(2 * len(hz))
    usual = np.median(size) / np.sqrt(2 * np.log(2))
    off = ((size > 0.05) & (size > 4.5 * noise_left) & (size > 6 * usual)).any()
    return count, float(mu), residual, bool((pattern and goes_on) or changed or off)


def plain_noise(residual: films.Complexes, count: int) -> films.Floats:
    """The noise around each point: a parabola through the logarithms of squared steps."""
    place = np.linspace(-1, 1, len(residual))
    between = (place[1:] + place[:-1]) / 2
    y = np.log(np.maximum(np.abs(np.diff(residual)) ** 2 / 4, 4e-8)) + 0.5772156649015329
    for _ in range(3):
        y = np.minimum(y, np.polyval(np.polyfit(between, y, 2), between) + 1)
    taken = 1 - (count + 2) / (2 * len(residual))
    variance = np.exp(np.polyval(np.polyfit(between, y, 2), place)) / taken
    return np.asarray(np.sqrt(variance + 4e-6))


def weighted(
    columns: films.Complexes, z: films.Complexes, noise: films.Floats
) -> tuple[films.Complexes, float, float]:
    """Weighted least squares: the residual, the last coefficient over 1 / max |Z|, its error."""
    weight = np.abs(z) / noise
    design = columns * weight[:, None]
    length = np.linalg.norm(design, axis=0)
    matrix = np.vstack([(design / length).real, (design / length).imag])
    right = np.r_[(weight / z).real, (weight / z).imag]
    x = np.linalg.lstsq(matrix, right, rcond=None)[0] / length
    error = np.linalg.norm(np.linalg.pinv(matrix)[-1]) / length[-1]
    residual = (z - 1 / (columns @ x)) / np.abs(z)
    return residual, float(x[-1] * np.abs(z).max()), float(error * np.abs(z).max())


def verdict_on(*spectra: tuple[films.Floats, films.Complexes]) -> KramersKronig:
    """Test spectra in one go."""
    return kramers_kronig(spectra_of(frame_of(spectra)))


def test_many_at_once_are_as_one_by_one() -> None:
    """Number of elements, mu, residuals and verdict are those of a plain loop over spectra.

    Residuals agree to 1e-6 of |Z|: normal equations leave about half the digits of a double at a
    condition number of 1e4. One frequency grid for many, one each, and other lengths all occur.
    """
    rng = np.random.default_rng(7)
    spectra = []
    for n, circuit in enumerate(CIRCUITS.values()):
        own = np.sort(SWEEP_HZ * np.exp(0.01 * rng.normal(size=71)))
        for hz in (SWEEP_HZ, own, own[5 : 60 - n % 7], THIN_HZ):
            z = noisy(impedance(circuit, hz), rng)
            spectra.append((hz, drifting(z, 0.05, hz) if n % 3 == 0 else z))
    found = verdict_on(*spectra)
    for row, (hz, z) in enumerate(spectra):
        count, mu, residual, fails = plain_test(hz, z * films.AREA_CM2)
        assert found.elements[row] == count
        assert found.mu[row] == pytest.approx(mu, rel=1e-5, abs=1e-5)
        assert found.residual[row, : len(hz)] == pytest.approx(residual, abs=1e-6)
        assert found.fails[row] == fails


@pytest.mark.parametrize("hz", [SWEEP_HZ, THIN_HZ], ids=["71 points", "36 points"])
def test_causal_films_pass_and_leave_next_to_nothing(hz: films.Floats) -> None:
    """Without noise every circuit passes, with less than 0.08 % rms and 0.25 % at a point."""
    found = verdict_on(*[(hz, impedance(circuit, hz)) for circuit in CIRCUITS.values()])
    assert not found.fails.any()
    assert found.rms_percent.max() < 0.08
    assert found.largest_percent.max() < 0.25


def test_any_film_passes() -> None:
    """1000 random films with pores leave at most 0.14 % rms, a third of the limit."""
    rng = np.random.default_rng(5)
    spectra = []
    for _ in range(1000):
        leak, charge = 10 ** rng.uniform(4, 11, 2)
        n_film, n_ground = rng.uniform(0.8, 1, 2)
        film = Q(10 ** rng.uniform(-11, -8), n_film)
        ground = parallel(Q(10 ** rng.uniform(-10, -4), n_ground), R(charge))
        circuit = series(R(10 ** rng.uniform(0, 3)), parallel(film, series(R(leak), ground)))
        spectra.append((SWEEP_HZ, impedance(circuit)))
    found = verdict_on(*spectra)
    assert not found.fails.any()
    assert found.rms_percent.max() < 0.14


@pytest.mark.every(4)
@pytest.mark.parametrize("share", [0.001, 0.01, 0.03], ids=["0.1 %", "1 %", "3 %"])
@pytest.mark.parametrize("points", [71, 36, 29])
def test_noise_is_no_alarm(share: float, points: int) -> None:
    """Of 1150 causal spectra with noise in both parts next to none fail.

    Measured, of 4600 each: at 1 % none with 71 and 36 points and 1 with 29; at 3 % 1, 2 and 17.
    """
    most = 10 if share > 0.01 else 1 if points < 36 else 0
    rng = np.random.default_rng(11)
    hz = np.logspace(-2, 5, points)
    spectra = []
    for circuit in CIRCUITS.values():
        for _ in range(50):
            both = rng.normal(size=points) + 1j * rng.normal(size=points)
            spectra.append((hz, impedance(circuit, hz) * (1 + share * both)))
    assert verdict_on(*spectra).fails.sum() <= most


@pytest.mark.parametrize("points", [71, 36, 29])
@pytest.mark.parametrize(
    "name", ["film 1e9", "film 1e5", "blocking, exponent 0.97", "corroding pores", "bare steel"]
)
def test_drift_fails(name: str, points: int) -> None:
    """A film that changes by 5 % per decade of time fails every time, in 1 % noise.

    Measured: 3 % per decade always, 2 % in 91 to 100 %, 1 % in 1 to 11 %. Where a point takes three
    cycles and a second at least, the upper decades take no time: 5 % per decade of that clock is
    found in 76 to 93 % at 71 points, in 24 to 51 % below; 10 % always.
    """
    rng = np.random.default_rng(13)
    hz = np.logspace(-2, 5, points)
    z = impedance(CIRCUITS[name], hz)
    found = verdict_on(*[(hz, noisy(drifting(z, 0.05, hz), rng)) for _ in range(40)])
    assert found.fails.all()


def test_a_film_that_loses_a_third_of_its_resistance_fails() -> None:
    """Even if the loss is steady over an hour, and so shows at the lowest frequencies only.

    Three cycles a point and a second at least. Measured: a loss of 20 % is found in 72 to 81 %, one
    of 10 % in 0 to 1 %.
    """
    rng = np.random.default_rng(17)
    gone = np.cumsum(np.maximum(3 / SWEEP_HZ, 1.0)[::-1])[::-1]
    ohm = 1e9 * 0.67 ** (gone / gone.max())
    z = 30 + 1 / (2j * np.pi * SWEEP_HZ * 3e-10 + 1 / ohm)
    assert verdict_on(*[(SWEEP_HZ, noisy(z, rng)) for _ in range(50)]).fails.all()


def test_one_wrong_point_fails() -> None:
    """A point that is off by 15 % in 1 % noise, such as one on the mains frequency, is found."""
    rng = np.random.default_rng(19)
    spectra = []
    for place in range(2, 69):
        z = noisy(impedance(CIRCUITS["film 1e8"]), rng)
        z[place] *= 1.15
        spectra.append((SWEEP_HZ, z))
    assert verdict_on(*spectra).fails.all()


def test_too_few_points_are_told() -> None:
    """What cannot be tested is no pass and no failure, and the number of points needed is told."""
    found = verdict_on(
        (np.logspace(-2, 5, 15), impedance(CIRCUITS["film 1e8"], np.logspace(-2, 5, 15)))
    )
    assert np.isnan(found.rms_percent[0])
    assert not found.fails[0]
    assert found.reason[0] == (
        "15 points from 0.01 to 1e+05 Hz are too few for the test: 27 are needed"
    )


def test_every_later_result_says_that_it_failed() -> None:
    """The results of a spectrum that fails are flagged, those of its neighbour are not."""
    good = impedance(CIRCUITS["film 1e8"])
    frame = frame_of([(SWEEP_HZ, good), (SWEEP_HZ, drifting(good, 0.1))], exposure_h=[1.0, 24.0])
    found = compute({"impedance": frame}, Choices())
    of_bad = found[found["measurement"] == "m0001"]
    assert len(of_bad) > 10
    assert of_bad["flags"].map(lambda flags: FAILS in flags).all()
    assert not found[found["measurement"] == "m0000"]["flags"].map(lambda f: FAILS in f).any()
    pooled = found[(found["quantity"] == "modulus_decline") & (found["panel"] != "")]
    assert "1 of 2 spectra: fails the Kramers-Kronig test" in pooled["flags"].iloc[0]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.floats(-5, 7),
            st.floats(-20, 20),
            st.floats(-180, 180),
        ),
        min_size=10,
        max_size=40,
        unique_by=lambda point: point[0],
    )
)
def test_no_numbers_break_it(points: list[tuple[float, float, float]]) -> None:
    """Any impedance over any frequencies gets a verdict or a reason, without a warning."""
    lg_hz, lg_ohm, degrees = np.array(sorted(points)).T
    z = 10**lg_ohm * np.exp(1j * np.radians(degrees))
    found = verdict_on((10**lg_hz, z))
    assert found.fails[0] or found.reason[0] or np.isfinite(found.rms_percent[0])


def test_results_are_to_the_last_bit_those_of_few() -> None:
    """A batch alone, or among hundreds, on one processor or several: the same numbers."""
    rng = np.random.default_rng(11)
    circuits = [*CIRCUITS.values()] * 40
    spectra = [(SWEEP_HZ, noisy(impedance(circuit), rng)) for circuit in circuits]
    among = verdict_on(*spectra)
    for first in (0, 3, len(spectra) - 3):
        few = verdict_on(*spectra[first : first + 3])
        for name in ("mu", "residual", "noise", "change_percent", "change_error", "seen_loss"):
            there = getattr(among, name)[first : first + 3]
            np.testing.assert_array_equal(there, getattr(few, name), strict=True)


@pytest.mark.thorough
@settings(max_examples=30, deadline=None)
@given(st.sampled_from(sorted(CIRCUITS)), st.floats(-6, 6), st.integers(0, 1000))
def test_size_and_company_do_not_matter(name: str, lg_factor: float, seed: int) -> None:
    """The verdict does not depend on the size of the impedance nor on the spectra beside it."""
    z = noisy(impedance(CIRCUITS[name]), np.random.default_rng(seed))
    alone = verdict_on((SWEEP_HZ, z))
    others = [(SWEEP_HZ, impedance(circuit)) for circuit in CIRCUITS.values()]
    among = verdict_on(*others, (SWEEP_HZ, 10**lg_factor * z))
    assert among.rms_percent[-1] == pytest.approx(alone.rms_percent[0], rel=1e-4)
    assert among.elements[-1] == alone.elements[0]
    assert among.fails[-1] == alone.fails[0]


def growing_noise(hz: films.Floats, low: float, high: float) -> films.Floats:
    """Noise of one share at the lowest frequency and another at the highest, even in logarithms."""
    return np.asarray(np.geomspace(low, high, len(hz)))


def with_noise(
    z: films.Complexes, share: films.Floats | float, rng: np.random.Generator
) -> films.Complexes:
    """Return with normal noise of a share of |Z| in both parts."""
    changed: films.Complexes = z * (
        1 + share * (rng.normal(size=z.shape) + 1j * rng.normal(size=z.shape))
    )
    return changed


@pytest.mark.every(4)
@pytest.mark.campaign
@pytest.mark.parametrize("points", [71, 36, 29])
@pytest.mark.parametrize(
    ("low", "high"),
    [(0.03, 0.003), (0.05, 0.001), (0.05, 0.05), (0.01, 0.001), (0.001, 0.05)],
    ids=["0.3 to 3 %", "0.1 to 5 %", "5 %", "0.1 to 1 %", "falling from 5 to 0.1 %"],
)
def test_noise_that_grows_is_no_alarm(
    points: int, low: float, high: float, request: pytest.FixtureRequest
) -> None:
    """No more than the stated 1 % of still films fail, whatever the noise over the decades.

    Measured on 4600 films for 71, 36 and 29 points: 0.3 to 3 %: 0.6, 0.3, 0.2 % fail; 0.1 to 5 %:
    0.7, 0.6, 0.8 %; 5 % throughout: 0.2, 0.1, 0.1 %; falling: 0.6, 0.4, 0.5 %. (With one weight for
    all decades 51, 10 and 3 %; 97, 54 and 34 % failed of the first two.)
    """
    each = 200 if "campaign" in request.config.getoption("-m") else 15
    rng = np.random.default_rng(31)
    hz = np.logspace(-2, 5, points)
    share = growing_noise(hz, low, high)
    spectra = [
        (hz, with_noise(impedance(circuit, hz), share, rng))
        for circuit in CIRCUITS.values()
        for _ in range(each)
    ]
    fails = verdict_on(*spectra).fails
    print(f"{points} points, {low:g} to {high:g}: {fails.mean():.4f} of {len(fails)}")
    assert fails.mean() < 0.01 + 3 * np.sqrt(0.01 * 0.99 / len(fails))


@pytest.mark.parametrize(
    ("low", "high", "found_at_least"),
    [(0.01, 0.01, 0.97), (0.01, 0.001, 0.97), (0.03, 0.003, 0.6)],
    ids=["1 %", "0.1 to 1 %", "0.3 to 3 %"],
)
@pytest.mark.parametrize("ohm", [1e9, 1e8, 1e6])
def test_a_loss_of_30_percent_during_the_sweep_is_found(
    low: float, high: float, found_at_least: float, ohm: float
) -> None:
    """Also where the noise grows towards the low frequencies that show the loss.

    Three cycles a point and a second at least. Measured with 71 points: all in noise of 1 % and of
    0.1 to 1 %; 78 to 88 % in noise of 0.3 to 3 %. With 36 points 75 to 86 %, 79 to 96 %, 21 to
    25 %; with 29 points 42 to 47 %, 40 to 55 %, 9 to 10 %.
    """
    rng = np.random.default_rng(37)
    gone = np.cumsum(np.maximum(3 / SWEEP_HZ, 1.0)[::-1])[::-1]
    z = 30 + 1 / (2j * np.pi * SWEEP_HZ * 3e-10 + 1 / (ohm * 0.7 ** (gone / gone.max())))
    share = growing_noise(SWEEP_HZ, low, high)
    found = verdict_on(*[(SWEEP_HZ, with_noise(z, share, rng)) for _ in range(60)])
    assert found.fails.mean() > found_at_least
    # 1 / 0.7 is 43 % more conductance, of which the straight line in 1/f takes its share
    assert 25 < np.median(found.change_percent) < 55


def test_a_capacitance_that_drifts_need_not_show() -> None:
    """What the result's method and the README say: a fifth more capacitance passes as still.

    So it does where the film conducts at the lowest frequencies; of films that block half fail.
    """
    rng = np.random.default_rng(41)
    gone = np.cumsum(np.maximum(3 / SWEEP_HZ, 1.0)[::-1])[::-1]
    farad = 3e-10 * (1 + 0.2 * gone / gone.max())
    spectra = [
        (SWEEP_HZ, with_noise(30 + 1 / (2j * np.pi * SWEEP_HZ * farad + 1 / ohm), 0.01, rng))
        for ohm in (1e6, 1e8, 1e9)
        for _ in range(20)
    ]
    assert verdict_on(*spectra).fails.sum() <= 1
    found = compute({"impedance": frame_of(spectra[:1])}, Choices())
    told = found[found["quantity"] == "kramers_kronig_passes"]["method"].iloc[0]
    assert told.endswith("; a drifting capacitance need not show")


def test_the_change_holds_the_truth() -> None:
    """The 95 % interval of the change of a still film holds nought."""
    rng = np.random.default_rng(43)
    share = growing_noise(SWEEP_HZ, 0.02, 0.005)
    found = verdict_on(
        *[
            (SWEEP_HZ, with_noise(impedance(circuit), share, rng))
            for circuit in CIRCUITS.values()
            for _ in range(40)
        ]
    )
    held = (np.abs(found.change_percent) < 1.96 * found.change_error).mean()
    assert 0.92 < held < 0.99


def losing(
    name: str, share: float, points: int, noise: films.Floats, count: int
) -> tuple[KramersKronig, list[str]]:
    """Return tests and flags of films that lost a share of their resistance during the sweep.

    Three cycles a point and a second at least.
    """
    rng = np.random.default_rng(23)
    hz = np.logspace(-2, 5, points)
    gone = np.cumsum(np.maximum(3 / hz, 1.0)[::-1])[::-1]
    leak = (1 - share) ** (-gone / gone.max()) / 1e9
    if name == "pores":
        leak = leak / (1e-3 + 1e-9 / (2j * np.pi * hz * 1e-7 + 1e-7))
    z = 30 + 1 / (2j * np.pi * hz * 3e-10 + leak)
    both = rng.normal(size=(2, count, points))
    spectra = [(hz, z * np.exp(noise * (a + 1j * b))) for a, b in zip(*both, strict=True)]
    found = compute({"impedance": frame_of(spectra)}, Choices())
    flags = found[found["quantity"] == "kramers_kronig_passes"]["flags"]
    return verdict_on(*spectra), list(flags)


NOISES = {
    "1 %": lambda points: np.full(points, 0.01),
    "3 to 0.3 %": lambda points: np.geomspace(0.03, 0.003, points),
}


@pytest.mark.every(3)
@pytest.mark.parametrize("noise", NOISES)
@pytest.mark.parametrize("name", ["film", "pores"])
def test_a_pass_says_which_loss_it_would_have_seen(name: str, noise: str) -> None:
    """What still films of 71 points say is found in 85 of 100 films that lost so much, or more.

    Measured, of 100 films each, at 71 and 50 points in noise of 0.3 to 3 % and in noise that grows
    or falls by ten: 94 to 100.
    """
    still, flags = losing(name, 0.0, 71, NOISES[noise](71), 40)
    assert np.isfinite(still.seen_loss).all()
    for flag, loss in zip(flags, still.seen_loss, strict=True):
        assert FAILS in flag or flag == (
            f"a loss of less than {100 * loss:.0f} % of the film's resistance during the sweep may"
            " pass"
        )
    seen = float(np.median(still.seen_loss))
    found, _ = losing(name, seen, 71, NOISES[noise](71), 40)
    assert found.fails.mean() >= 0.85
    less, _ = losing(name, seen / 4, 71, NOISES[noise](71), 40)
    assert less.fails.mean() < 0.5  # and what it says is no bound that anything clears


@pytest.mark.parametrize("noise", NOISES)
def test_few_points_prove_little(noise: str) -> None:
    """At 29 points most losses of a third pass, and a pass says so."""
    found, flags = losing("film", 0.33, 29, NOISES[noise](29), 40)
    assert found.fails.mean() < 0.7
    assert np.isnan(found.seen_loss).all()
    passed = [flag for flag, fails in zip(flags, found.fails, strict=True) if not fails]
    assert set(passed) == {
        "proves little: with so few points any loss of resistance during the sweep may pass"
    }


def test_a_film_that_blocks_proves_little_in_noise() -> None:
    """1e13 ohm cm2 is not seen beside the capacitance: nor is its loss."""
    rng = np.random.default_rng(29)
    z = 30 + 1 / (2j * np.pi * SWEEP_HZ * 3e-10 + 1e-13)
    found = verdict_on(*[(SWEEP_HZ, noisy(z, rng)) for _ in range(20)])
    assert np.isnan(found.seen_loss).mean() > 0.9
