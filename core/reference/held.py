"""Why files are held, and what measurements are filed with: every reason and every remark."""

from __future__ import annotations

from collections.abc import Iterator

from tiecoat.reasons import Reason
from tiecoat.reference.entry import ReferenceEntry
from tiecoat.remarks import Remark

REASONS, REMARKS = "Reasons for holding", "Remarks"


def reason_entries() -> Iterator[ReferenceEntry]:
    """Return the entries of the reasons, by their codes; readers name them as `Reason.NAME`."""
    for reason in Reason:
        text = (
            f"This file is held: {reason.text}.\n\n**What to do:** {reason.advice}\n\n"
            f"In readers: `Reason.{reason.name}`. Files held for it are listed by\n\n"
            f"    tiecoat held --reason {reason.code}"
        )
        yield ReferenceEntry(REASONS, reason.code, reason.text, text, (f"Reason.{reason.name}",))


def remark_entries() -> Iterator[ReferenceEntry]:
    """Return the entries of the remarks, by their codes."""
    for remark in Remark:
        text = (
            f"The measurement is filed, and this is said of it: {remark.text}. Every result that is"
            " made of it says so too. Measurements filed with it are listed by\n\n"
            f"    tiecoat measurements --remark {remark.code}"
        )
        yield ReferenceEntry(REMARKS, remark.code, remark.text, text)
