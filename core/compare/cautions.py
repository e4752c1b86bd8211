"""What weakens the sample of a batch, in sentences that stand beside what is concluded of it."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

import numpy as np
import pandas as pd

from tiecoat.evaluate.statistics.censored_normal import Floats
from tiecoat.remarks import parts_of, summed

TOLD_REASONS = 3
NUMBER = r"(?<![\w.:-])\d+(?:\.\d+)?(?:e[-+]?\d+)?(?![\w-]|[.:]\d)"  # not part of a name, a date
RANGE = re.compile(rf"{NUMBER}(?: to {NUMBER})?")
COUNTED = re.compile(r"(\d+ of \d+(?:: | with ))(.+)", re.DOTALL)
BEGINS_WITH_COUNT = re.compile(r"\d+ of \d+\b")


def left_out(rows: pd.DataFrame, is_missing: pd.Series[bool]) -> tuple[str, ...]:
    """Return the caution that some rows have no value, with their reasons."""
    missing = rows[is_missing]
    if not len(missing):
        return ()
    return (f"{len(missing)} of {len(rows)} without a value: {reasons(missing)}",)


def reasons(rows: pd.DataFrame) -> str:
    """Return why rows have no value, in few words; what differs in numbers alone is one reason.

    Examples
    --------
    >>> reasons(pd.DataFrame({"reason": ["3 spectra of 5", "4 spectra of 5", "", "no area"]}))
    '3 to 4 spectra of 5; no area'
    """
    of_sort: dict[str, list[str]] = {}
    for one in filter(None, rows["reason"]):
        of_sort.setdefault(sort_of(str(one)), []).append(str(one))
    return "; ".join(map(hull, [*of_sort.values()][:TOLD_REASONS])) or "no reason given"


def flagged(rows: pd.DataFrame) -> tuple[str, ...]:
    """Return the flags of result rows as cautions, each with how many carry it.

    Those that differ in their numbers alone are one, see `hull`.

    Examples
    --------
    >>> flagged(pd.DataFrame({"flags": ["at 5 to 8 %; no bath", "at 6 to 9 %; no bath", ""]}))
    ('2 of 3: at 5 to 9 %', '2 of 3: no bath')
    """
    of_sort: dict[str, list[str]] = {}
    for text in rows["flags"]:
        for flag in dict.fromkeys(parts_of(str(text or ""))):
            of_sort.setdefault(sort_of(flag), []).append(flag)
    return tuple(_carried(len(flags), len(rows), hull(flags)) for flags in of_sort.values())


def _carried(count: int, rows: int, flag: str) -> str:
    """Return a flag with how many carry it: also of one that itself begins with a count."""
    if BEGINS_WITH_COUNT.match(flag):
        return f"{count} of {rows} with {flag}"
    return f"{count} of {rows}: {flag}"


def told_alike(found: Mapping[str, Sequence[str]]) -> dict[str, tuple[str, ...]]:
    """Return the cautions of each batch, its flags with the numbers of all batches.

    So what films of a study have, such as a first spectrum after an hour, is told in one wording,
    whatever number of panels of a batch carries it.

    Examples
    --------
    >>> told_alike({"RB-010": ["3 of 3: 177 um"], "RB-011": ["2 of 3: 190 um"]})
    {'RB-010': ('3 of 3: 177 to 190 um',), 'RB-011': ('2 of 3: 177 to 190 um',)}
    """
    of_sort: dict[str, list[str]] = {}
    for cautions in found.values():
        for _, flag in filter(None, map(_counted_flag, cautions)):
            of_sort.setdefault(sort_of(flag), []).append(flag)

    def told(caution: str) -> str:
        parts = _counted_flag(caution)
        if parts is None:
            return caution
        return f"{parts[0]}{hull(of_sort[sort_of(parts[1])])}"

    return {batch: tuple(map(told, cautions)) for batch, cautions in found.items()}


def _counted_flag(caution: str) -> tuple[str, str] | None:
    """Return such as "3 of 3: ", and the flag; None of what is no flag."""
    found = COUNTED.fullmatch(caution)
    return None if found is None else (found[1], found[2])


def sort_of(text: str) -> str:
    """Return a text without its numbers; those within a name stay.

    Examples
    --------
    >>> sort_of("5 to 12 % of RB-014-1 at 1e-09 cm2/s")
    '# % of RB-014-1 at # cm2/s'
    """
    return RANGE.sub("#", text)


def hull(texts: Sequence[str]) -> str:
    """Return texts that differ in their numbers alone as one, with the range of each number.

    Examples
    --------
    >>> hull(["5 to 12 % of what 177 um take up", "6 to 12 % of what 173 um take up"])
    '5 to 12 % of what 173 to 177 um take up'
    """
    columns = zip(*(RANGE.findall(text) for text in texts), strict=True)
    ranges = map(_range, columns)
    return RANGE.sub(lambda _: next(ranges), texts[0])


def _range(numbers: Sequence[str]) -> str:
    ends = sorted((end for one in numbers for end in one.split(" to ")), key=float)
    return ends[0] if float(ends[0]) == float(ends[-1]) else f"{ends[0]} to {ends[-1]}"


def remarked(rows: pd.DataFrame) -> tuple[str, ...]:
    """Return the remarks on raw rows as cautions, as `flagged` does of results."""
    if "remark" not in rows:
        return ()
    each = rows.drop_duplicates("measurement")["remark"].dropna()
    return tuple(summed(each.astype(str)))


def if_equal(values: Floats, batch: str) -> tuple[str, ...]:
    """Return the caution that all values of a batch are equal, if so."""
    if len(values) > 1 and np.ptp(values) <= 1e-12 * float(np.abs(values).max()):
        return (f"all {len(values)} values of {batch} are equal: their spread is not resolved",)
    return ()
