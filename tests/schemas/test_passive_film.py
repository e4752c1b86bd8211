"""What no passive film shows is told; what noisy but good films show is not.

The truth is an equivalent circuit, electrolyte in series with a film of resistance and
constant-phase element, as ISO 16773-1 and -2 describe for coated metal (from memory). Noise is
drawn on both parts, 1 % of the modulus (standard deviation): more than ISO 16773-3 asks of a dummy
cell (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pytest

from tiecoat.schemas.passive_film import contradictions, slipped_parts

OMEGA_OF_HZ = 2 * np.pi
INTACT, PERFECT, WORN, DEAD, BARE = "intact", "perfect", "worn", "dead", "bare"
FILMS = {  # electrolyte ohm, film ohm, admittance S s^n, exponent; of 10 cm²
    INTACT: (100.0, 3e10, 4e-10, 0.98),
    PERFECT: (100.0, 1e12, 3e-10, 1.0),
    WORN: (100.0, 2e6, 2e-9, 0.93),
    DEAD: (120.0, 4e3, 3e-6, 0.80),
    BARE: (150.0, 700.0, 2e-5, 0.75),
}
SEEDS = range(20)
PER_DECADE = (2, 5, 10)


def spectrum(film: str, seed: int, per_decade: int = 5, noise: float = 0.01) -> dict[str, Any]:
    """Return the columns of a sweep from 100 kHz to 10 mHz with noise on both parts."""
    electrolyte, resistance, admittance, exponent = FILMS[film]
    frequency = np.logspace(5, -2, 7 * per_decade + 1)
    of_film = 1 / (1 / resistance + admittance * (1j * OMEGA_OF_HZ * frequency) ** exponent)
    z = electrolyte + of_film
    dice = np.random.default_rng(seed)
    z = z + noise * np.abs(z) * (dice.standard_normal(len(z)) + 1j * dice.standard_normal(len(z)))
    return {"frequency_hz": frequency, "z_real_ohm": z.real, "z_imag_ohm": z.imag}


def sign_lost(columns: Mapping[str, Any], seed: int) -> dict[str, Any]:
    """Return the imaginary part as its amount."""
    return {**columns, "z_imag_ohm": np.abs(columns["z_imag_ohm"])}


def swapped(columns: Mapping[str, Any], seed: int) -> dict[str, Any]:
    """Return the two parts under each other's title."""
    return {
        **columns,
        "z_real_ohm": columns["z_imag_ohm"],
        "z_imag_ohm": columns["z_real_ohm"],
    }


def swapped_and_turned(columns: Mapping[str, Any], seed: int) -> dict[str, Any]:
    """Return Z' and -Z'' under each other's title, so that the real part is above 0."""
    return {
        **columns,
        "z_real_ohm": -columns["z_imag_ohm"],
        "z_imag_ohm": -columns["z_real_ohm"],
    }


def decade_slipped(columns: Mapping[str, Any], seed: int) -> dict[str, Any]:
    """Return one inner point of the sweep ten times too large in both parts."""
    at = np.random.default_rng(seed).integers(1, len(columns["frequency_hz"]) - 1)
    factor = np.ones(len(columns["frequency_hz"]))
    factor[at] = 10.0
    return {
        **columns,
        "z_real_ohm": columns["z_real_ohm"] * factor,
        "z_imag_ohm": columns["z_imag_ohm"] * factor,
    }


def decade_slipped_in_the_larger_part(columns: Mapping[str, Any], seed: int) -> dict[str, Any]:
    """Return one inner point with the larger of its two parts ten times too large."""
    at = np.random.default_rng(seed).integers(1, len(columns["frequency_hz"]) - 1)
    name = max(("z_real_ohm", "z_imag_ohm"), key=lambda part: abs(columns[part][at]))
    values = columns[name].copy()
    values[at] *= 10
    return {**columns, name: values}


def modulus_and_phase_swapped(columns: Mapping[str, Any], seed: int) -> dict[str, Any]:
    """Return the parts of a modulus and a phase under each other's title."""
    z = columns["z_real_ohm"] + 1j * columns["z_imag_ohm"]
    modulus, phase = np.abs(z), np.degrees(np.angle(z))
    wrong = phase * np.exp(1j * np.radians(modulus))
    return {**columns, "z_real_ohm": wrong.real, "z_imag_ohm": wrong.imag}


MISTAKES = (
    sign_lost,
    swapped,
    swapped_and_turned,
    decade_slipped,
    decade_slipped_in_the_larger_part,
    modulus_and_phase_swapped,
)


@pytest.mark.parametrize("per_decade", PER_DECADE)
@pytest.mark.parametrize("film", FILMS)
def test_a_noisy_but_good_spectrum_passes(film: str, per_decade: int) -> None:
    """Intact, worn and dead films pass at any number of points a decade."""
    for seed in SEEDS:
        faults = list(contradictions(spectrum(film, seed, per_decade)))
        assert faults == [], (seed, faults)


@pytest.mark.parametrize("film", FILMS)
def test_a_spectrum_that_is_noisy_at_low_frequencies_passes(film: str) -> None:
    """Noise of 8 % below 1 Hz, as of currents of a few pA, is no contradiction."""
    for seed in SEEDS:
        columns, noisy = spectrum(film, seed), spectrum(film, seed, noise=0.08)
        low = columns["frequency_hz"] < 1
        mixed = {name: np.where(low, noisy[name], values) for name, values in columns.items()}
        assert list(contradictions(mixed)) == [], seed


@pytest.mark.parametrize("film", [DEAD, BARE])
def test_the_inductance_of_leads_at_high_frequencies_passes(film: str) -> None:
    """A few inductive points at the top of the sweep of a low impedance are of the leads."""
    columns = spectrum(film, 2)
    leads = OMEGA_OF_HZ * columns["frequency_hz"] * 100e-6  # of 100 microhenry
    columns["z_imag_ohm"] = columns["z_imag_ohm"] + leads
    assert (columns["z_imag_ohm"] > 0).any()
    assert list(contradictions(columns)) == []


@pytest.mark.parametrize("film", FILMS)
def test_a_good_spectrum_passes_in_any_order_of_rows(film: str) -> None:
    """Rows from low to high frequency, or shuffled, are the same spectrum."""
    columns = spectrum(film, 1)
    order = np.random.default_rng(3).permutation(len(columns["frequency_hz"]))
    for places in (slice(None, None, -1), order):
        assert list(contradictions({name: v[places] for name, v in columns.items()})) == []


@pytest.mark.parametrize("mistake", MISTAKES)
@pytest.mark.parametrize("per_decade", PER_DECADE)
@pytest.mark.parametrize("film", FILMS)
def test_a_mistake_is_told(
    film: str, per_decade: int, mistake: Callable[[Mapping[str, Any], int], dict[str, Any]]
) -> None:
    """A lost sign, swapped columns and a slipped decade are told for every film."""
    missed = [
        seed
        for seed in SEEDS
        if not list(contradictions(mistake(spectrum(film, seed, per_decade), seed)))
    ]
    assert missed == []


def test_the_point_that_slipped_is_the_one_that_is_told() -> None:
    """The fault names the row of the slipped digit."""
    columns = spectrum(WORN, 5)
    columns["z_real_ohm"][12] *= 10
    columns["z_imag_ohm"][12] *= 10
    assert [fault.row for fault in contradictions(columns)] == [12]


@pytest.mark.parametrize("film", [WORN, DEAD, BARE])
def test_a_decade_that_slipped_in_the_smaller_part_is_told(film: str) -> None:
    """It is told wherever that part is a seventh of the modulus or more."""
    for seed in SEEDS:
        columns = spectrum(film, seed)
        parts = {name: np.abs(columns[name]) for name in ("z_real_ohm", "z_imag_ohm")}
        share = np.minimum(*parts.values()) / np.hypot(*parts.values())
        places = [n for n in range(1, len(share) - 1) if share[n] >= 1 / 7]
        assert places
        at = places[seed % len(places)]
        name = min(parts, key=lambda part: parts[part][at])
        values = columns[name].copy()
        values[at] *= 10
        told = [fault.row for fault in contradictions({**columns, name: values})]
        assert at in told, (seed, at)


@pytest.mark.parametrize("film", [INTACT, PERFECT, WORN])
@pytest.mark.parametrize("points", [1, 2])
def test_a_minus_that_few_points_have_lost_is_told_at_the_first_of_them(
    film: str, points: int
) -> None:
    """Points that turn inductive between capacitive neighbours have lost their sign."""
    for seed in SEEDS:
        columns = spectrum(film, seed)
        strong = -columns["z_imag_ohm"] > 0.4 * np.hypot(
            columns["z_real_ohm"], columns["z_imag_ohm"]
        )
        inner = [n for n in range(1, len(strong) - points) if strong[n - 1 : n + points + 1].all()]
        at = inner[seed % len(inner)]
        turned = columns["z_imag_ohm"].copy()
        turned[at : at + points] *= -1

        told = list(contradictions({**columns, "z_imag_ohm": turned}))

        assert {fault.row for fault in told if fault.column == "z_imag_ohm"} >= {at}


def told_columns(columns: Mapping[str, Any]) -> dict[str, Any]:
    """Return a sweep with the keys of its rows."""
    length = len(columns["frequency_hz"])
    keys = {"panel": "RB-001-1", "exposure_h": 24.0, "spot": None}
    return {**columns, **{name: np.array([value] * length) for name, value in keys.items()}}


@pytest.mark.parametrize("at", [4, 10, 30])  # where it lies on a line
def test_a_small_part_that_is_ten_times_off_its_neighbours_is_remarked(at: int) -> None:
    """The modulus of a nearly ideal film hides its real part; a slip in it is told all the same."""
    columns = spectrum(PERFECT, 0, noise=0)
    columns["z_real_ohm"][at] *= 10

    told = list(slipped_parts(told_columns(columns)))

    assert [place for place, _ in told] == [at]
    assert told[0][1].endswith("ten times off its neighbours")


@pytest.mark.parametrize("film", FILMS)
@pytest.mark.parametrize("seed", SEEDS)
def test_noise_is_no_slip(film: str, seed: int) -> None:
    """Of films with noise no part is told to be ten times off."""
    assert list(slipped_parts(told_columns(spectrum(film, seed)))) == []
