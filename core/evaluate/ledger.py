"""Collects result rows one by one and makes one table of them, fast for many thousands."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import pandas as pd

from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.result import results, together

_TEXTS = ("condition", "method", "reason", "flags")
_KEYS = ("batch", "panel", "measurement")


class Ledger:
    """Result rows in the order in which they are added."""

    def __init__(self) -> None:
        self._rows: list[dict[str, Any]] = []

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
        row: dict[str, Any] = {"quantity": quantity, "unit": unit, "exposure_h": math.nan}
        row.update(dict.fromkeys((*_KEYS, *_TEXTS), ""))
        row.update(keys, condition=condition, method=method, flags=flags)
        if isinstance(found, Estimate) and math.isfinite(found.value):
            low, high = interval or found.interval
            row.update(value=found.value, standard_error=found.standard_error)
            row.update(low=low, high=high, n=found.n)
        else:
            why = "the numbers give no result" if isinstance(found, Estimate) else str(found)
            low, high = interval or (math.nan, math.nan)
            row.update(value=math.nan, standard_error=math.nan, low=low, high=high)
            row.update(n=found.n if isinstance(found, Estimate) else 0, reason=why)
        row.update({} if n is None else {"n": n})
        self._rows.append(row)

    def table(self) -> pd.DataFrame:
        """Return the rows as a result table."""
        if not self._rows:
            return together([])
        given = {name: [row[name] for row in self._rows] for name in self._rows[0]}
        keys = {name: given.pop(name) for name in (*_KEYS, "exposure_h")}
        quantity, value, unit = (given.pop(name) for name in ("quantity", "value", "unit"))
        return results(quantity, keys, value, unit, **given)
