"""Are evaluations pure, their results whole, and what is not determinable told with its reason?"""

from __future__ import annotations

import re
import sys
import warnings
from collections.abc import Iterator, Mapping
from contextlib import suppress
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from tiecoat.ask.evaluate import evaluate, is_unit
from tiecoat.ask.query import open_archive
from tiecoat.contract.columns import columns_of, schema_of
from tiecoat.errors import UnknownName
from tiecoat.evaluate.result import COLUMNS, NUMBERS
from tiecoat.extend.blame import blame
from tiecoat.intake.workers.gate import BrokenRule, check
from tiecoat.intake.workers.validating import RowSource, assemble, validate
from tiecoat.plugin import Evaluation, Kind, Measurement, StudyProperty
from tiecoat.testing.workbench import Workbench
from tiecoat.wording import counted, shortened

if TYPE_CHECKING:
    from pathlib import Path

TEXTS = [name for name in COLUMNS if name not in (*NUMBERS, "n")]
ONES = 3  # rows that are each evaluated alone
MEASUREMENTS = 12  # that are evaluated again and again
LESS, MORE = 1000, 10  # times that a margin may be less, or more, than the values it is of
UNROUND = 1.7e-5  # of values, by which those are off that a first run gets


def frames_of(bench: Workbench, evaluation: Evaluation) -> dict[str, pd.DataFrame]:
    """Return a frame for each kind that an evaluation needs, as an archive gives it."""
    _run_first(bench)
    return _frames(bench, evaluation)


def _run_first(bench: Workbench) -> None:
    """Run each evaluation before anything else does, and note what it changes only then.

    Values are off by a little, so that rounding in place shows.
    """
    for one in bench.evaluations:
        if one.name in bench.first_runs:
            continue
        bench.first_runs[one.name] = ""
        frames = _some(one, _frames(bench, one))
        if frames is None or one.kind not in bench.plugins.kinds:
            continue
        kind, own = bench.plugins.kinds[one.kind], frames[one.kind]
        keys = {*kind.identity, *kind.unique, *kind.order}
        names = [i.name for i in columns_of(kind) if i.type == "float" and i.name not in keys]
        frames[one.kind] = own.assign(**{name: own[name] * (1 + UNROUND) for name in names})
        before = {name: rows.copy(deep=True) for name, rows in frames.items()}
        with suppress(Exception), warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            one.compute(frames, one.choices())
        bench.first_runs[one.name] = next(_changed(one, frames, before), "")


def _changed(
    one: Evaluation, frames: Mapping[str, pd.DataFrame], before: Mapping[str, pd.DataFrame]
) -> Iterator[str]:
    """Tell which of the frames that an evaluation was given are not what they were."""
    for name in before:
        rows, then = frames.get(name), before[name]
        if rows is None:
            yield f"evaluation {one.name} takes the rows of {name} out of what it is given"
        elif not rows.equals(then):
            changed = [c for c in rows if c not in then or not rows[c].equals(then[c])]
            what = f"changes column {changed[0]!r}" if changed else "takes columns out"
            yield f"evaluation {one.name} {what} of the rows of {name} it is given"


def _frames(bench: Workbench, evaluation: Evaluation) -> dict[str, pd.DataFrame]:
    archive = open_archive(filed_lab(bench))
    frames = {}
    for kind in dict.fromkeys((evaluation.kind, *evaluation.needs)):
        try:
            frames[kind] = archive.read(kind)
        except UnknownName:
            if kind in bench.plugins.kinds:
                frames[kind] = schema_of(bench.plugins.kinds[kind]).empty_table().to_pandas()
    return frames


def filed_lab(bench: Workbench) -> Path:
    """Return the lab whose rows are evaluated and shown: one that was named, or of the examples."""
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
        return None, f"breaks down: {blame(error, one.compute)}"
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
    _run_first(bench)
    archive = open_archive(filed_lab(bench))
    for one in bench.evaluations:
        what = f"evaluation {one.name}"
        if one.kind not in bench.plugins.kinds:
            yield f"{what} is of kind {one.kind!r}, which no plugin brings"
            continue
        try:
            given = archive.read(one.kind)
        except UnknownName:
            yield f"{what} cannot be tried: no example gives rows of {one.kind}"
            continue
        found = evaluate(archive, one.kind, quantity=one.name)
        told = [said for said in found.left_out if repr(one.name) in said]
        yield from told
        if wrong := next(_unsound(found.table, given), ""):
            yield f"{what} {wrong}"
        elif not len(found.table) and not told:
            yield f"{what} gives no result of {counted(len(given), 'row')}"
        else:
            yield from _properties_amiss(one, bench.plugins.kinds[one.kind], found.table)


def _properties_amiss(one: Evaluation, kind: Kind, table: pd.DataFrame) -> Iterator[str]:
    """Tell which study properties are of what is never given, or have a margin of another size.

    What is not among the results may come of more data than the examples have: then a docstring of
    the evaluation names it.
    """
    known, columns = set(table["quantity"]), {info.name for info in columns_of(kind)}
    named = f"{one.compute.__doc__} {sys.modules[one.compute.__module__].__doc__}"
    for wanted in one.properties:
        of = columns if wanted.method == "counts" else known
        if wanted.quantity in of:
            yield from _margin_amiss(one, wanted, table)
            continue
        told = (
            f"evaluation {one.name} gives no {wanted.quantity!r}, of which its property"
            f" {wanted.name!r} is"
        )
        if near := get_close_matches(wanted.quantity, of, n=1, cutoff=0.8):
            yield f"{told}; near it: {near[0]!r}"
        elif not re.search(rf"\b{re.escape(wanted.quantity)}\b", named):
            yield f"{told}, nor does its docstring name it; there is {', '.join(sorted(of))}"


def _margin_amiss(one: Evaluation, wanted: StudyProperty, table: pd.DataFrame) -> Iterator[str]:
    """Tell of a margin beside which values are tiny or huge: it is hardly in their unit."""
    mine = table[table["quantity"] == wanted.quantity]
    usual = mine["value"].abs().replace(0, np.nan).median()
    is_amount = wanted.method == "means" and wanted.scale == "difference"
    if wanted.margin is None or not is_amount or pd.isna(usual):
        return
    if not usual / LESS <= wanted.margin <= usual * MORE:
        unit = mine["unit"].iloc[0]
        yield (
            f"evaluation {one.name}: property {wanted.name!r} has a margin of"
            f" {f'{wanted.margin:g} {unit}'.strip()}, and the examples give values of about"
            f" {f'{usual:.3g} {unit}'.strip()}; is it in the unit of {wanted.quantity}?"
        )


def evaluations_are_pure(bench: Workbench) -> Iterator[str]:
    """The same rows give the same results, and stay as they were."""
    for one in bench.evaluations:
        frames = _some(one, frames_of(bench, one))
        if bench.first_runs[one.name]:
            yield bench.first_runs[one.name]
            continue
        if frames is None:
            continue
        before = {name: rows.copy(deep=True) for name, rows in frames.items()}
        first, wrong = computed(one, frames)
        again, _ = computed(one, {name: rows.copy(deep=True) for name, rows in before.items()})
        if wrong or first is None or again is None:
            continue  # told by `results_are_whole`
        if not first.equals(again):
            what = _first(first, again)
            yield f"evaluation {one.name} gives other results of the same rows: {what}"
        yield from _changed(one, frames, before)


def _some(one: Evaluation, frames: Mapping[str, pd.DataFrame]) -> dict[str, pd.DataFrame] | None:
    """Return the rows of some measurements; None where there are none."""
    own = frames.get(one.kind)
    if own is None or not len(own):
        return None
    names = own["measurement"].unique()[:MEASUREMENTS]
    return {**frames, one.kind: own[own["measurement"].isin(names)].reset_index(drop=True)}


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
        frames = _some(one, frames_of(bench, one))
        if frames is None or computed(one, frames)[1]:
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
    kind = kinds[one.kind]
    least = own
    for info in columns_of(kind):  # as few as the kind lets be
        if info.nullable:
            emptied = least.assign(
                **{info.name: pd.Series(None, least.index, own[info.name].dtype)}
            )
            filed = as_filed(kind, emptied)
            least = least if filed is None else filed
    yield "rows with nothing but what they cannot do without", {**frames, one.kind: least}
    keys = {*kind.identity, *kind.unique, *kind.order}
    values = [info.name for info in columns_of(kind) if info.name not in keys]
    alike = as_filed(kind, own.assign(**{name: own[name].iloc[0] for name in values}))
    if alike is not None:
        yield "rows that are all alike", {**frames, one.kind: alike}


def as_filed(kind: Kind, rows: pd.DataFrame) -> pd.DataFrame | None:
    """Return rows as they would be filed if a reader gave them; None where they would be held."""
    parts = [part for _, part in rows.groupby("measurement", sort=False)]
    sources = [RowSource(0, "", "", "") for _ in parts]
    try:
        pieces = [check(_given(kind, part), kind.name, {kind.name: kind}, "") for part in parts]
    except BrokenRule:
        return None
    validated, faults, broken = validate(assemble(kind, pieces, sources))
    if faults or broken:
        return None
    ordered = pd.concat(parts, ignore_index=True)
    names = [info.name for info in columns_of(kind)]
    own = {name: validated.frame[name].astype(rows[name].dtype) for name in names}
    return ordered.assign(**own)


def _given(kind: Kind, rows: pd.DataFrame) -> Measurement:
    """Return the rows of a measurement as a reader would have given them."""
    first = rows.iloc[0]
    columns: dict[str, Any] = {}
    for info in columns_of(kind):
        is_number = info.type == "float"
        columns[info.name] = rows[info.name].to_numpy() if is_number else _each(rows[info.name])
    moment = first["measured_at"]
    return Measurement(
        columns=columns,
        rows=[int(row) for row in rows["source_row"].fillna(1)],
        batch=first["batch"],
        panel=None if pd.isna(first["panel"]) else first["panel"],
        measured_at=None if pd.isna(moment) else moment,
    )


def _each(values: pd.Series[Any]) -> list[Any]:
    return [None if pd.isna(value) else value for value in values.tolist()]
