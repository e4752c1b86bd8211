"""Many labs in one lake: what publishing costs, and evaluating on Dask against one process.

    python tests/bench/lake.py FOLDER LABS BATCHES [KIND]      such as  /tmp/lake 20 1000 density

Each lab has so many batches of its own, made of those of the example. Seconds are of the processor,
of this process or of both workers together, as other work on the machine does not change these;
those of the clock stand beside them. What is evaluated grows by half of the labs, then all of them.
"""

from __future__ import annotations

import os
import shutil
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from many_batches import write_batches

WORKERS = 2


def run(place: Path, labs: int = 4, batches: int = 20, kind: str = "density") -> str:
    """Publish labs, publish again, and evaluate in one process and on two workers."""
    import tiecoat.lake
    from tiecoat.lake.publishing import Publisher

    url, lines = place / "lake", list[str]()
    made = [_lab(place, number, batches, kind) for number in range(labs)]

    def publish() -> None:
        for lab in made:
            Publisher(lab, url).publish()

    for what in ("all that is new", "nothing new"):
        lines.append(f"publish {labs} labs x {batches} batches, {what}: {_taken(publish)}")
    lake = tiecoat.lake.open(url)
    for share in (labs // 2, labs):
        names = lake.labs()[:share]
        alone = _taken(lambda names=names: [lake.evaluate(kind, one) for one in names])  # type: ignore[misc]
        lines.append(f"evaluate {kind} of {share * batches} batches, one process: {alone}")
        lines.append(f"the same, {WORKERS} workers of Dask: {_on_workers(lake, kind, names)}")
    return "\n".join(lines)


def _lab(place: Path, number: int, batches: int, kind: str) -> Any:
    """Return a lab with tables of a kind and its register, and a journal that says who it is."""
    from tiecoat.archive.journal.records import Journal
    from tiecoat.lab.settings import open_lab

    root = place / f"lab-{number:03d}"
    if number == 0:
        write_batches(root, batches, {kind, "batches", "panels"})
    else:
        shutil.copytree(place / "lab-000" / "archive", root / "archive", copy_function=os.link)
        shutil.copy(place / "lab-000" / "tiecoat.toml", root)
    lab = open_lab(root)
    Journal(lab).append([{"event": "overtaken", "sha256": f"{number:064d}"}])
    return lab


def _taken(work: Callable[[], object]) -> str:
    began, clock = time.process_time(), time.perf_counter()
    work()
    used, took = time.process_time() - began, time.perf_counter() - clock
    return f"{used:.2f} s ({took:.1f} s by the clock)"


def _on_workers(lake: Any, kind: str, names: list[str]) -> str:
    """Return what it takes on a cluster whose workers have loaded what they need."""
    from distributed import Client, LocalCluster

    cluster = LocalCluster(n_workers=WORKERS, threads_per_worker=1, dashboard_address=None)
    with cluster, Client(cluster) as client:
        client.run(lake.evaluate, kind, names[0], "XB-00000")
        before, own = sum(client.run(time.process_time).values()), time.process_time()
        clock = time.perf_counter()
        for one in names:
            lake.evaluate(kind, one, on=client)
        took = time.perf_counter() - clock
        own = time.process_time() - own
        used = sum(client.run(time.process_time).values()) - before
    return f"{used:.2f} s, and {own:.2f} s of this process ({took:.1f} s by the clock)"


if __name__ == "__main__":
    folder, labs, batches, *kind = sys.argv[1:]
    Path(folder).mkdir(parents=True)
    print(run(Path(folder), int(labs), int(batches), *kind))
