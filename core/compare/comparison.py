"""The comparison of a study: every verdict, the values behind it, and what must be told."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from typing import Any, assert_never

import pandas as pd

from tiecoat.compare.findings import NEUTRAL, Finding, Findings, find
from tiecoat.compare.power import MOST, POWER
from tiecoat.compare.properties import CATALOGUE, Property
from tiecoat.compare.samples import Samples, panel_values
from tiecoat.compare.selection import (
    chosen_batches,
    control_batch,
    repeated_recipes,
    unknown_panels,
    unregistered,
)
from tiecoat.compare.study import Study
from tiecoat.compare.tables import StudyTables
from tiecoat.compare.verdict import (
    Direction,
    EffectIs,
    Limits,
    Verdict,
    VerdictWord,
    decide,
    holm,
    ratio_of,
)
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
    cautions
        What holds for all verdicts.
    """

    study: Study
    control: str
    batches: pd.DataFrame = field(repr=False)
    properties: tuple[Property, ...]
    verdicts: tuple[Verdict, ...]
    samples: Mapping[str, Samples] = field(repr=False)
    problems: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()

    def table(self) -> pd.DataFrame:
        """Return the verdicts, a row each, with the columns of `Verdict`."""
        rows = [
            {
                **{one.name: getattr(verdict, one.name) for one in fields(Verdict)},
                "outcome": verdict.outcome.value,
                "cautions": "; ".join(verdict.cautions),
                "needed": math.nan if verdict.needed is None else verdict.needed,
            }
            for verdict in self.verdicts
        ]
        return pd.DataFrame(rows, columns=[one.name for one in fields(Verdict)])

    def values(self) -> pd.DataFrame:
        """Return the values behind the verdicts, a row a panel; see `panel_values`."""
        return panel_values(self.samples)

    def does_no_harm(self, batch: str) -> tuple[bool, str]:
        """Return whether a candidate is shown to do no harm on any property, with the reason.

        That is so only where every property came out better or not worse. Each of these claims is
        made at its own level: all of them must hold, so that none needs an adjustment for their
        number (intersection-union test; Berger, Technometrics 24 (1982) 295; from memory).
        """
        mine = [one for one in self.verdicts if one.batch == batch]
        worse, open_ = [], []
        for one in mine:
            match one.outcome:
                case VerdictWord.BETTER | VerdictWord.NOT_WORSE:
                    pass
                case VerdictWord.WORSE:
                    worse.append(one.property)
                case VerdictWord.CANNOT_TELL:
                    open_.append(one.property)
                case _:
                    assert_never(one.outcome)
        if worse:
            return False, f"worse on {', '.join(worse)}"
        if open_ or not mine:
            return False, f"cannot tell on {', '.join(open_) or 'any property'}"
        all_ = "the one property" if len(mine) == 1 else f"all {len(mine)} properties"
        return True, f"better or not worse on {all_} compared"


def compare(
    study: Study,
    *,
    results: Mapping[str, pd.DataFrame],
    batches: pd.DataFrame,
    raw: Mapping[str, pd.DataFrame] | None = None,
    choices: Choices | None = None,
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
    raw
        Rows by kind, as `archive.read` gives them; `study.raw_kinds()` names those needed.
    choices
        What the laboratory has set; for lower bounds of the strength.
    """
    chosen, problems = chosen_batches(study, batches)
    control, more = control_batch(study, batches, chosen)
    tables = StudyTables.of(study, results, raw or {}, choices or Choices())
    problems += [*more, *unregistered(tables.by_kind(), batches)]
    problems += unknown_panels(study, [*results.values(), *(raw or {}).values()])
    order = [control, *(one for one in chosen if one != control)] if control else []
    registered = batches[batches["batch"].isin(order or chosen)]
    registered = registered.set_index("batch", drop=False).rename_axis(None)
    cautions = (ONE_BATCH, *repeated_recipes(registered, control), SUPPORT)
    if len(order) == 1:
        problems.append("there is no candidate to compare with the control")
    found = _samples(study, tables, order) if len(order) > 1 else []
    settled, lacking = verdicts(found, registered, control)
    return Comparison(
        study=study,
        control=control,
        batches=registered,
        properties=tuple(one for one, _ in found),
        verdicts=settled,
        samples={one.label: of for one, of in found if not isinstance(of, NotDeterminable)},
        problems=tuple(dict.fromkeys([*problems, *lacking])),
        cautions=cautions,
    )


@dataclass(frozen=True)
class _Unadjusted:
    """What was found of one candidate on one property, before p is adjusted over properties."""

    wanted: Property
    batch: str
    finding: Finding | NotDeterminable


def _samples(
    study: Study, tables: StudyTables, order: Sequence[str]
) -> list[tuple[Property, Samples | NotDeterminable]]:
    """Return properties, each at each of its times, with their samples or why there are none."""
    asked = [(one.made(), one.exposure_h) for one in study.property]
    if not asked:
        asked = [(one, None) for one in CATALOGUE.values() if one.kind in tables.results]
    found: list[tuple[Property, Samples | NotDeterminable]] = []
    for wanted, own_hours in asked:
        try:
            at_times = tables.at_times(wanted, own_hours, study.exposure_h, order)
        except NotDeterminable as why:
            found.append((wanted, why))
            continue
        for one in at_times:
            try:
                found.append((one, tables.samples(one, order)))
            except NotDeterminable as why:
                found.append((one, why))
    return found


def verdicts(
    found: Sequence[tuple[Property, Samples | NotDeterminable]],
    registered: pd.DataFrame,
    control: str,
) -> tuple[tuple[Verdict, ...], list[str]]:
    """Return the verdicts, with p adjusted over all properties, and what could not be compared.

    Parameters
    ----------
    found
        Properties with the samples of control and candidates, or why there are none.
    registered
        The register of these batches, by batch.
    control
        Batch of the control.
    """
    drafts: list[_Unadjusted] = []
    problems: list[str] = []
    for wanted, of_batches in found:
        findings: Findings
        try:
            if isinstance(of_batches, NotDeterminable):
                raise of_batches
            findings = find(wanted, of_batches, control)
        except NotDeterminable as why:
            problems.append(f"{wanted.label}: {why}")
            findings = {batch: why for batch in registered.index if batch != control}
        drafts += [_Unadjusted(wanted, batch, one) for batch, one in findings.items()]
    p = [one.finding.p if isinstance(one.finding, Finding) else math.nan for one in drafts]
    adjusted = holm(p, [one.wanted.label for one in drafts])
    told = len({one.wanted.label for one, of in zip(drafts, p, strict=True) if not math.isnan(of)})
    rows = {str(row["batch"]): row for _, row in registered.iterrows()}
    settled = tuple(
        _verdict(one, p_holm, rows[one.batch], control, told)
        for one, p_holm in zip(drafts, adjusted, strict=True)
    )
    return settled, problems


def _verdict(
    draft: _Unadjusted, p_holm: float, registered: pd.Series[Any], control: str, properties: int
) -> Verdict:
    wanted, finding = draft.wanted, draft.finding
    unsettled = Verdict(
        property=wanted.label,
        batch=draft.batch,
        candidate=registered["candidate"] if isinstance(registered["candidate"], str) else "",
        dose_percent=float(registered["dose_percent"]),
        control=control,
        effect_is=_effect_is(wanted),
        outcome=VerdictWord.CANNOT_TELL,
        because=str(finding) if isinstance(finding, NotDeterminable) else "",
    )
    if isinstance(finding, NotDeterminable):
        return unsettled
    outcome, because = _outcome(wanted, finding, p_holm)
    limits = finding.limits or Limits(math.nan, math.nan)
    mine, others = finding.candidate, finding.control
    over = f"; Holm over {properties} properties" if properties > 1 else ""
    return replace(
        unsettled,
        outcome=outcome,
        because=because,
        n=mine.n,
        n_control=others.n,
        units=mine.units,
        value=mine.middle(wanted.scale, wanted.method),
        value_control=others.middle(wanted.scale, wanted.method),
        unit=mine.unit,
        effect=_shown(finding.effect, wanted),
        low=_shown(finding.low, wanted),
        high=_shown(finding.high, wanted),
        limit_low=_shown(limits.low, wanted),
        limit_high=_shown(limits.high, wanted),
        p=finding.p,
        p_holm=p_holm,
        method=finding.method + over,
        cautions=_all_cautions(finding),
        needed=finding.needed,
    )


def _outcome(wanted: Property, finding: Finding, p_holm: float) -> tuple[VerdictWord, str]:
    if math.isnan(finding.p):
        one = finding.candidate.counted_as
        return VerdictWord.CANNOT_TELL, f"one {one}: nothing tells how another one differs"
    # the effect of ratings is turned so that more is better
    direction: Direction = "higher" if wanted.method == "ratings" else wanted.direction
    outcome, because = decide(finding.low, finding.high, p_holm, direction, finding.limits)
    if outcome is VerdictWord.CANNOT_TELL and finding.limits is not None:
        because = "; ".join(part for part in (because, _few(finding, wanted)) if part)
    return outcome, because


def _few(finding: Finding, wanted: Property) -> str:
    """Say whether more panels would help, and about how many."""
    n = min(finding.candidate.n, finding.control.n)
    if wanted.target is not None:
        n = finding.candidate.n
    units = finding.candidate.units
    if finding.limits is not None and finding.limits.nearest == 0:
        return "the margin is a share of a control of 0, and so is 0 itself"
    if finding.needed is None:
        return f"n too small for the margin; no number up to {MOST} can be named that would do"
    if finding.needed > n:
        return (
            f"n too small for the margin; about {finding.needed} {units} of each batch would do"
            f" (power {POWER * 100:.0f} % if both are equal)"
        )
    return (
        f"too near the margin: {finding.needed} {units} would do if both were equal, and there"
        f" are {n}"
    )


def _all_cautions(finding: Finding) -> tuple[str, ...]:
    own = finding.candidate.cautions
    shared = set(own) & set(finding.control.cautions)
    of_control = (f"control: {one}" for one in finding.control.cautions if one not in shared)
    return tuple(dict.fromkeys((*own, *of_control, *finding.cautions)))


def _effect_is(wanted: Property) -> EffectIs:
    if wanted.method == "ratings":
        return "probability of superiority"
    return "ratio" if wanted.scale == "ratio" or wanted.method == "counts" else "difference"


def _shown(effect: float, wanted: Property) -> float:
    """Return an effect as it is told."""
    kind = _effect_is(wanted)
    if kind == "ratio":
        return ratio_of(effect)
    return effect + NEUTRAL if kind == "probability of superiority" else effect
