"""A backlog of small exports against a bare loop over the same files.

The bare loop reads each with pandas.read_csv, hashes it, copies it, and writes one Parquet file,
copy and Parquet flushed to the disk: what one would write by hand, without any check.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import time
from pathlib import Path

import pandas as pd
from exports import SETTINGS, write_spectra

from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.new_lab import new_lab

HEADER_LINES = 5


def bare(paths: list[Path], target: Path) -> None:
    """Read, hash, copy, write each file, flushed."""
    target.mkdir()
    for path in paths:
        frame = pd.read_csv(path, skiprows=HEADER_LINES)
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        copy = target / digest
        shutil.copyfile(path, copy)
        table = target / f"{digest}.parquet"
        frame.to_parquet(table)
        for made in (copy, table):
            handle = os.open(made, os.O_RDWR)
            os.fsync(handle)
            os.close(handle)


def tiecoat(folder: Path, count: int) -> tuple[float, int]:
    """Take in a backlog; return seconds and how many files were filed."""
    lab = new_lab(folder / "lab", SETTINGS)
    write_spectra(lab.root / "inbox", count)
    outcomes: list[Outcome] = []
    start = time.perf_counter()
    take(lab, [], Teller(print, outcomes.append))
    return time.perf_counter() - start, sum(outcome.status == "filed" for outcome in outcomes)


def run(folder: Path, count: int = 2000) -> str:
    """Return the ratio in words."""
    paths = write_spectra(folder / "bare-inbox", count)
    start = time.perf_counter()
    bare(paths, folder / "bare")
    by_hand = time.perf_counter() - start
    seconds, filed = tiecoat(folder, count)
    if filed != count:
        raise SystemExit(f"only {filed} of {count} were filed")
    return (
        f"backlog of {count}: bare loop {by_hand:.2f} s, tiecoat {seconds:.2f} s "
        f"(start of its workers included), ratio {seconds / by_hand:.2f}"
    )
