"""RowGroups of rows by their positions: what is computed of thousands makes no frame of each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.intp]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class RowGroups:
    """Rows in numbered groups, so that something can be computed of all groups at once.

    Parameters
    ----------
    of_row
        The number of the group of each row, shape (n,), from 0; below 0 for a row of no group.
    count
        How many groups there are, the empty ones too.

    Examples
    --------
    >>> groups = RowGroups(np.array([0, 1, 0]), 2)
    >>> groups.sizes.tolist(), groups.mean([1.0, 5.0, 2.0]).tolist()
    ([2, 1], [1.5, 5.0])
    """

    of_row: Whole
    count: int

    @classmethod
    def whole(cls, rows: int) -> RowGroups:
        """Return all rows as one group."""
        return cls(np.zeros(rows, dtype=np.intp), 1)

    @cached_property
    def sizes(self) -> Whole:
        """How many rows each group has, shape (count,)."""
        return np.bincount(self._kept, minlength=self.count)

    @cached_property
    def order(self) -> Whole:
        """The positions of the rows of all groups, one group after the other, as the rows stand."""
        order = np.argsort(self.of_row, kind="stable")
        return order[int((self.of_row < 0).sum()) :]

    @cached_property
    def ends(self) -> Whole:
        """Where each group ends in `order`, shape (count,)."""
        return np.cumsum(self.sizes)

    @cached_property
    def positions(self) -> list[Whole]:
        """The positions of the rows of each group."""
        return np.split(self.order, self.ends[:-1]) if self.count else []

    def by_size(self) -> Iterator[tuple[Whole, Whole]]:
        """Return the groups of each size, and the positions of their rows, shape (groups, size)."""
        for size in np.unique(self.sizes).tolist():
            which = np.flatnonzero(self.sizes == size)
            first = (self.ends[which] - size)[:, None]
            yield which, self.order[first + np.arange(size)]

    @cached_property
    def has_all(self) -> bool:
        """Whether every row belongs to a group."""
        return not bool((self.of_row < 0).any())

    @cached_property
    def _kept(self) -> Whole:
        return self.of_row if self.has_all else self.of_row[self.of_row >= 0]

    def sum(self, values: ArrayLike) -> Floats:
        """Return the sum of each group, shape (count,); 0 for an empty one."""
        each = np.asarray(values, dtype=float)
        each = each if self.has_all else each[self.of_row >= 0]
        return np.asarray(np.bincount(self._kept, each, self.count), dtype=np.float64)

    def mean(self, values: ArrayLike) -> Floats:
        """Return the mean of each group; NaN for an empty one."""
        with np.errstate(invalid="ignore"):
            return self.sum(values) / self.sizes

    def squares(self, values: ArrayLike) -> Floats:
        """Return the sum of squares about the mean of each group."""
        each = np.asarray(values, dtype=float)
        return self.sum((each - self.mean(each)[self.of_row]) ** 2)

    def least(self, values: ArrayLike) -> Floats:
        """Return the least of each group; infinite for an empty one."""
        found = np.full(self.count, np.inf)
        self._reduced(np.minimum, np.asarray(values, dtype=float), found)
        return found

    def most(self, values: ArrayLike) -> Floats:
        """Return the greatest of each group; infinite for an empty one."""
        found = np.full(self.count, -np.inf)
        self._reduced(np.maximum, np.asarray(values, dtype=float), found)
        return found

    def _reduced(self, take: np.ufunc, values: Floats, found: Floats) -> None:
        filled = self.sizes > 0  # an empty group would be given the first of the next
        if filled.any():
            starts = (self.ends - self.sizes)[filled]
            found[filled] = take.reduceat(values[self.order], starts)

    def first(self, values: ArrayLike) -> NDArray[Any]:
        """Return what stands first in each group, none of which is empty."""
        return np.asarray(np.asarray(values)[self.order[self.ends - self.sizes]])

    def distinct(self, of_row: Whole) -> Whole:
        """Return how many different numbers, from 0, each group has; those below 0 do not count."""
        parts, owner = self.parted(of_row)
        return np.bincount(owner, minlength=self.count) if parts.count else self.sizes * 0

    def parted(self, of_row: Whole) -> tuple[RowGroups, Whole]:
        """Return the groups parted by a further number of each row, and which group each was of.

        The parts follow each other by their group, then by the number.

        Examples
        --------
        >>> parts, owner = RowGroups(np.array([0, 0, 1]), 2).parted(np.array([3, 2, 3]))
        >>> parts.of_row.tolist(), owner.tolist()
        ([1, 0, 2], [0, 0, 1])
        """
        span = int(of_row.max(initial=0)) + 1
        one = self.of_row * span + of_row
        known = (self.of_row >= 0) & (of_row >= 0)
        found, numbers = np.unique(one[known], return_inverse=True)
        parts = np.full(len(one), -1, dtype=np.intp)
        parts[known] = numbers
        return RowGroups(parts, len(found)), found // span


def numbered(values: Any) -> tuple[Whole, NDArray[Any]]:
    """Return the number of each value among the different ones, in their order, and these.

    What is missing has the number -1.

    Examples
    --------
    >>> numbers, names = numbered(["RB-011", "RB-010", "RB-011"])
    >>> numbers.tolist(), names.tolist()
    ([1, 0, 1], ['RB-010', 'RB-011'])
    """
    if isinstance(values, pd.Series) and isinstance(values.dtype, pd.CategoricalDtype):
        values = values.astype(values.cat.categories.dtype)
    numbers, found = pd.factorize(values if isinstance(values, pd.Series) else np.asarray(values))
    names = np.asarray(found)
    order = np.argsort(names, kind="stable")
    place = np.empty(len(order) + 1, dtype=np.intp)
    place[order], place[-1] = np.arange(len(order)), -1
    return place[numbers], names[order]


def groups_of(rows: pd.DataFrame, by: Sequence[str]) -> tuple[RowGroups, pd.DataFrame]:
    """Return the groups of rows with the same keys, in the order of these, and their keys.

    Rows without a part of the key belong to no group.

    Returns
    -------
    RowGroups, pandas.DataFrame
        The frame has a row for each group and the columns `by`.

    Examples
    --------
    >>> rows = pd.DataFrame({"batch": ["RB-011", "RB-010", "RB-011", None]})
    >>> groups, keys = groups_of(rows, ["batch"])
    >>> groups.of_row.tolist(), keys["batch"].tolist()
    ([1, 0, 1, -1], ['RB-010', 'RB-011'])
    """
    groups = RowGroups.whole(len(rows))
    for name in by:
        groups, _ = groups.parted(numbered(rows[name])[0])
    keys = rows[list(by)].iloc[groups.order[groups.ends - groups.sizes]]
    return groups, keys.reset_index(drop=True)


def members_of(keys: pd.DataFrame, rows: pd.DataFrame) -> RowGroups:
    """Return further rows in the groups whose keys `groups_of` returned.

    Examples
    --------
    >>> keys = pd.DataFrame({"batch": ["RB-010", "RB-011"]})
    >>> members_of(keys, pd.DataFrame({"batch": ["RB-011", "RB-012"]})).of_row.tolist()
    [1, -1]
    """
    numbers = [numbered(pd.concat([keys[name], rows[name]]))[0] for name in keys.columns]
    one = RowGroups.whole(len(keys) + len(rows))
    for number in numbers:
        one, _ = one.parted(number)
    place = np.full(one.count + 1, -1, dtype=np.intp)  # the last is for rows of no group
    place[one.of_row[: len(keys)]] = np.arange(len(keys))
    return RowGroups(place[one.of_row[len(keys) :]], len(keys))


def distinct_values(groups: RowGroups, values: Any) -> list[list[Any]]:
    """Return the different values of each group, in their order; what is missing is left out.

    Examples
    --------
    >>> distinct_values(RowGroups(np.array([0, 1, 0]), 2), ["matt", None, "fair"])
    [['fair', 'matt'], []]
    """
    numbers, names = numbered(values)
    parts, owner = groups.parted(numbers)
    found: list[list[Any]] = [[] for _ in range(groups.count)]
    if parts.count:
        for group, value in zip(owner.tolist(), names[parts.first(numbers)].tolist(), strict=True):
            found[group].append(value)
    return found


def grouped(rows: pd.DataFrame, by: Sequence[str]) -> Iterator[tuple[tuple[Any, ...], Whole]]:
    """Return for each group its key and the positions of its rows, in the order of the keys.

    Rows without a part of the key belong to no group.

    Examples
    --------
    >>> rows = pd.DataFrame({"batch": ["RB-011", "RB-010", "RB-011", None]})
    >>> [(key, positions.tolist()) for key, positions in grouped(rows, ["batch"])]
    [(('RB-010',), [1]), (('RB-011',), [0, 2])]
    """
    groups, keys = groups_of(rows, by)
    yield from zip(keys.itertuples(index=False, name=None), groups.positions, strict=True)
