"""What goes together in a study: the results of its pairs of properties, taken from the archive."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pandas as pd

from tiecoat.ask.offered import conditions_of_kinds
from tiecoat.ask.row_places import with_places
from tiecoat.ask.study_data import (
    StudyData,
    evaluations_of,
    of_study,
    results_of,
)
from tiecoat.compare.circumstances import PanelRegister
from tiecoat.compare.links import PRESET, links, named_properties, pairable, unnamed
from tiecoat.compare.tables import StudyTables
from tiecoat.extend.loading import load_evaluations
from tiecoat.wording import Told, untold

if TYPE_CHECKING:
    from tiecoat.ask.query import Archive


def with_links(
    archive: Archive, data: StudyData, told: Told = untold, *, with_every: bool = False
) -> StudyData:
    """Return the data of a study with which of its results go together.

    The measurements behind them are listed with those of the comparison.

    Parameters
    ----------
    told
        Called with the progress.
    with_every
        Whether it is wanted too what all can be held against each other.

    Raises
    ------
    UnknownName
        If the study asks for a property that is not known.
    """
    comparison = data.comparison
    study, there = comparison.study, {*archive.kinds()}
    if with_every or unnamed(study):
        loaded = load_evaluations(archive.lab.own_readers).evaluations.values()
        kinds = {one.kind for one in loaded} & there
    else:
        known, pairs = named_properties(study), study.why or PRESET
        kinds = {known[name].kind for pair in pairs for name in pair} & there
    further = sorted(kinds - {*data.results})
    batches = sorted({*comparison.batches.index} & {*archive.batches()})
    left_out = list(data.left_out)
    results, rows = dict(data.results), dict(data.rows)
    for kind in further if batches else ():
        results[kind] = of_study(results_of(archive, kind, batches, left_out, told), comparison)
        rows[kind] = of_study(archive.read(kind, batches), comparison)
    filed = of_study(archive.measurements(), comparison)
    counted = {one.kind for one in named_properties(study).values() if one.method == "counts"}
    tables = StudyTables.of(
        comparison.panels,
        results,
        rows,
        PanelRegister.of(data.panels, filed),
        archive.lab.settings.evaluate,
        conditions=conditions_of_kinds(counted & there, archive.lab.own_readers),
    )
    order = list(comparison.batches.index)
    found = links(study, tables, order)
    used = {one.kind for link in found for one in (link.first, link.second)} & {*further}
    evaluations = evaluations_of(archive, sorted(used))
    used |= {need for one in evaluations for need in one.needs}
    used -= {*data.measurements["kind"]}
    more = filed[filed["kind"].isin(used)]
    listed = [data.measurements, with_places(archive, more, rows)] if len(more) else []
    return replace(
        data,
        links=tuple(found),
        pairable=tuple(pairable(study, tables, order)) if with_every else (),
        measurements=pd.concat(listed, ignore_index=True) if listed else data.measurements,
        evaluations={**data.evaluations, **{one.name: one.version for one in evaluations}},
        left_out=tuple(dict.fromkeys(left_out)),
    )
