"""A publishing that is killed at any moment leaves no half state, and the next one goes on."""

from __future__ import annotations

import hashlib
import os
import random
import subprocess
import sys
import time
from pathlib import Path

import pandas as pd
import pytest
from archive_rows import export, make_lab, sweep, wet

pytest.importorskip("deltalake", reason="the extra lake is not installed")

from lakes import OURS, file, lake_equals, retract

import tiecoat
import tiecoat.lake
from tiecoat.archive.tables.parquet import rows_in
from tiecoat.archive.tables.storage import storage_of
from tiecoat.lab.settings import Lab

KILLS = int(os.environ.get("TIECOAT_CAMPAIGN", "3"))
SEED = int(os.environ.get("TIECOAT_SEED", "17"))
BATCHES = [f"RB-{number:03d}" for number in range(12)]
CHILD = """
import sys
from tiecoat.cli import main
import deltalake, pyarrow.dataset, tiecoat.lake.publishing
print("ready", flush=True)
sys.stdin.readline()
main(["publish", sys.argv[1], "--lab", sys.argv[2]])
print("done", flush=True)
sys.stdin.readline()
"""


def killed_after(lab: Lab, url: Path, seconds: float | None) -> float:
    """Publish in a process that is killed so long after it began, or at its end; say how long."""
    given = [sys.executable, "-c", CHILD, str(url), str(lab.root)]
    child = subprocess.Popen(given, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    assert child.stdin
    assert child.stdout
    assert child.stdout.readline() == "ready\n"
    began = time.monotonic()
    child.stdin.write("go\n")
    child.stdin.flush()
    if seconds is None:
        while (line := child.stdout.readline()) != "done\n":
            assert line
    else:
        time.sleep(seconds)
    took = time.monotonic() - began
    child.kill()
    child.communicate()
    return took


class EveryTable:
    """All tables that a lab ever had, by their digests; and what a lake may hold of them."""

    def __init__(self, lab: Lab) -> None:
        self.lab = lab
        self.rows: dict[str, pd.DataFrame] = {}

    def now(self) -> dict[str, dict[str, str]]:
        """By kind and batch the digests of today."""
        kept, found = storage_of(self.lab), dict[str, dict[str, str]]()
        for kind, batch in kept.places():
            content = kept.content((kind, batch))
            digest = hashlib.sha256(content).hexdigest()
            self.rows[digest] = rows_in(content).to_pandas()
            found.setdefault(kind, {})[batch] = digest
        return found

    def of_lake(self, url: Path) -> dict[str, dict[str, str]]:
        """What a lake holds by kind and batch, each table whole and as it was."""
        found: dict[str, dict[str, str]] = {}
        try:
            lake = tiecoat.lake.open(url)
        except tiecoat.UnknownName:
            return {}
        for kind in lake.kinds():
            try:
                rows = lake.read(kind, withdrawn=True)
            except tiecoat.UnknownName:  # the lab has said that it comes, and was killed
                continue
            for batch, part in rows.groupby("batch"):
                (digest,) = part["table_sha256"].unique()
                expected = self.rows[digest]
                own = part.drop(columns=OURS)[expected.columns].reset_index(drop=True)
                pd.testing.assert_frame_equal(own, expected, check_exact=True)
                found.setdefault(kind, {})[str(batch)] = digest
        return found


def change(lab: Lab, number: int, rng: random.Random) -> None:
    """File something in several batches of two kinds, and withdraw something."""
    chosen = rng.sample(BATCHES, 4)
    name = f"{number}.csv"
    tables = {
        "density": [wet(1.2 + number / 1000, one, f"sample {number}") for one in chosen],
        "impedance": [sweep(f"{one}-1", hours=float(number + 48)) for one in chosen],
    }
    file(lab, export(name, tables))
    retract(lab, name)


@pytest.mark.thorough
@pytest.mark.campaign
def test_a_killed_publishing_leaves_whole_kinds(tmp_path: Path) -> None:
    """After each kill a kind is as it was, or as the archive is; in the end all is as it is."""
    rng, url = random.Random(SEED), tmp_path / "lake"
    lab = make_lab(tmp_path / "hall")
    first = {"density": [wet(1.3, one) for one in BATCHES]}
    file(lab, export("first.csv", first | {"impedance": [sweep(f"{one}-1") for one in BATCHES]}))
    every = EveryTable(lab)
    every.now()
    took = killed_after(lab, tmp_path / "other", None)
    before: dict[str, dict[str, str]] = {}
    cut = 0
    for number in range(KILLS):
        now = every.now()
        killed_after(lab, url, rng.uniform(0, 1.1 * took))
        there = every.of_lake(url)
        for kind in {*there, *before, *now}:
            assert there.get(kind) in (before.get(kind), now.get(kind)), (number, kind)
        cut += there != now
        before = there
        change(lab, number, rng)
    assert killed_after(lab, url, None) > 0
    lake_equals(url, {"hall": lab})
    print(f"{KILLS} kills within {took:.2f} s, {cut} before the end")
