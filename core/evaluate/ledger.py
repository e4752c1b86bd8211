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
        given = np.array([not why for why in found.reason], dtype=np.bool_)
        known = given & np.isfinite(found.value)
        silent = given & ~known
        columns = (
            keys["batch"],
            keys["panel"],
            condition,
            np.where(known, found.value, math.nan).tolist(),
            np.where(known, found.standard_error, math.nan).tolist(),
            np.where(given, found.low, math.nan).tolist(),
            np.where(given, found.high, math.nan).tolist(),
            n.tolist(),
            [one if is_given else "" for one, is_given in zip(found.method, given, strict=True)],
            [NO_RESULT if is_so else why for why, is_so in zip(found.reason, silent, strict=True)],
            [
                "; ".join(filter(None, (own if is_given else "", more)))
                for own, more, is_given in zip(
                    found.flags, flags or repeat(""), given.tolist(), strict=flags is not None
                )
            ],
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
        Any other column in place of what was found: a value or a sequence. Method, flags, error and
        interval are left out where the value is not determinable.
    """
    lost = np.array([bool(why) for why in found.reason], dtype=np.bool_)
    known = np.isfinite(found.value)
    told = {"method": found.method, "flags": found.flags, "n": found.n, **more}
    for name in ("method", "flags"):
        told[name] = np.where(lost, "", np.asarray(told[name], dtype=object))
    given = zip(found.reason, known.tolist(), strict=True)
    return results(
        quantity,
        keys,
        np.where(known & ~lost, found.value, math.nan),
        unit,
        standard_error=np.where(known & ~lost, found.standard_error, math.nan),
        low=np.where(lost, math.nan, found.low),
        high=np.where(lost, math.nan, found.high),
        reason=[why or ("" if is_known else NO_RESULT) for why, is_known in given],
        **told,
    )
