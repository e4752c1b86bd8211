"""A publishing that is killed at any moment leaves no half state, and the next one goes on."""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import random
import sys
import time
from collections.abc import Sequence
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
from tiecoat.cli import main
from tiecoat.lab.settings import Lab

KILLS = int(os.environ.get("TIECOAT_CAMPAIGN", "3"))
SEED = int(os.environ.get("TIECOAT_SEED", "17"))
BATCHES = [f"RB-{number:03d}" for number in range(12)]
LOADED = ["deltalake", "pyarrow.dataset", "tiecoat.lake.publishing", "tiecoat.evaluate.evaluations"]


def at_once(url: Path, labs: Sequence[Lab], kill_after: Sequence[float] = ()) -> float:
    """Publish labs at once, to the end or each killed after so many seconds; say how long."""
    context = multiprocessing.get_context("spawn" if sys.platform == "win32" else "forkserver")
    context.set_forkserver_preload(LOADED)
    given = [["publish", str(url), "--lab", str(lab.root)] for lab in labs]
    children = [context.Process(target=main, args=(one,)) for one in given]
    began = time.monotonic()
    for child in children:
        child.start()
    for seconds, child in sorted(zip(kill_after, children, strict=False), key=lambda p: p[0]):
        time.sleep(max(0.0, began + seconds - time.monotonic()))
        child.kill()
    for child in children:
        child.join()
    assert kill_after or {child.exitcode for child in children} == {0}
    return time.monotonic() - began


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
        """What a lake holds of it by kind and batch, each table whole and as it was."""
        found: dict[str, dict[str, str]] = {}
        try:
            lake = tiecoat.lake.open(url)
        except tiecoat.UnknownName:
            return {}
        for kind in lake.kinds() if self.lab.root.name in lake.labs() else ():
            try:
                rows = lake.read(kind, self.lab.root.name, withdrawn=True)
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
    name = f"{number} of {lab.root.name}.csv"
    tables = {
        "density": [wet(1.2 + number / 1000, one, f"sample {number}") for one in chosen],
        "impedance": [sweep(f"{one}-1", hours=float(number + 48)) for one in chosen],
    }
    file(lab, export(name, tables))
    retract(lab, name)


@pytest.mark.thorough
@pytest.mark.campaign
def test_killed_publishings_leave_whole_kinds(tmp_path: Path) -> None:
    """Two at once, of two labs or of one: after each kill a kind is as it was, or as it is now.

    In the end the lake is as the archives are.
    """
    rng, url = random.Random(SEED), tmp_path / "lake"
    labs = [make_lab(tmp_path / name) for name in ("hall", "quay")]
    for lab in labs:
        first = {"density": [wet(1.3, one) for one in BATCHES]}
        first["impedance"] = [sweep(f"{one}-1") for one in BATCHES]
        file(lab, export(f"first of {lab.root.name}.csv", first))
    every = [EveryTable(lab) for lab in labs]
    for one in every:
        one.now()
    at_once(tmp_path / "first", labs)  # what starts them loads libraries
    took = at_once(tmp_path / "other", labs)
    before: list[dict[str, dict[str, str]]] = [{}, {}]
    cut = kills = 0
    while kills < KILLS:
        two = labs if rng.random() < 0.7 else [rng.choice(labs)] * 2
        at_once(url, two, [rng.uniform(0, 1.1 * took) for _ in two])
        kills += len(two)
        for place, one in enumerate(every):
            now, there = one.now(), one.of_lake(url)
            for kind in {*there, *before[place], *now}:
                assert there.get(kind) in (before[place].get(kind), now.get(kind)), (kills, kind)
            cut += one.lab in two and there != now
            before[place] = there
            change(one.lab, kills, rng)
    assert at_once(url, labs) > 0
    lake_equals(url, {lab.root.name: lab for lab in labs})
    print(f"{kills} kills within {took:.2f} s, {cut} labs left behind by them")
