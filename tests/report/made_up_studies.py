"""Comparisons of made-up panels, for figures that the example has no data for."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import pandas as pd

from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.study import load_study
from tiecoat.evaluate.result import results, together


def panel_rows(
    quantity: str, values: Mapping[str, Sequence[float]], unit: str = "", **more: object
) -> pd.DataFrame:
    """Return a result row for each panel of each batch; NaN gets a reason."""
    parts = []
    for batch, of_batch in values.items():
        panels = [f"{batch}-{place}" for place, _ in enumerate(of_batch, 1)]
        reason = ["no spectrum" if math.isnan(one) else "" for one in of_batch]
        keys = {"batch": batch, "panel": panels, "exposure_h": more.get("exposure_h", math.nan)}
        condition = more.get("condition", "")
        parts.append(
            results(quantity, keys, list(of_batch), unit, condition=condition, reason=reason)
        )
    return together(parts)


def compared(
    table: pd.DataFrame, study: str, kind: str = "gloss", raw: pd.DataFrame | None = None
) -> Comparison:
    """Return the comparison of one kind; the first batch is the control."""
    batches = sorted(table["batch"].unique())
    register = pd.DataFrame(
        {
            "batch": batches,
            "recipe": "base",
            "candidate": [f"filler {one}" for one in batches],
            "dose_percent": 5.0,
            "role": ["control", *["candidate"] * (len(batches) - 1)],
        }
    )
    panels = pd.concat([table, table if raw is None else raw])[["batch", "panel"]]
    panels = panels[panels["panel"].fillna("") != ""].drop_duplicates()
    return compare(
        load_study(study),
        results={kind: table},
        batches=register,
        panels=panels.assign(coat_system="epoxy primer", substrate="steel"),
        filed=pd.DataFrame(columns=["measurement", "kind", "batch", "panel", "measured_at"]),
        raw={} if raw is None else {kind: raw},
        conditions={kind: {}},
    )
