"""One sweep that a file shows in several tables: over two pages, or one interval a sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from tiecoat.plugin import Kind, Measurement


def joined(read: Iterable[Measurement], kinds: Iterable[Kind]) -> Iterator[Measurement]:
    """Return measurements, those that follow each other and are parts of one sweep as one.

    They are if everything that tells determinations apart is the same and no point comes again: of
    a kind whose points are unique in some columns.
    """
    of_name = {kind.name: kind for kind in kinds}
    before: Measurement | None = None
    for each in read:
        kind = of_name.get(each.kind or "")
        if before is not None and kind is not None and _one_sweep(before, each, kind):
            columns = {
                name: [*before.columns[name], *values] for name, values in each.columns.items()
            }
            before = replace(before, columns=columns, rows=[*before.rows, *each.rows])
            continue
        if before is not None:
            yield before
        before = each
    if before is not None:
        yield before


def _one_sweep(one: Measurement, other: Measurement, kind: Kind) -> bool:
    if not kind.unique or _key(one, kind) != _key(other, kind):
        return False
    return one.columns.keys() == other.columns.keys() and not (
        set(_points(one, kind)) & set(_points(other, kind))
    )


def _key(each: Measurement, kind: Kind) -> tuple[Any, ...]:
    # as texts, because a missing number (NaN) is not equal to itself
    told = (str(each.columns[name][0]) for name in kind.identity if name in each.columns)
    return each.kind, each.batch, each.panel, each.measured_at, each.instrument, *told


def _points(each: Measurement, kind: Kind) -> Iterator[tuple[str, ...]]:
    names = [name for name in kind.unique if name in each.columns]
    return zip(*(map(str, each.columns[name]) for name in names), strict=True)
