"""What a design can reach at all: the smallest p that so many panels can give, whatever comes out.

Tests by order count splits of the panels, and there are only so many: of three against three the
most extreme one and its mirror image are 2 of 20. So such a design shows nothing, however far apart
the panels lie. Counts reach as far as there is something to count on the control. Means that
scatter have no such bound.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from tiecoat.compare.many_to_one import independent_p
from tiecoat.compare.properties import Property
from tiecoat.compare.ranks import least_p
from tiecoat.compare.samples import PANELS, Sample, Samples
from tiecoat.compare.verdict import ALPHA, Verdict, VerdictWord
from tiecoat.evaluate.estimate import NotDeterminable

BY_ORDER = frozenset({"ratings", "times"})  # methods that compare panels by their order
AFTER_OTHERS = " only after other properties have"  # by Holm's procedure
MOST = 1000  # panels of a batch; above it no number is given


@dataclass(frozen=True)
class LeastP:
    """The smallest p of a comparison alone, and how many candidates are compared.

    `is_bound` is False where times that lie far apart can give a smaller one, by a distribution
    that they are taken to have.
    """

    alone: float
    comparisons: int
    is_bound: bool = True

    @classmethod
    def by_ranks(cls, n_control: int, n: int, comparisons: int, *, is_bound: bool = True) -> LeastP:
        """Return what the order of so many panels can give.

        Examples
        --------
        >>> LeastP.by_ranks(3, 3, 8).alone, round(LeastP.by_ranks(3, 3, 8).over(1), 2)
        (0.1, 0.57)
        """
        return cls(least_p(n_control, n), comparisons, is_bound)

    @property
    def how(self) -> str:
        """By what nothing smaller can come out."""
        return "" if self.is_bound else " by their order alone"

    def over(self, properties: int) -> float:
        """Return it adjusted over the candidates (Sidak) and over so many properties.

        Holm's procedure asks the smallest p of all to hold against their number.
        """
        return min(1.0, properties * independent_p(self.alone, self.comparisons))

    def words(self, properties: int) -> str:
        """Return it in words, such as "p is 0.1 at the least, 0.57 over 8 candidates".

        Examples
        --------
        >>> LeastP(0.1, 1).words(1), LeastP(0.1, 8).words(1)
        ('p is 0.1 at the least', 'p is 0.1 at the least, 0.57 over 8 candidates')
        >>> LeastP(0.1, 8).words(5)
        'p is 0.1 at the least, 0.57 over 8 candidates, 1 over 5 properties too'
        """
        told = f"p is {self.alone:.2g} at the least"
        if self.comparisons > 1:
            told += f", {self.over(1):.2g} over {self.comparisons} candidates"
        if properties > 1:
            told += f", {self.over(properties):.2g} over {properties} properties too"
        return told


def panels_by_ranks(comparisons: int = 1, properties: int = 1) -> int:
    """Return the least number of panels of each batch with which ranks can show a difference.

    Examples
    --------
    >>> panels_by_ranks(), panels_by_ranks(4), panels_by_ranks(8, 5)
    (4, 5, 7)
    """
    return next(
        n for n in range(2, MOST) if LeastP.by_ranks(n, n, comparisons).over(properties) <= ALPHA
    )


@dataclass(frozen=True)
class Reach:
    """What one property can reach with the panels that there are, or that are registered.

    Parameters
    ----------
    label
        Of the property.
    batches
        The candidates of which this holds.
    n, n_control
        Panels of each of them, and of the control.
    least
        The smallest p.
    properties
        Over how many p is adjusted.
    enough
        Panels of each batch with which a difference can be shown; of counts with as many counted on
        each panel of the control, None where none is.
    counted
        Of counts: how many there are on the control, so that fewer could come out better.
    """

    label: str
    batches: tuple[str, ...]
    n: int
    n_control: int
    least: LeastP
    properties: int
    enough: int | None
    counted: int | None = None

    @property
    def is_reached(self) -> bool:
        """Whether a difference can be shown whatever comes out on other properties."""
        return self.least.over(self.properties) <= ALPHA

    @property
    def is_never(self) -> bool:
        """Whether none can be shown at all."""
        return self.least.over(1) > ALPHA

    def is_contradicted_by(self, verdict: Verdict) -> bool:
        """Whether a verdict claims, on whatever condition, what this says cannot come out."""
        if verdict.property != self.label or verdict.batch not in self.batches:
            return False
        claimed = verdict.outcome
        is_worse = claimed is VerdictWord.WORSE and self.counted is None
        return claimed is VerdictWord.BETTER or is_worse

    @property
    def words(self) -> str:
        """What can come out on the property, in a sentence without its end."""
        return f"{self.label}: {self.told}"

    @property
    def told(self) -> str:
        """The same without the property.

        Examples
        --------
        >>> reach = Reach("rust", ("RB-011",), 3, 3, LeastP.by_ranks(3, 3, 1), 1, 4)
        >>> reach.told.partition(": ")[2]
        'p is 0.1 at the least; 4 of each would do'
        """
        can = "cannot" if self.is_never else "can"
        after = "" if self.is_reached or self.is_never else AFTER_OTHERS
        told = f"{self.n} panels against {self.n_control} {can} come out better or worse"
        if self.counted is not None:
            told = f"none, against {self.counted} counted on the control, {can} come out better"
        told = f"{told}{self.least.how}{after}: {self.least.words(self.properties)}"
        if self.is_reached or self.enough is None:
            return told
        return f"{told}; {self.enough} of each would do"


def reaches(
    found: Sequence[tuple[Property, Samples | NotDeterminable]],
    order: Sequence[str],
    registered: Mapping[str, int],
) -> Iterator[Reach]:
    """Return what the properties that are compared by order can reach.

    Parameters
    ----------
    found
        Properties with their samples, or why there are none.
    order
        The control, then the candidates.
    registered
        How many panels of each batch are registered: they count where nothing is measured yet.
    """
    for wanted, of in found:
        known = {} if isinstance(of, NotDeterminable) else of
        if wanted.method == "counts" and wanted.direction == "lower":
            yield from _of_counts(wanted.label, known, order, len(found))
        if wanted.method not in BY_ORDER:
            continue
        sizes = {batch: _panels(known, batch, registered) for batch in order}
        is_bound = wanted.method != "times"
        yield from of_sizes(wanted.label, sizes, order[0], len(found), is_bound=is_bound)


def of_sizes(
    label: str, sizes: Mapping[str, int], control: str, properties: int, *, is_bound: bool = True
) -> Iterator[Reach]:
    """Return what so many panels of each batch can reach by their order.

    Parameters
    ----------
    label
        Of the property.
    sizes
        Panels by batch; those without any do not count.
    properties
        How many are compared.
    is_bound
        As `LeastP` has it.
    """
    n_control = sizes.get(control, 0)
    mine = {batch: n for batch, n in sizes.items() if batch != control and n}
    for n in sorted(set(mine.values())) if n_control else []:
        batches = tuple(batch for batch, one in mine.items() if one == n)
        least = LeastP.by_ranks(n_control, n, len(mine), is_bound=is_bound)
        enough = panels_by_ranks(len(mine), properties)
        yield Reach(label, batches, n, n_control, least, properties, enough)


def _of_counts(
    label: str, known: Samples, order: Sequence[str], properties: int
) -> Iterator[Reach]:
    """Return what counts can reach: the best that can come out is that nothing is counted."""
    samples = {batch: one for batch in order if isinstance(one := known.get(batch), Sample)}
    control = samples.pop(order[0], None)
    if control is None or control.areas is None:
        return
    counted = int(control.values.sum())
    found: dict[tuple[int, float], list[str]] = {}
    for batch, one in samples.items():
        assert one.areas is not None
        share = float(one.areas.sum() / (one.areas.sum() + control.areas.sum()))
        found.setdefault((one.n, round(share, 9)), []).append(batch)
    for (n, share), batches in found.items():
        least = LeastP(none_of(counted, share), len(samples))
        enough = _enough_counted(counted / control.n, share, len(samples), properties)
        yield Reach(label, tuple(batches), n, control.n, least, properties, enough, counted=counted)


def none_of(counted: int, share: float) -> float:
    """Return the exact two-sided p of nothing counted where the control has so many.

    Parameters
    ----------
    share
        Of the candidate in the area that was looked at of both.

    Examples
    --------
    >>> none_of(3, 0.5), none_of(0, 0.5)
    (0.25, 1.0)
    """
    from scipy.stats import binomtest

    return float(binomtest(0, counted, share).pvalue) if counted else 1.0


def _enough_counted(
    on_a_panel: float, share: float, comparisons: int, properties: int
) -> int | None:
    if not on_a_panel:
        return None
    least = ((n, LeastP(none_of(int(n * on_a_panel), share), comparisons)) for n in range(1, MOST))
    return next((n for n, one in least if one.over(properties) <= ALPHA), None)


def _panels(known: Samples, batch: str, registered: Mapping[str, int]) -> int:
    """Return the panels of a batch: those measured, else of nothing measured those registered."""
    one = known.get(batch)
    if isinstance(one, Sample):
        return one.n if one.units == PANELS else 0
    is_open = not any(isinstance(other, Sample) for other in known.values())
    return registered.get(batch, 0) if is_open else 0
