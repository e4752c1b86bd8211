"""Which held files belong to a study: those that name one of its batches, and no other lab work."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import assert_never

import pandas as pd

from tiecoat.intake.held.files import Held
from tiecoat.reasons import Fault
from tiecoat.report.others import ids_in
from tiecoat.report.words import Language, say, spoken, translated

COLUMNS = ("file", "held as", "reason", "first fault", "faults", "since (UTC)")


@dataclass(frozen=True)
class HeldFiles:
    """Held files that name a batch of the study, and how many name no batch at all.

    Files that name other batches only are somebody else's: nothing is told of them.
    """

    of_study: Sequence[Held]
    unplaced: int


def held_files(held: Iterable[Held], batches: Iterable[str], pattern: str) -> HeldFiles:
    """Return the held files of a study.

    Parameters
    ----------
    batches
        Of the study.
    pattern
        How ids of batches look in this lab.
    """
    mine, unplaced, known = [], 0, set(batches)
    for one in held:
        named = _named(one, pattern)
        if named & known:
            mine.append(one)
        elif not named:
            unplaced += 1
    return HeldFiles(mine, unplaced)


def _named(one: Held, pattern: str) -> set[str]:
    """Return every batch that a held file names: by its name, its rows, or who assigned it."""
    texts = [one.name, one.folder, *one.first_lines, one.assigned.batch, one.assigned.panel]
    texts += [fault.sentence for fault in one.faults]
    return {found for text in texts if text for found in ids_in(text, pattern)}


def fault_words(fault: Fault) -> str:
    """Return a fault in one line; where the report is not in English, only the place of it.

    What was found and expected is told in many words by whoever finds it, for the technician who
    mends the file; the reason beside it is translated.
    """
    match spoken():
        case Language.ENGLISH:
            return fault.sentence
        case Language.GERMAN:
            place = [say("sheet {name}", name=f"„{fault.sheet}“")] if fault.sheet else []
            place += [say("row {rows}", rows=fault.row)] if fault.row is not None else []
            place += [say("column {name}", name=f"„{fault.column}“")] if fault.column else []
            return ", ".join(place)
        case _:
            assert_never(spoken())


def held_table(found: HeldFiles, batches: Iterable[str], pattern: str) -> pd.DataFrame:
    """Return the held files of the study as a table; a fault that names others' batches is cut."""
    known = set(batches)
    rows = []
    for one in found.of_study:
        fault = one.faults[0] if one.faults else None
        is_own = fault is not None and not ids_in(fault.sentence, pattern) - known
        told = fault_words(fault) if fault is not None and is_own else ""
        since = one.held_at[:16].replace("T", " ")
        rows.append((one.name, one.id, translated(one.reason.text), told, one.total, since))
    return pd.DataFrame(rows, columns=list(COLUMNS))
