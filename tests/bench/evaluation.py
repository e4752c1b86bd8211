"""What the results of many spectra, and of every kind of many batches, cost beside reading."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

from exports import SETTINGS, write_spectra
from many_batches import write_batches

import tiecoat
from tiecoat.extend.loading import load_evaluations
from tiecoat.intake.outcome import Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.new_lab import new_lab

REPEATS = 5
BATCHES = (200, 2000)  # ten times as many are to cost ten times as much
KINDS = (
    "impedance",
    "density",
    "viscosity",
    "pull_off",
    "exposure_rating",
    "chamber_record",
    "cross_section",
    "defects",
    "rust_image",
    "film_thickness",
    "gloss",
)


def median_s(work: Callable[[], object]) -> float:
    """Return the median seconds of a few runs after one that is not counted."""
    work()
    seconds = []
    for _ in range(REPEATS):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return statistics.median(seconds)


def least_cpu_s(work: Callable[[], object]) -> float:
    """Return the least processor seconds of two runs, which others on the machine stretch least."""
    seconds = []
    for _ in range(2):
        start = time.process_time()
        work()
        seconds.append(time.process_time() - start)
    return min(seconds)


def run(folder: Path, count: int = 2000) -> str:
    """Return the ratios in words."""
    return "\n".join([of_spectra(folder, count), *of_kinds(folder, BATCHES)])


def of_kinds(folder: Path, sizes: tuple[int, int]) -> Iterator[str]:
    """Return for every kind what a whole archive of many batches costs, circuits not fitted.

    Beside it by how much that grows from few batches to many, over by how much these do. Reading
    is that of all tables that the results are made of, the register of panels among them.
    """
    few, many = sizes
    for batches in sizes:
        write_batches(folder / f"batches-{batches}", batches)
    for kind in KINDS:
        beyond = {}
        for batches in sizes:
            archive = tiecoat.open(folder / f"batches-{batches}")
            reading = sum(least_cpu_s(partial(archive.read, one)) for one in read_for(kind))
            cost = least_cpu_s(partial(archive.evaluate, kind))
            beyond[batches] = cost - reading
            yield (
                f"{batches:,} batches, {kind}: reading {reading:.2f} s; read and evaluated "
                f"{cost:.2f} s of processor time, {beyond[batches]:.2f} s beyond reading, ratio "
                f"{cost / reading:.1f}"
            )
        growth = beyond[many] / beyond[few] / (many / few)
        yield f"{kind}: of {many / few:g} times the batches each costs {growth:.2f} times as much"


def read_for(kind: str) -> set[str]:
    """Return the kinds that results of a kind are made of."""
    every = load_evaluations(None).evaluations.values()
    needed = {one for mine in every if mine.kind == kind and not mine.slow for one in mine.needs}
    return {kind, "panels", *needed}


def of_spectra(folder: Path, count: int) -> str:
    """Return the ratio for many spectra in words."""
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
