"""From the samples of control and candidates on one property to what is found of each candidate."""

from __future__ import annotations

from tiecoat.compare.circumstances import NotComparable
from tiecoat.compare.count_findings import by_counts
from tiecoat.compare.findings import Family, Findings
from tiecoat.compare.mean_findings import by_means
from tiecoat.compare.properties import Property
from tiecoat.compare.rating_findings import by_ratings
from tiecoat.compare.result_samples import SINCE_NEAR_H
from tiecoat.compare.samples import Sample, Samples
from tiecoat.compare.time_findings import by_times
from tiecoat.evaluate.estimate import NotDeterminable


def find(wanted: Property, found: Samples, control: str, family: Family | None = None) -> Findings:
    """Return the finding of each candidate on one property, or why there is none.

    Parameters
    ----------
    family
        What is compared beside them; None where it is these candidates with this control alone.

    Raises
    ------
    NotDeterminable
        If nothing can be told of any candidate, such as without a control.
    """
    of_control = found[control]
    if isinstance(of_control, NotDeterminable):
        raise NotDeterminable(f"the control has no data: {of_control}")
    _enough(of_control, wanted, "the control ")
    if of_control.is_floor and wanted.method != "times":
        told = f"of the control {control} only a lower bound is known"
        if wanted.method == "strengths":
            told = (
                f"of the control {control} only a lower bound is known: too often the glue failed"
            )
        raise NotDeterminable(told)
    usable: dict[str, Sample] = {}
    listed: Findings = {}
    for batch, sample in found.items():
        if batch == control:
            continue
        try:
            usable[batch] = _usable(sample, wanted)
            _from_one_begin(of_control, usable[batch])
            _from_high_enough(of_control, usable[batch])
        except NotDeterminable as why:
            usable.pop(batch, None)
            listed[batch] = why
    if usable:
        by_method = {"counts": by_counts, "ratings": by_ratings, "times": by_times}
        by = by_method.get(wanted.method, by_means)
        listed |= by(wanted, of_control, usable, family or Family(len(usable)))
    return {batch: listed[batch] for batch in found if batch != control}


def _from_one_begin(control: Sample, sample: Sample) -> None:
    """Refuse values that count from the first measurement where that was made at another time."""
    if abs(sample.since_h - control.since_h) > SINCE_NEAR_H:
        raise NotComparable(
            f"not comparable: it counts from the first measurement, which was at"
            f" {sample.since_h:g} h of {sample.batch} and at {control.since_h:g} h of the control"
        )


def _from_high_enough(control: Sample, sample: Sample) -> None:
    """Refuse falls of which one side begins below what is good, and below where the other does."""
    for mine, other, who in ((sample, control, ""), (control, sample, "the control ")):
        if mine.begins is None or other.begins is None:
            continue
        low, unit = mine.begins.low_beside(other.begins), mine.begins.unit
        if len(low):
            raise NotComparable(
                f"not comparable: {len(low)} of {len(mine.begins.values)} panels of {who}"
                f"{mine.batch} begin below {mine.begins.good_from:.2g} {unit}, the lowest at"
                f" {low.min():.2g}, and {other.batch} at {other.begins.middle:.2g}: what begins low"
                " has little to lose"
            )


def _enough(sample: Sample, wanted: Property, who: str = "") -> None:
    least = 1 if wanted.method == "counts" or sample.reported else 2
    if sample.n < least:
        one = f"one {sample.counted_as} only"
        raise NotDeterminable(f"{who}{sample.batch} has {one}: nothing tells its spread")


def _usable(sample: Sample | NotDeterminable, wanted: Property) -> Sample:
    if isinstance(sample, NotDeterminable):
        raise sample
    _enough(sample, wanted)
    if sample.is_floor and wanted.direction == "target" and wanted.method != "times":
        raise NotDeterminable(f"of {sample.batch} only a lower bound is known")
    return sample
