"""The Kramers-Kronig test against impedances that a circuit simulator computed."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from films import drifting, frame_of, noisy

from tiecoat.evaluate.impedance.kramers_kronig import kramers_kronig
from tiecoat.evaluate.impedance.modulus import breakpoints, modulus_at
from tiecoat.evaluate.impedance.spectra import Spectra, spectra_of

NGSPICE = shutil.which("ngspice")
pytestmark = pytest.mark.skipif(
    NGSPICE is None, reason="ngspice is not installed (apt-get install ngspice)"
)

LADDER = [f"R{n} {n + 10} {n + 11} 2e5\nC{n} {n + 11} 0 1e-10" for n in range(60)]

# The current of 1 A flows from ground into node 1, so that the voltage there is the impedance.
NETLISTS = {
    "intact film": "Rs 1 2 30\nC1 2 0 3e-10\nR1 2 0 1e9",
    "film with pores": "Rs 1 2 30\nC1 2 0 3e-10\nRp 2 3 1e6\nCd 3 0 1e-7\nRt 3 0 1e7",
    "two coats": "Rs 1 2 30\nC1 2 3 3e-10\nR1 2 3 1e9\nC2 3 0 2e-9\nR2 3 0 1e7",
    "long leads": "L1 1 4 1e-4\nRs 4 2 30\nC1 2 0 3e-10\nR1 2 0 1e6",
    "blocking film": "Rs 1 2 30\nC1 2 0 3e-10\nRp 2 3 1e6\nCd 3 0 1e-7\nRleak 2 0 1e13",
    "film that takes up water in a gradient": "\n".join(
        ["Rs 1 10 30", "C99 10 0 3e-10", *LADDER, "Rend 70 0 1e9"]
    ),
}


def simulated(netlist: str, folder: Path) -> tuple[np.ndarray, np.ndarray]:
    """Return frequency and impedance from `ac dec` of ngspice."""
    assert NGSPICE is not None
    deck = folder / "deck.cir"
    deck.write_text(
        f"* film\nI1 0 1 dc 0 ac 1\n{netlist}\n.options reltol=1e-6 gmin=1e-18\n.control\n"
        "set wr_singlescale\nset numdgt=12\nac dec 10 0.01 1e5\n"
        "wrdata out.txt real(v(1)) imag(v(1))\n.endc\n.end\n"
    )
    done = subprocess.run(
        [NGSPICE, "-b", deck.name], cwd=folder, capture_output=True, text=True, check=False
    )
    assert (folder / "out.txt").exists(), done.stdout + done.stderr
    hz, real, imag = np.loadtxt(folder / "out.txt").T
    return hz, real + 1j * imag


def spectrum(name: str, folder: Path) -> tuple[Spectra, np.ndarray, np.ndarray]:
    """Return the spectrum of a netlist."""
    hz, z = simulated(NETLISTS[name], folder)
    return spectra_of(frame_of([(hz, z)], area_cm2=1.0)), hz, z


@pytest.mark.parametrize("name", NETLISTS)
def test_a_simulated_circuit_passes(name: str, tmp_path: Path) -> None:
    """Linear, causal and still by construction: less than 0.08 % rms is left of it."""
    spectra, hz, _ = spectrum(name, tmp_path)
    found = kramers_kronig(spectra)
    assert len(hz) == 71
    assert not found.fails[0]
    assert found.rms_percent[0] < 0.08


@pytest.mark.parametrize("name", NETLISTS)
def test_the_same_circuit_drifting_fails(name: str, tmp_path: Path) -> None:
    """The same numbers, changed by 5 % per decade of time, in 1 % noise."""
    _, hz, z = spectrum(name, tmp_path)
    rng = np.random.default_rng(23)
    changed = [(hz, noisy(drifting(z, 0.05, hz), rng)) for _ in range(20)]
    assert kramers_kronig(spectra_of(frame_of(changed))).fails.all()


@pytest.mark.parametrize("name", NETLISTS)
def test_the_same_circuit_in_noise_that_grows_passes(name: str, tmp_path: Path) -> None:
    """The same numbers in noise of 0.3 % at 100 kHz that grows to 3 % at 10 mHz: 1 % fail at most.

    With one weight for all decades 45 to 99 % of them failed. Of 100, four or more would come by
    chance once in 50 if 1 % failed.
    """
    _, hz, z = spectrum(name, tmp_path)
    rng = np.random.default_rng(29)
    share = np.geomspace(0.03, 0.003, len(hz))
    still = []
    for _ in range(100):
        both = rng.normal(size=len(z)) + 1j * rng.normal(size=len(z))
        still.append((hz, z * (1 + share * both)))
    assert kramers_kronig(spectra_of(frame_of(still))).fails.sum() < 4


def test_modulus_and_breakpoint_of_a_simulated_film(tmp_path: Path) -> None:
    """1e9 ohm parallel to 3e-10 F: |Z| at 0.1 Hz, and 1 / (2 pi R C) = 0.5305 Hz to 1 %."""
    spectra, _, _ = spectrum("intact film", tmp_path)
    exact = abs(30 + 1 / (1e-9 + 2j * np.pi * 0.1 * 3e-10))
    assert modulus_at(spectra, 0.1).modulus_ohm_cm2[0] == pytest.approx(exact, rel=1e-4)
    assert breakpoints(spectra).frequency_hz[0] == pytest.approx(0.5305, rel=0.01)
