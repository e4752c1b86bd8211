"""Coating capacitance, permittivity and water uptake."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from films import AREA_CM2, SWEEP_HZ, C, Q, R, frame_of, impedance, noisy, parallel, series
from hypothesis import given, settings
from hypothesis import strategies as st

from tiecoat.contract.choices import ImpedanceChoices
from tiecoat.evaluate.impedance.capacitance import (
    capacitance_rows,
    capacitance_scatter,
    coating_capacitance,
)
from tiecoat.evaluate.impedance.plateau import plateau
from tiecoat.evaluate.impedance.spectra import Spectra, spectra_of
from tiecoat.evaluate.impedance.uptake import (
    FilmCapacitances,
    Uptake,
    fits_of_places,
    uptake_flags,
    water_uptake,
    water_uptake_percent,
)


def films_of(farads: list[float], **columns: object) -> Spectra:
    """Return spectra of films of these capacitances, at 1, 2, 3 ... hours unless told otherwise."""
    hours = [float(n + 1) for n in range(len(farads))]
    given_ = {"exposure_h": hours, **columns}
    parts = [(SWEEP_HZ, impedance(series(R(30), parallel(C(one), R(1e8))))) for one in farads]
    return spectra_of(frame_of(parts, **given_))


def uptake_of(spectra: Spectra) -> Uptake:
    """Return the water uptake by the capacitance at 10 kHz."""
    found = coating_capacitance(spectra, 1e4)
    spread = capacitance_scatter(spectra, found, 1e4)
    film = FilmCapacitances(
        found.f_cm2,
        found.reason,
        spread.deviation,
        spread.freedom,
        np.full(len(spectra), 80.0),
        np.zeros(len(spectra)),
    )
    return water_uptake(spectra, film, fits_of_places(spectra, film))


@settings(deadline=None)
@given(st.floats(-11, -8.5), st.floats(0, 500))
def test_the_electrolyte_does_not_change_the_capacitance(lg_farad: float, ohm: float) -> None:
    """A resistance in series leaves the imaginary part alone, as long as the phase is near -90."""
    spectra = spectra_of(frame_of([(SWEEP_HZ, impedance(series(R(ohm), C(10**lg_farad))))]))
    found = coating_capacitance(spectra, 1e4)
    assert found.f_cm2[0] == pytest.approx(10**lg_farad / AREA_CM2, rel=1e-9)


@settings(deadline=None)
@given(st.floats(4.0, 9.0))
def test_a_leak_does_not_change_the_capacitance(lg_ohm: float) -> None:
    """Where there is a value at all, a parallel leak raises it by less than 0.1 %."""
    spectra = spectra_of(frame_of([(SWEEP_HZ, impedance(parallel(R(10**lg_ohm), C(3e-10))))]))
    found = coating_capacitance(spectra, 1e4)
    if found.reason[0]:
        assert np.isnan(found.f_cm2[0])
        assert found.reason[0].startswith("not nearly a capacitor at 10000 Hz: the phase is -")
    else:
        assert 0.999999 < found.f_cm2[0] * AREA_CM2 / 3e-10 < 1.001


@pytest.mark.parametrize("last_hz", [1e4, 1.3e4, 1e5])
def test_how_far_a_capacitance_is_open_holds_the_truth(last_hz: float) -> None:
    """By `too_high` at most above the capacitance that is put in, and not below it.

    Films with a leak, with a dielectric that loses alike at all frequencies, behind an electrolyte
    that makes half of the real part or all: the phase at 10 kHz is -81 to -89 degrees.
    """
    hz = np.append(SWEEP_HZ[last_hz * 0.999 > SWEEP_HZ], last_hz)
    parts, truths = [], []
    for loss in (0.02, 0.08, 0.15):
        for share in (0.0, 0.5, 1.0):
            behind = R(share * loss / (2 * np.pi * 1e4 * 3e-10))
            for film in (
                parallel(C(3e-10), R(1 / (2 * np.pi * 1e4 * 3e-10 * (1 - share) * loss + 1e-30))),
                Q(3e-10, 1 - 2 / np.pi * np.arctan((1 - share) * loss)),
            ):
                parts.append((hz, impedance(series(behind, film), hz)))
                of_film = 1 / impedance(film, np.array([1e4]))[0]
                truths.append(of_film.imag / (2 * np.pi * 1e4) / AREA_CM2)
    found = coating_capacitance(spectra_of(frame_of(parts)), 1e4)
    off = found.f_cm2 / np.array(truths)
    assert (found.reason == "").all()
    assert (off > 1 - 1e-9).all()
    assert (off / (1 + found.too_high) < 1 + 1e-9).all()
    assert off.max() < (1.03 if last_hz < 1e5 else 1.006)


def test_a_film_that_is_no_capacitor_has_no_capacitance() -> None:
    """A leak, or the cell's inductance, gives a reason and no number; so does a range that ends."""
    coil = 1j * 2 * np.pi * SWEEP_HZ * 1e-3
    thick = impedance(series(R(30), Q(3e-9, 0.8)))
    parts = [(SWEEP_HZ, coil), (SWEEP_HZ, thick), (SWEEP_HZ[:40], thick[:40])]
    found = coating_capacitance(spectra_of(frame_of(parts)), 1e4)
    assert np.isnan(found.f_cm2).all()
    assert found.reason[0].startswith("not nearly a capacitor at 10000 Hz: the phase is 90.0")
    assert found.reason[1].startswith("not nearly a capacitor at 10000 Hz: the phase is -7")
    assert found.reason[2].startswith("10000 Hz lies outside what was measured, 0.01 to ")


@settings(deadline=None)
@given(st.floats(0, 0.2), st.floats(-12, -8))
def test_the_water_that_was_put_in_comes_out(share: float, lg_farad: float) -> None:
    """Brasher and Kingsbury backwards: C0 80^phi gives phi."""
    found = water_uptake_percent(
        np.array([10**lg_farad * 80**share]), np.array([10**lg_farad]), 80.0
    )
    assert found[0] == pytest.approx(100 * share, abs=1e-9)


def wet_film(last_hz: float) -> pd.DataFrame:
    """Return the capacitances and uptakes of a film that leaks when it is wet, up to a frequency.

    It takes up 1.17 % by volume, by Brasher and Kingsbury with 80; wet, its phase is -82 degrees.
    """
    wet = 3e-10 * 80**0.0117
    leak = R(1 / (2 * np.pi * 1e4 * wet * np.tan(np.radians(8))))
    hz = SWEEP_HZ[last_hz * 1.001 > SWEEP_HZ]
    films = (C(3e-10), parallel(C(wet), leak))
    parts = [(hz, impedance(series(R(30), one), hz)) for one in films]
    return capacitance_rows(spectra_of(frame_of(parts, exposure_h=[0.5, 24.0])), ImpedanceChoices())


def test_conduction_is_no_water() -> None:
    """A resistance parallel to the film, known from the circuit, adds no uptake."""
    rows = wet_film(1e5)
    wet = rows[rows["quantity"] == "water_uptake"].iloc[1]
    assert wet["value"] == pytest.approx(1.17, abs=0.01)
    assert "too high" not in wet["flags"]


def test_where_the_sweep_ends_conduction_is_told_of_and_not_counted_in_silence() -> None:
    """Without a point above 10 kHz nothing tells the film's leak from the electrolyte."""
    rows = wet_film(1e4)
    wet = rows[rows["quantity"] == "water_uptake"].iloc[1]
    assert wet["value"] == pytest.approx(1.17 + 0.45, abs=0.01)
    told = "too high: how much of Z' is the film's is not known"
    assert f"up to 0.45 % by volume {told}" in wet["flags"]
    c = rows[rows["quantity"] == "coating_capacitance"]
    assert c["flags"].tolist() == ["", f"up to 2 % {told}"]


def test_the_first_spectrum_is_that_of_the_same_panel_and_spot() -> None:
    """Whatever order the spectra come in; another panel and another spot have their own."""
    spectra = films_of(
        [4e-10, 3e-10, 2e-10, 5e-10],
        exposure_h=[24.0, 1.0, 1.0, 24.0],
        spot=["A", "A", "B", "B"],
    )
    found = uptake_of(spectra)
    assert found.first.tolist() == [1, 1, 2, 2]
    assert found.percent == pytest.approx(
        [100 * np.log(4 / 3) / np.log(80), 0, 0, 100 * np.log(2.5) / np.log(80)], rel=1e-3
    )


def test_of_repeats_the_earlier_is_first() -> None:
    """Two spectra of one exposure are told apart by their time; one without a time comes last."""
    times = [pd.NaT, pd.Timestamp("2026-01-02", tz="UTC"), pd.Timestamp("2026-01-01", tz="UTC")]
    found = uptake_of(films_of([3e-10] * 3, exposure_h=1.0, measured_at=times))
    assert found.first.tolist() == [2, 2, 2]


def test_a_first_spectrum_without_capacitance_leaves_none() -> None:
    """The reason names the first spectrum and its own reason."""
    coil = 1j * 2 * np.pi * SWEEP_HZ * 1e-3
    parts = [(SWEEP_HZ, coil), (SWEEP_HZ, impedance(C(3e-10)))]
    found = uptake_of(spectra_of(frame_of(parts, exposure_h=[1.0, 24.0])))
    assert np.isnan(found.percent).all()
    assert found.reason[1].startswith("the first spectrum m0000 has no capacitance: not nearly")


def test_the_known_limits_are_told() -> None:
    """A wet start, a large uptake, a fall and the reference itself are flagged."""
    spectra = films_of([3e-10, 5e-10, 2.9e-10], exposure_h=[24.0, 48.0, 72.0])
    known = np.full(3, 23.0)
    flags = uptake_flags(spectra, uptake_of(spectra), known, dry_until_h=1.0)
    wet = (
        "the film was wet already at the first spectrum, 24 h: too low; too low by 26 to 58 % of"
        " what 180 um take up, if water diffuses at 2e-10 to 1e-09 cm2/s: the first spectrum is of"
        " 24 h"
    )
    assert flags[0] == "the first spectrum: zero by definition"
    assert flags[1] == f"{wet}; above 10 %: no small uptake; swelling and pores count as water"
    assert flags[2] == f"{wet}; the capacitance fell: no uptake of water"
    unknown = uptake_flags(spectra, uptake_of(spectra), np.full(3, np.nan), dry_until_h=1.0)
    assert unknown[2].endswith(
        "; temperature of the bath not known: permittivity of water 80, as Brasher and Kingsbury"
        " took it, and from 10 to 40 °C the uptake would be 1.1 % of itself less to 2.1 % more"
    )


def test_repeats_give_an_uncertainty_that_covers() -> None:
    """The 95 % interval of the uptake covers the truth in 95 % of 1000 panels, or more.

    Each panel: three spectra at 1 h and three at 240 h, noise of 1 % on every point; the last
    repeat counts. It is one of those whose scatter gives the standard error, so that a far one
    widens its own interval: 98 % were measured. Three standard errors of a share here are 2 %.
    """
    rng = np.random.default_rng(3)
    hz = np.array([1e3, 1e4, 1e5])
    parts, panels, hours = [], [], []
    for panel in range(1000):
        for hour, farad in ((1.0, 3e-10), (240.0, 3e-10 * 80**0.03)):
            for _ in range(3):
                parts.append((hz, noisy(impedance(C(farad), hz), rng)))
                panels.append(f"P{panel}")
                hours.append(hour)
    spectra = spectra_of(frame_of(parts, panel=panels, exposure_h=hours))
    found = uptake_of(spectra)
    late = spectra.keys["exposure_h"].to_numpy() == 240
    covered = (found.low < 3.0) & (found.high > 3.0)
    assert 0.95 < covered[late][2::3].mean() < 0.995
    rows = capacitance_rows(spectra, ImpedanceChoices())
    c = rows[rows["quantity"] == "coating_capacitance"].iloc[2::6]
    truth = 3e-10 / AREA_CM2
    assert 0.95 < ((c["low"] < truth) & (c["high"] > truth)).mean() < 0.995


def test_without_repeats_and_with_few_points_there_is_no_uncertainty() -> None:
    """Three points tell nothing of their scatter: it stays empty rather than being made up."""
    hz = np.array([1e3, 1e4, 1e5])
    parts = [(hz, impedance(C(one), hz)) for one in (3e-10, 4e-10)]
    rows = capacitance_rows(spectra_of(frame_of(parts, exposure_h=[1.0, 24.0])), ImpedanceChoices())
    assert rows[["standard_error", "low", "high"]].isna().all(axis=None)


def test_the_permittivity_needs_a_thickness() -> None:
    """Without one there is a reason, with the register's there is a flag."""
    frame = frame_of([(SWEEP_HZ, impedance(C(3e-10)))] * 2, thickness_um=[np.nan, 100.0])
    bare = capacitance_rows(spectra_of(frame), ImpedanceChoices())
    eps = bare[bare["quantity"] == "relative_permittivity"]
    assert eps["reason"].tolist() == ["no thickness", ""]
    panels = pd.DataFrame({"batch": ["RB-010"], "panel": ["RB-010-1"], "thickness_um": [100.0]})
    known = capacitance_rows(spectra_of(frame, panels), ImpedanceChoices())
    eps = known[known["quantity"] == "relative_permittivity"]
    assert eps["value"].iloc[0] == eps["value"].iloc[1]
    assert eps["flags"].tolist() == ["thickness from the register of panels", ""]


@pytest.mark.parametrize(("phase_deg", "told"), [(-79.98, "-79.98"), (-100.02, "-100.02")])
def test_a_phase_that_just_misses_does_not_read_as_the_limit(phase_deg: float, told: str) -> None:
    """Not "the phase is -80.0 degrees, -80 or less is needed"."""
    z = 1e6 * np.exp(1j * np.radians(phase_deg)) * np.ones(71)
    found = coating_capacitance(spectra_of(frame_of([(SWEEP_HZ, z)])), 1e4)
    assert found.reason[0] == (
        f"not nearly a capacitor at 10000 Hz: the phase is {told} degrees, -80 or less, down to"
        " -100, is needed"
    )


def test_a_plateau_just_missed_does_not_read_as_the_limit() -> None:
    """A phase of 10.02 degrees where 10 is the limit."""
    z = 1e6 * np.exp(-1j * np.radians(10.02)) * np.ones(71)
    reason = plateau(spectra_of(frame_of([(SWEEP_HZ, z)]))).reason[0]
    assert "phase up to 10.02 degrees from zero (limit 10)" in reason
