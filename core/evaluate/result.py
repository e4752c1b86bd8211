"""Results: one tidy table for every kind, a row a quantity, so that they can be compared.

| column | meaning |
| --- | --- |
| quantity | what it is, such as `modulus` |
| batch, panel | whose it is; panel is "" for wet paint and for what is pooled over panels |
| measurement | the measurement it came from; empty for what is pooled over several |
| exposure_h | hours of exposure; NaN where that makes no sense |
| condition | under which it holds, such as `0.1 Hz`; may be empty |
| value, unit | NaN where it is not determinable; "" for a plain number |
| standard_error | where the data allow one, else NaN |
| low, high | of the 95 % interval, or the bound that `method` names; else NaN |
| n | how many observations stand behind it |
| method | how it was computed, in a few words, with the source |
| reason | why it is not determinable; empty where it is |
| flags | what the reader must know: a failed test, a remark on its rows; `; ` between several |

A unit is one that exports might write, such as g/m2; only a share says of what it is, such as
`% of the readings`. What gives another unit is left out, and told.

An empty text is "" in every column. Rows as `archive.read` gives them have NaN for a panel that is
not there, which groupby leaves out unless told `dropna=False`; `results` takes it for "".
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
import pandas as pd

KEYS = ("batch", "panel", "measurement", "exposure_h")
NUMBERS = ("exposure_h", "value", "standard_error", "low", "high")
TEXT = pd.StringDtype(na_value=np.nan)  # what "str" means to pandas, without asking it each time
COLUMNS = (
    "quantity",
    *KEYS,
    "condition",
    "value",
    "unit",
    "standard_error",
    "low",
    "high",
    "n",
    "method",
    "reason",
    "flags",
)


def results(
    quantity: str | Sequence[str],
    keys: Mapping[str, Any] | pd.DataFrame,
    value: Any,
    unit: str | Sequence[str],
    **more: Any,
) -> pd.DataFrame:
    """Return result rows, as a rule of one quantity.

    Parameters
    ----------
    quantity, unit
        Of all rows, or a sequence with that of each.
    keys
        Some of batch, panel, measurement, exposure_h: a value or a sequence each. An empty panel
        may be "", NaN or None, and is "" in what is returned.
    value
        A number or an array; where it is NaN, `reason` must say why.
    **more
        Any other column: a value or a sequence each.

    Raises
    ------
    ValueError
        If a value is missing without a reason, or a column is unknown.
    """
    given = {name: keys[name] for name in KEYS if name in keys}
    columns = {**given, "value": value, "unit": unit, "quantity": quantity, **more}
    if unknown := set(columns) - set(COLUMNS):
        there = ", ".join(sorted(set(COLUMNS) - set(KEYS) - {"quantity", "value", "unit"}))
        raise ValueError(
            f"no such result column: {sorted(unknown)}; beside the value there are: {there}"
        )
    lengths = [len(one) for one in columns.values() if _many(one)]
    rows = max(lengths, default=1)
    data = {name: columns.get(name, _empty(name)) for name in COLUMNS}
    made = {name: _column(name, data[name], rows) for name in COLUMNS}
    silent = made["reason"][np.isnan(made["value"])].tolist().count("")
    if silent:
        told = quantity if isinstance(quantity, str) else ", ".join(sorted({*quantity}))
        raise ValueError(f"{told}: {silent} values are missing without a reason")
    return pd.DataFrame(made, index=pd.RangeIndex(rows))


def together(frames: Sequence[pd.DataFrame]) -> pd.DataFrame:
    """Put result tables together; an empty table of the right columns if there are none."""
    parts = [frame for frame in frames if len(frame)]
    if not parts:
        return results("", {}, np.nan, "", reason="nothing").iloc[:0]
    if len(parts) == 1:
        return parts[0].reset_index(drop=True)
    return pd.concat(parts, ignore_index=True)


def panels_as_results(rows: pd.DataFrame) -> pd.DataFrame:
    """Return rows of an archive as results have panels: "" where there is none."""
    return rows.assign(panel=rows["panel"].fillna("")) if "panel" in rows else rows.copy()


def _many(column: Any) -> bool:
    return not isinstance(column, str) and hasattr(column, "__len__")


def _empty(name: str) -> Any:
    if name in NUMBERS:
        return np.nan
    return 1 if name == "n" else ""


def _column(name: str, values: Any, rows: int) -> Any:
    """Return a column as an array; a Series for each would cost more than all the rest."""
    if not _many(values):
        if name not in NUMBERS and name != "n":
            return pd.array(["" if pd.isna(values) else values], dtype=TEXT).repeat(rows)
        values = [values] * rows
    if name in NUMBERS:
        return np.asarray(values, dtype=np.float64)
    if name == "n":
        return pd.Series(np.asarray(values), dtype="int64").to_numpy()
    if isinstance(getattr(values, "dtype", None), pd.StringDtype):
        texts = pd.array(values, dtype=TEXT)  # made of objects it would cost ten times as much
        return texts.fillna("") if texts.isna().any() else texts
    texts = np.array(values, dtype=object)
    texts[pd.isna(texts)] = ""
    return pd.array(texts, dtype=TEXT)
