"""Candidates of a lab against its control, by results that were computed over a lake."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from tiecoat.ask.offered import conditions_of_kinds
from tiecoat.ask.study_data import register_of_batches, register_of_panels
from tiecoat.compare.comparison import Comparison, compare
from tiecoat.errors import UnknownName
from tiecoat.lake.one_lab import LabInLake

if TYPE_CHECKING:
    import pandas as pd

    from tiecoat.compare.study import Study


def compared(
    archive: LabInLake, study: Study, results: Callable[[str], pd.DataFrame]
) -> Comparison:
    """Compare what a study names.

    Parameters
    ----------
    results
        Returns the results of a kind, without the lab.
    """
    there = archive.kinds()
    kinds = [kind for kind in study.kinds() if kind in there]
    found = {}
    for kind in kinds:
        try:
            found[kind] = results(kind)
        except UnknownName:  # no evaluation of this kind; counts need none
            continue
    return compare(
        study,
        results=found,
        batches=register_of_batches(archive),
        panels=register_of_panels(archive),
        filed=archive.measurements(),
        raw={kind: archive.read(kind) for kind in study.raw_kinds() if kind in kinds},
        choices=archive.lab.settings.evaluate,
        conditions=conditions_of_kinds(study.counted_kinds(), archive.lab.own_readers),
    )
