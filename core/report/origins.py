"""Which original each measurement came from, so that every number leads back to a file."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import pandas as pd

from tiecoat.report.words import say

LISTED = (
    *("measurement", "kind", "batch", "panel", "measured_at", "n_rows"),
    *("source_sheet", "source_row", "last_row"),
)


@dataclass(frozen=True)
class Origin:
    """One original and what came of it; `number` is its place in the appendix, from 1."""

    number: int
    name: str
    sha256: str
    readers: str
    measurements: tuple[dict[str, str], ...]
    kinds: frozenset[str]


def origins_of(measurements: pd.DataFrame) -> list[Origin]:
    """Return the originals of measurements, sorted by kind and name, with their measurements.

    Parameters
    ----------
    measurements
        As `archive.measurements` lists them.
    """
    firsts = measurements.sort_values(
        ["kind", "source_name", "source_sha256", "measurement"], kind="stable"
    )
    found = []
    for number, (sha256, part) in enumerate(firsts.groupby("source_sha256", sort=False), 1):
        found.append(
            Origin(
                number,
                str(part["source_name"].iloc[0]),
                str(sha256),
                ", ".join(sorted(set(part["reader"].astype(str)))),
                tuple(_told(row) for row in part.to_dict("records")),
                frozenset(part["kind"].astype(str)),
            )
        )
    return found


def _told(row: Mapping[Hashable, Any]) -> dict[str, str]:
    told = {name: "" if pd.isna(row[name]) else str(row[name]) for name in LISTED}
    for name in ("source_row", "last_row"):  # whole numbers, also beside missing ones
        told[name] = told[name].removesuffix(".0")
    ends = [(int(told["source_row"]), int(told["last_row"]))] if told["last_row"] else []
    return {**told, "measured_at": told["measured_at"][:16], "rows": rows_text(ends)}


def rows_text(ends: Sequence[tuple[int, int]]) -> str:
    """Return rows of a file in words, those that follow each other drawn together.

    Examples
    --------
    >>> rows_text([(8, 8), (9, 9), (11, 46)]), rows_text([(4, 4)]), rows_text([])
    ('rows 8–9, 11–46', 'row 4', '')
    """
    every = [row for first, last in ends for row in range(first, last + 1)]
    if not every:
        return ""
    told = runs(sorted(set(every)))
    return say("row {rows}", rows=told) if len(every) == 1 else say("rows {rows}", rows=told)


def numbers_of(origins: Sequence[Origin], kind: str, batches: set[str]) -> str:
    """Return the numbers of the originals of a kind, runs drawn together.

    Examples
    --------
    >>> runs([1, 2, 3, 7, 9, 10])
    '1–3, 7, 9–10'
    """
    return runs(
        [
            one.number
            for one in origins
            if any(row["kind"] == kind and row["batch"] in batches for row in one.measurements)
        ]
    )


def runs(numbers: Sequence[int]) -> str:
    """Return rising numbers with runs drawn together; see `numbers_of`."""
    parts: list[list[int]] = []
    for one in numbers:
        if parts and parts[-1][-1] == one - 1:
            parts[-1].append(one)
        else:
            parts.append([one])
    return ", ".join(f"{part[0]}–{part[-1]}" if len(part) > 1 else str(part[0]) for part in parts)
