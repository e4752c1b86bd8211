"""What a person decided on measurements that are filed: what tables lack of it, what cannot be."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from typing import Any

from tiecoat.archive.index.cache import Index, registered_elsewhere, valid_in
from tiecoat.archive.tables.contents import Withdrawal
from tiecoat.archive.tables.describe import Described
from tiecoat.archive.tables.parquet import Mark
from tiecoat.archive.words import RecordSort, Withdrawn
from tiecoat.errors import QueryInvalid


def decisions(records: Iterable[Mapping[str, Any]]) -> dict[str, Withdrawal | None]:
    """Return of each measurement that was retracted its mark, or None if it was reinstated then.

    Parameters
    ----------
    records
        Of the journal, the oldest first; those that do not say what they must are passed over.
    """
    found: dict[str, Withdrawal | None] = {}
    for record in records:
        with suppress(LookupError, TypeError, ValueError, AttributeError):
            match RecordSort.of(record["event"]):
                case RecordSort.RETRACTED:
                    marks = [Withdrawal.from_record(said) for said in record["withdrawn"]]
                    found |= {one.measurement: one for one in marks}
                case RecordSort.REINSTATED:
                    found |= dict.fromkeys(record["measurements"])
    return found


def undone(
    described: Iterable[Described], decided: Mapping[str, Withdrawal | None]
) -> Iterator[tuple[str, Mark | None]]:
    """Yield the marks that measurements of a table lack, or bear still, by what was decided."""
    for one in described:
        if one.measurement not in decided:
            continue
        withdrawal = decided[one.measurement]
        if withdrawal is None and one.withdrawn == Withdrawn.RETRACTED:
            yield one.measurement, None
        elif withdrawal is not None and one.withdrawn is None:
            yield one.measurement, withdrawal.mark


def refuse_to_reinstate(index: Index, retracted: Sequence[Described]) -> None:
    """Raise where measurements cannot count again, as something else does in their place.

    Raises
    ------
    QueryInvalid
        Naming the first of them, and what to do.
    """
    chosen: dict[str, Described] = {}  # by what it says, and by its export
    for one in retracted:
        if one.withdrawn != Withdrawn.RETRACTED:
            raise QueryInvalid(
                f"{one.measurement} was {one.withdrawn}, not retracted; nothing was changed"
            )
        of_export = index.measurements(source=one.source_sha256)
        beside = [valid_in(index, one.determination), registered_elsewhere(index, one), *of_export]
        keys = (_said(one), one.source_sha256)
        for other in filter(None, (*beside, *map(chosen.get, keys))):
            if _stands_for(other, one):
                raise QueryInvalid(
                    f"{one.measurement} from {one.source_name} cannot count beside"
                    f" {other.measurement} from {other.source_name}: retract that first, or choose"
                    " one of the two. Nothing was changed"
                )
        chosen |= dict.fromkeys(keys, one)


def _stands_for(one: Described, other: Described) -> bool:
    """Say whether two measurements say the same, or are of two filings of one export."""
    if one.source_sha256 == other.source_sha256 and _filing(one) != _filing(other):
        return True
    return _said(one) == _said(other)


def _said(one: Described) -> str:
    """Return which determination it is; of a register, which panel it has, in whatever batch."""
    is_of_panel = one.registers and one.panel is not None
    return f"{one.kind} {one.panel}" if is_of_panel else one.determination


def _filing(one: Described) -> str:
    """Return which filing of its original a measurement is of: none stands for the first."""
    return "-".join(one.measurement.split("-")[2:])
