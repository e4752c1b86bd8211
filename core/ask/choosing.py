"""Some of many measurements: by kind, batch, panel, file, time and remark."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

from tiecoat.archive.index.cache import is_registered, measurement_in
from tiecoat.archive.words import Withdrawn
from tiecoat.errors import UnknownName
from tiecoat.remarks import without_unregistered

if TYPE_CHECKING:
    from tiecoat.archive.index.cache import Index
    from tiecoat.archive.tables.describe import Described


@dataclass(frozen=True)
class MeasurementChoice:
    """Which measurements are wanted: those that fit all that is given.

    `file` is the name of their export, in which * stands for any text; `remark` is some of their
    remark. `withdrawn` wants those too that no longer count, or only those of one sort.
    """

    kind: str | None = None
    batch: str | None = None
    panel: str | None = None
    file: str | None = None
    since: str | date | None = None
    until: str | date | None = None
    remark: str | None = None
    withdrawn: bool | Withdrawn = False

    @property
    def is_any(self) -> bool:
        """Whether nothing is said but whether they count."""
        return replace(self, withdrawn=False) == MeasurementChoice()


@dataclass(frozen=True)
class MeasurementsListed:
    """Measurements in the order of kind, batch, panel and time, and how many there are in all."""

    shown: tuple[Described, ...]
    total: int


def listed_in(
    index: Index, wanted: Mapping[str, Any], remark: str | None, limit: int | None
) -> MeasurementsListed:
    """Return the measurements of an index that are wanted, the first so many of them."""
    if remark is None:
        found = index.measurements(**wanted, limit=limit)
        total = len(found) if limit is None else index.count(**wanted)
        return MeasurementsListed(tuple(_as_of_now(index, one) for one in found), total)
    # what the register has answered since is no remark any more
    every = [_as_of_now(index, one) for one in index.measurements(**wanted, remark=remark)]
    left = [one for one in every if remark.casefold() in (one.remark or "").casefold()]
    return MeasurementsListed(tuple(left[:limit]), len(left))


def named_in(index: Index, names: Sequence[str]) -> MeasurementsListed:
    """Return measurements by their ids, those that do not count too.

    Raises
    ------
    UnknownName
        If there is no such measurement.
    """
    found = {name: measurement_in(index, name) for name in names}
    if unknown := [name for name, one in found.items() if one is None]:
        raise UnknownName(
            f"no such measurement: {', '.join(unknown)}; list them with: tiecoat measurements"
        )
    there = tuple(_as_of_now(index, one) for one in found.values() if one)
    return MeasurementsListed(there, len(there))


def _as_of_now(index: Index, one: Described) -> Described:
    """Return a measurement without a remark that the register has answered since."""
    left = without_unregistered(one.remark)
    if left == one.remark or not is_registered(index, one):
        return one
    return replace(one, remark=left)
