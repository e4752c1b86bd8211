"""What a reader says of an export: how sure it is, and what it read."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

CLAIMS_FROM = 0.5  # how sure a reader must be to claim a file; below it the claim is a hint


@dataclass(frozen=True)
class Claim:
    """How sure a reader is that an export is its own, and why.

    Parameters
    ----------
    sure
        0 to 1. From 0.5 on the reader claims the file; the surest reader gets it, and two that
        are equally sure (within 0.05) hold it. Below 0.5 the claim is only a hint, shown to the
        user as one of the nearest readers.
    why
        What was found, or what is missing, in a few words.
    """

    sure: float
    why: str


@dataclass(frozen=True)
class Measurement:
    """What one determination or one sweep gave, as a reader returns it.

    Parameters
    ----------
    columns
        Column of the kind -> its values, all of one length, in the units of the kind. Numbers are
        float (NaN where there is none), whole ones int or None, truths bool or None, texts str or
        None, times aware datetimes or None.
        A column that the export does not have may be left out if the kind lets it be empty.
    rows
        For each value the row of the original it came from, counted from 1: the line of a text, the
        row of a sheet. Of a nested file it is the place in its list.
    batch, panel
        The id as the export writes it, or None where it does not say.
    measured_at
        Aware time of the determination, or None.
    instrument
        What the export says of the instrument, or None.
    kind
        Only needed by a reader of several kinds; otherwise the reader's own kind.
    sheet
        Name of the sheet in a workbook, or of the companion that the rows stand in.
    called
        What the export calls the batch beside its id, or in its place: candidate and dose, such as
        `talc 10 %`. The register must not say that this is another batch.
    remarks
        What whoever uses the values must know of this measurement, each in a few words of your own
        without a semicolon. Every later result carries them.
    """

    columns: Mapping[str, Sequence[Any]]
    rows: Sequence[int]
    batch: str | None = None
    panel: str | None = None
    measured_at: datetime | None = None
    instrument: str | None = None
    kind: str | None = None
    sheet: str | None = None
    called: str | None = None
    remarks: tuple[str, ...] = ()
