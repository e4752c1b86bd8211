r"""What the mean of each batch may be, drawn at random: with all that its verdict carries.

Of n panels that scatter about normally the mean is drawn from Student's t, as the interval of a
verdict has it:

.. math:: \mu^* = \bar y + \sqrt{\frac{\nu}{\chi^2_\nu}} \, \frac{1}{\sqrt{n (n - 1)}}
    \sum_i g_i (y_i - \bar y), \qquad \nu = n - 1

with standard normal g, one for each panel, and one chi squared. Given the panels the sum is normal
with variance :math:`(n - 1) s^2`, so that the whole is :math:`\bar y + t_\nu s / \sqrt n`. The same
g and chi squared serve all properties of the same panels: so what goes together on them goes
together in the draws. A bootstrap of three panels, which it takes the place of, reaches half as
far. Where the study states that all batches scatter alike, and for a batch that tells no scatter of
its own (one panel, or equal ones), s and its degrees of freedom are pooled over the batches that
do.

Counts are drawn from the gamma distribution of their rate, as `drawn_rates` says; what is known
between two ends, such as a time between two inspections, is first put somewhere between them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tiecoat.compare.contrasts import ROUNDING
from tiecoat.compare.properties import Property
from tiecoat.compare.rates import DISPERSED_BELOW, Counts, dispersion_p, index_of_dispersion
from tiecoat.compare.samples import Sample
from tiecoat.evaluate.estimate import Estimate, pooled
from tiecoat.evaluate.statistics.censored_normal import Floats

LARGEST_LN = 300.0  # of a mean; Student's t with one degree of freedom reaches farther
MOST_FREEDOM = 1e6
JEFFREYS = 0.5


@dataclass(frozen=True)
class PanelSteps:
    """How far each draw goes from the mean of some panels, for all properties of these panels.

    `normal` has a column a panel; `stretch` is the root of the degrees of freedom over chi squared.
    """

    normal: Floats
    stretch: Floats

    @classmethod
    def of(cls, panels: int, draws: int, rng: np.random.Generator) -> PanelSteps:
        """Return the steps of so many panels."""
        normal = rng.normal(size=(draws, panels))
        return cls(normal, _stretch(max(1, panels - 1), draws, rng))


@dataclass(frozen=True)
class SharedScatter:
    """What the batches tell together of the scatter on one property.

    `deviation` of a panel with its `freedom`, on the scale of the property, NaN where none
    scatters; `stretch` as in `PanelSteps`, for these degrees of freedom. `dispersion` is by how
    much counts scatter more than Poisson's, for each draw.
    """

    deviation: float
    stretch: Floats
    dispersion: Floats


def shared_scatter(
    known: Sequence[Sample], wanted: Property, draws: int, rng: np.random.Generator
) -> SharedScatter:
    """Return what samples of one property tell together.

    Counts have one dispersion for all where they differ more than Poisson counts do: the mean
    square of :math:`(y - \\hat\\mu) / \\sqrt{\\hat\\mu}`, at least 1, stretched as a variance of
    as many degrees of freedom (McCullagh and Nelder, Generalized Linear Models, 1989; from memory).
    """
    counts = [Counts(one.values, one.areas) for one in known if one.areas is not None]
    several = [one for one in known if one.areas is None and one.reported is None and one.n > 1]
    deviation, freedom = math.nan, 1.0
    if several:
        groups = [on_scale(one, wanted) for one in several]
        deviation, freedom = pooled(groups)
        if not deviation > ROUNDING * max(float(np.abs(one).max()) for one in groups):
            deviation = math.nan
    return SharedScatter(deviation, _stretch(freedom, draws, rng), _dispersion(counts, draws, rng))


def _dispersion(counts: Sequence[Counts], draws: int, rng: np.random.Generator) -> Floats:
    if not dispersion_p(counts) < DISPERSED_BELOW:
        return np.ones(draws)
    square, freedom = index_of_dispersion(counts)
    return np.asarray(max(1.0, square / freedom) * _stretch(freedom, draws, rng) ** 2)


def _stretch(freedom: float, draws: int, rng: np.random.Generator) -> Floats:
    return np.asarray(np.sqrt(freedom / rng.chisquare(freedom, draws)))


def by_logs(wanted: Property) -> bool:
    """Return whether means of a property are those of its logarithms."""
    return wanted.scale == "ratio" and wanted.method != "ratings"


def on_scale(sample: Sample, wanted: Property) -> Floats:
    """Return the values of a sample on the scale on which they scatter."""
    return np.asarray(np.log(sample.values) if by_logs(wanted) else sample.values)


def drawn_means(
    sample: Sample,
    wanted: Property,
    steps: PanelSteps,
    shared: SharedScatter,
    rng: np.random.Generator,
    *,
    alike: bool = False,
) -> Floats:
    """Return the mean of a batch in each draw, in the unit of the property.

    Parameters
    ----------
    steps
        Of its panels.
    shared
        Of all batches on the property.
    alike
        Whether the study states that the panels of all batches scatter alike.
    """
    if sample.areas is not None:
        return drawn_rates(Counts(sample.values, sample.areas), shared.dispersion, rng)
    if sample.reported is not None:
        return _of_reported(sample.reported, len(steps.stretch), rng, logs=by_logs(wanted))
    values = _between(sample, wanted, len(steps.stretch), rng)
    middle, n = values.mean(axis=1), values.shape[1]
    away = values - middle[:, None]
    own = np.sqrt((away**2).sum(axis=1) / max(1, n - 1))
    is_equal = own <= ROUNDING * np.abs(values).max(axis=1)
    along = (steps.normal * away).sum(axis=1) / np.where(
        is_equal, 1.0, own * math.sqrt(max(1, n - 1))
    )
    unit = np.where(is_equal, steps.normal.sum(axis=1) / math.sqrt(n), along)
    wide = np.where(is_equal, 0.0, own * steps.stretch)
    if not math.isnan(shared.deviation):
        wide = np.where(is_equal | alike, shared.deviation * shared.stretch, wide)
    found = middle + wide * unit / math.sqrt(n)
    return _from_scale(found, wanted)


def _from_scale(found: Floats, wanted: Property) -> Floats:
    if not by_logs(wanted):
        return np.asarray(found)
    return np.asarray(np.exp(np.clip(found, -LARGEST_LN, LARGEST_LN)))


def _between(sample: Sample, wanted: Property, draws: int, rng: np.random.Generator) -> Floats:
    """Return the values of each draw on the scale of the property, anywhere between their ends.

    An end that is open leaves the other one.
    """
    if sample.ends is None:
        return on_scale(sample, wanted)[None, :].repeat(draws, axis=0)
    low, high = sample.ends
    if wanted.method == "times":
        low, high = np.where(low > 0, low, high), np.where(np.isfinite(high), high, low)
    if by_logs(wanted):
        low, high = np.log(low), np.log(high)
    return np.asarray(low + (high - low) * rng.random((draws, len(low))))


def drawn_rates(one: Counts, dispersion: Floats, rng: np.random.Generator) -> Floats:
    r"""Return the rate of some counts in each draw.

    .. math:: \lambda^* \sim \frac{\phi}{A} \, \Gamma\Big(\frac{\sum y}{\phi} + \frac12\Big)

    for the area A and the dispersion phi, which is 1 for Poisson counts: then it is what the counts
    tell of their rate with the prior of Jeffreys (Box and Tiao, Bayesian Inference in Statistical
    Analysis, 1973; from memory). With a phi above 1 it has the variance of counts that scatter more
    by that.
    """
    whole, area = float(one.counts.sum()), float(one.areas.sum())
    return np.asarray(dispersion / area * rng.gamma(whole / dispersion + JEFFREYS))


def _of_reported(one: Estimate, draws: int, rng: np.random.Generator, *, logs: bool) -> Floats:
    """Return draws of a result that is known with its uncertainty."""
    error = 0.0 if math.isnan(one.standard_error) else one.standard_error
    steps = rng.standard_t(min(one.freedom, MOST_FREEDOM), draws)
    if logs:
        away = np.clip(error / one.value * steps, -LARGEST_LN, LARGEST_LN)
        return np.asarray(one.value * np.exp(away))
    return one.value + error * steps
