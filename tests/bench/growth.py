"""What one more file costs, and one more read, once the archive has grown.

The archive grows by batches, as a laboratory's does: a batch stays as large as it is, there are
more of them. Cost per file is the median over single arrivals, each taken in on its own.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

import pyarrow.parquet as pq
from exports import SETTINGS, write_spectra

import tiecoat
from tiecoat.archive.opening import open_index
from tiecoat.intake.inboxes.settle import look
from tiecoat.intake.intake import Intake
from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.taking_in import take
from tiecoat.intake.workers.pool import ReaderPool
from tiecoat.lab.ids import table_path
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import Lab

A_BATCH = 40  # measurements in a batch
SINGLE = 60  # arrivals timed at each size
READS = 30


@contextmanager
def open_intake(lab: Lab, outcomes: list[Outcome]) -> Iterator[Intake]:
    """Open intake with warm workers."""
    with closing(open_index(lab)) as index, ReaderPool(lab) as pool:
        pool.inventory()
        yield Intake(lab, index, pool, outcomes.append)


def grow(lab: Lab, start: int, end: int) -> None:
    """File spectra until there are so many, 40 to a batch."""
    write_spectra(lab.root / "inbox", end - start, batches=end // A_BATCH, start=start)
    take(lab, [], Teller(print, lambda outcome: None))


def one_by_one(lab: Lab, number: int) -> float:
    """Return the median seconds of an arrival, from its preservation to its being filed."""
    outcomes: list[Outcome] = []
    seconds = []
    with open_intake(lab, outcomes) as intake:
        for path in write_spectra(lab.root / "single", SINGLE, batches=A_BATCH, start=number):
            start = time.perf_counter()
            intake.accept([look(path, [])])
            while intake.busy:
                intake.step()
                intake.wait(0.001)
            seconds.append(time.perf_counter() - start)
    if not all(outcome.status == "filed" for outcome in outcomes):
        raise SystemExit(f"not filed: {[o.line for o in outcomes if o.status != 'filed'][:3]}")
    return statistics.median(seconds[10:])


def read_ratio(lab: Lab) -> tuple[float, float]:
    """Return seconds of one panel's rows by tiecoat, and by pyarrow from the file directly."""
    archive = tiecoat.open(lab.root)
    batch, panel = "RB-007", "RB-007-2"
    path = table_path(lab.archive, "impedance", batch)
    ours, direct = [], []
    for _ in range(READS):
        start = time.perf_counter()
        rows = archive.read("impedance", batch=batch, panel=panel)
        ours.append(time.perf_counter() - start)
        start = time.perf_counter()
        plain = pq.read_table(path, filters=[("panel", "=", panel)]).to_pandas()
        direct.append(time.perf_counter() - start)
        if len(rows) != len(plain) or not len(rows):
            raise SystemExit("the two reads differ")
    return statistics.median(ours), statistics.median(direct)


def run(folder: Path, small: int = 1_000, large: int = 20_000) -> str:
    """Return the ratios in words."""
    lab = new_lab(folder / "lab", SETTINGS)
    grow(lab, 0, small)
    at_small = one_by_one(lab, 100_000)
    grow(lab, small, large)
    at_large = one_by_one(lab, 200_000)
    ours, direct = read_ratio(lab)
    return (
        f"cost per file: {at_small * 1e3:.1f} ms at {small:,} archived, {at_large * 1e3:.1f} ms at "
        f"{large:,}, ratio {at_large / at_small:.2f}\n"
        f"one panel at {large:,} measurements: tiecoat {ours * 1e3:.2f} ms, pyarrow from the file "
        f"{direct * 1e3:.2f} ms, ratio {ours / direct:.2f}"
    )
