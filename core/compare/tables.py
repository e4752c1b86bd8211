"""The tables that a study draws on, and where in them a property stands."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from tiecoat.compare.properties import Property
from tiecoat.compare.raw_samples import count_samples, strength_samples
from tiecoat.compare.samples import Samples, last_shared, rows_of, samples
from tiecoat.compare.selection import only_panels
from tiecoat.compare.study import Study
from tiecoat.contract.choices import Choices
from tiecoat.evaluate.estimate import NotDeterminable


@dataclass(frozen=True)
class StudyTables:
    """Results and raw rows by kind, of the panels that the study names.

    `panel_kinds` are the kinds with results of panels, `names_panels` says whether the study names
    any: then what is pooled over all panels is not theirs.
    """

    results: Mapping[str, pd.DataFrame]
    raw: Mapping[str, pd.DataFrame]
    choices: Choices
    panel_kinds: frozenset[str]
    names_panels: bool

    @classmethod
    def of(
        cls,
        study: Study,
        results: Mapping[str, pd.DataFrame],
        raw: Mapping[str, pd.DataFrame],
        choices: Choices,
    ) -> StudyTables:
        """Return the tables without those that are empty."""
        kept = [
            {kind: only_panels(study, one) for kind, one in tables.items() if len(one)}
            for tables in (results, raw)
        ]
        panel_kinds = frozenset(kind for kind, one in results.items() if _has_panels(one))
        return cls(kept[0], kept[1], choices, panel_kinds, bool(study.panels))

    def by_kind(self) -> dict[str, pd.DataFrame]:
        """Return where each kind's batches can be seen."""
        return {**self.results, **{f"{kind}, rows": one for kind, one in self.raw.items()}}

    def at_times(
        self,
        wanted: Property,
        own_hours: Sequence[float] | None,
        study_hours: Sequence[float],
        order: Sequence[str],
    ) -> list[Property]:
        """Return the property at each exposure time at which it is compared.

        Parameters
        ----------
        own_hours, study_hours
            Times that the property and the study ask for; else it is the last time shared.
        order
            The control, then the candidates.

        Raises
        ------
        NotDeterminable
            If there are no such results, or no time is shared.
        """
        if wanted.method in {"counts", "strengths"}:
            if own_hours:
                raise NotDeterminable(f"{wanted.method} are not compared by exposure_h")
            return [wanted]
        rows = self._rows(wanted)
        if rows["exposure_h"].isna().all():
            if own_hours:
                raise NotDeterminable(f"{wanted.quantity} has no exposure times; leave them out")
            return [wanted]
        hours = own_hours or study_hours or (last_shared(rows, order[0], order[1:]),)
        return [wanted.at(one) for one in dict.fromkeys(hours)]

    def samples(self, wanted: Property, order: Sequence[str]) -> Samples:
        """Return the sample of each batch on a property, or why there is none.

        Raises
        ------
        NotDeterminable
            If there are no rows for it at all.
        """
        if wanted.method == "strengths":
            rows = self.raw.get(wanted.kind)
            return strength_samples(rows, wanted, order, self.choices.pull_off)
        if wanted.method == "counts":
            return count_samples(self.raw.get(wanted.kind), wanted, order)
        of_panels = wanted.kind in self.panel_kinds
        found = samples(self._rows(wanted), wanted, order, of_panels=of_panels)
        hours = wanted.exposure_h
        control = found[order[0]]
        if isinstance(control, NotDeterminable) and not math.isnan(hours):
            raise NotDeterminable(f"the control has no data at this time: {control}")
        return found

    def _rows(self, wanted: Property) -> pd.DataFrame:
        """Return the result rows of a property.

        Raises
        ------
        NotDeterminable
            If there are none, or none of the panels that the study names.
        """
        rows = rows_of(self.results.get(wanted.kind), wanted)
        if self.names_panels and wanted.kind in self.panel_kinds and not _has_panels(rows):
            raise NotDeterminable(
                f"the panels that the study names have no value of {wanted.quantity}; what is"
                " pooled over all panels of a batch does not serve"
            )
        return rows


def _has_panels(table: pd.DataFrame) -> bool:
    return bool((table["panel"].fillna("") != "").any())
