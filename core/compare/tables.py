"""The tables that a study draws on, and where in them each line of a property stands."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

import numpy as np
import pandas as pd

from tiecoat.compare.begins import Begins, first_values
from tiecoat.compare.cautions import told_alike
from tiecoat.compare.circumstances import (
    NAMES,
    PARTS,
    Circumstances,
    NotComparable,
    PanelRegister,
    differing,
    placed,
)
from tiecoat.compare.properties import Property
from tiecoat.compare.raw_samples import (
    checked_counts,
    count_samples,
    strength_samples,
    under_conditions,
)
from tiecoat.compare.result_rows import last_shared, near_words, panel_rows_of, result_rows
from tiecoat.compare.result_samples import samples
from tiecoat.compare.samples import PANELS, Sample, Samples
from tiecoat.compare.selection import only_panels
from tiecoat.compare.time_samples import placed_times, time_samples
from tiecoat.contract.choices import Choices
from tiecoat.evaluate.adhesion.pull_off import panel_notes
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.wording import listed

Only: TypeAlias = Mapping[str, tuple[str, ...]]  # part of the circumstances: those wanted

KEY = ("condition", *PARTS)
FROM_ROWS = frozenset({"counts", "strengths"})  # methods that take the rows as filed


@dataclass(frozen=True)
class StudyTables:
    """Results and raw rows by kind, of the panels that the study names.

    `panel_kinds` are the kinds with results of panels, `names_panels` says whether the study keeps
    some only: then what is pooled over all panels is not theirs. `conditions` are as for `compare`.
    """

    results: Mapping[str, pd.DataFrame]
    raw: Mapping[str, pd.DataFrame]
    register: PanelRegister
    choices: Choices
    panel_kinds: frozenset[str]
    names_panels: bool
    conditions: Mapping[str, Mapping[str, str]]
    _placed: dict[tuple[str, ...], pd.DataFrame] = field(default_factory=dict, repr=False)

    @classmethod
    def of(
        cls,
        kept_panels: Collection[str] | None,
        results: Mapping[str, pd.DataFrame],
        raw: Mapping[str, pd.DataFrame],
        register: PanelRegister,
        choices: Choices,
        *,
        conditions: Mapping[str, Mapping[str, str]],
    ) -> StudyTables:
        """Return the tables without those that are empty, of the panels that the study keeps."""
        kept = [
            {kind: only_panels(kept_panels, one) for kind, one in tables.items() if len(one)}
            for tables in (results, raw)
        ]
        panel_kinds = frozenset(
            kind for tables in (results, raw) for kind, one in tables.items() if _has_panels(one)
        )
        names_panels = kept_panels is not None
        return cls(kept[0], kept[1], register, choices, panel_kinds, names_panels, conditions)

    def by_kind(self) -> dict[str, pd.DataFrame]:
        """Return where each kind's batches can be seen."""
        return {**self.results, **{f"{kind}, rows": one for kind, one in self.raw.items()}}

    def lines(self, wanted: Property, order: Sequence[str]) -> list[Property]:
        """Return the property once for each of the circumstances that the control has it in.

        Raises
        ------
        NotDeterminable
            If there are no such results, or the control has only what was averaged over several.
        """
        rows = self.rows_of(wanted)
        rows = rows[rows["batch"].isin(order)]
        everywhere = found_in(rows)
        mine = found_in(rows[rows["batch"] == order[0]])
        lines = [one for one in mine if not one.is_mixed]
        if mine and not lines:
            mixed = mine[0]
            told = mixed.words(part for part in KEY if getattr(mixed, part).startswith("several"))
            raise NotDeterminable(f"not comparable: the control {order[0]} has it of {told}")
        parts = differing(everywhere)
        return [wanted.line(one, one.words(parts)) for one in lines] or [wanted]

    def at_times(
        self,
        wanted: Property,
        own_hours: Sequence[float] | None,
        study_hours: Sequence[float],
        order: Sequence[str],
    ) -> list[Property]:
        """Return a line at each exposure time at which it is compared.

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
        if wanted.method in FROM_ROWS:
            if own_hours:
                raise NotDeterminable(f"{wanted.method} are not compared by exposure_h")
            return [wanted]
        rows = of_line(self.rows_of(wanted), wanted)
        if rows["exposure_h"].isna().all():
            if own_hours:
                raise NotDeterminable(f"{wanted.quantity} has no exposure times; leave them out")
            return [wanted]
        hours = own_hours or study_hours or (last_shared(rows, order[0], order[1:]),)
        return [wanted.at(one) for one in dict.fromkeys(hours)]

    def samples(self, wanted: Property, order: Sequence[str]) -> Samples:
        """Return the sample of each batch on a line, or why there is none.

        Raises
        ------
        NotDeterminable
            If there are no rows for it at all.
        """
        rows = self.rows_of(wanted)
        found = self.samples_of(wanted, order)
        control = found[order[0]]
        if isinstance(control, NotDeterminable) and not math.isnan(wanted.exposure_h):
            raise NotDeterminable(f"the control has no data at this time: {control}")
        known = {batch: one for batch, one in found.items() if isinstance(one, Sample)}
        told = told_alike({batch: one.cautions for batch, one in known.items()})
        found |= {batch: replace(one, cautions=told[batch]) for batch, one in known.items()}
        return {batch: _or_elsewhere(batch, one, rows, wanted) for batch, one in found.items()}

    def samples_of(self, wanted: Property, batches: Sequence[str]) -> Samples:
        """Return the sample of each of some batches on a line, or why there is none.

        Raises
        ------
        NotDeterminable
            If there are no rows for it at all.
        """
        rows, order = of_line(self.rows_of(wanted), wanted), batches
        if wanted.method == "strengths":
            found = strength_samples(rows, wanted, order, self.choices.pull_off)
            return {batch: self._noted(one, rows) for batch, one in found.items()}
        if wanted.method == "counts":
            return count_samples(rows, wanted, order)
        if wanted.method == "times":
            return time_samples(rows, order)
        found = samples(rows, wanted, order, of_panels=wanted.kind in self.panel_kinds)
        return {batch: self._begun(one, wanted) for batch, one in found.items()}

    def _begun(self, one: Sample | NotDeterminable, wanted: Property) -> Sample | NotDeterminable:
        """Return a sample of what falls with where it begins."""
        if isinstance(one, NotDeterminable) or not wanted.nature.falls_from:
            return one
        panels = one.names if one.units == PANELS and one.reported is None else None
        first = first_values(self.results[wanted.kind], wanted, one.batch, panels)
        if not len(first):
            return one
        good_from, unit = self.choices.impedance.good_from_ohm_cm2, "ohm cm2"
        return replace(one, begins=Begins(np.asarray(first, dtype=np.float64), good_from, unit))

    def _noted(self, one: Sample | NotDeterminable, rows: pd.DataFrame) -> Sample | NotDeterminable:
        """Return a sample of strengths with what the results say of its panels' determinations."""
        table = self.results.get("pull_off")
        if isinstance(one, NotDeterminable) or table is None:
            return one
        panels = rows.loc[rows["batch"] == one.batch, "panel"].unique()
        notes = panel_notes(table[table["panel"].isin(panels)], self.choices.pull_off)
        words = (note.words for note in notes)
        return replace(one, notes=tuple(notes), cautions=(*one.cautions, *words))

    def untold(self, compared: Iterable[Property]) -> Iterator[str]:
        """Return a sentence for what the register does not tell of the panels compared."""
        of_panels = [one for one in compared if one.kind in self.panel_kinds and one.circumstances]
        for part in ("coat_system", "substrate"):
            lines = [one.line_label for one in of_panels if not getattr(one.circumstances, part)]
            if lines:
                yield (
                    f"the register tells no {NAMES[part]} of the panels compared on"
                    f" {listed(list(dict.fromkeys(lines)))}: that it is the same is taken on trust"
                )

    def rows_at_all(self, line: Property) -> pd.DataFrame:
        """Return the rows of the property that a line is of, in all circumstances."""
        unchosen = replace(line, circumstances=None, condition="")
        try:
            return self.rows_of(unchosen)
        except NotDeterminable:  # it has a condition that the study states
            return self.rows_of(replace(line, circumstances=None))

    def rows_of(self, wanted: Property) -> pd.DataFrame:
        """Return the rows of a property, each with its circumstances.

        Raises
        ------
        NotDeterminable
            If there are none, or none of the panels that the study names.
        """
        key = (wanted.kind, wanted.quantity, wanted.condition, wanted.method, wanted.area)
        if key not in self._placed:
            self._placed[key] = self._place(wanted)
        return self._placed[key]

    def _place(self, wanted: Property) -> pd.DataFrame:
        of_panels, raw = wanted.kind in self.panel_kinds, self.raw.get(wanted.kind)
        if wanted.method == "counts":
            conditions = self.conditions.get(wanted.kind)
            rows = under_conditions(checked_counts(raw, wanted), wanted, conditions)
        elif wanted.method == "strengths":
            if raw is None or not len(raw):
                raise NotDeterminable("there are no rows of pull_off")
            rows = raw.assign(condition="")
        else:
            rows = result_rows(self.results.get(wanted.kind), wanted)
            if self.names_panels and of_panels and not _has_panels(rows):
                raise NotDeterminable(
                    f"the panels that the study names have no value of {wanted.quantity}; what is"
                    " pooled over all panels of a batch does not serve"
                )
            rows = panel_rows_of(rows)
            rows = placed_times(rows) if wanted.method == "times" else rows
        return placed(rows, self.register, raw, of_panels=of_panels)


def of_line(rows: pd.DataFrame, wanted: Property) -> pd.DataFrame:
    """Return the rows of one line; all where none is chosen."""
    line = wanted.circumstances
    if line is None:
        return rows
    is_mine = pd.Series(True, index=rows.index)
    for part in KEY:
        is_mine &= rows[part] == getattr(line, part)
    return rows[is_mine]


def found_in(rows: pd.DataFrame) -> list[Circumstances]:
    """Return the circumstances that some rows with a value have, sorted."""
    if "value" in rows:
        rows = rows[rows["value"].notna()]
    found = rows[list(KEY)].drop_duplicates()
    texts = (tuple(map(str, one)) for one in found.itertuples(index=False))
    return [Circumstances(*one) for one in sorted(texts)]


def _or_elsewhere(
    batch: str, one: Sample | NotDeterminable, rows: pd.DataFrame, wanted: Property
) -> Sample | NotDeterminable:
    """Return a sample, or where the batch has the property in other circumstances only, those."""
    line = wanted.circumstances
    if line is None or not isinstance(one, NotDeterminable):
        return one
    theirs = found_in(rows[rows["batch"] == batch])
    if not theirs or line in theirs:
        return one
    parts = differing([line, *theirs])
    others = " and ".join(other.words(parts) for other in theirs)
    told = f"not comparable: the control has it of {line.words(parts)}, {batch} of {others}"
    return NotComparable(told)


def missing_lines(
    wanted: Property, lines: Sequence[Property], only: Only
) -> list[tuple[Property, NotDeterminable]]:
    """Return a line for each of the circumstances that the study names and nothing has."""
    found = []
    there = [one.circumstances for one in lines if one.circumstances is not None]
    for part, asked in only.items():
        known = sorted({str(getattr(one, part)) for one in there})
        for name in asked:
            if name not in known:
                told = f"the control has no {NAMES[part]} {name!r} with it; "
                why = NotDeterminable(told + near_words(name, known))
                found.append((replace(wanted, setting=name), why))
    return found


def chosen_lines(lines: Sequence[Property], only: Only) -> list[Property]:
    """Return the lines that the study names; all where it names none."""
    wanted = {part: asked for part, asked in only.items() if asked}
    return [
        one
        for one in lines
        if all(getattr(one.circumstances, part, "") in asked for part, asked in wanted.items())
    ]


def _has_panels(table: pd.DataFrame) -> bool:
    return bool((table["panel"].fillna("") != "").any())
