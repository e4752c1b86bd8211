"""Remarks on measurements, brought to every result that is made of them.

A result that names its measurement is made of that one, a pooled one of all of its panel, or, where
it names no panel, of its batch. Of the further kinds that an evaluation needs, whatever belongs to
the panel or batch counts as used. Some results name a measurement and are made of others too, as
water uptake is of the dry film's: an evaluation says which quantities these are
(`Evaluation.pooled`), and where it does not, all its results count as such. It says too which
results of a panel hang on its whole batch (`Evaluation.of_batch`). So a remark may reach a result
that it does not touch; it never misses one that it does.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import pandas as pd

from tiecoat.evaluate.result import TEXT
from tiecoat.plugin import Evaluation
from tiecoat.remarks import BETWEEN, parts_of, summed


@dataclass
class _Noted:
    """Remarks by measurement, then by what it belongs to; `loose` are those of a batch as such."""

    own: dict[str, str] = field(default_factory=dict)
    of_panel: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    of_batch: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    loose: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))

    @property
    def everything(self) -> list[str]:
        return [text for texts in self.of_batch.values() for text in texts]

    def about(self, batch: str, panel: str) -> list[str]:
        """Return the remarks on everything that belongs to a panel, a batch, or all batches."""
        if panel:
            return [*self.of_panel.get(panel, ()), *self.loose.get(batch, ())]
        return self.of_batch.get(batch, []) if batch else self.everything


def with_remarks(
    table: pd.DataFrame, frames: Mapping[str, pd.DataFrame], evaluation: Evaluation
) -> pd.DataFrame:
    """Return a result table with the remarks on the rows it was computed from among its flags.

    Parameters
    ----------
    table
        What the evaluation has given.
    frames
        What it was given: rows by kind, whose column `remark` holds the remarks.
    """
    own = _noted(frames[evaluation.kind])
    needed = [_noted(rows) for kind, rows in frames.items() if kind != evaluation.kind]
    if not (own.own or any(one.own for one in needed)):
        return table
    told: dict[tuple[str, str, str, bool], list[str]] = {}
    flags = []
    names = [*(_texts(table[name]) for name in ("quantity", "measurement", "batch", "panel"))]
    for quantity, measurement, batch, panel, flag in zip(
        *names, _texts(table["flags"]), strict=True
    ):
        alone = evaluation.pooled is not None and quantity not in evaluation.pooled
        of = "" if quantity in evaluation.of_batch else panel
        key = (measurement, batch, of, alone)
        if key not in told:
            mine = [own.own.get(measurement, "")] if measurement and alone else []
            mine = mine or own.about(batch, of)
            told[key] = summed([*mine, *(text for one in needed for text in one.about(batch, of))])
        said = told[key]
        as_it_is = not said and BETWEEN not in flag
        flags.append(flag if as_it_is else BETWEEN.join(dict.fromkeys([*parts_of(flag), *said])))
    return table.assign(flags=pd.Series(flags, index=table.index, dtype="str"))


def _noted(rows: pd.DataFrame) -> _Noted:
    noted = _Noted()
    if "remark" not in rows or not rows["remark"].notna().any():
        return noted
    each = rows.loc[rows["remark"].notna(), ["measurement", "batch", "panel", "remark"]]
    each = each.drop_duplicates("measurement")
    columns = (_texts(each[name]) for name in ("measurement", "batch", "panel", "remark"))
    for measurement, batch, panel, remark in zip(*columns, strict=True):
        noted.own[measurement] = remark
        noted.of_batch[batch].append(remark)
        (noted.of_panel[panel] if panel else noted.loose[batch]).append(remark)
    return noted


def _texts(column: pd.Series[Any]) -> list[str]:
    found: list[str] = column.astype(TEXT).fillna("").to_numpy(dtype=object).tolist()
    return found
