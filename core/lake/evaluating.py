"""Engineering results over a lake: batch by batch, here, on Dask or on Spark.

A part is some batches of one lab. Whoever computes it reads their rows from the lake himself, at
the version that was asked, and runs the evaluations that `tiecoat.open(...).evaluate` runs, of one
batch after the other. So each result is the one of its lab to the last digit, wherever and beside
whatever others it is computed. Scheduling, and trying again what died, is for Dask and Spark.
"""

from __future__ import annotations

import json
import pickle
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.lake.one_lab import LabInLake, LakeVersion
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    import pandas as pd

    from tiecoat.lake.labs import LabEntry

BATCHES_IN_PART = 16  # enough that reading costs little, few enough that all have work


@dataclass(frozen=True)
class LakePart:
    """What is computed at a time: results of a kind for some batches of one lab.

    `panel` and `quantity` are as for `Archive.evaluate`.
    """

    lake: LakeVersion
    entry: LabEntry
    kind: str
    batches: tuple[str, ...]
    panel: str | None
    quantity: str | None


@dataclass(frozen=True)
class PartResults:
    """Results of a part, what was left out, and whether the quantity was found in any batch."""

    table: pd.DataFrame
    left_out: tuple[str, ...]
    unknown: str = ""


def parts_of(
    lake: LakeVersion,
    labs: Iterable[tuple[LabEntry, Sequence[str]]],
    kind: str,
    panel: str | None,
    quantity: str | None,
) -> list[LakePart]:
    """Return the parts of labs, each with the batches that are wanted of it."""
    return [
        LakePart(lake, entry, kind, tuple(batches[at : at + BATCHES_IN_PART]), panel, quantity)
        for entry, batches in labs
        for at in range(0, len(batches), BATCHES_IN_PART)
    ]


def evaluate_part(part: LakePart) -> PartResults:
    """Compute a part, one batch after the other."""
    import pandas as pd

    from tiecoat.ask.evaluate import evaluate

    archive = LabInLake(part.lake, part.entry, part.batches)
    found, left_out, unknown = [], [*_others(part.entry)], ""
    for batch in part.batches:
        try:
            one = evaluate(archive, part.kind, batch, part.panel, part.quantity)
        except UnknownName as error:
            unknown = str(error)
            if part.quantity is None:
                break
            continue
        found.append(one.table)
        left_out += [f"{part.entry.lab}: {problem}" for problem in one.left_out]
    table = pd.concat(found, ignore_index=True) if found else pd.DataFrame()
    if found:
        table.insert(0, "lab", part.entry.lab)
        table = table.astype({"lab": "str"})
    return PartResults(table, tuple(dict.fromkeys(left_out)), unknown)


def _others(entry: LabEntry) -> Iterator[str]:
    """Yield what a lab's own program would compute otherwise than this one."""
    from tiecoat.extend.loading import load_evaluations

    here = {one.name: one.version for one in load_evaluations(None).evaluations.values()}
    for name, version in json.loads(entry.evaluations).items():
        if name not in here:
            yield f"{entry.lab} has an evaluation {name!r} that is not installed here"
        elif here[name] != version:
            yield (
                f"{entry.lab} has version {version} of the evaluation {name!r}, and here is"
                f" {here[name]}"
            )


def computed(parts: Sequence[LakePart], on: Any, told: Told = untold) -> list[PartResults]:
    """Compute parts: in this process (None), on a client of Dask or on a session of Spark.

    Raises
    ------
    QueryInvalid
        If it is neither.
    """
    home = type(on).__module__.partition(".")[0]
    if on is None:
        done = []
        for number, part in enumerate(parts):
            told("evaluating parts", number, len(parts))
            done.append(evaluate_part(part))
        return done
    if home == "distributed":
        futures = on.map(evaluate_part, parts, pure=False)
        return list(on.gather(futures))
    if home == "pyspark":
        return _on_spark(parts, on)
    raise QueryInvalid(
        f"on must be a client of dask.distributed or a session of Spark; found {type(on).__name__}"
    )


def _on_spark(parts: Sequence[LakePart], spark: Any) -> list[PartResults]:
    """Compute parts in groups of one row each: the part goes out, its results come back."""
    import pandas as pd

    if not parts:
        return []
    packed = pd.DataFrame({"number": range(len(parts)), "part": list(map(pickle.dumps, parts))})
    sent = spark.createDataFrame(packed, "number int, part binary")
    spread = sent.repartition(len(parts), "number")
    done = spread.groupBy("number").applyInPandas(_on_worker, "number int, results binary")
    return [pickle.loads(row["results"]) for row in done.orderBy("number").collect()]


def _on_worker(rows: pd.DataFrame) -> pd.DataFrame:
    results = [pickle.dumps(evaluate_part(pickle.loads(part))) for part in rows["part"]]
    return rows[["number"]].assign(results=results)
