"""Modulus, phase, plateau, breakpoint and barrier class of a spectrum."""

from __future__ import annotations

import numpy as np
import pytest
from films import (
    AREA_CM2,
    CIRCUITS,
    SWEEP_HZ,
    C,
    Complexes,
    Floats,
    L,
    Q,
    R,
    frame_of,
    impedance,
    noisy,
    parallel,
    series,
)
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.barrier_class import barrier_class, class_rows
from tiecoat.evaluate.impedance.capacitance import capacitance_rows
from tiecoat.evaluate.impedance.modulus import breakpoints, modulus_at, modulus_rows
from tiecoat.evaluate.impedance.plateau import plateau, plateau_rows
from tiecoat.evaluate.impedance.spectra import Spectra, spectra_of


def spectra(*parts: tuple[Floats, Complexes]) -> Spectra:
    """Return spectra from frequencies and impedances in ohm."""
    return spectra_of(frame_of(parts))


@settings(deadline=None)
@given(st.floats(0.5, 1), st.floats(-12, -3), st.floats(-2, 5))
def test_a_constant_phase_element_is_met_exactly(n: float, lg_q: float, lg_hz: float) -> None:
    """lg|Z| and phase of 1 / (Q (j w)^n) are straight in lg f, so nothing is lost in between."""
    hz = np.logspace(-2, 5, 8)
    found = modulus_at(spectra((hz, impedance(Q(10**lg_q, n), hz))), 10**lg_hz)
    exact = AREA_CM2 / (10**lg_q * (2 * np.pi * 10**lg_hz) ** n)
    assert found.modulus_ohm_cm2[0] == pytest.approx(exact, rel=3e-3)  # 0.1 % beyond counts as end
    assert found.phase_deg[0] == pytest.approx(-90 * n)


def test_outside_the_measured_range_there_is_a_reason() -> None:
    """Nothing is extrapolated; the reason names what was asked for and what was measured."""
    hz = np.array([1.0, 10, 1000])
    found = modulus_at(spectra((hz, impedance(C(1e-9), hz))), 0.1)
    assert np.isnan(found.modulus_ohm_cm2[0])
    assert found.reason[0] == "0.1 Hz lies outside what was measured, 1 to 1000 Hz"


def test_a_rounded_end_of_the_sweep_counts() -> None:
    """0.1 Hz is within a sweep that ends at 0.10009 Hz: exports round."""
    hz = np.array([0.10009, 10, 1000])
    z = impedance(C(1e-9), hz)
    found = modulus_at(spectra((hz, z)), 0.1)
    assert found.modulus_ohm_cm2[0] == pytest.approx(abs(z[0]) * AREA_CM2)


def test_far_neighbours_are_flagged() -> None:
    """A value between points half a decade apart or more says so; one on a point does not.

    It says by how much it may be too low where a resistance and a capacitance meet: 24 % at a
    decade, 7.6 % at half of one. Here they meet half-way between the points, and it is so.
    """
    hz = np.array([0.01, 1, 10, 10**1.5, 100])
    one = spectra((hz, impedance(C(1e-9), hz)))
    assert modulus_at(one, 0.1).flags[0] == (
        "interpolated between points 2 decades apart: up to 56 % too low where the curve bends"
    )
    assert modulus_at(one, 20).flags[0] == (
        "interpolated between points 0.5 decades apart: up to 7.6 % too low where the curve bends"
    )
    assert [modulus_at(one, at).flags[0] for at in (1, 10)] == ["", ""]
    dense = np.logspace(-2, 4, 19)
    assert modulus_at(spectra((dense, impedance(C(1e-9), dense))), 0.15).flags[0] == ""
    for gap, loss in ((10**0.5, 0.076), (10.0, 0.242)):
        around = 0.1 * gap ** np.array([-1.5, -0.5, 0.5, 1.5])
        z = impedance(parallel(R(1e6), C(1 / (2 * np.pi * 0.1 * 1e6))), around)
        found = modulus_at(spectra((around, z)), 0.1).modulus_ohm_cm2[0] / AREA_CM2
        assert 1 - found / (1e6 / np.sqrt(2)) == pytest.approx(loss, abs=5e-4)


@pytest.mark.parametrize("noise", [0.002, 0.01])
def test_the_interval_of_a_single_spectrum_covers(noise: float) -> None:
    """Without repeats the points beside tell the scatter: 95 % of 2,000 spectra, or a little more.

    Modulus, phase and capacitance of a film, ten points a decade; three standard errors are 1.5 %.
    """
    rng = np.random.default_rng(11)
    film = series(R(30), parallel(C(3e-10), R(1e8)))
    hz = np.logspace(-1.75, 5.05, 69)  # the frequencies lie between two points
    ideal = impedance(film, hz)
    many = spectra(*[(hz, noisy(ideal, rng, noise)) for _ in range(2000)])
    many.keys["panel"] = [f"P{n}" for n in range(2000)]
    rows = modulus_rows(many, ImpedanceChoices())
    at = impedance(film, np.array([0.1]))[0]
    truths = {"modulus": abs(at) * AREA_CM2, "phase": np.degrees(np.angle(at))}
    for quantity, truth in truths.items():
        one = rows[rows["quantity"] == quantity]
        assert 0.935 < ((one["low"] < truth) & (one["high"] > truth)).mean() < 0.99, quantity
    caps = capacitance_rows(many, ImpedanceChoices())
    one = caps[caps["quantity"] == "coating_capacitance"]
    at = impedance(film, np.array([1e4]))[0]
    truth = -1 / (2 * np.pi * 1e4 * at.imag) / AREA_CM2
    assert 0.935 < ((one["low"] < truth) & (one["high"] > truth)).mean() < 0.99
    assert one["method"].str.endswith("interval from the scatter of the neighbouring points").all()


def test_repeats_elsewhere_tell_the_scatter_of_a_spectrum_that_was_not_repeated() -> None:
    """Five spectra of one place scatter by 10 %: a sixth of another place is given as much."""
    hz = np.logspace(-2, 5, 71)
    sizes = [1.0, 1.1, 0.9, 1.05, 0.95, 1.0]
    parts = [(hz, impedance(R(1e6 * one), hz)) for one in sizes]
    many = spectra_of(frame_of(parts, panel=["A"] * 5 + ["B"]))
    rows = modulus_rows(many, ImpedanceChoices())
    rows = rows[rows["quantity"] == "modulus"]
    by_hand = np.log10(sizes[:5]).std(ddof=1) * np.log(10)
    error = (rows["standard_error"] / rows["value"]).to_numpy()
    assert error == pytest.approx(by_hand)
    assert rows["method"].iloc[0].endswith("interval from repeats of the place")
    assert rows["method"].iloc[5].endswith("interval from the repeats of other places")


@pytest.mark.every(4)
@pytest.mark.parametrize("exponent", [1.0, 0.9, 0.8])
@pytest.mark.parametrize("points", [5, 10, 20])
def test_the_interval_of_a_plateau_holds_the_resistance(exponent: float, points: int) -> None:
    """Of 400 spectra each at least 95 %, less three standard errors, and there is no error.

    Noise of 1 %, five to twenty points a decade; the capacitive element turns the phase by 1 to 9
    degrees there, and with the scatter alone the interval held the resistance in 34 to 85 %.
    """
    rng = np.random.default_rng(12)
    hz = np.logspace(-2, 2, 4 * points + 1)
    held = []
    for lg_turn in (-2.0, -1.3, -0.9):
        q = 10**lg_turn / (1e8 * (2 * np.pi * 0.1) ** exponent)
        ideal = impedance(parallel(R(1e8), Q(q, exponent)), hz)
        rows = plateau_rows(spectra(*[(hz, noisy(ideal, rng)) for _ in range(400)]))
        truth = 1e8 * AREA_CM2
        known = rows[rows["value"].notna()]
        assert len(known) > 390
        assert known["standard_error"].isna().all()
        held.append(((known["low"] < truth) & (known["high"] > truth)).mean())
    assert min(held) > 0.95 - 3 * np.sqrt(0.05 * 0.95 / 400), held


def test_the_phase_has_no_jump_at_180_degrees() -> None:
    """A phase that turns past -180 degrees is followed, not wrapped."""
    hz = np.logspace(0, 3, 31)
    z = 1e6 * np.exp(1j * np.radians(np.linspace(-220, -60, 31)))
    assert spectra((hz, z)).phase_deg[0] == pytest.approx(np.linspace(-220, -60, 31))


@pytest.mark.parametrize("lg_ohm", [5.0, 6.5, 8.0])
def test_the_plateau_of_a_film_is_its_resistance(lg_ohm: float) -> None:
    """To 1.5 %, by which |Z| = R cos(phase) is low where the phase is 10 degrees."""
    one = spectra((SWEEP_HZ, impedance(parallel(R(10**lg_ohm), C(3e-10)))))
    found = plateau(one)
    assert found.reason[0] == ""
    assert 10 ** found.lg_modulus[0] == pytest.approx(10**lg_ohm * AREA_CM2, rel=0.015)
    assert found.points[0] == 11


def test_without_a_plateau_there_is_a_reason() -> None:
    """A blocking film, and one with a flat modulus but a phase far from zero, have none."""
    blocking = plateau(spectra((SWEEP_HZ, impedance(CIRCUITS["blocking, exponent 0.97"]))))
    assert np.isnan(blocking.lg_modulus[0])
    assert blocking.reason[0] == (
        "no plateau over the lowest decade: slope -0.97 (limit 0.1), "
        "phase up to 87.3 degrees from zero (limit 10)"
    )
    hz = np.array([0.1, 10.0, 1000])
    few = plateau(spectra((hz, impedance(R(1e6), hz))))
    assert few.reason[0] == "no plateau: 1 points in the lowest decade, 3 are needed"


@settings(deadline=None)
@given(st.floats(-1, 4), st.integers(4, 40))
def test_the_breakpoint_of_a_parallel_film_is_one_over_two_pi_rc(
    lg_hz: float, per_decade: int
) -> None:
    """Exactly, if the points lie evenly around it: the phase is odd in lg f about -45 degrees."""
    farad = 3e-10
    ohm = 1 / (2 * np.pi * farad * 10**lg_hz)
    hz = 10 ** (lg_hz + (np.arange(-40, 40) + 0.5) / per_decade)
    found = breakpoints(spectra((hz, impedance(parallel(R(ohm), C(farad)), hz))))
    assert found.frequency_hz[0] == pytest.approx(10**lg_hz, rel=1e-9)


@settings(deadline=None)
@given(st.floats(-1, 4))
def test_the_breakpoint_is_good_to_a_percent_on_any_grid(lg_hz: float) -> None:
    """With ten points per decade, wherever they lie."""
    ohm = 1 / (2 * np.pi * 3e-10 * 10**lg_hz)
    found = breakpoints(spectra((SWEEP_HZ, impedance(parallel(R(ohm), C(3e-10))))))
    assert found.frequency_hz[0] == pytest.approx(10**lg_hz, rel=0.01)


def test_all_crossings_are_told_and_the_highest_falling_one_counts() -> None:
    """A film with corroding pores crosses -45 degrees three times; the rising one is no breakpoint.

    Time constants: film 1e5 ohm and 3e-10 F give 5.3 kHz, pores 1e8 ohm and 1e-6 F 1.6 mHz.
    """
    hz = np.logspace(-4, 5, 91)
    circuit = series(parallel(C(3e-10), series(R(1e5), parallel(C(1e-6), R(1e8)))))
    found = breakpoints(spectra((hz, impedance(circuit, hz))))
    assert np.isfinite(found.crossings_hz).sum() == 3
    assert found.frequency_hz[0] == pytest.approx(5305, rel=0.02)
    assert found.flags[0].count("falling,") + found.flags[0].count("rising,") == 2
    assert found.flags[0].startswith("several crossings of -45 degrees, the highest falling one")
    assert found.flags[0].endswith("Hz falling")


@pytest.mark.parametrize(
    ("circuit", "reason"),
    [
        (
            C(1e-9),
            "the phase stays below -45 degrees from 0.01 to 1e+05 Hz: the breakpoint lies lower",
        ),
        (R(1e6), "the phase stays above -45 degrees from 0.01 to 1e+05 Hz"),
        (L(1e-3), "the phase stays above -45 degrees from 0.01 to 1e+05 Hz"),
        (series(R(1e6), C(1e-9)), "the phase only rises through -45 degrees from 0.01 to 1e+05 Hz"),
    ],
    ids=["capacitor", "resistor", "coil", "in series"],
)
def test_without_a_breakpoint_there_is_a_reason(circuit: object, reason: str) -> None:
    """No crossing, or only a rising one, is told with the range that was measured."""
    found = breakpoints(spectra((SWEEP_HZ, impedance(circuit))))  # type: ignore[arg-type]
    assert np.isnan(found.frequency_hz[0])
    assert found.reason[0] == reason


def test_the_class_follows_the_limits_of_the_laboratory() -> None:
    """At the limit itself the better class holds; the frequency and the limits are told."""
    assert barrier_class(np.array([1e9, 1e8, 9.9e7, 1e6, 9.9e5, np.nan]), 1e8, 1e6).tolist()[
        :5
    ] == [
        3,
        3,
        2,
        2,
        1,
    ]
    one = spectra((SWEEP_HZ, impedance(parallel(R(1e6), C(3e-10)))))
    for at_hz, condition in ((0.1, "0.1 Hz"), (None, "lowest frequency measured, 0.01 Hz")):
        rows = class_rows(one, ImpedanceChoices(class_frequency_hz=at_hz, good_from_ohm_cm2=1e7))
        level = rows[rows["quantity"] == "barrier_class"].iloc[0]
        assert (level["value"], level["condition"]) == (3, condition)
        assert level["method"].startswith("3 good from 1e+07, 2 fair, 1 poor below 1e+06 ohm cm2")
        assert level["flags"] == (
            "graded by a modulus at low frequency: a limit of 1e6 ohm cm2 at 0.01 Hz has missed"
            " corrosion under the film"
        )


def test_what_reaches_the_limit_of_the_instrument_is_a_lower_bound() -> None:
    """An instrument that ends at 1e9 ohm says so of a film of 1e9 ohm, and nothing of 1e8 ohm."""
    parts = [(SWEEP_HZ, impedance(R(ohm))) for ohm in (1.01e9, 1e8)]
    many = spectra_of(frame_of(parts, panel=["A", "B"]))
    rows = modulus_rows(many, ImpedanceChoices(instrument_limit_ohm=1e9))
    flags = rows[rows["quantity"] == "modulus"]["flags"].tolist()
    assert flags == ["at the limit of the instrument: at least so much", ""]
