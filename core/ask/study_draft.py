"""A first study of batches in an archive, for a person to complete."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import TYPE_CHECKING

import pandas as pd

from tiecoat.ask.evaluate import evaluate
from tiecoat.ask.offered import conditions_of_kinds, offered_properties
from tiecoat.ask.study_data import register_of_panels
from tiecoat.compare.comparison import Comparison, compare, registered_panels
from tiecoat.compare.study import Study, kept_id
from tiecoat.compare.study_draft import draft
from tiecoat.errors import UnknownName
from tiecoat.extend.loading import load_evaluations

if TYPE_CHECKING:
    from tiecoat.ask.query import Archive

SHOWN = 12  # ids listed in a message


def draft_study(archive: Archive, batches: Sequence[str], file: str) -> str:
    """Return the text of a first study file.

    Parameters
    ----------
    batches
        Those to compare; none is everything in the register. The control of the register is
        among them, whether it is named or not.
    file
        What the file will be called.

    Raises
    ------
    UnknownName
        If a batch is not in the register, or it does not come out which of them is the control.
    """
    if "batches" not in archive.kinds():
        raise UnknownName("the register holds no batch: file it first, with the role of each batch")
    register = archive.read("batches")
    chosen = _chosen(batches, register)
    control = _control(chosen, register)
    order = [control, *(one for one in chosen if one != control)]
    study = Study(control=control, batches=tuple(order))
    study = study.knowing(offered_properties(archive.lab.own_readers).catalogue)
    there = archive.kinds()
    evaluated = {one.kind for one in load_evaluations(archive.lab.own_readers).evaluations.values()}
    kinds = [kind for kind in there if kind in evaluated]
    filed = archive.measurements()
    known = {kind: set(filed.loc[filed["kind"] == kind, "batch"]) for kind in kinds}
    results = {
        kind: pd.concat(
            [evaluate(archive, kind, batch).table for batch in order if batch in known[kind]]
        )
        for kind in kinds
        if known[kind] & set(order)
    }
    raw = {kind: archive.read(kind) for kind in study.raw_kinds() if kind in there}
    panels = register_of_panels(archive)
    comparison = compare(
        study,
        results=results,
        batches=register,
        panels=panels,
        filed=filed,
        raw=raw,
        choices=archive.lab.settings.evaluate,
        conditions=conditions_of_kinds(study.counted_kinds(), archive.lab.own_readers),
    )
    registered = registered_panels(None, panels)
    return draft(comparison, _hours(comparison, results), results, registered, file)


def _chosen(batches: Sequence[str], register: pd.DataFrame) -> list[str]:
    known = sorted(register["batch"].unique().tolist())
    asked = list(dict.fromkeys(map(kept_id, batches))) or known
    for one in asked:
        if one not in known:
            near = get_close_matches(one, known, 3)
            words = f"near it: {', '.join(near)}; " if near else ""
            more = f" and {len(known) - SHOWN} more" if len(known) > SHOWN else ""
            raise UnknownName(
                f"the register holds no batch {one}; {words}there are"
                f" {', '.join(known[:SHOWN])}{more}"
            )
    return asked


def _control(chosen: Sequence[str], register: pd.DataFrame) -> str:
    """Return the control among those chosen, else the only one of the register."""
    controls = sorted(register.loc[register["role"] == "control", "batch"].unique().tolist())
    found = [one for one in controls if one in chosen] or controls
    if len(found) == 1:
        return str(found[0])
    if not found:
        raise UnknownName(
            "no batch in the register has the role control; give one that role in the register"
        )
    raise UnknownName(
        f"{len(found)} batches have the role control: {', '.join(found)}; name the batches to"
        " compare, with one of these among them"
    )


def _hours(comparison: Comparison, results: Mapping[str, pd.DataFrame]) -> dict[str, list[float]]:
    """Return the exposure times at which there are values of each property."""
    found = {}
    for one in {one.name: one for one in comparison.properties}.values():
        wanted = comparison.study.catalogue.usual[one.name]
        if (table := results.get(wanted.kind)) is not None:
            mine = (table["quantity"] == wanted.quantity) & (table["condition"] == wanted.condition)
            hours = table.loc[mine & table["value"].notna(), "exposure_h"].dropna()
            found[one.name] = sorted(hours.unique().tolist())
    return found
