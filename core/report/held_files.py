"""Which held files belong to a study: those that name its batches, and none of other studies."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import assert_never

import pandas as pd

from tiecoat.intake.held.files import Held
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Fault
from tiecoat.report.named_batches import ids_in, ids_in_original
from tiecoat.report.words import Language, catalogue, say, spoken, translated

OF_A_KIND = re.compile(r"[a-z][a-z0-9]*(?:_[a-z0-9]+)*")  # how a kind names a column
QUOTE = "'"
QUOTED = re.compile("'[^']*'")  # what was found, in the words of the file
COLUMNS = ("file", "held as", "reason", "first fault", "faults", "since (UTC)")


@dataclass(frozen=True)
class HeldFiles:
    """Held files that name batches of the study alone, and how many name others' too, or none.

    Files that name other batches only are somebody else's: nothing is told of them.
    """

    of_study: Sequence[Held]
    mixed: int
    unplaced: int


def held_files(held: Iterable[Held], batches: Iterable[str], lab: Lab) -> HeldFiles:
    """Return the held files of a study.

    Parameters
    ----------
    batches
        Of the study.
    lab
        Where the originals of the held files are, and how ids of batches look.
    """
    mine, mixed, unplaced, known = [], 0, 0, set(batches)
    for one in held:
        named = _named(one, lab)
        if not named:
            unplaced += 1
        elif named <= known:
            mine.append(one)
        elif named & known:
            mixed += 1
    return HeldFiles(mine, mixed, unplaced)


def _named(one: Held, lab: Lab) -> set[str]:
    """Return every batch that a held file names: by its name, its content, or who assigned it."""
    pattern = lab.settings.ids.batch
    texts = [one.name, one.folder, *one.first_lines, one.assigned.batch, one.assigned.panel]
    named = {found for text in texts if text for found in ids_in(text, pattern)}
    return named | (ids_in_original(lab, one.sha256, pattern) or set())


def fault_words(fault: Fault) -> str:
    """Return a fault in one line; where the report is not in English, its place and what is quoted.

    What was found and expected is told in many words by whoever finds it, for the technician who
    mends the file; the reason beside it is translated.
    """
    match spoken():
        case Language.ENGLISH:
            return fault.sentence
        case Language.GERMAN:
            place = [one for one in (fault.file, fault.at) if one]
            place += [say("sheet {name}", name=f"„{fault.sheet}“")] if fault.sheet else []
            place += [say("row {rows}", rows=fault.row)] if fault.row is not None else []
            name = _column_words(fault.column)
            place += [say("column {name}", name=f"„{name}“")] if name else []
            if fault.found and QUOTED.fullmatch(fault.found):
                place.append(say("found {found}", found=f"„{fault.found.strip(QUOTE)}“"))
            return ", ".join(place)
        case _:
            assert_never(spoken())


def _column_words(column: str | None) -> str:
    """Return what a column is called: by its title in the file, or as one of a kind in words."""
    if column is None or not OF_A_KIND.fullmatch(column):
        return column or ""
    return catalogue()["columns"].get(column, "")


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
