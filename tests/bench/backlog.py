"""A backlog of small exports against a bare loop over the same files.

The bare loop reads each with pandas.read_csv, hashes it, copies it, and writes one Parquet file:
what one would write by hand, without any check. It writes as durably as tiecoat does: copy and
Parquet are made aside, flushed, and renamed to their places, whose folder is flushed once for as
many files as tiecoat flushes folders for together.

Both are timed by turns, each turn of tiecoat in a process of its own, which starts its workers;
the least of each counts, as whatever else the machine does only adds to it.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pandas as pd
from exports import SETTINGS, write_spectra

from tiecoat.intake.inboxes.preserve import TOGETHER
from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.new_lab import new_lab

HEADER_LINES = 5
TURNS = 3


def bare(paths: list[Path], target: Path) -> None:
    """Read, hash, copy, write each file, durably."""
    stage = target / "stage"
    stage.mkdir(parents=True)
    for number, path in enumerate(paths, 1):
        frame = pd.read_csv(path, skiprows=HEADER_LINES)
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        copy = stage / digest
        shutil.copyfile(path, copy)
        table = stage / f"{digest}.parquet"
        frame.to_parquet(table)
        for made in (copy, table):
            flush(made, os.O_RDWR)
            made.replace(target / made.name)
        if number % TOGETHER == 0 or number == len(paths):
            flush(target, os.O_RDONLY)


def flush(path: Path, mode: int) -> None:
    """Flush a file, or the names in a folder, to the disk."""
    handle = os.open(path, mode)
    os.fsync(handle)
    os.close(handle)


def tiecoat(folder: Path, count: int) -> tuple[float, int]:
    """Take in a backlog; return seconds and how many files were filed."""
    lab = new_lab(folder / "lab", SETTINGS)
    write_spectra(lab.root / "inbox", count)
    outcomes: list[Outcome] = []
    os.sync()
    start = time.perf_counter()
    take(lab, [], Teller(lambda line: None, outcomes.append))
    return time.perf_counter() - start, sum(outcome.status == "filed" for outcome in outcomes)


def turn(folder: Path, count: int) -> tuple[float, float]:
    """Return the seconds of the bare loop, then of tiecoat."""
    paths = write_spectra(folder / "bare-inbox", count)
    os.sync()
    start = time.perf_counter()
    bare(paths, folder / "bare")
    by_hand = time.perf_counter() - start
    command = [sys.executable, __file__, str(folder), str(count)]
    said = subprocess.run(command, stdout=subprocess.PIPE, check=True, text=True).stdout
    seconds, filed = said.split()
    if int(filed) != count:
        raise SystemExit(f"only {filed} of {count} were filed")
    return by_hand, float(seconds)


def run(folder: Path, count: int = 2000) -> str:
    """Return the ratio in words."""
    turns = [turn(folder / str(number), count) for number in range(TURNS)]
    by_hand, seconds = (min(each) for each in zip(*turns, strict=True))
    return (
        f"backlog of {count}, least of {TURNS} turns: bare loop {by_hand:.2f} s, tiecoat"
        f" {seconds:.2f} s (start of its workers included), ratio {seconds / by_hand:.2f}"
    )


if __name__ == "__main__":
    print(*tiecoat(Path(sys.argv[1]), int(sys.argv[2])))
