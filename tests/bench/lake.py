"""Many labs in one lake: what publishing costs, and evaluating on Dask against one process.

    python tests/bench/lake.py FOLDER LABS BATCHES [KIND]      such as  /tmp/lake 20 1000 density

Each lab has so many batches of its own, made of those of the example. Seconds are of the processor,
of this process or of both workers together, as other work on the machine does not change these;
those of the clock stand beside them. What is evaluated grows by a quarter of the labs, half of them
and all. Results on Dask must be those of one process to the last digit.
"""

from __future__ import annotations

import os
import resource
import shutil
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from many_batches import write_batches

WORKERS = 2


def run(place: Path, labs: int = 4, batches: int = 20, kind: str = "density") -> Iterator[str]:
    """Publish labs, publish again, and evaluate in one process and on two workers."""
    import tiecoat.lake
    from tiecoat.lake.publishing import Publisher

    url = place / "lake"
    made = [_lab(place, number, batches, kind) for number in range(labs)]
    for what in ("all that is new", "nothing new"):
        began = _Moment.now()
        for lab in made:
            Publisher(lab, url).publish()
        yield f"publish {labs} labs x {batches} batches, {what}: {_Moment.now().since(began)}"
    lake = tiecoat.lake.open(url)
    names = lake.labs()
    expected = list[Any]()

    def alone(name: str) -> None:
        expected.append(lake.evaluate(kind, name))

    for share, took in _growing(names, alone):
        yield f"evaluate {kind} of {share * batches} batches, one process: {took}"
    with _cluster() as client:
        client.run(lake.evaluate, kind, names[0], "XB-00000")  # they load what they need

        def on_workers(name: str) -> None:
            if not lake.evaluate(kind, name, on=client).equals(expected[names.index(name)]):
                raise SystemExit(f"{name}: results on Dask differ")

        for share, took in _growing(names, on_workers, client):
            yield f"the same of {share * batches} batches, {WORKERS} workers of Dask: {took}"
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss >> 10
    yield f"{sum(map(len, expected)):,} results are equal; most memory of this process: {most} MB"


@dataclass(frozen=True)
class _Moment:
    """Seconds of the clock, of this process, and of the workers together, if there are any."""

    clock: float
    own: float
    of_workers: float | None

    @classmethod
    def now(cls, client: Any = None) -> _Moment:
        of_workers = client and sum(client.run(time.process_time).values())
        return cls(time.perf_counter(), time.process_time(), of_workers)

    def since(self, began: _Moment) -> str:
        said = f"{self.own - began.own:.1f} s"
        if self.of_workers is not None and began.of_workers is not None:
            said = f"{self.of_workers - began.of_workers:.1f} s, and {said} of this process"
        return f"{said} ({self.clock - began.clock:.0f} s by the clock)"


def _growing(
    names: Sequence[str], work: Callable[[str], None], client: Any = None
) -> Iterator[tuple[int, str]]:
    """Do the work of one lab after the other; yield what a quarter, half and all have taken."""
    began = _Moment.now(client)
    for done, name in enumerate(names, 1):
        work(name)
        if done in {len(names) // 4, len(names) // 2, len(names)}:
            yield done, _Moment.now(client).since(began)


@contextmanager
def _cluster() -> Iterator[Any]:
    from distributed import Client, LocalCluster

    cluster = LocalCluster(n_workers=WORKERS, threads_per_worker=1, dashboard_address=None)
    with cluster, Client(cluster) as client:
        yield client


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


if __name__ == "__main__":
    folder, labs, batches, *kind = sys.argv[1:]
    Path(folder).mkdir(parents=True)
    for line in run(Path(folder), int(labs), int(batches), *kind):
        print(line, flush=True)
