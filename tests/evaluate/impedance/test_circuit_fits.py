"""Circuits fitted to spectra: truth recovered, errors honest, thin data answered with reasons."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import example_truth
import numpy as np
import pandas as pd
import pytest
from circuit_spectra import FREQUENCY_HZ, ONES, Complexes, Floats, frame_of, impedance, noisy
from hypothesis import given
from hypothesis import strategies as st
from scipy import optimize

from tiecoat.contract.choices import Choices, CircuitChoices
from tiecoat.evaluate.impedance.circuit_fitting import CHUNK, fit_circuit
from tiecoat.evaluate.impedance.circuit_models import (
    CIRCUITS,
    FURTHER,
    INTACT,
    PORES,
    RELAXING,
)
from tiecoat.evaluate.impedance.circuit_results import compute
from tiecoat.evaluate.impedance.circuit_starts import scaled

QUANTITIES = (
    "electrolyte_resistance",
    "pore_resistance",
    "coating_cpe_coefficient",
    "cpe_exponent",
    "double_layer_cpe_coefficient",
    "double_layer_exponent",
    "charge_transfer_resistance",
    "coating_capacitance_fitted",
    "double_layer_capacitance_fitted",
)
# What a laboratory has tried that knows nothing to diffuse: else no charge transfer is given.
NOTHING_DIFFUSES = tuple(circuit.name for circuit in (*CIRCUITS, RELAXING))


def computed(
    spectra: Mapping[str, tuple[Floats, Complexes]], area_cm2: float = 1.0, **choices: Any
) -> pd.DataFrame:
    frame = frame_of(spectra, area_cm2)
    return compute({"impedance": frame}, Choices(circuits=CircuitChoices(**choices)))


def one(results: pd.DataFrame, quantity: str, measurement: str = "") -> pd.Series:
    rows = results[results["quantity"] == quantity]
    if measurement:
        rows = rows[rows["measurement"] == measurement]
    assert len(rows) == 1
    return rows.iloc[0]


def repeats(
    circuit: str, count: int, modulus: float, phase: float, tried: tuple[str, ...] = ()
) -> pd.DataFrame:
    """Return results of repeated measurements; the true circuit is fitted unless others may be."""
    chance = np.random.default_rng(7)
    z = impedance(circuit, ONES[circuit], FREQUENCY_HZ)
    return computed(
        {f"m{n}": (FREQUENCY_HZ, noisy(z, chance, modulus, phase)) for n in range(count)},
        tried=tried or (circuit,),
    )


def coverage(results: pd.DataFrame, truth: Mapping[str, float]) -> dict[str, float]:
    """Return how often the 95 % interval holds the truth, for each parameter."""
    found = {}
    for name, value in truth.items():
        rows = results[results["quantity"] == name]
        found[name] = float(((rows["low"] <= value) & (value <= rows["high"])).mean())
    return found


@pytest.mark.parametrize("circuit", ONES)
def test_the_true_circuit_is_chosen_and_its_values_recovered(circuit: str) -> None:
    """A spectrum with 0.5 % noise gives its own circuit and values within 5 standard errors."""
    chance = np.random.default_rng(3)
    z = noisy(impedance(circuit, ONES[circuit], FREQUENCY_HZ), chance, 0.005)
    results = computed({"m": (FREQUENCY_HZ, z)}, tried=NOTHING_DIFFUSES)
    assert one(results, "circuit_chi_square")["condition"] == circuit
    for name, truth in ONES[circuit].items():
        found = one(results, name)
        assert found["reason"] == ""
        assert abs(found["value"] - truth) < 5 * found["standard_error"]
        assert found["standard_error"] < 0.2 * truth
    assert one(results, "circuit_misfit")["value"] == pytest.approx(0.5, rel=0.25)


def test_the_area_makes_the_values_those_of_a_square_centimetre() -> None:
    """The same film in a larger cell gives the same values."""
    z = impedance("film with pores", ONES["film with pores"], FREQUENCY_HZ)
    z = noisy(z, np.random.default_rng(5), 0.005)
    small, large = (
        computed({"m": (FREQUENCY_HZ, z)}, area, tried=NOTHING_DIFFUSES) for area in (1.0, 14.6)
    )
    for name in QUANTITIES:
        assert one(large, name)["value"] == pytest.approx(one(small, name)["value"], rel=1e-5)


def covered(circuit: str, count: int, modulus: float, phase: float) -> None:
    """Each parameter's coverage is at most 3.3 binomial standard deviations below 95 %."""
    results = repeats(circuit, count, modulus, phase)
    found = coverage(results, ONES[circuit])
    print(circuit, f"noise {modulus:g} {phase:g}, {count} repeats:", found)
    spread = math.sqrt(0.95 * 0.05 / count)
    assert min(found.values()) > 0.95 - 3.3 * spread


@pytest.mark.parametrize("circuit", ONES)
def test_intervals_hold_the_truth(circuit: str) -> None:
    """Of the 95 % intervals of repeats about 95 % hold the true value."""
    covered(circuit, 80, 0.01, 0.01)


def test_intervals_hold_where_the_phase_is_better_than_the_modulus() -> None:
    """The usual instrument: 1 % of the modulus, 0.2 degrees."""
    covered("film with pores", 80, 0.01, math.radians(0.2))


@pytest.mark.thorough
@pytest.mark.parametrize("circuit", ONES)
def test_the_true_circuit_is_chosen_nearly_always(circuit: str) -> None:
    """Noise seldom passes for another circuit: 18 of 20 repeats give the true one, or more."""
    results = repeats(circuit, 80, 0.01, 0.01, tried=tuple(ONES))
    chosen = results[results["quantity"] == "circuit_chi_square"]["condition"]
    print(circuit, chosen.value_counts().to_dict())
    assert (chosen == circuit).mean() >= 0.9


@pytest.mark.campaign
@pytest.mark.parametrize("circuit", ONES)
@pytest.mark.parametrize("phase", [0.01, math.radians(0.2)])
def test_intervals_hold_the_truth_in_500_repeats(
    circuit: str, phase: float, request: pytest.FixtureRequest
) -> None:
    """The same, so often that 3 % of a difference would show."""
    if "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")
    covered(circuit, 500, 0.01, phase)


def test_the_optimum_is_that_of_scipy_from_the_truth() -> None:
    """From its own starts the fit ends no higher than scipy does from the true values."""
    chance = np.random.default_rng(11)
    truths, z = [], []
    for _ in range(25):
        values = {name: v * 10 ** chance.uniform(-0.7, 0.7) for name, v in ONES[PORES.name].items()}
        values["cpe_exponent"] = chance.uniform(0.88, 0.99)
        values["double_layer_exponent"] = chance.uniform(0.7, 0.95)
        truths.append([values[name] for name in PORES.parameters])
        z.append(noisy(impedance(PORES.name, values, FREQUENCY_HZ), chance, 0.01))
    rising = np.argsort(FREQUENCY_HZ)
    spectra = scaled(np.tile(FREQUENCY_HZ[rising], (25, 1)), np.array(z)[:, rising])
    fitted = fit_circuit(PORES, spectra)
    positive = [not PORES.is_exponent(name) for name in PORES.parameters]

    def residuals(row: Floats, measured: Complexes) -> Floats:
        values = np.where(positive, np.exp(row), row)
        named = dict(zip(PORES.parameters, values, strict=True))
        off = (impedance(PORES.name, named, FREQUENCY_HZ) - measured) / np.abs(measured)
        return np.concatenate([off.real, off.imag])

    for number, truth in enumerate(truths):
        start = np.where(positive, np.log(truth), truth)
        low = np.where(positive, start - 10, 0.5)
        high = np.where(positive, start + 10, 1.0)
        plain = optimize.least_squares(
            residuals, start, bounds=(low, high), args=(z[number],), ftol=1e-12, xtol=1e-12
        )
        assert fitted.chi_square[number] <= 2 * plain.cost * (1 + 1e-6)


def test_many_spectra_fare_as_one() -> None:
    """A spectrum's fit does not hang on what is fitted beside it, nor on unequal lengths."""
    chance = np.random.default_rng(13)
    z = impedance(PORES.name, ONES[PORES.name], FREQUENCY_HZ)
    spectra = {}
    for number in range(CHUNK + 20):
        fewer = slice(0, None, 1 + number % 2)
        spectra[f"m{number}"] = (FREQUENCY_HZ[fewer], noisy(z[fewer], chance, 0.01))
    many = computed(spectra, tried=NOTHING_DIFFUSES)
    for name in ("m0", "m1", f"m{CHUNK + 19}"):
        alone = computed({name: spectra[name]}, tried=NOTHING_DIFFUSES)
        for quantity in QUANTITIES:
            expected = one(alone, quantity, name)["value"]
            assert one(many, quantity, name)["value"] == pytest.approx(expected, rel=1e-4)


def test_an_arc_that_is_not_reached_is_not_given_as_a_number() -> None:
    """Where the sweep ends above the low-frequency arc, the charge transfer has a lower limit."""
    values = {**ONES[PORES.name], "charge_transfer_resistance": 1e12}
    chance = np.random.default_rng(17)
    results = computed(
        {"m": (FREQUENCY_HZ, noisy(impedance(PORES.name, values, FREQUENCY_HZ), chance, 0.01))},
        tried=NOTHING_DIFFUSES,
    )
    found = one(results, "charge_transfer_resistance")
    assert math.isnan(found["value"])
    assert found["reason"].startswith("not identifiable")
    assert 1e8 < found["low"] < 1e12
    assert math.isnan(found["high"])
    assert one(results, "pore_resistance")["value"] == pytest.approx(5e5, rel=0.1)


def test_a_film_without_plateau_has_a_lower_limit_of_its_resistance() -> None:
    """A blocking film shows no resistance, but says how large it is at least."""
    values = {**ONES["intact film"], "pore_resistance": 1e14}
    chance = np.random.default_rng(19)
    results = computed(
        {"m": (FREQUENCY_HZ, noisy(impedance("intact film", values, FREQUENCY_HZ), chance, 0.01))}
    )
    assert one(results, "circuit_chi_square")["condition"] == "blocking film"
    found = one(results, "pore_resistance")
    assert math.isnan(found["value"])
    assert "no resistive plateau" in found["reason"]
    assert 1e9 < found["low"] < 1e14
    assert "see coating_capacitance" in one(results, "coating_capacitance_fitted")["reason"]
    lacking = one(results, "double_layer_exponent")
    assert lacking["reason"] == "the chosen circuit has no double layer exponent"


def test_an_electrolyte_that_does_not_show_has_an_upper_limit() -> None:
    """Behind a film of little capacitance the electrolyte is lost in the noise."""
    values = {**ONES["intact film"], "electrolyte_resistance": 0.01}
    chance = np.random.default_rng(23)
    results = computed(
        {"m": (FREQUENCY_HZ, noisy(impedance("intact film", values, FREQUENCY_HZ), chance, 0.01))}
    )
    found = one(results, "electrolyte_resistance")
    assert math.isnan(found["value"])
    assert math.isnan(found["low"])
    assert 0.01 < found["high"] < 100
    assert "below" in found["reason"]


def test_limits_of_what_is_open_hold_the_truth() -> None:
    """Of one-sided 95 % limits about 95 % hold."""
    values = {**ONES[PORES.name], "charge_transfer_resistance": 1e10}
    chance = np.random.default_rng(29)
    z = impedance(PORES.name, values, FREQUENCY_HZ)
    results = computed(
        {f"m{n}": (FREQUENCY_HZ, noisy(z, chance, 0.01)) for n in range(60)}, tried=NOTHING_DIFFUSES
    )
    rows = results[results["quantity"] == "charge_transfer_resistance"]
    rows = rows[rows["value"].isna()]
    assert len(rows) > 20
    holds = (rows["low"].fillna(0) <= 1e10) & (rows["high"].fillna(np.inf) >= 1e10)
    assert holds.mean() > 0.85


def test_an_ideal_capacitor_is_told_from_a_constant_phase_element() -> None:
    """An ideal film keeps its capacitance, which is given as it is, with exponent 1."""
    chance = np.random.default_rng(31)
    z = impedance("intact film, ideal", ONES["intact film, ideal"], FREQUENCY_HZ)
    results = computed({"m": (FREQUENCY_HZ, noisy(z, chance, 0.005))})
    assert one(results, "coating_capacitance_fitted")["value"] == pytest.approx(2e-9, rel=0.01)
    assert one(results, "cpe_exponent")["value"] == 1.0


def test_the_capacitance_of_a_film_is_that_of_hsu_and_mansfeld() -> None:
    """C = Q^(1/n) R^((1-n)/n), its error from the covariance covers repeats."""
    results = repeats("intact film", 80, 0.01, 0.01)
    truth = ONES["intact film"]
    n = truth["cpe_exponent"]
    c = truth["coating_cpe_coefficient"] ** (1 / n) * truth["pore_resistance"] ** ((1 - n) / n)
    assert coverage(results, {"coating_capacitance_fitted": c}).popitem()[1] > 0.87
    rows = results[results["quantity"] == "coating_capacitance_fitted"]
    assert rows["value"].std() == pytest.approx(rows["standard_error"].median(), rel=0.3)


def test_the_capacitance_of_the_double_layer_is_that_of_brug() -> None:
    """C = Q^(1/n) (1/(Rs+Rp) + 1/Rt)^((n-1)/n), its error from the covariance covers repeats."""
    results = repeats("film with pores", 80, 0.01, 0.01)
    truth = ONES["film with pores"]
    n = truth["double_layer_exponent"]
    series = truth["electrolyte_resistance"] + truth["pore_resistance"]
    leak = 1 / series + 1 / truth["charge_transfer_resistance"]
    c = truth["double_layer_cpe_coefficient"] ** (1 / n) * leak ** ((n - 1) / n)
    assert coverage(results, {"double_layer_capacitance_fitted": c}).popitem()[1] > 0.87


def test_the_criterion_is_given_for_every_circuit_tried() -> None:
    """The simplest of those within 2 of the smallest is chosen."""
    z = noisy(
        impedance(INTACT.name, ONES[INTACT.name], FREQUENCY_HZ), np.random.default_rng(37), 0.01
    )
    results = computed({"m": (FREQUENCY_HZ, z)})
    rows = results[results["quantity"] == "circuit_aicc"]
    assert rows["condition"].tolist() == [circuit.name for circuit in (*CIRCUITS, *FURTHER)]
    chosen = rows[rows["flags"] == "chosen"]
    assert chosen["condition"].tolist() == [INTACT.name]
    assert rows["value"].min() == 0
    assert chosen["value"].iloc[0] <= 2
    assert (rows["value"].iloc[:2] > 2).all()  # the simpler ones


def test_only_the_circuits_that_are_wanted_are_tried() -> None:
    """The laboratory sets which."""
    z = impedance(PORES.name, ONES[PORES.name], FREQUENCY_HZ)
    choices = Choices(circuits=CircuitChoices(tried=("intact film",), misfit_limit_percent=50.0))
    results = compute({"impedance": frame_of({"m": (FREQUENCY_HZ, z)})}, choices)
    assert one(results, "circuit_chi_square")["condition"] == "intact film"
    flags = one(results, "pore_resistance")["flags"]
    assert "% of the modulus" in flags
    assert "residuals follow a pattern" in flags


def odd_spectra() -> dict[str, tuple[Floats, Complexes]]:
    """Return what exports can hold that no film gives."""
    chance = np.random.default_rng(41)
    f = FREQUENCY_HZ
    z = impedance(PORES.name, ONES[PORES.name], f)
    holes = z.copy()
    holes[::3] = complex(math.nan, math.nan)
    loop = z + 4e6 / (1 + 1 / (2j * np.pi * f))  # a coil below 1 Hz: the arc turns back
    return {
        "five points": (f[::15], z[::15]),
        "holes": (f, holes),
        "nothing": (f, np.full(len(f), complex(math.nan, 0.0))),
        "one decade": (np.logspace(3, 2, 30), impedance(PORES.name, ONES[PORES.name], f)[:30]),
        "inductive": (f, z.conj()),
        "inductive loop": (f, loop),
        "one value": (f, np.full(len(f), 1e6 + 0j)),
        "negative": (f, -z),
        "zero": (f, np.zeros(len(f), dtype=complex)),
        "noise": (f, chance.normal(size=len(f)) * 1e6 - 1j * chance.exponential(1e6, len(f))),
        "huge": (f, 1e13 * (1 - 1j) * np.ones(len(f))),
        "tiny": (f, 1e-13 * (1 - 1j) * np.ones(len(f))),
        "leaping": (f, np.where(np.arange(len(f)) % 2, 1e13, 1e-13) * (1 - 1j)),
        "infinite": (f, np.where(np.arange(len(f)) % 2, np.inf, 1.0) * (1 - 1j)),
        "good": (f, noisy(z, chance, 0.01)),
    }


def test_odd_spectra_get_reasons_and_harm_no_other() -> None:
    """Nothing raises; a number is given only for what is a film; the good one is untouched."""
    spectra = odd_spectra()
    results = computed(spectra, tried=NOTHING_DIFFUSES)
    values = results[results["quantity"].isin(QUANTITIES)]
    assert len(values) == len(spectra) * len(QUANTITIES)
    assert (values["value"].notna() | (values["reason"] != "")).all()
    reasons = {
        "five points": "5 points, fewer than 12",
        "nothing": "no usable point",
        "one decade": "1.0 decades of frequency, fewer than 3",
        "inductive": "points are inductive",
        "negative": "",
        "zero": "no usable point",
        "noise": "no circuit describes the spectrum",
        "leaping": "no circuit describes the spectrum",
    }
    for name, reason in reasons.items():
        rows = values[values["measurement"] == name]
        assert rows["value"].isna().all(), name
        assert rows["reason"].str.contains(reason, regex=False).all(), name
    alone = computed({"good": spectra["good"]}, tried=NOTHING_DIFFUSES)
    for quantity in QUANTITIES:
        good = one(results, quantity, "good")["value"]
        assert good == pytest.approx(one(alone, quantity)["value"], rel=1e-4)


@pytest.mark.every(3)
@pytest.mark.parametrize("name", odd_spectra())
def test_each_odd_spectrum_alone_raises_nothing(name: str) -> None:
    """Alone as well."""
    results = computed({name: odd_spectra()[name]})
    assert set(QUANTITIES) <= set(results["quantity"])


@given(
    lg=st.lists(st.floats(-6, 8), min_size=1, max_size=40, unique=True),
    numbers=st.data(),
)
def test_whatever_the_numbers_nothing_raises(lg: list[float], numbers: st.DataObject) -> None:
    """Any numbers within the bounds of the kind, and some beyond."""
    number = st.floats(-1e14, 1e14) | st.sampled_from([math.nan, math.inf, 0.0, -0.0])
    parts = numbers.draw(st.lists(st.tuples(number, number), min_size=len(lg), max_size=len(lg)))
    z = np.array([complex(*part) for part in parts])
    results = computed({"m": (10.0 ** np.array(lg), z)}, least_points=1, least_decades=1e-9)
    values = results[results["quantity"].isin(QUANTITIES)]
    assert (values["value"].notna() | (values["reason"] != "")).all()


def test_the_films_of_the_example_are_found() -> None:
    """Intervals hold the truth behind the example, whose instrument is better in phase."""
    spectra, truths = {}, {}
    for recipe in example_truth.RECIPES:
        panel = example_truth.panels(recipe)[0]
        pores_lg = example_truth.Chance("impedance", panel.name).normal(recipe.pores_lg, 0.1)
        for sweep in example_truth.spectra(panel):
            name = f"{panel.name} after {sweep.exposure_h} h"
            frequency_hz, ohm = (np.array(one) for one in zip(*sweep.points, strict=True))
            spectra[name] = (frequency_hz, ohm * example_truth.AREA_CM2)
            lg = pores_lg + recipe.pores_rise * math.sqrt(sweep.exposure_h / 24)
            truths[name] = 22 * panel.thickness_um * 1e-4 / 10**lg
    results = computed(spectra, example_truth.AREA_CM2)
    chosen = results[results["quantity"] == "circuit_chi_square"]
    assert (chosen["condition"] == "film with pores").all()
    rows = results[results["quantity"] == "pore_resistance"]
    low, high = rows["low"].fillna(0).to_numpy(), rows["high"].fillna(np.inf).to_numpy()
    truth = rows["measurement"].map(truths).to_numpy()
    assert ((low <= truth) & (truth <= high)).mean() > 0.95 - 3.3 * math.sqrt(0.05 / len(rows))
    assert rows["value"].notna().mean() > 0.8


@pytest.mark.parametrize(
    ("choices", "message"),
    [
        ({"tried": ()}, "at least one circuit"),
        ({"least_points": 0}, "least_points = 0: allowed is above 0"),
        ({"most_inductive": 1.5}, "most_inductive = 1.5: allowed is 0 to 1"),
    ],
)
def test_choices_that_make_no_sense_are_refused(choices: dict[str, Any], message: str) -> None:
    """The message names the choice and what is allowed."""
    with pytest.raises(ValueError, match=message):
        CircuitChoices(**choices)


def test_an_empty_archive_gives_an_empty_table() -> None:
    """No spectra, no rows, the columns of every result table."""
    frame = frame_of({"m": (FREQUENCY_HZ, FREQUENCY_HZ * (1 - 1j))}).iloc[:0]
    results = compute({"impedance": frame}, Choices())
    assert len(results) == 0
    assert "reason" in results.columns


def test_a_spectrum_that_fails_kramers_kronig_says_so_in_its_circuits() -> None:
    """Whoever reads a fitted value of a drifting spectrum is told; its neighbour is clean."""
    good = impedance("film with pores", ONES["film with pores"], FREQUENCY_HZ)
    drift = 1 - 0.1 * np.log10(FREQUENCY_HZ.max() / FREQUENCY_HZ)
    frame = frame_of({"good": (FREQUENCY_HZ, good), "bad": (FREQUENCY_HZ, good * drift)})
    results = compute({"impedance": frame}, Choices())
    told = results["flags"].str.contains("fails the Kramers-Kronig test")
    assert told.equals(results["measurement"] == "bad")
    assert told.any()
