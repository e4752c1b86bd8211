"""Candidates against the control by means: of panels, of what is reported, against a target."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from tiecoat.compare.contrasts import Contrast, Contrasts, against_control, by_estimates
from tiecoat.compare.findings import Condition, Family, Finding, Findings, Reckoning
from tiecoat.compare.power import panels_for_own_scatter, panels_for_target
from tiecoat.compare.properties import Property
from tiecoat.compare.reach import LeastP
from tiecoat.compare.samples import Sample
from tiecoat.compare.scatter_ratio import ScatterRatio, scatter_ratio
from tiecoat.compare.verdict import Limits
from tiecoat.evaluate.estimate import Estimate, NotDeterminable, mean_of


def by_means(
    wanted: Property, control: Sample, usable: Mapping[str, Sample], family: Family
) -> Findings:
    """Welch and Dunnett on panels; Welch alone on what is reported, on targets and on bounds."""
    middle = control.mean(wanted.scale) if wanted.target is None else wanted.target
    limits = wanted.limits(middle)
    contrasts = _contrasts(wanted, control, list(usable.values()), family)
    alike = contrasts.alike or (None,) * len(usable)
    listed: Findings = {}
    for sample, own, pooled, deviation in zip(
        usable.values(), contrasts.own, alike, contrasts.deviations, strict=True
    ):
        if pooled is None and isinstance(own, NotDeterminable):
            listed[sample.batch] = own
            continue
        words = f"{_scale_words(wanted, control, sample)} {_unit_words(sample)}; "
        firm, least = None, None
        needed = _needed(wanted, limits, deviation, family.comparisons)
        if isinstance(own, Contrast):
            method = contrasts.own_method
            if own.is_by_ranks:
                method = f"exact permutation, Sidak over {family.comparisons}"
                least = LeastP.by_ranks(control.n, sample.n, family.comparisons)
            firm = _reckoned(wanted, sample, control, own, words + method)
        conditional, scatter = None, _scatter(wanted, control, sample)
        contradicted = firm is not None and _is_contradicted(scatter, family)
        if pooled is not None and not contradicted:
            conditional = _reckoned(wanted, sample, control, pooled, words + contrasts.alike_method)
        listed[sample.batch] = Finding(
            control,
            sample,
            firm,
            conditional,
            Condition.ALIKE,
            limits,
            needed,
            _percent_of_control(wanted),
            least,
            scatter,
        )
    return listed


def _reckoned(
    wanted: Property, sample: Sample, control: Sample, one: Contrast, method: str
) -> Reckoning:
    """Return a contrast as it counts: none from one determination, of a bound only upwards."""
    low, high = one.interval
    p, alone = one.p, one.p_alone
    compared = [sample.n] if wanted.target is not None else [sample.n, control.n]
    if min(compared) < 2:
        p = alone = math.nan
    elif sample.is_floor and one.effect <= 0:
        p = alone = 1.0
    high = math.inf if sample.is_floor and not one.is_by_ranks else high
    return Reckoning(one.effect, low, high, p, alone, method)


def _scatter(wanted: Property, control: Sample, sample: Sample) -> ScatterRatio | None:
    if wanted.target is not None:
        return None
    if any(one.reported is not None or one.is_floor for one in (control, sample)):
        return None
    return scatter_ratio(_on_scale(control, wanted), _on_scale(sample, wanted))


def _is_contradicted(scatter: ScatterRatio | None, family: Family) -> bool:
    """Whether the panels contradict that both scatter alike: of a pair the same both ways."""
    if scatter is None:
        return False
    return scatter.is_far_off if family.batches else scatter.is_much_wider


def _needed(
    wanted: Property, limits: Limits | None, deviation: float, comparisons: int
) -> int | None:
    if limits is None:
        return None
    if wanted.target is not None:
        return panels_for_target(limits.nearest, deviation, comparisons)
    both = wanted.direction == "target"
    return panels_for_own_scatter(limits.nearest, deviation, comparisons, both_sides=both)


def _contrasts(
    wanted: Property, control: Sample, candidates: Sequence[Sample], family: Family
) -> Contrasts:
    plain = all(one.reported is None and not one.is_floor for one in (control, *candidates))
    if plain and wanted.target is None:
        return against_control(
            _on_scale(control, wanted), [_on_scale(one, wanted) for one in candidates], family
        )
    # one variance for all would not hold: bounds scatter as the glue does, reported results differ
    estimates = [_estimate(one, wanted) for one in candidates]
    against, method = _estimate(control, wanted), f"Welch, Sidak over {family.comparisons}"
    if wanted.target is not None:
        against = Estimate(_to_scale(wanted.target, wanted), 0.0)
        method = f"t against the target {wanted.target:g}, Sidak over {family.comparisons}"
    deviations = tuple(_deviation(against, one) for one in estimates)
    return Contrasts(by_estimates(against, estimates, family), method, deviations)


def _scale_words(wanted: Property, *compared: Sample) -> str:
    means = "ratio of geometric means" if wanted.scale == "ratio" else "difference of means"
    if any(one.bounds for one in compared):
        of_glue = wanted.method == "strengths"
        means += " with lower bounds as such (censored normal)" if of_glue else " of lower bounds"
    return f"{means},"


def _unit_words(sample: Sample) -> str:
    if sample.reported is not None:
        return "results with their reported uncertainty"
    return f"{sample.units} as unit"


def _percent_of_control(wanted: Property) -> tuple[str, ...]:
    if wanted.scale == "ratio" or wanted.margin_percent is None:
        return ()
    of = "the control's mean as if that were known" if wanted.target is None else "the target"
    return (f"the margin in % is taken of {of}",)


def _to_scale(value: float, wanted: Property) -> float:
    if wanted.scale == "difference":
        return value
    if not value > 0:
        raise NotDeterminable(f"the target {value:g} is compared by ratio and must be above 0")
    return math.log(value)


def _on_scale(sample: Sample, wanted: Property) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    values = np.asarray(sample.values, dtype=np.float64)
    return np.log(values) if wanted.scale == "ratio" else values


def _estimate(sample: Sample, wanted: Property) -> Estimate:
    """Return the mean with its uncertainty on the scale of the comparison."""
    one = sample.reported
    if one is None:
        return mean_of(_on_scale(sample, wanted), 0.0)
    if wanted.scale == "ratio":
        return Estimate(math.log(one.value), one.standard_error / one.value, one.freedom, one.n)
    return one


def _deviation(control: Estimate, candidate: Estimate) -> float:
    """Return the standard deviation of one panel, in the mean of both; NaN of a single one."""
    if control.standard_error == 0:
        return candidate.standard_error * math.sqrt(candidate.n)
    if min(control.n, candidate.n) < 2:
        return math.nan
    squares = sum(one.standard_error**2 * one.n for one in (control, candidate))
    return math.sqrt(squares / 2)
