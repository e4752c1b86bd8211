"""The overall ranking, and how stable it is: how often each batch takes each rank."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tiecoat.compare.batch_scatter import told_scatter
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.desirability import one_sided, overall, two_sided
from tiecoat.compare.first_place import Desirabilities, RankingChange, changed, clear_first
from tiecoat.compare.properties import BY_RATIO, Property
from tiecoat.compare.samples import Sample
from tiecoat.compare.verdict import ratio_of
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.censored_normal import Floats

Picks: TypeAlias = NDArray[np.int64]  # (draws, panels): which panel each draw takes

DRAWS = 2000
SEED = 20261126  # the same data always give the same digits


@dataclass(frozen=True)
class DesirabilityScale:
    """From values of a property to desirability: what is 0, what is 1, and how much it weighs.

    `low` and `high` are values of desirability 0; on the side that is better it does not count.
    """

    property: Property
    ideal: float
    low: float
    high: float

    def of(self, values: Floats) -> Floats:
        """Return the desirability of values, in the unit of the property."""
        line = np.log if self.property.scale == "ratio" else np.asarray
        y, ideal = line(values), float(line(self.ideal))
        if self.property.direction == "target":
            return two_sided(y, float(line(self.low)), ideal, float(line(self.high)))
        worst = self.low if self.property.direction == "higher" else self.high
        return one_sided(y, float(line(worst)), ideal)


@dataclass(frozen=True)
class Ranking:
    """Batches by overall desirability.

    Parameters
    ----------
    table
        A row a batch, the best first: batch, candidate, dose_percent, desirability, low and high
        (2.5 and 97.5 % of the draws), rank.
    chances
        Chance of each rank (columns, from 1) for each batch (index).
    desirabilities
        Of each property (columns) for each batch (index).
    scales
        What was 0 and 1 on each property.
    problems
        Which batch or property is left out, and why, and whose values do not tell how they scatter.
    method
        How it was found.
    first, no_first
        The batch that is clearly the first, which may be the control; or "" and why none is.
    changes
        Who is first when each margin and weight is halved and doubled.
    with_batches, no_batches
        Who is first with batches that scatter as those of one recipe in the archive do, or None;
        and of which properties that is not known.
    """

    table: pd.DataFrame
    chances: pd.DataFrame
    desirabilities: pd.DataFrame
    scales: tuple[DesirabilityScale, ...]
    problems: tuple[str, ...]
    method: str
    first: str = ""
    no_first: str = ""
    changes: tuple[RankingChange, ...] = ()
    with_batches: RankingChange | None = None
    no_batches: str = ""


def rank(comparison: Comparison, draws: int = DRAWS, seed: int = SEED) -> Ranking:
    """Rank control and candidates by desirability (Derringer and Suich 1980).

    Where the study states no limits, a value that is worse than the control's by the margin has
    desirability 0, and the best mean among the batches has 1. Weights are those of the study.
    How stable the ranking is, is found by drawing the panels of each batch anew with replacement
    (Efron, Ann. Stat. 7 (1979) 1; from memory), their distances from the mean widened by
    sqrt(n/(n-1)), which few panels need; the same draw serves all properties of the same panels.
    Limits stay as they are. Batches with equal desirability share their ranks evenly.

    Parameters
    ----------
    comparison
        As `compare` returns it.
    draws, seed
        How many, and where the random numbers begin.

    Raises
    ------
    NotDeterminable
        If no property and no two batches can be ranked.
    """
    scales, problems = _scales(comparison)
    weights = np.array([one.property.weight for one in scales])
    names = [one.property.label for one in scales]
    rows = [comparison.control, *(b for b in comparison.batches.index if b != comparison.control)]
    ranked, left_out = _complete(comparison, rows, names)
    problems += left_out
    if not names or len(ranked) < 2:
        raise NotDeterminable("; ".join(["nothing can be ranked", *problems]))
    problems += _unsure(comparison, ranked, names)
    rng = np.random.default_rng(seed)
    means = _means(comparison, ranked, scales, draws, rng)
    found = _desirabilities(means, scales)
    point, drawn = found.point, found.drawn
    whole = overall(drawn, weights)
    # equal ones are put in a random order, so that they share their ranks evenly
    order = np.lexsort((rng.random(whole.shape), -whole), axis=0)
    places = np.argsort(order, axis=0)
    chances = pd.DataFrame(
        {place + 1: (places == place).mean(axis=1) for place in range(len(ranked))}, index=ranked
    )
    table = _table(comparison.batches.loc[ranked], overall(point, weights), whole)
    best_first = table["batch"].tolist()
    stated = found.change("as stated", ranked)
    changes = tuple(changed([one.property for one in scales], _again(comparison, means), ranked))
    with_batches = _with_batches(comparison, means, scales, ranked, rng)
    first, no_first = clear_first(stated, changes, with_batches)
    return Ranking(
        table,
        chances.loc[best_first],
        pd.DataFrame(point, index=ranked, columns=names).loc[best_first],
        tuple(scales),
        tuple(problems),
        f"desirability (Derringer and Suich 1980) over {len(scales)} properties; chances from"
        f" {draws} bootstrap draws of the panels of each batch",
        first,
        no_first,
        changes,
        with_batches,
        told_scatter({name: comparison.batch_scatter[name] for name in names}),
    )


def _again(
    comparison: Comparison, means: _Means
) -> Callable[[Sequence[Property]], Desirabilities | None]:
    """Return what gives the desirabilities of the same draws for changed properties."""

    def found(properties: Sequence[Property]) -> Desirabilities | None:
        try:
            return _desirabilities(means, [_scale(comparison, one) for one in properties])
        except NotDeterminable:  # such as a margin of 100 % where it was doubled
            return None

    return found


def _with_batches(
    comparison: Comparison,
    means: _Means,
    scales: Sequence[DesirabilityScale],
    ranked: Sequence[str],
    rng: np.random.Generator,
) -> RankingChange | None:
    """Return who is first if each batch were made again, as far as the archive tells how they
    scatter.
    """
    known = [comparison.batch_scatter[one.property.label] for one in scales]
    if all(isinstance(one, NotDeterminable) for one in known):
        return None
    drawn = means.drawn.copy()
    for column, (scale, one) in enumerate(zip(scales, known, strict=True)):
        if isinstance(one, NotDeterminable):
            continue
        away = rng.normal(0.0, one.deviation, drawn.shape[:2])
        of_ratio = _by_logs(scale.property)
        here = drawn[:, :, column]
        drawn[:, :, column] = here * np.exp(away) if of_ratio else here + away
    found = _desirabilities(_Means(means.point, drawn), scales)
    return found.change("batches made again", ranked)


def _table(batches: pd.DataFrame, point: Floats, drawn: Floats) -> pd.DataFrame:
    low, high = np.quantile(drawn, (0.025, 0.975), axis=1)
    return pd.DataFrame(
        {
            "batch": batches["batch"].to_numpy(),
            "candidate": batches["candidate"].fillna("").to_numpy(),
            "dose_percent": batches["dose_percent"].to_numpy(),
            "desirability": point,
            "low": low,
            "high": high,
            "rank": pd.Series(-point).rank(method="min").astype("int64").to_numpy(),
        }
    ).sort_values(["rank", "batch"], kind="stable", ignore_index=True)


@dataclass(frozen=True)
class _Means:
    """Means of batches by properties, and of batches by draws by properties."""

    point: Floats
    drawn: Floats


def _means(
    comparison: Comparison,
    ranked: Sequence[str],
    scales: Sequence[DesirabilityScale],
    draws: int,
    rng: np.random.Generator,
) -> _Means:
    point = np.empty((len(ranked), len(scales)))
    drawn = np.empty((len(ranked), draws, len(scales)))
    for row, batch in enumerate(ranked):
        picks: dict[tuple[str, ...], Picks] = {}
        for column, scale in enumerate(scales):
            sample = comparison.samples[scale.property.label][batch]
            assert isinstance(sample, Sample)
            point[row, column] = _middle(sample, scale.property)
            if sample.names not in picks:
                size = (draws, len(sample.names))
                picks[sample.names] = rng.integers(len(sample.names), size=size)
            drawn[row, :, column] = _drawn(sample, scale.property, picks[sample.names], rng)
    return _Means(point, drawn)


def _desirabilities(means: _Means, scales: Sequence[DesirabilityScale]) -> Desirabilities:
    point, drawn = np.empty_like(means.point), np.empty_like(means.drawn)
    for column, scale in enumerate(scales):
        point[:, column] = scale.of(means.point[:, column])
        drawn[:, :, column] = scale.of(means.drawn[:, :, column])
    weights = np.array([one.property.weight for one in scales])
    return Desirabilities(point, drawn, weights)


def _scales(comparison: Comparison) -> tuple[list[DesirabilityScale], list[str]]:
    scales, problems = [], []
    for wanted in comparison.properties:
        if wanted.weight == 0:
            continue
        try:
            scales.append(_scale(comparison, wanted))
        except NotDeterminable as why:
            problems.append(f"{wanted.label} is left out of the ranking: {why}")
    return scales, problems


def _scale(comparison: Comparison, wanted: Property) -> DesirabilityScale:
    """Return the scale of a property from the study, the margin and the means of the batches."""
    samples = comparison.samples.get(wanted.label, {})
    known = [one for one in samples.values() if isinstance(one, Sample)]
    control = samples.get(comparison.control)
    if not isinstance(control, Sample) or len(known) < 2:
        raise NotDeterminable("control or candidates have no data")
    middles = [_middle(one, wanted) for one in known]
    of_control = _middle(control, wanted)
    centre = of_control if wanted.target is None else wanted.target
    low = high = wanted.unacceptable
    if low is None:
        low, high = _limits(wanted, centre)
    assert high is not None
    if wanted.direction == "target":
        return DesirabilityScale(wanted, centre, low, high)
    more_is_better = wanted.direction == "higher"
    best = max(middles) if more_is_better else min(middles)
    ideal = best if wanted.ideal is None else wanted.ideal
    worst = low if more_is_better else high
    if not (ideal > worst if more_is_better else ideal < worst):
        raise NotDeterminable(
            f"ideal {ideal:g} is no better than unacceptable {worst:g}; state both in the study"
        )
    if wanted.scale == "ratio" and not min(ideal, worst) > 0:
        raise NotDeterminable("it is compared by ratio: ideal and unacceptable must be above 0")
    return DesirabilityScale(wanted, ideal, low, high)


def _limits(wanted: Property, centre: float) -> tuple[float, float]:
    """Return the values that are worse than the centre by the margin, below and above."""
    if wanted.method == "ratings":
        raise NotDeterminable(
            "the margin of ratings is one of probability: state ideal and unacceptable in the study"
        )
    limits = wanted.limits(centre)
    if limits is None:
        raise NotDeterminable("state ideal and unacceptable, or a margin, in the study")
    if wanted.scale == "ratio" or wanted.method in BY_RATIO:
        low, high = (centre * ratio_of(one) if centre else 0.0 for one in (limits.low, limits.high))
    else:
        low, high = centre + limits.low, centre + limits.high
    if not low < centre < high:
        raise NotDeterminable("the margin is 0 here: state ideal and unacceptable")
    return low, high


def _middle(sample: Sample, wanted: Property) -> float:
    return sample.mean("difference" if wanted.method == "ratings" else wanted.scale)


def _complete(
    comparison: Comparison, batches: list[str], names: list[str]
) -> tuple[list[str], list[str]]:
    """Return the batches that have a value of every property, and what the others lack."""
    complete, problems = [], []
    for batch in batches:
        missing = [
            name for name in names if not isinstance(comparison.samples[name].get(batch), Sample)
        ]
        if missing:
            problems.append(f"{batch} is not ranked: no value of {', '.join(missing)}")
        else:
            complete.append(batch)
    return complete, problems


def _unsure(comparison: Comparison, batches: list[str], names: list[str]) -> list[str]:
    """Return a sentence for each value that is a bound, or stands alone."""
    told = []
    for name in names:
        for batch in batches:
            sample = comparison.samples[name][batch]
            assert isinstance(sample, Sample)
            if sample.is_floor:
                told.append(f"{batch}: {name} is only a lower bound, and ranked by that")
            elif sample.n == 1:
                one = f"one {sample.counted_as}"
                told.append(f"{batch}: {name} is known from {one}; its chances look too sure")
    return told


def _by_logs(wanted: Property) -> bool:
    return wanted.scale == "ratio" and wanted.method != "ratings"


def _drawn(
    sample: Sample,
    wanted: Property,
    picks: Picks,
    rng: np.random.Generator,
) -> Floats:
    """Return the mean of each draw, in the unit of the property."""
    if sample.areas is not None:
        return np.asarray(sample.values[picks].sum(axis=1) / sample.areas[picks].sum(axis=1))
    by_logs = _by_logs(wanted)
    if sample.reported is not None:
        one = sample.reported
        freedom = min(one.freedom, 1e6)
        error = 0.0 if math.isnan(one.standard_error) else one.standard_error
        steps = rng.standard_t(freedom, len(picks))
        if by_logs:
            with np.errstate(over="ignore"):  # Student's t with one degree reaches far out
                return np.asarray(one.value * np.exp(error / one.value * steps))
        return one.value + error * steps
    values = np.log(sample.values) if by_logs else sample.values
    n = len(values)
    widened = math.sqrt(n / (n - 1)) if n > 1 else 1.0
    means = values.mean() + widened * (values[picks].mean(axis=1) - values.mean())
    return np.asarray(np.exp(means) if by_logs else means)
