"""What a column of numbers shows that decides what it may be: not how large they are, but how they run."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tiecoat.dialect.delimited import are_plain
from tiecoat.tabular.attempts import SERIAL_DAYS, ColumnLook, may_hold_ids

_MANY = 3  # values that tell whether a column changes from row to row


@dataclass(frozen=True)
class ColumnTraits:
    """How the numbers of a column run.

    Parameters
    ----------
    counts
        Whether they are 1, 2, 3 ...
    serial_days
        Whether they may be the days of a workbook.
    varies
        Whether they change from nearly every row to the next.
    constant
        Whether all are one number above 1.
    whole
        Whether all are whole.
    repeats
        Whether one comes twice, of those that may tell determinations apart.
    from_one
        Whether one of these is 1 or less.
    """

    counts: bool
    serial_days: bool
    varies: bool
    constant: bool
    whole: bool
    repeats: bool
    from_one: bool


def traits_of(contents: Sequence[ColumnLook], *, counted: bool) -> tuple[ColumnTraits, ...] | None:
    """Return how columns of nothing but plain numbers run; None for any other, and for those of ids.

    Parameters
    ----------
    counted
        Whether numbers may tell determinations apart: of others nobody asks which come twice.
    """
    numbers = [content.numbers for content in contents]
    if not contents or any(one.odd or one.doubtful for one in numbers):
        return None
    if not all(are_plain(content.cells) for content in contents) or may_hold_ids(contents):
        return None
    values = np.asarray([one.values for one in numbers])
    least, most = values.min(axis=1), values.max(axis=1)
    whole = (values == np.floor(values)).all(axis=1)
    changes = (values[:, 1:] != values[:, :-1]).sum(axis=1)
    low, high = SERIAL_DAYS
    length = values.shape[1]
    return tuple(
        ColumnTraits(
            at_whole and content.counts,
            low <= at_least and at_most <= high,
            _change_often(length, at_changes),
            at_least == at_most > 1 and length > 1,
            at_whole,
            counted and len(set(one.values)) < length,
            counted and at_least <= 1,
        )
        for content, one, at_least, at_most, at_whole, at_changes in zip(
            contents,
            numbers,
            least.tolist(),
            most.tolist(),
            whole.tolist(),
            changes.tolist(),
            strict=True,
        )
    )


def _change_often(length: int, changes: int) -> bool:
    return length > _MANY and changes > 0.5 * (length - 1)


def varies(content: ColumnLook) -> bool:
    """Tell whether a column changes from nearly every row to the next."""
    values = content.told_numbers
    return _change_often(len(values), sum(1 for a, b in itertools.pairwise(values) if a != b))


def is_constant(content: ColumnLook) -> bool:
    """Tell whether a column is one number, above 1, in all rows."""
    values = content.told_numbers
    return len(values) > 1 and len(set(values)) == 1 and values[0] > 1
