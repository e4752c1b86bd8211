"""Result tables: of rows that come one by one, or of what was found of many groups at once."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from itertools import compress, repeat
from typing import Any

import numpy as np
import pandas as pd

from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.grouping import Bools, Whole
from tiecoat.evaluate.result import COLUMNS, KEYS, results, together
from tiecoat.evaluate.statistics.replicates import ManyFound

NO_RESULT = "the numbers give no result"


class Ledger:
    """Result rows in the order in which they are added."""

    def __init__(self) -> None:
        self._rows: list[tuple[Any, ...]] = []  # as COLUMNS stand

    def add(
        self,
        quantity: str,
        unit: str,
        keys: Mapping[str, str | float],
        found: Estimate | NotDeterminable,
        *,
        condition: str = "",
        method: str = "",
        flags: str = "",
        interval: tuple[float, float] | None = None,
        n: int | None = None,
    ) -> None:
        """Add a row: what was found, or why it is not determinable.

        Parameters
        ----------
        keys
            batch; panel, measurement and exposure_h where the row belongs to one.
        interval
            The 95 % interval, where it is not the symmetric one of the estimate; for what is not
            determinable, the bounds that are known all the same and that `method` names.
        n
            How many observations there are, where that is not the n of the estimate.
        """
        value = error = math.nan
        known, why = 0, ""
        if isinstance(found, Estimate) and math.isfinite(found.value):
            low, high = interval or found.interval
            value, error, known = found.value, found.standard_error, found.n
        else:
            is_number = isinstance(found, Estimate)
            why = NO_RESULT if is_number else str(found)
            known = found.n if isinstance(found, Estimate) else 0
            low, high = interval or (math.nan, math.nan)
        of = keys.get
        self._rows.append(
            (
                quantity,
                of("batch", ""),
                of("panel", ""),
                of("measurement", ""),
                of("exposure_h", math.nan),
                condition,
                value,
                unit,
                error,
                low,
                high,
                known if n is None else n,
                method,
                why,
                flags,
            )
        )

    def add_many(
        self,
        quantity: str,
        unit: str,
        keys: Mapping[str, Sequence[str]],
        found: ManyFound,
        *,
        condition: Sequence[str],
        n: Whole,
        flags: Sequence[str] | None = None,
        wanted: Bools | None = None,
    ) -> None:
        """Add a row for each of many groups: what was found of it, or why it is not determinable.

        Parameters
        ----------
        keys
            Of each group: batch, and panel where it is one; "" where it is none.
        condition, n
            Of each group, as for `add`.
        flags
            Of each group, besides those of what was found.
        wanted
            The groups that get a row, where not all do.
        """
        told = _told(found)
        both = zip(told["flags"], flags or repeat(""), strict=flags is not None)
        columns = (
            keys["batch"],
            keys["panel"],
            condition,
            *(told[name].tolist() for name in ("value", "standard_error", "low", "high")),
            n.tolist(),
            told["method"],
            told["reason"],
            ["; ".join(filter(None, pair)) for pair in both],
        )
        rows = zip(*columns, strict=True)
        self._rows += [
            (quantity, batch, panel, "", math.nan, under, value, unit, *numbers)
            for batch, panel, under, value, *numbers in (
                rows if wanted is None else compress(rows, wanted)
            )
        ]

    def table(self) -> pd.DataFrame:
        """Return the rows as a result table."""
        if not self._rows:
            return together([])
        given: dict[str, Any] = dict(zip(COLUMNS, zip(*self._rows, strict=True), strict=True))
        keys = {name: given.pop(name) for name in KEYS}
        quantity, value, unit = (given.pop(name) for name in ("quantity", "value", "unit"))
        return results(quantity, keys, value, unit, **given)


def table_of(
    found: ManyFound,
    quantity: str | Sequence[str],
    unit: str,
    keys: Mapping[str, Any] | pd.DataFrame,
    **more: Any,
) -> pd.DataFrame:
    """Return what was found of many groups as result rows.

    Parameters
    ----------
    keys
        Some of batch, panel, measurement, exposure_h, of each group.
    **more
        Any other column, and `n` in place of what was found: a value or a sequence.
    """
    told = {**_told(found), "n": found.n, **more}
    return results(quantity, keys, told.pop("value"), unit, **told)


def _told(found: ManyFound) -> dict[str, Any]:
    """Return the columns of a result table that tell what was found of many groups.

    Method, flags, error and interval are left out where the value is not determinable.
    """
    given = np.array([not why for why in found.reason], dtype=np.bool_)
    known = given & np.isfinite(found.value)
    silent = (given & ~known).tolist()
    said = {"method": found.method, "flags": found.flags}
    return {
        "value": np.where(known, found.value, math.nan),
        "standard_error": np.where(known, found.standard_error, math.nan),
        "low": np.where(given, found.low, math.nan),
        "high": np.where(given, found.high, math.nan),
        "reason": [NO_RESULT if no else why for why, no in zip(found.reason, silent, strict=True)],
        **{
            name: [one if is_given else "" for one, is_given in zip(every, given, strict=True)]
            for name, every in said.items()
        },
    }
