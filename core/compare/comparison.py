"""The comparison of a study: every verdict, the values behind it, and what must be told."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, fields, replace

import pandas as pd

from tiecoat.compare.against import references_of, refuse_unknown_references
from tiecoat.compare.batch_scatter import BatchScatter, batch_scatter, same_recipes
from tiecoat.compare.circumstances import PanelRegister
from tiecoat.compare.harm import HarmAccount, joint_error
from tiecoat.compare.properties import Property
from tiecoat.compare.reach import Reach, reaches
from tiecoat.compare.restriction import (
    Exclusion,
    kept_panels,
    left_out,
    refuse_unknown_parts,
    with_doses,
)
from tiecoat.compare.samples import Sample, Samples, panel_values
from tiecoat.compare.selection import (
    chosen_batches,
    control_batch,
    only_panels,
    refuse_unknown,
    repeated_recipes,
    unknown_panels,
    unregistered,
)
from tiecoat.compare.settling import Settled, verdicts, verdicts_on_pairs
from tiecoat.compare.shares import within_shares
from tiecoat.compare.study import Study
from tiecoat.compare.tables import StudyTables, chosen_lines, missing_lines
from tiecoat.compare.uncompared import (
    NotCompared,
    never_measured,
    not_compared,
    not_reached,
    without_results,
)
from tiecoat.compare.verdict import Verdict, VerdictWord, adjusted_over
from tiecoat.contract.choices import Choices
from tiecoat.evaluate.estimate import NotDeterminable

SUPPORT = (
    "These verdicts support the judgement of the responsible person. They replace neither that nor"
    " the acceptance test of a standard or specification."
)
ONE_BATCH = (
    "Each batch is compared as it was made. Panels of one batch tell how panels scatter, not how"
    " batches do: the verdicts are about these batches, not about every batch of the recipe."
)


@dataclass(frozen=True)
class Comparison:
    """What came out of a study.

    Parameters
    ----------
    control
        Batch of the control; "" where there is none.
    batches
        The register of the batches compared, by batch.
    properties
        What was compared, each at its exposure time.
    verdicts
        Of each property and candidate.
    samples
        The values behind them, by label of the property and batch.
    problems
        What could not be compared, and why, in sentences.
    unasked
        Those of them on properties that no study asks for: worth knowing, and in nobody's way.
    cautions
        What holds for all verdicts.
    not_compared
        What is filed for these batches and not compared.
    never_measured
        Properties that tiecoat knows and none of these batches has a value of.
    without_results
        Batches that are registered and have no results yet.
    batch_scatter
        How far batches of one recipe lie apart in the archive, by label of the property.
    reaches
        What the design can reach on properties that are compared by order.
    references, pairs
        Candidates that the others are compared with beside the control, and the verdicts on that.
    panels
        Those that the study keeps; None for all.
    left_out
        What it leaves out of its own accord.
    conditions
        Under what counts were made, as `compare` was told.
    """

    study: Study
    control: str
    batches: pd.DataFrame = field(repr=False)
    properties: tuple[Property, ...]
    verdicts: tuple[Verdict, ...]
    samples: Mapping[str, Samples] = field(repr=False)
    problems: tuple[str, ...] = ()
    unasked: frozenset[str] = frozenset()
    cautions: tuple[str, ...] = ()
    not_compared: tuple[NotCompared, ...] = ()
    never_measured: tuple[str, ...] = ()
    without_results: tuple[str, ...] = ()
    batch_scatter: Mapping[str, BatchScatter | NotDeterminable] = field(
        default_factory=dict, repr=False
    )
    reaches: tuple[Reach, ...] = ()
    references: tuple[str, ...] = ()
    pairs: tuple[Verdict, ...] = ()
    panels: frozenset[str] | None = field(default=None, repr=False)
    left_out: tuple[Exclusion, ...] = ()
    conditions: Mapping[str, Mapping[str, str]] = field(default_factory=dict, repr=False)

    def table(self) -> pd.DataFrame:
        """Return the verdicts, a row each, with the columns of `Verdict`."""
        return verdict_table(self.verdicts)

    def pairs_table(self) -> pd.DataFrame:
        """Return the verdicts on pairs of candidates; `control` is with whom is compared."""
        return verdict_table(self.pairs)

    def against(self, reference: str) -> Comparison:
        """Return what came out against another candidate, as if that were the control."""
        mine = tuple(one for one in self.pairs if one.control == reference)
        told = {one.property for one in mine}
        properties = tuple(one for one in self.properties if one.label in told)
        return replace(self, control=reference, verdicts=mine, properties=properties, pairs=())

    def values(self) -> pd.DataFrame:
        """Return the values behind the verdicts, a row a panel; see `panel_values`."""
        return panel_values(self.samples)

    def has_preset_margin(self, wanted: Property) -> bool:
        """Return whether the margin of a property is a preset, as the study states none."""
        stated = {
            one.name
            for one in self.study.property
            if one.margin is not None or one.margin_percent is not None
        }
        return wanted.name in self.study.catalogue.known and wanted.name not in stated

    def unit_of(self, wanted: Property) -> str:
        """Return the unit of the values of a property; "" where there are none."""
        samples = self.samples.get(wanted.label, {}).values()
        return next((one.unit for one in samples if isinstance(one, Sample)), "")

    def harm(self, batch: str) -> HarmAccount:
        """Return the properties of a candidate by what is claimed of them."""
        return HarmAccount.of(self.verdicts, batch)

    def does_no_harm(self, batch: str) -> tuple[bool, str]:
        """Return whether a candidate is shown to do no harm on any property, with the reason.

        That is so only where every property came out better or not worse, firm or on the word of
        the study.
        """
        return self.harm(batch).no_harm()

    def would_do_no_harm(self, batch: str) -> tuple[bool, str]:
        """Return the same with what stands on a condition only."""
        return self.harm(batch).no_harm(with_conditional=True)

    @property
    def candidates(self) -> list[str]:
        """The batches that are compared with the control."""
        return list(dict.fromkeys(one.batch for one in self.verdicts))

    @property
    def control_first(self) -> list[str]:
        """All batches, the control before the others."""
        return sorted(map(str, self.batches.index), key=lambda one: one != self.control)

    @property
    def out_of_reach(self) -> tuple[Reach, ...]:
        """What the design cannot show, of those properties where nothing is claimed all the same.

        What the order of so many panels cannot show, another method may on a condition.
        """
        return tuple(
            one
            for one in self.reaches
            if not one.is_reached and not any(map(one.is_contradicted_by, self.verdicts))
        )

    @property
    def in_the_way(self) -> tuple[str, ...]:
        """What could not be compared though somebody asked for it."""
        return tuple(one for one in self.problems if one not in self.unasked)

    @property
    def adjusted(self) -> str:
        """Over which comparisons intervals and p are adjusted, in words; "" without verdicts."""
        if not self.verdicts:
            return ""
        with_p = {one.property for one in self.verdicts if not math.isnan(one.p)}
        return adjusted_over(len(self.candidates), len(with_p))

    @property
    def joint_error(self) -> str:
        """What the claims "not worse" risk together, in words; "" where there is none."""
        claims = {one.outcome for one in self.verdicts} | {one.if_alike for one in self.verdicts}
        if VerdictWord.NOT_WORSE not in claims:
            return ""
        return joint_error(len({one.property for one in self.verdicts}))


def verdict_table(verdicts: Sequence[Verdict]) -> pd.DataFrame:
    """Return verdicts as a table, a row each, with the columns of `Verdict`."""
    rows = [
        {
            **{one.name: getattr(verdict, one.name) for one in fields(Verdict)},
            "outcome": verdict.outcome.value,
            "standing": verdict.standing.value,
            "if_alike": verdict.if_alike.value if verdict.if_alike else "",
            "cautions": "; ".join(verdict.cautions),
            "needed": math.nan if verdict.needed is None else verdict.needed,
            "scatter": math.nan if verdict.scatter is None else verdict.scatter.value,
        }
        for verdict in verdicts
    ]
    return pd.DataFrame(rows, columns=[one.name for one in fields(Verdict)])


def compare(
    study: Study,
    *,
    results: Mapping[str, pd.DataFrame],
    batches: pd.DataFrame,
    panels: pd.DataFrame,
    filed: pd.DataFrame,
    raw: Mapping[str, pd.DataFrame] | None = None,
    choices: Choices | None = None,
    conditions: Mapping[str, Mapping[str, str]] | None = None,
) -> Comparison:
    """Compare candidates with the control.

    Parameters
    ----------
    study
        What is compared with what.
    results
        Result table by kind, as `archive.evaluate(kind)` gives it; `study.kinds()` names those
        that are needed. A kind without data may be left out.
    batches
        The register, as `archive.read("batches")` gives it.
    panels
        The register of panels, as `archive.read("panels")` gives it: what is compared with what.
    filed
        Every measurement, as `archive.measurements()` lists it: on which day it was made.
    raw
        Rows by kind, as `archive.read` gives them; `study.raw_kinds()` names those needed.
    choices
        What the laboratory has set; for lower bounds of the strength.
    conditions
        Of kinds whose rows are counted, the columns that say how a determination was made, each
        with its unit, as `conditions_of_kinds` of `tiecoat.ask.offered` gives them: what differs in
        one of these is not added up. `study.counted_kinds()` names those needed.

    Raises
    ------
    UnknownName
        If the study names a batch or control that the register does not hold, a dose or coat system
        that none of its batches or panels has, or compares with what is no candidate of it.
    """
    refuse_unknown(study, batches, filed)
    chosen, problems = chosen_batches(study, batches)
    register = PanelRegister.of(panels, filed)
    refuse_unknown_parts(study, batches, register, chosen)
    control, more = control_batch(study, batches, chosen)
    kept = kept_panels(study, register)
    conditions, choices = conditions or {}, choices or Choices()
    tables = StudyTables.of(kept, results, raw or {}, register, choices, conditions=conditions)
    problems += [*more, *unregistered(tables.by_kind(), batches)]
    problems += unknown_panels(study, [*results.values(), *(raw or {}).values()])
    asked, chosen = chosen, with_doses(study, batches, chosen, control)
    order = [control, *(one for one in chosen if one != control)] if control else []
    registered = batches[batches["batch"].isin(order or chosen)]
    registered = registered.set_index("batch", drop=False).rename_axis(None)
    if len(order) == 1:
        problems.append("there is no candidate to compare with the control")
    refuse_unknown_references(study, batches, order[1:], control)
    references = references_of(study, batches, order[1:])
    found = _samples(study, tables, order) if len(order) > 1 else []
    settled = verdicts(found, registered, control, study.alike_words())
    named = [one for one, _ in found]
    found = _with_something_to_tell(found, settled)
    problems += study.without_effect([one for one, _ in found])
    repeated = repeated_recipes(registered, control)
    untold = tables.untold(one for one, _ in found)
    cautions = (ONE_BATCH, *repeated, *untold, SUPPORT)
    left = tuple(left_out(study, batches, register, filed, kept=kept, chosen=asked, order=order))
    left_kinds = {kind for one in left for kind in one.kinds}
    usual = study.catalogue.usual
    never = never_measured(tables, filed, order, study) if order else ()
    return Comparison(
        study=study,
        control=control,
        batches=registered,
        properties=tuple(one for one, _ in found),
        verdicts=tuple(_bounded(settled.verdicts, found)),
        samples={one.label: of for one, of in found if not isinstance(of, NotDeterminable)},
        problems=tuple(dict.fromkeys([*problems, *settled.problems])),
        unasked=frozenset() if study.property else frozenset(settled.problems) - {*problems},
        cautions=cautions,
        batch_scatter={one.label: _scatter(tables, one, batches) for one, _ in found},
        not_compared=(
            *not_reached(settled.unreached, order),
            *not_compared(tables, named, only_panels(kept, filed), order, study.catalogue),
        ),
        never_measured=tuple(one for one in never if usual[one].kind not in left_kinds),
        without_results=tuple(without_results(tables, filed, order or chosen)),
        reaches=tuple(reaches(found, order, registered_panels(kept, panels))),
        references=tuple(references),
        pairs=tuple(_pairs(found, registered, references, order[1:], study.alike_words())),
        panels=kept,
        left_out=left,
        conditions=conditions,
    )


def registered_panels(kept: Collection[str] | None, panels: pd.DataFrame) -> dict[str, int]:
    """Return how many panels of each batch are registered, of those that the study keeps."""
    mine = only_panels(kept, panels)
    counts = mine.groupby("batch")["panel"].nunique()
    return {str(batch): int(n) for batch, n in counts.items()}


def _with_something_to_tell(
    found: Sequence[tuple[Property, Samples | NotDeterminable]], settled: Settled
) -> list[tuple[Property, Samples | NotDeterminable]]:
    """Return what was found, without times to what neither the control nor anyone has reached."""
    told = {one.property for one in settled.verdicts}
    unreached = {one.label for one, _, _ in settled.unreached} - told
    return [(wanted, of) for wanted, of in found if wanted.label not in unreached]


def _pairs(
    found: Sequence[tuple[Property, Samples | NotDeterminable]],
    registered: pd.DataFrame,
    references: Sequence[str],
    candidates: Sequence[str],
    stated: str,
) -> Iterator[Verdict]:
    """Return the verdicts on candidates against some of them.

    Without the properties that have a target: of two candidates that differ, none is the better
    one for that.
    """
    sampled = [
        (wanted, of)
        for wanted, of in found
        if not isinstance(of, NotDeterminable) and wanted.direction != "target"
    ]
    settled = verdicts_on_pairs(sampled, registered, references, candidates, stated)
    return _bounded(settled, found, is_pair=True)


def _bounded(
    settled: Sequence[Verdict],
    found: Sequence[tuple[Property, Samples | NotDeterminable]],
    *,
    is_pair: bool = False,
) -> Iterator[Verdict]:
    """Yield the verdicts, those on shares with intervals that shares can have."""
    by_label = {wanted.label: (wanted, of) for wanted, of in found}
    for one in settled:
        wanted, of = by_label[one.property]
        if isinstance(of, NotDeterminable):
            yield one
        else:
            yield within_shares(one, wanted, of, is_pair=is_pair)


def _scatter(
    tables: StudyTables, wanted: Property, register: pd.DataFrame
) -> BatchScatter | NotDeterminable:
    """Return how far batches of one recipe lie apart, of all batches that there are data of."""
    try:
        recipes = [tables.samples_of(wanted, mine) for mine in same_recipes(register)]
        return batch_scatter(wanted, recipes)
    except NotDeterminable as why:
        return why


def _samples(
    study: Study, tables: StudyTables, order: Sequence[str]
) -> list[tuple[Property, Samples | NotDeterminable]]:
    """Return each line of each property at each time, with samples or why there are none."""
    asked = [(one.made(), one.exposure_h, one.only()) for one in study.property]
    if not asked:
        offered = [one for one in study.catalogue.usual.values() if one.kind in tables.results]
        asked = [(one, None, {}) for one in offered]
    found: list[tuple[Property, Samples | NotDeterminable]] = []
    for wanted, own_hours, only in asked:
        try:
            all_lines = tables.lines(wanted, order)
        except NotDeterminable as why:
            found.append((wanted, why))
            continue
        coats = study.coat_systems if wanted.kind in tables.panel_kinds else ()
        coats = only.get("coat_system") or coats
        mine = chosen_lines(all_lines, {**only, "coat_system": coats})
        for line in map(study.on_line, mine):
            found += _at_times(tables, line, own_hours, study.exposure_h, order)
        missing = missing_lines(wanted, all_lines, only)
        found += missing
        if not mine and not missing:
            told = "the control has it with none of the coat systems that the study names"
            found.append((wanted, NotDeterminable(told)))
    return found


def _at_times(
    tables: StudyTables,
    line: Property,
    own_hours: Sequence[float] | None,
    study_hours: Sequence[float],
    order: Sequence[str],
) -> Iterator[tuple[Property, Samples | NotDeterminable]]:
    try:
        at_times = tables.at_times(line, own_hours, study_hours, order)
    except NotDeterminable as why:
        yield line, why
        return
    for one in at_times:
        try:
            yield one, tables.samples(one, order)
        except NotDeterminable as why:
            yield one, why
