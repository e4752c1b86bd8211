"""What the journal says the archive must hold: which rows of which original, and their marks."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tiecoat.archive.journal.chain import in_force
from tiecoat.archive.journal.records import Journal, JournalLine
from tiecoat.archive.spilled import Spilled
from tiecoat.archive.tables.contents import Content, Withdrawal, from_tables
from tiecoat.archive.tables.parquet import Place
from tiecoat.archive.words import Became, RecordSort
from tiecoat.lab.settings import Lab


@dataclass(frozen=True)
class Notes:
    """Notes that an original was read with: the name of their file, and its SHA-256."""

    name: str
    sha256: str


def contents_by_name() -> Spilled[Content]:
    """Return an empty mapping of contents by measurement, with a part for each table."""
    return Spilled(
        lambda one: [*one.place, one.n_rows, one.digest],
        lambda said: Content((said[0], said[1]), said[2], said[3]),
        lambda one: "/".join(one.place),
    )


@dataclass
class Account:
    """The journal, summed up.

    `contents` and `withdrawn` go by measurement, `names`, `outcomes` and `notes` by the SHA-256 of
    the original; `overtaken` are those of which nothing came, as their file has gone on.
    `carried_over` says why of each measurement that the last rebuild could not make again;
    `accepted` holds the faults of the journal that a rebuild has put up with, `given_up` the
    originals of which nothing is left. `unclear` lists the lines whose records do not say what they
    must, `torn` those that are no records. Of any size, it needs little memory.
    """

    contents: Spilled[Content] = field(default_factory=contents_by_name)
    withdrawn: dict[str, Withdrawal] = field(default_factory=dict)
    names: Spilled[str] = field(default_factory=lambda: Spilled(str, str))
    outcomes: Spilled[Became] = field(default_factory=lambda: Spilled(str, Became))
    notes: dict[str, Notes] = field(default_factory=dict)
    carried_over: dict[str, str] = field(default_factory=dict)
    accepted: set[str] = field(default_factory=set)
    given_up: set[str] = field(default_factory=set)
    overtaken: set[str] = field(default_factory=set)
    unclear: list[JournalLine] = field(default_factory=list)
    torn: list[JournalLine] = field(default_factory=list)

    @classmethod
    def of(cls, lines: Iterable[JournalLine]) -> Account:
        """Sum up the lines of a journal, the oldest first."""
        account = cls()
        for line in in_force(lines):
            account.add(line)
        return account

    def add(self, line: JournalLine) -> None:
        """Add the next line."""
        if line.record is None:
            self.torn.append(line)
            return
        try:
            self._add(line.record)
        except (LookupError, TypeError, ValueError, AttributeError):
            self.unclear.append(line)

    def _add(self, record: Mapping[str, Any]) -> None:
        sort = RecordSort.of(record["event"])
        if sort is RecordSort.REBUILT:
            self._rebuilt(record)
        elif sort is RecordSort.OVERTAKEN:
            self.overtaken.add(record["sha256"])
        elif sort is RecordSort.REINSTATED:
            for measurement in record["measurements"]:
                self.withdrawn.pop(measurement, None)
        elif sort and (became := sort.became):
            sha256 = record["sha256"]
            self.names[sha256] = record["name"]
            self.outcomes[sha256] = became
            if said := record.get("notes"):
                self.notes[sha256] = Notes(said["name"], said["sha256"])
        self.contents.update(from_tables(record.get("tables", [])))
        for said in record.get("withdrawn", []):
            withdrawal = Withdrawal.from_record(said)
            self.withdrawn[withdrawal.measurement] = withdrawal

    def _rebuilt(self, record: Mapping[str, Any]) -> None:
        """Take out what a rebuild has not made again; what it made otherwise is added after."""
        for measurement in record["no_longer_filed"]:
            self.contents.pop(measurement, None)
            self.withdrawn.pop(measurement, None)
        for measurement in record["no_longer_withdrawn"]:
            self.withdrawn.pop(measurement, None)
        for one in record.get("recovered", []):
            self.names[one["sha256"]], self.outcomes[one["sha256"]] = one["name"], Became.FILED
        for held in record["held"]:
            self.names.setdefault(held["sha256"], held["name"])
            self.outcomes[held["sha256"]] = Became.HELD
        self.given_up |= {one["sha256"] for one in record.get("given_up", [])}
        self.carried_over = dict(record.get("carried_over", {}))
        self.accepted |= set(record.get("doubts", []))


def filed_by_table(lab: Lab) -> dict[Place, list[str]]:
    """Return the measurements that must stand in each table, as the journal says."""
    filed: dict[Place, list[str]] = {}
    for measurement, content in Account.of(Journal(lab)).contents.each():
        filed.setdefault(content.place, []).append(measurement)
    return filed
