"""What was filed and retracted, in the order of the journal, as steps that can be taken again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any, TypeAlias, assert_never

from tiecoat.archive.account import Notes
from tiecoat.archive.journal.chain import in_force
from tiecoat.archive.journal.records import JournalLine
from tiecoat.archive.tables.contents import Withdrawal, from_tables
from tiecoat.archive.tables.parquet import Mark
from tiecoat.archive.words import RecordSort, Withdrawn
from tiecoat.intake.filing.continuing import continuation
from tiecoat.intake.filing.entry import Decision
from tiecoat.intake.held.assigned import Assigned


@dataclass(frozen=True)
class FiledExport:
    """An original that was filed: as what, with which ids, decision and notes, and when.

    `again` counts how often it had been filed and retracted before. `recovered` says that its own
    record was lost, and what is known of it was taken from the rows that were filed from it.
    `settings` is the digest of the settings it was filed by; None where nothing says. `marks` are
    those of its own measurements that did not count from the first: it came so from another lab.
    """

    sha256: str
    name: str
    folder: str
    assigned: Assigned
    decision: Decision | None
    notes: Notes | None
    at: datetime
    again: int = 0
    recovered: bool = False
    settings: str | None = None
    marks: Mapping[str, Mark] = field(default_factory=dict)


@dataclass(frozen=True)
class Reinstated:
    """Measurements that were retracted and count again: by whom, why, and when it was decided."""

    measurements: tuple[str, ...]
    who: str = ""
    why: str = ""
    at: datetime | None = None


HistoryStep: TypeAlias = FiledExport | Withdrawal | Reinstated  # of withdrawals: retracted


def history(lines: Iterable[JournalLine]) -> list[HistoryStep]:
    """Return the steps that led to what counts as filed now.

    An export that was held or discarded after it was filed is left out; one that was filed again
    after that stands where it was filed last. Lines that do not say what they must are passed over:
    `Account.unclear` lists them.
    """
    steps: dict[str, HistoryStep] = {}
    for line in in_force(lines):
        if line.record is not None:
            with suppress(LookupError, TypeError, ValueError, AttributeError):
                _add(steps, line.record, f"{line.place}")
    return list(steps.values())


def _add(steps: dict[str, HistoryStep], record: Mapping[str, Any], place: str) -> None:
    match RecordSort.of(record["event"]):
        case RecordSort.FILED | RecordSort.KNOWN:
            steps.setdefault(_filing(record), _export(record))
        case RecordSort.HELD | RecordSort.DISCARDED:
            steps.pop(_filing(record), None)
        case RecordSort.RETRACTED:
            _retract(steps, record, place)
        case RecordSort.REINSTATED:
            steps[place] = _reinstated(record)
        case RecordSort.REBUILT:
            _rebuilt(steps, record, place)
        case (
            RecordSort.FILING
            | RecordSort.OVERTAKEN
            | RecordSort.SETTINGS
            | RecordSort.UPGRADED
            | RecordSort.MERGED
            | RecordSort.TAKEN_BACK
            | None
        ):
            pass
        case other:
            assert_never(other)


def _rebuilt(steps: dict[str, HistoryStep], record: Mapping[str, Any], place: str) -> None:
    for out in (*record["held"], *record.get("given_up", [])):
        steps.pop(_filing(out), None)
    for one in record.get("recovered", []):
        recovered = _export({**one, "at": record["at"]})
        steps.setdefault(_filing(one), replace(recovered, recovered=True))
    _retract(steps, record, place)  # of which the record was lost
    if digest := record.get("digest"):  # by the settings of that day all was read anew
        for filing, step in steps.items():
            if isinstance(step, FiledExport):
                steps[filing] = replace(step, settings=digest)


def _retract(steps: dict[str, HistoryStep], record: Mapping[str, Any], place: str) -> None:
    for said in record["withdrawn"]:
        withdrawal = Withdrawal.from_record(said)
        if withdrawal.mark.withdrawn == Withdrawn.RETRACTED:
            steps[f"{place}: {withdrawal.measurement}"] = withdrawal


def _reinstated(record: Mapping[str, Any]) -> Reinstated:
    at = datetime.fromisoformat(record.get("decided") or record["at"])
    names = tuple(record["measurements"])
    return Reinstated(names, record.get("who", ""), record.get("why", ""), at)


def _filing(record: Mapping[str, Any]) -> str:
    """Return which filing of which original it is: one that was retracted may be filed anew."""
    return f"{record['sha256']} {record.get('again', 0)}"


def _export(record: Mapping[str, Any]) -> FiledExport:
    notes = record.get("notes")
    own = from_tables(record.get("tables", []))
    withdrawn = [Withdrawal.from_record(said) for said in record.get("withdrawn", [])]
    marks = [one.mark for one in withdrawn if one.measurement not in own]
    return FiledExport(
        record["sha256"],
        record["name"],
        record.get("folder", ""),
        Assigned(**record.get("assigned", {})),
        _decision(record),
        Notes(notes["name"], notes["sha256"]) if notes else None,
        (marks[-1].at if marks else None)
        or datetime.fromisoformat(record.get("first_filed", record["at"])),
        record.get("again", 0),
        settings=record.get("settings"),
        marks={one.measurement: one.mark for one in withdrawn if one.measurement in own},
    )


def _decision(record: Mapping[str, Any]) -> Decision | None:
    if "continues" in record:
        return continuation(record["why"], record["continues"])
    return Decision(record["who"], record["why"]) if record.get("who") else None
