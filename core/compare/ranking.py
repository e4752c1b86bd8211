"""The overall ranking, and how stable it is: how often each batch takes each rank."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.compare.batch_scatter import told_scatter
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.desirability import one_sided, overall, two_sided
from tiecoat.compare.draws import PanelSteps, by_logs, drawn_means, shared_scatter
from tiecoat.compare.first_place import (
    Desirabilities,
    NoFirst,
    RankingChange,
    as_shown,
    changed,
    clear_first,
)
from tiecoat.compare.properties import Property
from tiecoat.compare.samples import Sample
from tiecoat.compare.verdict import ratio_of
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.censored_normal import Floats

DRAWS = 2000
SEED = 20261126  # the same data always give the same digits


@dataclass(frozen=True)
class DesirabilityScale:
    """From values of a property to desirability: what is 0, what is 1, and how much it weighs.

    `low` and `high` are values of desirability 0; on the side that is better it does not count.
    Each has as many values as the draws of the control, of which it is reckoned, or one where that
    does not come in.
    """

    property: Property
    ideal: Floats
    low: Floats
    high: Floats

    def of(self, values: Floats) -> Floats:
        """Return the desirability of values, shape (..., draws), in the unit of the property."""
        if self.property.direction == "target":
            return two_sided(*map(self._on_line, (values, self.low, self.ideal, self.high)))
        is_more = self.property.direction == "higher"
        y, worst, ideal = map(
            self._on_line, (values, self.low if is_more else self.high, self.ideal)
        )
        # in some draw the control may be worse by the margin than even a stated ideal
        beyond = np.nextafter(worst, np.inf if is_more else -np.inf)
        return one_sided(y, worst, (np.maximum if is_more else np.minimum)(ideal, beyond))

    def _on_line(self, values: Floats) -> Floats:
        return np.asarray(np.log(values) if self.property.scale == "ratio" else values)


@dataclass(frozen=True)
class Ranking:
    """Batches by overall desirability.

    Parameters
    ----------
    table
        A row a batch, the best first: batch, candidate, dose_percent, desirability (mean of the
        draws), low and high (2.5 and 97.5 % of them), rank.
    chances
        Chance of each rank (columns, from 1) for each batch (index).
    desirabilities
        Of each property (columns) for each batch (index), in the mean of the draws.
    problems
        Which batch or property is left out, and why, and whose values do not tell how they scatter.
    method
        How it was found.
    first, no_first
        The batch that is clearly the first, which may be the control; or "" and why none is.
    share
        In what share of the draws the one that ranks first is so.
    changes
        Who is first when each margin and weight is halved and doubled.
    with_batches, no_batches
        Who is first with batches that scatter as those of one recipe in the archive do, or None;
        and of which properties that is not known.
    """

    table: pd.DataFrame
    chances: pd.DataFrame
    desirabilities: pd.DataFrame
    problems: tuple[str, ...]
    method: str
    first: str = ""
    no_first: NoFirst | None = None
    share: float = math.nan
    changes: tuple[RankingChange, ...] = ()
    with_batches: RankingChange | None = None
    no_batches: str = ""


def rank(comparison: Comparison, draws: int = DRAWS, seed: int = SEED) -> Ranking:
    """Rank control and candidates by the desirability to be expected (Derringer and Suich 1980).

    Where the study states no limits, a value that is worse than the control's by the margin has
    desirability 0, and the best mean among the batches has 1. Weights are those of the study.
    Desirability is the mean over draws, in which the means of all batches are what they may be as
    well (see `tiecoat.compare.draws`); limits that follow from the control are those of each draw.
    So a batch of which a verdict cannot tell whether it does harm has not
    the desirability of one that does. Batches whose desirability is the same to two decimals share
    their rank, and those of one draw with the same share it evenly.

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
    rows = [comparison.control, *(b for b in comparison.batches.index if b != comparison.control)]
    wanted, problems = _rankable(comparison, rows)
    names = [one.label for one in wanted]
    ranked, left_out = _complete(comparison, rows, names)
    problems += left_out
    if not names or len(ranked) < 2:
        raise NotDeterminable("; ".join(["nothing can be ranked", *problems]))
    problems += _unsure(comparison, ranked, names)
    rng = np.random.default_rng(seed)
    means = _means(comparison, ranked, wanted, draws, rng)
    found = _desirabilities(means, wanted)
    whole = overall(found.drawn, found.weights)
    # equal ones are put in a random order, so that they share their ranks evenly
    order = np.lexsort((rng.random(whole.shape), -whole), axis=0)
    places = np.argsort(order, axis=0)
    chances = pd.DataFrame(
        {place + 1: (places == place).mean(axis=1) for place in range(len(ranked))}, index=ranked
    )
    table = _table(comparison.batches.loc[ranked], whole)
    best_first = table["batch"].tolist()
    stated = found.change("as stated", ranked)
    changes = tuple(changed(wanted, _again(means), ranked))
    with_batches = _with_batches(comparison, means, wanted, ranked, rng)
    no_first = clear_first(stated, changes, with_batches)
    return Ranking(
        table,
        chances.loc[best_first],
        pd.DataFrame(found.drawn.mean(axis=1), index=ranked, columns=names).loc[best_first],
        tuple(problems),
        f"desirability (Derringer and Suich 1980) over {len(wanted)} properties, expected over"
        f" {draws} draws of the means of all batches, by Student's t of their panels and by the"
        " chance of their counts",
        "" if no_first else stated.first,
        no_first,
        stated.share,
        changes,
        with_batches,
        told_scatter({name: comparison.batch_scatter[name] for name in names}),
    )


def _again(means: _Means) -> Callable[[Sequence[Property]], Desirabilities | None]:
    """Return what gives the desirabilities of the same draws for changed properties."""

    def found(properties: Sequence[Property]) -> Desirabilities | None:
        try:
            return _desirabilities(means, properties)
        except NotDeterminable:  # such as a margin of 100 % where it was doubled
            return None

    return found


def _with_batches(
    comparison: Comparison,
    means: _Means,
    wanted: Sequence[Property],
    ranked: Sequence[str],
    rng: np.random.Generator,
) -> RankingChange | None:
    """Return who is first if each batch were made again, as far as the archive tells how they
    scatter.
    """
    known = [comparison.batch_scatter[one.label] for one in wanted]
    if all(isinstance(one, NotDeterminable) for one in known):
        return None
    drawn = means.drawn.copy()
    for column, (one, scatter) in enumerate(zip(wanted, known, strict=True)):
        if isinstance(scatter, NotDeterminable):
            continue
        away = rng.normal(0.0, scatter.deviation, drawn.shape[:2])
        here = drawn[:, :, column]
        drawn[:, :, column] = here * np.exp(away) if by_logs(one) else here + away
    return _desirabilities(_Means(means.best, drawn), wanted).change("batches made again", ranked)


def _table(batches: pd.DataFrame, drawn: Floats) -> pd.DataFrame:
    low, high = np.quantile(drawn, (0.025, 0.975), axis=1)
    expected = drawn.mean(axis=1)
    return pd.DataFrame(
        {
            "batch": batches["batch"].to_numpy(),
            "candidate": batches["candidate"].fillna("").to_numpy(),
            "dose_percent": batches["dose_percent"].to_numpy(),
            "desirability": expected,
            "low": low,
            "high": high,
            "rank": pd.Series(-as_shown(expected)).rank(method="min").astype("int64").to_numpy(),
        }
    ).sort_values(["rank", "batch"], kind="stable", ignore_index=True)


@dataclass(frozen=True)
class _Means:
    """The best mean of each property, and means of batches by draws by properties; the control is
    the first batch.
    """

    best: Sequence[float]
    drawn: Floats


def _means(
    comparison: Comparison,
    ranked: Sequence[str],
    wanted: Sequence[Property],
    draws: int,
    rng: np.random.Generator,
) -> _Means:
    best = []
    drawn = np.empty((len(ranked), draws, len(wanted)))
    alike = comparison.study.spreads_alike is not None
    steps: dict[tuple[str, ...], PanelSteps] = {}
    for column, one in enumerate(wanted):
        samples = [comparison.samples[one.label][batch] for batch in ranked]
        known = [sample for sample in samples if isinstance(sample, Sample)]
        best.append(_best(one, known))
        shared = shared_scatter(known, one, draws, rng)
        for row, sample in enumerate(known):
            if sample.names not in steps:
                steps[sample.names] = PanelSteps.of(len(sample.names), draws, rng)
            mine = steps[sample.names]
            drawn[row, :, column] = drawn_means(sample, one, mine, shared, rng, alike=alike)
    return _Means(best, drawn)


def _best(wanted: Property, known: Sequence[Sample]) -> float:
    """Return the best mean of samples."""
    means = [_middle(one, wanted) for one in known]
    return max(means) if wanted.direction == "higher" else min(means)


def _middle(sample: Sample, wanted: Property) -> float:
    return sample.mean("difference" if wanted.method == "ratings" else wanted.scale)


def _desirabilities(means: _Means, wanted: Sequence[Property]) -> Desirabilities:
    drawn = np.empty_like(means.drawn)
    for column, one in enumerate(wanted):
        here = means.drawn[:, :, column]
        drawn[:, :, column] = _scale(one, here[0], means.best[column]).of(here)
    return Desirabilities(drawn, np.array([one.weight for one in wanted]))


def _rankable(comparison: Comparison, batches: list[str]) -> tuple[list[Property], list[str]]:
    """Return the properties that can be ranked, and why the others cannot.

    Where the study says what is decisive, another property that some batch lacks is left out, and
    not that batch.
    """
    found, problems = [], []
    some_decide = any(one.decisive for one in comparison.properties)
    for wanted in comparison.properties:
        if wanted.weight == 0:
            continue
        try:
            control, *others = _known(comparison, wanted)
            lacking = _lacking(comparison, wanted.label, batches)
            if some_decide and lacking and not wanted.decisive:
                raise NotDeterminable(f"no value of {', '.join(lacking)}, and it is not decisive")
            _scale(wanted, np.array([_middle(control, wanted)]), _best(wanted, [control, *others]))
            found.append(wanted)
        except NotDeterminable as why:
            problems.append(f"{wanted.label} is left out of the ranking: {why}")
    return found, problems


def _known(comparison: Comparison, wanted: Property) -> list[Sample]:
    """Return the samples of all batches that have the property, the control first."""
    samples = comparison.samples.get(wanted.label, {})
    control = samples.get(comparison.control)
    others = [one for batch, one in samples.items() if batch != comparison.control]
    known = [one for one in (control, *others) if isinstance(one, Sample)]
    if not isinstance(control, Sample) or len(known) < 2:
        raise NotDeterminable("control or candidates have no data")
    return known


def _scale(wanted: Property, control: Floats, best: float) -> DesirabilityScale:
    """Return the scale of a property from the study, the margin and means of batches.

    Parameters
    ----------
    control, best
        Mean of the control in each draw, or one; the best mean of all batches.

    Raises
    ------
    NotDeterminable
        If study and margin give none, or none that every draw can have.
    """
    centre = control if wanted.target is None else np.full(len(control), wanted.target)
    if wanted.unacceptable is None:
        low, high = _limits(wanted, centre)
    else:
        low = high = np.array([wanted.unacceptable])
    if wanted.direction == "target":
        return DesirabilityScale(wanted, centre, low, high)
    more_is_better = wanted.direction == "higher"
    ideal = np.array([best if wanted.ideal is None else wanted.ideal])
    worst = low if more_is_better else high
    if len(control) == 1 and not (ideal > worst if more_is_better else ideal < worst).all():
        raise NotDeterminable(
            f"ideal {ideal[0]:g} is no better than unacceptable {worst[0]:g}; state both in the"
            " study"
        )
    if wanted.scale == "ratio" and not min(ideal.min(), worst.min()) > 0:
        raise NotDeterminable("it is compared by ratio: ideal and unacceptable must be above 0")
    return DesirabilityScale(wanted, ideal, low, high)


def _limits(wanted: Property, centre: Floats) -> tuple[Floats, Floats]:
    """Return the values that are worse than the centre by the margin, below and above."""
    if wanted.method == "ratings":
        raise NotDeterminable(
            "the margin of ratings is one of probability: state ideal and unacceptable in the study"
        )
    limits = wanted.limits(1.0)
    if limits is None:
        raise NotDeterminable("state ideal and unacceptable, or a margin, in the study")
    if wanted.by_ratio:
        low, high = (
            np.where(centre != 0, centre * ratio_of(one), 0.0) for one in (limits.low, limits.high)
        )
    else:
        unit = np.ones(1) if wanted.margin_percent is None else np.abs(centre)
        low, high = (
            centre + (one * unit if math.isfinite(one) else one)
            for one in (limits.low, limits.high)
        )
    if len(centre) == 1 and not low < centre < high:
        raise NotDeterminable("the margin is 0 here: state ideal and unacceptable")
    return low, high


def _complete(
    comparison: Comparison, batches: list[str], names: list[str]
) -> tuple[list[str], list[str]]:
    """Return the batches that have a value of every property, and what the others lack."""
    complete, problems = [], []
    for batch in batches:
        missing = [name for name in names if _lacking(comparison, name, [batch])]
        if missing:
            problems.append(f"{batch} is not ranked: no value of {', '.join(missing)}")
        else:
            complete.append(batch)
    return complete, problems


def _lacking(comparison: Comparison, name: str, batches: list[str]) -> list[str]:
    """Return the batches without a value of a property."""
    of = comparison.samples[name]
    return [batch for batch in batches if not isinstance(of.get(batch), Sample)]


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
