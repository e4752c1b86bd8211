"""What one more file costs, one more read, and each command, once the archive has grown.

The archive grows by batches, as a laboratory's does: a batch stays as large as it is, there are
more of them. Cost per file is the median over single arrivals, each taken in on its own.

python tests/bench/growth.py FOLDER SIZE ...    the long form, in a new folder: 1000000 takes 15 GB
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pyarrow.parquet as pq
from large_labs import large_lab, write_exports

import tiecoat
from tiecoat.archive.opening import open_index
from tiecoat.intake.inboxes.settle import look
from tiecoat.intake.intake import Intake
from tiecoat.intake.outcome import Outcome
from tiecoat.intake.workers.pool import ReaderPool
from tiecoat.lab.ids import table_path
from tiecoat.lab.settings import Lab

SIZES = (1_000, 100_000)
SINGLE = 60  # arrivals timed at each size
READS = 30
COMMANDS = (
    ("take",),
    ("contents",),
    ("verify",),
    ("verify", "--changed"),
    ("reindex",),
    ("rebuild",),
)
EVALUATE = ("evaluate", "impedance", "--to")  # everything, into a file
REBUILT = 10_000  # measurements at most that are made again: it takes as long as filing them
MEGABYTE = 1024  # of what the system counts memory in
# A process is charged with the memory of the one that starts it, so that must be a small one.
ALONE = """
import json, resource, subprocess, sys
code = subprocess.run(sys.argv[1:], stdout=sys.stderr).returncode
used = resource.getrusage(resource.RUSAGE_CHILDREN)
print(json.dumps([code, used.ru_utime + used.ru_stime, used.ru_maxrss]))
"""


@dataclass(frozen=True)
class Cost:
    """What a command took: by the clock, of the processor, and of memory at its peak."""

    seconds: float
    processor_s: float
    peak_mb: float

    def __str__(self) -> str:
        return f"{self.seconds:.1f} s ({self.processor_s:.1f} s), {self.peak_mb:,.0f} MB"


def grown(folder: Path, size: int) -> Lab:
    """Return a lab of so many measurements, once it is sure that all of them were filed."""
    lab = large_lab(folder / f"lab-{size}", size)
    with open_index(lab) as index:
        found, originals = index.count(), index.count_originals()
    if (found, originals) != (size, size):
        raise SystemExit(f"of {size:,} only {found:,} were filed, {originals:,} originals known")
    return lab


def cost(lab: Lab, *command: str) -> Cost:
    """Run a command, which must end well, and return what it and what it waited for have taken."""
    call = [sys.executable, "-m", "tiecoat.cli", *command, "--lab", str(lab.root)]
    start = time.perf_counter()
    alone = [sys.executable, "-S", "-c", ALONE, *call]
    done = subprocess.run(alone, capture_output=True, text=True, check=True)
    seconds = time.perf_counter() - start
    code, processor_s, peak = json.loads(done.stdout)
    if code:
        raise SystemExit(f"tiecoat {' '.join(command)} ended with {code}: {done.stderr}")
    return Cost(seconds, processor_s, peak / MEGABYTE)


@contextmanager
def open_intake(lab: Lab, outcomes: list[Outcome]) -> Iterator[Intake]:
    """Open intake with warm workers."""
    with closing(open_index(lab)) as index, ReaderPool(lab) as pool:
        pool.inventory()
        yield Intake(lab, index, pool, outcomes.append)


def one_by_one(lab: Lab, number: int) -> float:
    """Return the median seconds of an arrival, from its preservation to its being filed."""
    outcomes: list[Outcome] = []
    seconds = []
    with open_intake(lab, outcomes) as intake:
        for path in write_exports(lab.root / "single", number, number + SINGLE):
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


def of_size(folder: Path, size: int) -> Iterator[str]:
    """Yield what a lab of a size costs, a line each."""
    lab = grown(folder, size)
    write_exports(lab.root / "inbox", size, size + 1)
    for command in (*COMMANDS, (*EVALUATE, str(folder / f"results-{size}.parquet"))):
        if command != ("rebuild",) or size <= REBUILT:
            told = " ".join(word for word in command if not word.endswith(".parquet"))
            yield f"{size:,} measurements, {told}: {cost(lab, *command)}"
    yield f"{size:,} measurements, cost per file: {one_by_one(lab, 2 * size) * 1e3:.1f} ms"
    ours, direct = read_ratio(lab)
    yield (
        f"{size:,} measurements, one panel: tiecoat {ours * 1e3:.2f} ms, pyarrow from the file "
        f"{direct * 1e3:.2f} ms, ratio {ours / direct:.2f}"
    )


def run(folder: Path, sizes: tuple[int, ...] = SIZES) -> str:
    """Return the table: by the clock, of the processor in brackets, memory at the peak."""
    return "\n".join(line for size in sizes for line in of_size(folder, size))


if __name__ == "__main__":
    place = Path(sys.argv[1])
    place.mkdir()
    for wanted in map(int, sys.argv[2:]):
        for told in of_size(place, wanted):
            print(told, flush=True)
