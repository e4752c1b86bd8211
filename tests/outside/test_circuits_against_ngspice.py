"""Impedances of the circuits, and fits of them, against the circuit simulator ngspice.

ngspice knows resistors and capacitors. A constant-phase element is built from these by its exact
spectrum of relaxations,

    s^n = sin(n pi)/pi * integral of s/(s + x) x^(n-1) dx, x from 0 to infinity, 0 < n < 1,

each s/(s + x) a resistor and a capacitor in series. The trapezoidal rule over ln x converges
exponentially (error about exp(-pi²/h)); what lies beyond the ends is a resistor and a capacitor,
summed as geometric series.

Diffusion through a layer is a uniform line of resistance and capacitance whose far end is shorted,
as the equation of diffusion is that of such a line; ngspice computes lossy lines in closed form
(model LTRA, as its manual has it, from memory). Without end it is a line that the slowest signal
does not cross: 40 times as long as that signal reaches.
"""

from __future__ import annotations

import math
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from numpy.typing import NDArray

from tiecoat.contract.choices import Choices, CircuitChoices
from tiecoat.evaluate.impedance.circuit_models import (
    BLOCKING,
    CIRCUITS,
    DIFFUSION,
    FINITE_DIFFUSION,
    IDEAL,
    INTACT,
    PORES,
    RELAXING,
    Circuit,
    impedance,
)
from tiecoat.evaluate.impedance.circuit_results import compute

pytestmark = pytest.mark.skipif(
    shutil.which("ngspice") is None, reason="ngspice is not installed (apt-get install ngspice)"
)

SPACING = 0.4  # of ln x
FILM = {
    "electrolyte_resistance": 320.0,
    "pore_resistance": 6e5,
    "coating_cpe_coefficient": 3e-9,
    "cpe_exponent": 0.94,
    "double_layer_cpe_coefficient": 2e-7,
    "double_layer_exponent": 0.83,
    "charge_transfer_resistance": 5e6,
    "warburg_coefficient": 2e6,
    "diffusion_resistance": 3e6,
    "diffusion_time": 4.0,
}


def resistor(name: str, nodes: str, ohm: float) -> list[str]:
    return [f"R{name} {nodes} {ohm:.15g}"]


def capacitor(name: str, nodes: str, farad: float) -> list[str]:
    return [f"C{name} {nodes} {farad:.15g}"]


def constant_phase(name: str, nodes: str, q: float, n: float) -> list[str]:
    """Return a constant-phase element, good between 1 mHz and 1 MHz."""
    if n == 1:
        return capacitor(name, nodes, q)
    first, last = nodes.split()
    factor = q * math.sin(n * math.pi) / math.pi
    x = np.exp(np.arange(math.log(6e-8), math.log(2e13), SPACING))
    below = SPACING * x[0] ** n / (math.exp(SPACING * n) - 1)
    above = SPACING * x[-1] ** (n - 1) / (math.exp(SPACING * (1 - n)) - 1)
    lines = resistor(f"{name}low", nodes, 1 / (factor * below))
    lines += capacitor(f"{name}high", nodes, factor * above)
    for number, one in enumerate(x):
        conductance = factor * SPACING * one**n
        # the capacitor first: resistors of 5 mohm at the common node would drown it in rounding
        lines += capacitor(f"{name}x{number}", f"{first} {name}m{number}", conductance / one)
        lines += resistor(f"{name}x{number}", f"{name}m{number} {last}", 1 / conductance)
    return lines


def line(name: str, node: str, ohm: float, second: float) -> list[str]:
    """Return a line of this resistance in all, shorted at its end; its capacitance is t/R."""
    return [
        f"O{name} {node} 0 0 0 {name}",
        f".model {name} LTRA(R={ohm:.15g} C={second / ohm:.15g} L=0 G=0 LEN=1)",
    ]


def behind_charge_transfer(circuit: Circuit, values: dict[str, float], node: str) -> list[str]:
    if circuit is FINITE_DIFFUSION:
        return line("w", node, values["diffusion_resistance"], values["diffusion_time"])
    slowest = 2 * math.pi * 0.01  # of the sweep, rad/s
    second = 40**2 / slowest
    return line("w", node, values["warburg_coefficient"] * math.sqrt(second), second)


def netlist(circuit: Circuit, values: dict[str, float]) -> list[str]:
    """Return the circuit between the nodes 1 and 0."""
    film = values["coating_cpe_coefficient"], values.get("cpe_exponent", 1.0)
    lines = resistor("s", "1 2", values["electrolyte_resistance"])
    lines += constant_phase("film", "2 0", *film)
    if circuit in {IDEAL, INTACT}:
        lines += resistor("p", "2 0", values["pore_resistance"])
    if circuit in {PORES, DIFFUSION, FINITE_DIFFUSION}:
        layer = values["double_layer_cpe_coefficient"], values["double_layer_exponent"]
        lines += resistor("p", "2 3", values["pore_resistance"])
        lines += constant_phase("layer", "3 0", *layer)
        end = "0" if circuit is PORES else "4"
        lines += resistor("t", f"3 {end}", values["charge_transfer_resistance"])
    if circuit in {DIFFUSION, FINITE_DIFFUSION}:
        lines += behind_charge_transfer(circuit, values, "4")
    return lines


def simulate(
    circuit: Circuit, values: dict[str, float], folder: Path
) -> tuple[NDArray[np.float64], NDArray[np.complex128]]:
    """Return frequencies in Hz and impedances from an AC analysis: 1 V over the current."""
    deck = [
        f"* {circuit.name}",
        "V1 1 0 DC 0 AC 1",
        *netlist(circuit, values),
        ".control",
        "set numdgt=12",
        "set wr_singlescale",
        "ac dec 10 0.01 100k",
        "wrdata out.txt i(v1)",
        "quit",
        ".endc",
        ".end",
    ]
    (folder / "film.cir").write_text("\n".join(deck) + "\n")
    subprocess.run(
        ["ngspice", "-b", "film.cir"], cwd=folder, check=True, capture_output=True, timeout=60
    )
    frequency, real, imag = np.loadtxt(folder / "out.txt").T
    return frequency, -1 / (real + 1j * imag)


def chosen(circuit: Circuit, **changes: float) -> dict[str, float]:
    return {name: {**FILM, **changes}[name] for name in circuit.parameters}


@pytest.mark.parametrize("circuit", [BLOCKING, IDEAL, INTACT, PORES], ids=lambda one: one.name)
def test_circuits_of_capacitors(circuit: Circuit, tmp_path: Path) -> None:
    """With exponents of 1 every circuit is one of resistors and capacitors: equal to 1e-9."""
    values = chosen(circuit, cpe_exponent=1.0, double_layer_exponent=1.0)
    frequency, simulated = simulate(circuit, values, tmp_path)
    np.testing.assert_allclose(impedance(circuit, values, frequency), simulated, rtol=1e-9)


@pytest.mark.parametrize("circuit", [BLOCKING, INTACT, PORES], ids=lambda one: one.name)
def test_circuits_with_constant_phase_elements(circuit: Circuit, tmp_path: Path) -> None:
    """With ladders for constant-phase elements: equal to 1e-7.

    The ladder is exact to 2e-11 within; beyond its ends it lacks about (6e-8 / 0.06)^(1 + n) and
    (6e5 / 2e13)^(2 - n), less than 1e-8.
    """
    values = chosen(circuit)
    frequency, simulated = simulate(circuit, values, tmp_path)
    np.testing.assert_allclose(impedance(circuit, values, frequency), simulated, rtol=1e-7)


@pytest.mark.parametrize("circuit", [DIFFUSION, FINITE_DIFFUSION], ids=lambda one: one.name)
def test_circuits_with_diffusion(circuit: Circuit, tmp_path: Path) -> None:
    """With lossy lines for diffusion, R tanh(x)/x and s/(i w)^(1/2): equal to 1e-7."""
    values = chosen(circuit)
    frequency, simulated = simulate(circuit, values, tmp_path)
    np.testing.assert_allclose(impedance(circuit, values, frequency), simulated, rtol=1e-7)


def test_a_simulated_film_is_recovered(tmp_path: Path) -> None:
    """From the simulator's spectrum with 0.5 % noise every value comes back within its errors.

    With no circuit of diffusion tried: else the charge transfer and the double layer are left open.
    """
    frequency, z = simulate(PORES, FILM, tmp_path)
    chance = np.random.default_rng(43)
    z = z * np.exp(0.005 * (chance.normal(size=len(z)) + 1j * chance.normal(size=len(z))))
    frame = pd.DataFrame(
        {
            "measurement": "m",
            "batch": "RB-014",
            "panel": "RB-014-3",
            "measured_at": pd.Timestamp("2026-09-22", tz="UTC"),
            "exposure_h": 24.0,
            "spot": None,
            "area_cm2": 14.6,
            "thickness_um": 180.0,
            "frequency_hz": frequency,
            "z_real_ohm": z.real / 14.6,
            "z_imag_ohm": z.imag / 14.6,
        }
    )
    tried = (*(circuit.name for circuit in CIRCUITS), RELAXING.name)
    choices = Choices(circuits=CircuitChoices(tried))
    results = compute({"impedance": frame}, choices).set_index("quantity")
    assert results.loc["circuit_chi_square", "condition"] == "film with pores"
    for name in PORES.parameters:
        found, truth = results.loc[name], FILM[name]
        assert abs(found["value"] - truth) < 4 * found["standard_error"], name
