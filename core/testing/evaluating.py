"""Are evaluations pure, their results whole, and what is not determinable told with its reason?"""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from tiecoat.ask.evaluate import evaluate, is_unit
from tiecoat.ask.query import open_archive
from tiecoat.contract.columns import columns_of, schema_of
from tiecoat.errors import UnknownName
from tiecoat.evaluate.result import COLUMNS, NUMBERS
from tiecoat.extend.blame import blame
from tiecoat.plugin import Evaluation, Kind
from tiecoat.testing.workbench import Workbench
from tiecoat.wording import shortened

if TYPE_CHECKING:
    from pathlib import Path

TEXTS = [name for name in COLUMNS if name not in (*NUMBERS, "n")]
ONES = 3  # rows that are each evaluated alone


def frames_of(bench: Workbench, evaluation: Evaluation) -> dict[str, pd.DataFrame]:
    """Return a frame for each kind that an evaluation needs, as an archive gives it."""
    archive = open_archive(_archive(bench))
    frames = {}
    for kind in dict.fromkeys((evaluation.kind, *evaluation.needs)):
        try:
            frames[kind] = archive.read(kind)
        except UnknownName:
            if kind in bench.plugins.kinds:
                frames[kind] = schema_of(bench.plugins.kinds[kind]).empty_table().to_pandas()
    return frames


def _archive(bench: Workbench) -> Path:
    if bench.asked.archive is not None:
        return bench.asked.archive
    assert bench.taken_in is not None  # what is filed of the examples is there from here on
    return bench.lab.root


def computed(
    one: Evaluation, frames: Mapping[str, pd.DataFrame]
) -> tuple[pd.DataFrame | None, str]:
    """Return what an evaluation gives for frames, and what is wrong with it; "" for nothing."""
    try:
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            table = one.compute(
                {name: rows.copy(deep=False) for name, rows in frames.items()}, one.choices()
            )
    except Exception as error:  # noqa: BLE001 - a stranger's code
        return None, f"breaks down: {blame(error)}"
    if not isinstance(table, pd.DataFrame) or set(table.columns) != set(COLUMNS):
        return None, "gives no result table; tiecoat.evaluate.result.results makes one"
    return table, next(_unsound(table, frames[one.kind]), "")


def _unsound(table: pd.DataFrame, rows: pd.DataFrame) -> Iterator[str]:
    """Tell what results may not be."""
    for name in (*NUMBERS, "n"):
        if not pd.api.types.is_numeric_dtype(table[name]):
            yield f"gives a column {name!r} that holds no numbers"
            return
    texts = table[TEXTS].fillna("").astype("str")
    missing = table["value"].isna()
    told = texts["quantity"] + " of " + texts["batch"] + " " + texts["panel"]
    wrong: dict[str, pd.Series[bool]] = {
        "has no value and no reason": missing & (texts["reason"].str.strip() == ""),
        "has a value, and a reason why there is none": ~missing & (texts["reason"] != ""),
        "has a value, and no method": ~missing & (texts["method"].str.strip() == ""),
        "is not finite": table[list(NUMBERS)].isin([np.inf, -np.inf]).any(axis=1),
        "has a standard error below zero": table["standard_error"] < 0,
        "has an interval whose low is above its high": table["low"] > table["high"],
        "is of no observation": ~missing & (table["n"] < 1),
        "has no name": texts["quantity"].str.strip() == "",
        "is of a batch that was not among the rows": ~texts["batch"].isin(["", *rows["batch"]]),
        "is of a panel that was not among the rows": ~texts["panel"].isin(["", *rows["panel"]]),
        "has a unit that is none": ~texts["unit"].map(is_unit).astype(bool),
    }
    for what, where in wrong.items():
        if where.any():
            yield f"gives a result that {what}: {shortened(str(told[where].iloc[0]).strip())}"


def results_are_whole(bench: Workbench) -> Iterator[str]:
    """Each evaluation gives results of what is filed, with units, methods and reasons."""
    for one in bench.evaluations:
        frames = frames_of(bench, one)
        if one.kind not in frames:
            yield f"evaluation {one.name} is of kind {one.kind!r}, which no plugin brings"
            continue
        for need in one.needs:
            if need not in frames:
                yield f"evaluation {one.name} needs kind {need!r}, which no plugin brings"
        if not len(frames[one.kind]):
            yield f"evaluation {one.name} cannot be tried: no example gives rows of {one.kind}"
            continue
        table, wrong = computed(one, frames)
        if wrong:
            yield f"evaluation {one.name} {wrong}"
        elif table is not None and not len(table):
            yield f"evaluation {one.name} gives no result of {len(frames[one.kind])} rows"
        else:
            asked = one.name if one.slow else None
            told = evaluate(open_archive(_archive(bench)), one.kind, quantity=asked)
            yield from (said for said in told.left_out if repr(one.name) in said)


def evaluations_are_pure(bench: Workbench) -> Iterator[str]:
    """The same rows give the same results, and stay as they were."""
    for one in bench.evaluations:
        frames = frames_of(bench, one)
        if one.kind not in frames or not len(frames[one.kind]):
            continue
        before = {name: rows.copy(deep=True) for name, rows in frames.items()}
        first, wrong = computed(one, frames)
        again, _ = computed(one, {name: rows.copy(deep=True) for name, rows in before.items()})
        if wrong or first is None or again is None:
            continue  # told by `results_are_whole`
        if not first.equals(again):
            what = _first(first, again)
            yield f"evaluation {one.name} gives other results of the same rows: {what}"
        for name, rows in frames.items():
            if not rows.equals(before[name]):
                changed = [
                    c for c in rows if c not in before[name] or not rows[c].equals(before[name][c])
                ]
                yield f"evaluation {one.name} changes column {changed[0]!r} of the rows it is given"


def _first(one: pd.DataFrame, other: pd.DataFrame) -> str:
    if len(one) != len(other):
        return f"{len(one)} results, then {len(other)}"
    for name in COLUMNS:
        differ = (one[name] != other[name]) & ~(one[name].isna() & other[name].isna())
        if differ.any():
            n = int(np.flatnonzero(differ)[0])
            return f"{one['quantity'][n]}: {name} {one[name][n]}, then {other[name][n]}"
    return "in the types of their columns"


def little_is_told_as_little(bench: Workbench) -> Iterator[str]:
    """No rows, one row, nothing but what must be there: results with reasons, and no breakdown."""
    for one in bench.evaluations:
        frames = frames_of(bench, one)
        if one.kind not in frames or not len(frames[one.kind]):
            continue
        if computed(one, frames)[1]:
            continue  # told by `results_are_whole`
        for what, fewer in _little(one, frames, bench.plugins.kinds):
            if wrong := computed(one, fewer)[1]:
                yield f"evaluation {one.name}, given {what}, {wrong}"


def _little(
    one: Evaluation, frames: Mapping[str, pd.DataFrame], kinds: Mapping[str, Kind]
) -> Iterator[tuple[str, dict[str, pd.DataFrame]]]:
    own = frames[one.kind]
    yield "no rows", {name: rows.iloc[:0] for name, rows in frames.items()}
    if len(frames) > 1:
        yield (
            "nothing of the kinds it needs besides",
            {name: rows if name == one.kind else rows.iloc[:0] for name, rows in frames.items()},
        )
    for row in sorted({0, len(own) // 2, len(own) - 1})[:ONES]:
        alone = own.iloc[[row]].reset_index(drop=True)
        yield f"row {row + 1} alone", {**frames, one.kind: alone}
    infos = columns_of(kinds[one.kind])
    empty = {
        info.name: pd.Series([None] * len(own), dtype=own[info.name].dtype)
        for info in infos
        if info.nullable
    }
    if empty:
        yield (
            "rows with nothing but what they cannot do without",
            {**frames, one.kind: own.assign(**empty)},
        )
    alike = {
        info.name: own[info.name].iloc[0]
        for info in infos
        if info.type == "float"
        and info.name not in (*kinds[one.kind].identity, *kinds[one.kind].unique)
    }
    yield "rows that are all alike", {**frames, one.kind: own.assign(**alike)}
