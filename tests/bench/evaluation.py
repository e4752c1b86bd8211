"""What the results of many spectra cost beside reading them."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from pathlib import Path

from exports import SETTINGS, write_spectra

import tiecoat
from tiecoat.intake.outcome import Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.new_lab import new_lab

REPEATS = 5


def median_s(work: Callable[[], object]) -> float:
    """Return the median seconds of a few runs after one that is not counted."""
    work()
    seconds = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return statistics.median(seconds)


def run(folder: Path, count: int = 2000) -> str:
    """Return the ratio in words."""
    lab = new_lab(folder / "lab", SETTINGS)
    write_spectra(lab.root / "inbox", count)
    take(lab, [], Teller(print, lambda outcome: None))
    archive = tiecoat.open(lab.root)
    reading = median_s(lambda: archive.read("impedance"))
    evaluating = median_s(lambda: archive.evaluate("impedance"))
    circuits = median_s(lambda: archive.evaluate("impedance", quantity="impedance_circuits"))
    return (
        f"{count:,} spectra: reading {reading:.2f} s; read and evaluated {evaluating:.2f} s, ratio "
        f"{evaluating / reading:.1f}; read and circuits fitted {circuits:.2f} s, ratio "
        f"{circuits / reading:.1f}"
    )
