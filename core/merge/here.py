"""This lab, as far as something may come to it: what it has already, and what was decided last."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tiecoat.archive.account import Account
from tiecoat.archive.journal.chain import in_force
from tiecoat.archive.journal.records import Journal, JournalLine
from tiecoat.archive.tables.contents import Withdrawal
from tiecoat.archive.words import Became, RecordSort
from tiecoat.intake.held.files import list_held
from tiecoat.lab.settings import Lab
from tiecoat.merge.other import FILED, Filing, filing_named, key_of
from tiecoat.rebuild.history import FiledExport, history


@dataclass(frozen=True)
class ThisLab:
    """What the journal of this lab says.

    `decided` has when it was decided last whether a measurement counts; `known_as` the measurements
    that had the values of a filing already when it came; `held` the originals that wait.
    """

    lab: Lab
    account: Account
    filings: Mapping[Filing, FiledExport]
    decided: Mapping[str, datetime]
    known_as: Mapping[Filing, Sequence[str]]
    held: frozenset[str]
    settings: Mapping[str, Mapping[str, Any]]

    @classmethod
    def of(cls, lab: Lab) -> ThisLab:
        """Read the journal of this lab."""
        journal = Journal(lab)
        lines = [*journal.lines()]
        steps = history(lines)
        records = [line.record for line in in_force(lines) if line.record]
        return cls(
            lab,
            Account.of(lines),
            {(s.sha256, s.again): s for s in steps if isinstance(s, FiledExport)},
            _decided(lines),
            known_as(records),
            frozenset(one.sha256 for one in list_held(lab)),
            journal.settings(),
        )

    def is_new(self, measurement: str, at: datetime | None) -> bool:
        """Say whether what was decided on a measurement then is later than all that was here."""
        before = self.decided.get(measurement)
        return at is not None and (before is None or before < at)

    def is_discarded(self, sha256: str) -> bool:
        """Say whether a person has discarded an original here."""
        return self.account.outcomes.get(sha256) is Became.DISCARDED


def known_as(records: Iterable[Mapping[str, Any]]) -> dict[Filing, Sequence[str]]:
    """Return the measurements that had the values of a filing already when it came."""
    return {
        filing_named(*key_of(one)): one["as"]
        for one in records
        if "as" in one and RecordSort.of(one.get("event")) in FILED
    }


def _decided(lines: Sequence[JournalLine]) -> dict[str, datetime]:
    found: dict[str, datetime] = {}
    for line in in_force(lines):
        record = line.record or {}
        with suppress(LookupError, TypeError, ValueError, AttributeError):
            if RecordSort.of(record["event"]) is RecordSort.REINSTATED:
                at = datetime.fromisoformat(record.get("decided") or record["at"])
                found |= dict.fromkeys(record["measurements"], at)
            for said in record.get("withdrawn", ()):
                one = Withdrawal.from_record(said)
                if one.mark.at:
                    before = found.get(one.measurement, one.mark.at)
                    found[one.measurement] = max(before, one.mark.at)
    return found
