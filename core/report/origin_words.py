"""Where the numbers of a study come from, in words: for the notes of slides and for workbooks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from importlib.metadata import version
from typing import Any

from tiecoat.ask.study_data import StudyData
from tiecoat.report.labels import lab_words
from tiecoat.report.origins import Origin
from tiecoat.report.words import day, say

ENTRY_DIGITS = 12  # of the hash of a record of the journal
TOLD_ORIGINS = 40  # lines of notes


def entry_of(record: Mapping[str, Any] | None) -> tuple[str, str] | None:
    """Return the time in UTC and the first digits of the hash of a record of the journal."""
    if record is None:
        return None
    return str(record["at"])[:19].replace("T", " "), str(record["hash"])[:ENTRY_DIGITS]


def study_words(data: StudyData, on: date) -> str:
    """Return which lab wrote it when, and by which version."""
    return say(
        "{lab}, {date}, written by tiecoat {version}.",
        lab=lab_words(data.lab.root.name),
        date=day(on),
        version=version("tiecoat"),
    )


def archive_words(data: StudyData) -> str:
    """Return as of which entry of its journal the archive was read; "" where it has none."""
    entry = entry_of(data.last_entry)
    if entry is None:
        return ""
    return say(
        "The archive was read as it stood after the entry of {time} in its journal, whose hash"
        " begins {entry}.",
        time=entry[0],
        entry=entry[1],
    )


def original_words(
    origins: Sequence[Origin], kinds: Sequence[str], batches: Sequence[str]
) -> list[str]:
    """Return a line for each original of some kinds and batches, with the measurements of it."""
    told = []
    for one in origins:
        ids = [
            row["measurement"]
            for row in one.measurements
            if row["kind"] in kinds and row["batch"] in batches
        ]
        if ids:
            told.append(f"{one.number}. {one.name}: {', '.join(ids)}")
    more = len(told) - TOLD_ORIGINS
    if more > 0:
        told = [*told[:TOLD_ORIGINS], say("and {count} more, which the report lists", count=more)]
    return told
