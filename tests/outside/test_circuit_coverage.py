"""How often intervals of fitted circuits hold the truth, for films that no fitted code has drawn.

The impedances are closed formulas written out here: the relaxation of Cole and Cole, the diffusion
of Warburg and that through a layer (R tanh(x)/x, x = (i w tau)^(1/2), from memory; the same is
compared with a lossy line of ngspice in test_circuits_against_ngspice.py), resistors,
constant-phase elements. The circuit is chosen from the spectrum.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pandas as pd
import pytest
from films import frame_of
from numpy.typing import NDArray
from scipy.stats import binom

from tiecoat.contract.choices import Choices, CircuitChoices
from tiecoat.evaluate.impedance.circuit_results import compute

Truth = dict[str, float]
HZ = np.logspace(5, -2, 71)
S = 2j * np.pi * HZ
NOISE = {"1 %": np.full(71, 0.01), "0.3 to 3 %": np.geomspace(0.003, 0.03, 71)}
NAMES = {
    "electrolyte_resistance": "rs",
    "pore_resistance": "r",
    "coating_cpe_coefficient": "q",
    "cpe_exponent": "n",
    "charge_transfer_resistance": "rt",
    "double_layer_cpe_coefficient": "qd",
    "double_layer_exponent": "nd",
    "double_layer_capacitance_fitted": "cd",
}
OF_STEEL = tuple(NAMES)[4:]


def film(rng: np.random.Generator) -> Truth:
    """An intact film: 0.16 to 1 nF/cm², 1e8 to 3e12 ohm cm², half of them ideal."""
    n = 1.0 if rng.random() < 0.5 else rng.uniform(0.93, 1)
    lg = {"rs": (1.5, 2.5), "q": (-9.8, -9.0), "r": (8, 12.5)}
    return {"n": n, **{name: 10 ** rng.uniform(*ends) for name, ends in lg.items()}}


def of_pores(rng: np.random.Generator) -> Truth:
    """A film with pores: the double layer stores hundreds of times what the film does."""
    lg = {"r": (4, 7), "qd": (-7, -5.3), "rt": (5.5, 8)}
    more = {name: 10 ** rng.uniform(*ends) for name, ends in lg.items()}
    exponents = {"n": rng.uniform(0.9, 1), "nd": rng.uniform(0.75, 0.95)}
    return {**film(rng), **more, **exponents}


def intact(rng: np.random.Generator) -> tuple[Truth, NDArray[np.complex128]]:
    t = film(rng)
    return t, t["q"] * S ** t["n"] + 1 / t["r"]


def blocking(rng: np.random.Generator) -> tuple[Truth, NDArray[np.complex128]]:
    t = {**film(rng), "n": rng.uniform(0.93, 1), "r": math.inf}
    return t, t["q"] * S ** t["n"]


def relaxing(rng: np.random.Generator) -> tuple[Truth, NDArray[np.complex128]]:
    """A dielectric whose permittivity rises by 0.1 to 3 times itself towards low frequency."""
    t = film(rng)
    more, tau, width = t["q"] * 10 ** rng.uniform(-1, 0.5), 10 ** rng.uniform(-4, 0.5), 1.0
    if rng.random() < 0.7:
        width = rng.uniform(0.5, 0.9)
    return t, t["q"] * S ** t["n"] + 1 / t["r"] + S * more / (1 + (S * tau) ** width)


def pores(rng: np.random.Generator) -> tuple[Truth, NDArray[np.complex128]]:
    t = of_pores(rng)
    steel = 1 / (t["qd"] * S ** t["nd"] + 1 / t["rt"])
    return t, t["q"] * S ** t["n"] + 1 / (t["r"] + steel)


def diffusion(rng: np.random.Generator) -> tuple[Truth, NDArray[np.complex128]]:
    t = of_pores(rng)
    t["rt"] = 10 ** rng.uniform(5, 6.5)
    steel = 1 / (t["qd"] * S ** t["nd"] + 1 / (t["rt"] + 10 ** rng.uniform(5, 7) / np.sqrt(S)))
    return t, t["q"] * S ** t["n"] + 1 / (t["r"] + steel)


def through_a_layer(rng: np.random.Generator) -> tuple[Truth, NDArray[np.complex128]]:
    t = of_pores(rng)
    t["rt"] = 10 ** rng.uniform(5, 6.5)
    resistance, x = 10 ** rng.uniform(5, 7), np.sqrt(S * 10 ** rng.uniform(-1, 1.5))
    faradaic = t["rt"] + resistance * np.tanh(x) / x
    steel = 1 / (t["qd"] * S ** t["nd"] + 1 / faradaic)
    return t, t["q"] * S ** t["n"] + 1 / (t["r"] + steel)


def thin(rng: np.random.Generator) -> tuple[Truth, NDArray[np.complex128]]:
    """A film of 3 to 30 nF/cm², before which the electrolyte shows at 100 kHz."""
    t = {**film(rng), "q": 10 ** rng.uniform(-8.5, -7.5), "r": 10 ** rng.uniform(6, 9)}
    return t, t["q"] * S ** t["n"] + 1 / t["r"]


def measured(
    family: Callable[[np.random.Generator], tuple[Truth, NDArray[np.complex128]]],
    noise: str,
    count: int,
) -> tuple[pd.DataFrame, dict[str, Truth]]:
    """Return the results of a family of films, each measured once, and the truths."""
    rng = np.random.default_rng(101)
    spectra, truths = [], {}
    for number in range(count):
        truth, admittance = family(rng)
        both = rng.normal(size=71) + 1j * rng.normal(size=71)
        z = (truth["rs"] + 1 / admittance) * np.exp(NOISE[noise] * both)
        spectra.append((HZ, z))
        truths[f"m{number:04d}"] = {**truth, "cd": layer(truth)}
    return compute({"impedance": frame_of(spectra, area_cm2=1.0)}, Choices()), truths


def layer(truth: Truth) -> float:
    """Return the capacitance of a double layer over a surface (Brug et al. 1984).

    As Lazanas and Prodromidis print it, doi 10.1021/acsmeasuresciau.2c00070, equation 73.
    """
    if "qd" not in truth:
        return math.nan
    leak = 1 / (truth["rs"] + truth["r"]) + 1 / truth["rt"]
    return float(truth["qd"] ** (1 / truth["nd"]) * leak ** (1 - 1 / truth["nd"]))


RELAXATION = "a relaxation of the film itself"
DIFFUSES = "not determinable: one spectrum does not part it from something that diffuses"


def coverage(results: pd.DataFrame, truths: dict[str, Truth], name: str) -> tuple[int, int]:
    """Return how many values were given without doubt whether the film relaxes, how many hold."""
    rows = results[(results["quantity"] == name) & results["value"].notna()]
    rows = rows[rows["low"].notna() | rows["high"].notna()]
    rows = rows[~rows["flags"].str.contains(RELAXATION, regex=False)]
    truth = np.array([truths[one].get(NAMES[name], math.nan) for one in rows["measurement"]])
    held = (rows["low"].to_numpy() <= truth * (1 + 1e-9)) & (
        rows["high"].to_numpy() >= truth * (1 - 1e-9)
    )
    return len(rows), int(held.sum())


def runs(request: pytest.FixtureRequest, campaign: int, usual: int) -> int:
    return campaign if "campaign" in request.config.getoption("-m") else usual


DIFFUSING = (diffusion, through_a_layer)
FAMILIES = (intact, thin, blocking, relaxing, pores, *DIFFUSING)


@pytest.mark.thorough
@pytest.mark.campaign
@pytest.mark.parametrize("noise", NOISE)
@pytest.mark.parametrize("family", FAMILIES, ids=lambda f: f.__name__)
def test_what_is_given_holds_the_truth(
    family: Callable[[np.random.Generator], tuple[Truth, NDArray[np.complex128]]],
    noise: str,
    request: pytest.FixtureRequest,
) -> None:
    """Of 95 % intervals of what is given 92 % hold, or so few less as chance explains in 1 of 20.

    Left out are values that are flagged with what refutes them, that the film relaxes. Measured
    with 300 films each (intact, thin and relaxing ones 1500), 1 % and 0.3 to 3 %: resistance of
    intact films 0.943, 0.928, of thin ones 0.948, 0.937, of relaxing ones 0.945, 0.917, of pores
    0.941, 0.961, above diffusion 0.936, 0.949, through a layer 0.907, 0.931; electrolyte of thin
    films 0.941, 0.970; charge transfer above diffusion 0.938, 0.928, through a layer 0.902 (83 of
    92), 0.932; the double layer's coefficient 0.93 to 0.94, exponent 0.91 to 0.96, capacitance 0.93
    to 0.95; coefficient and exponent of the film 0.93 to 0.98. Of 1746 resistances of pores 0.938
    held, of 405 charge transfers 0.926. Of pores under which nothing diffuses a circuit of
    diffusion was chosen for 4 in 1500: of these 3 charge transfers none held.
    """
    count = runs(request, 300, 40)
    results, truths = measured(family, noise, count)
    short = []
    for name in NAMES:
        given, held = coverage(results, truths, name)
        print(f"{family.__name__}, {noise}: {name} given {given} of {count}, held {held}")
        if given and binom.cdf(held, given, 0.92) < 0.05:
            short.append(f"{name}: {held} of {given}")
    assert not short


@pytest.mark.every(2)
@pytest.mark.parametrize("noise", NOISE)
def test_a_dielectric_that_relaxes_is_not_read_as_pores(noise: str) -> None:
    """Nothing of pores is given without the doubt, no resistance more than tenfold too low."""
    results, truths = measured(relaxing, noise, 40)
    told = results["flags"].str.contains("a relaxation of the film itself would look the same")
    for name in ("charge_transfer_resistance", "double_layer_cpe_coefficient"):
        rows = results[(results["quantity"] == name) & results["value"].notna()]
        assert told[rows.index].all()
    rows = results[(results["quantity"] == "pore_resistance") & results["value"].notna()]
    for one in rows.itertuples():
        least = 0.09 if told[one.Index] else 0.5
        assert least < one.value / truths[one.measurement]["r"] < 2


def test_no_resistance_is_given_to_a_film_that_blocks() -> None:
    """Only a lower limit; with the circuit of a plateau chosen by chance, none of its numbers."""
    results, _ = measured(blocking, "0.3 to 3 %", 60)
    rows = results[results["quantity"] == "pore_resistance"]
    assert rows["value"].isna().all()
    assert rows["high"].isna().all()


def test_an_electrolyte_that_hardly_shows_is_not_given() -> None:
    """30 ohm cm² before a film of 0.1 nF/cm², 0.2 % of the modulus: of what was given, no value."""
    rng = np.random.default_rng(103)
    z = 30 + 1 / (1e-10 * S**0.98 + 1e-9)
    spectra = []
    for _ in range(60):
        both = rng.normal(size=71) + 1j * rng.normal(size=71)
        spectra.append((HZ, z * np.exp(0.01 * both)))
    results = compute({"impedance": frame_of(spectra, area_cm2=1.0)}, Choices())
    rows = results[results["quantity"] == "electrolyte_resistance"]
    assert rows["value"].isna().all()
    assert (rows["high"].dropna() >= 30).mean() > 0.95 - 3 * math.sqrt(0.05 * 0.95 / 60)


@pytest.mark.parametrize("ohm_cm2", [60.0, 300.0])
def test_an_electrolyte_is_given_where_the_phase_comes_back(ohm_cm2: float) -> None:
    """Before 2 nF/cm², 1002 ohm cm² at 79 kHz: 60 ohm cm² are -87 degrees, 300 are -73."""
    rng = np.random.default_rng(107)
    z = (ohm_cm2 + 1 / (2e-9 * S + 5e-9)) * np.exp(0.002 * rng.normal(size=(2, 71)).T @ [1, 1j])
    results = compute({"impedance": frame_of([(HZ, z)], area_cm2=1.0)}, Choices())
    one = results[results["quantity"] == "electrolyte_resistance"].iloc[0]
    if ohm_cm2 == 300:
        assert one["low"] <= 300 <= one["high"]
        assert one["value"] == pytest.approx(300, rel=0.02)
    else:
        assert math.isnan(one["value"])
        assert one["reason"] == (
            "not determinable: the phase at the highest frequencies is -87 degrees, above -80 is "
            "needed"
        )


@pytest.mark.thorough
def test_of_the_double_layer_nothing_is_given_without_a_charge_transfer_beside_diffusion() -> None:
    """Where diffusion without end was chosen; nor is a capacitance."""
    results, _ = measured(diffusion, "1 %", 40)
    names = list(OF_STEEL)
    wide = results[results["quantity"].isin(names)]
    wide = wide.pivot(index="measurement", columns="quantity", values="value")
    chosen = results[results["quantity"] == "circuit_chi_square"].set_index("measurement")
    slow = wide[(chosen["condition"] == "pores with diffusion").reindex(wide.index)]
    without = slow[slow[names[0]].isna()]
    assert len(without) > 5
    assert without[names].isna().all(axis=None)


@pytest.mark.thorough
@pytest.mark.parametrize("family", [pores, *DIFFUSING], ids=lambda f: f.__name__)
def test_of_the_steel_below_pores_nothing_is_given_that_diffusion_may_feign(
    family: Callable[[np.random.Generator], tuple[Truth, NDArray[np.complex128]]],
    request: pytest.FixtureRequest,
) -> None:
    """Without a circuit of diffusion only how large the charge transfer is at most, which holds.

    Measured with 300 films each: of pores 528 of 537 limits held, above diffusion 52 of 52,
    through a layer 255 of 255.
    """
    given, held = 0, 0
    for noise in NOISE:
        results, truths = measured(family, noise, runs(request, 300, 40))
        rows = results[results["reason"].str.startswith(DIFFUSES)]
        assert set(rows["quantity"]) == set(OF_STEEL)
        steel = results[results["quantity"].isin(OF_STEEL) & results["value"].notna()]
        assert steel["method"].str.startswith("pores with ").all()
        rows = rows[rows["high"].notna()]
        truth = np.array([truths[one]["rt"] for one in rows["measurement"]])
        given, held = given + len(rows), held + int((rows["high"].to_numpy() >= truth).sum())
        for one in rows.itertuples():
            assert one.quantity == "charge_transfer_resistance"
            assert one.reason == f"{DIFFUSES}; below {one.high:.2g} ohm cm2 (95 %, one-sided)"
        assert rows["low"].isna().all()
    print(f"{family.__name__}: {held} of {given} limits of the charge transfer hold")
    assert binom.cdf(held, given, 0.95) > 0.05


def test_a_laboratory_that_knows_nothing_to_diffuse_is_given_the_charge_transfer() -> None:
    """With no circuit of diffusion tried, it stands beside the assumption that nothing diffuses."""
    rng = np.random.default_rng(109)
    spectra, truths = [], []
    for _ in range(40):
        truth, admittance = pores(rng)
        noise = np.exp(0.01 * (rng.normal(size=71) + 1j * rng.normal(size=71)))
        spectra.append((HZ, (truth["rs"] + 1 / admittance) * noise))
        truths.append(truth["rt"])
    tried = CircuitChoices().tried[:5]
    results = compute(
        {"impedance": frame_of(spectra, area_cm2=1.0)}, Choices(circuits=CircuitChoices(tried))
    )
    rows = results[results["quantity"] == "charge_transfer_resistance"]
    held = (rows["low"].to_numpy() <= truths) & (rows["high"].to_numpy() >= truths)
    given = rows["value"].notna().to_numpy()
    assert given.sum() > 30
    assert held[given].mean() > 0.9
    assert (
        rows[given]["flags"]
        .str.contains("holds if nothing that diffuses has a part in it", regex=False)
        .all()
    )
