"""Registers and result tables for tests of comparisons, as the archive gives them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import pandas as pd

from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.study import Study, load_study
from tiecoat.compare.verdict import Verdict
from tiecoat.evaluate.result import results, together

CONTROL = "RB-010"

CRATERS = """
[[property]]
name = "craters"
kind = "defects"
quantity = "craters"
method = "counts"
area = "area_cm2"
direction = "lower"
margin_percent = 50
"""


def register(
    batches: Sequence[str],
    *,
    control: Sequence[str] = (CONTROL,),
    doses: Mapping[str, float] | None = None,
    candidates: Mapping[str, str] | None = None,
) -> pd.DataFrame:
    """Return a register of batches: control and candidates, each with a recipe of its own."""
    return pd.DataFrame(
        {
            "batch": list(batches),
            "recipe": [f"base with {(candidates or {}).get(b, b)} {b}" for b in batches],
            "candidate": [
                None if b in control else (candidates or {}).get(b, f"filler {b}") for b in batches
            ],
            "dose_percent": [0.0 if b in control else (doses or {}).get(b, 5.0) for b in batches],
            "role": ["control" if b in control else "candidate" for b in batches],
        }
    ).astype({"batch": "str", "recipe": "str", "candidate": "str", "role": "str"})


def panel_rows(
    quantity: str,
    values: Mapping[str, Sequence[float]],
    *,
    unit: str = "MPa",
    exposure_h: float = math.nan,
    condition: str = "",
    flags: str = "",
) -> pd.DataFrame:
    """Return a result row for each panel of each batch; NaN gets a reason."""
    parts = [
        results(
            quantity,
            {
                "batch": batch,
                "panel": [f"{batch}-{place}" for place in range(1, len(of_batch) + 1)],
                "exposure_h": exposure_h,
            },
            list(of_batch),
            unit,
            condition=condition,
            reason=["no spectrum" if math.isnan(one) else "" for one in of_batch],
            flags=flags,
        )
        for batch, of_batch in values.items()
        if len(of_batch)
    ]
    return together(parts)


NONE_FILED = pd.DataFrame(columns=["measurement", "kind", "batch", "panel", "measured_at"])


def panels_of(*tables: pd.DataFrame) -> pd.DataFrame:
    """Return a register in which all panels of these tables are coated alike."""
    rows = pd.concat([one[["batch", "panel"]] for one in tables], ignore_index=True)
    rows = rows[rows["panel"].fillna("") != ""].drop_duplicates()
    return rows.assign(coat_system="epoxy primer", substrate="steel")


def compared(
    table: pd.DataFrame,
    study: Study | str,
    *,
    batches: pd.DataFrame | None = None,
    raw: Mapping[str, pd.DataFrame] | None = None,
    kind: str = "gloss",
    conditions: Mapping[str, Mapping[str, str]] | None = None,
) -> Comparison:
    """Return the comparison of one kind's result table; a study may be given as TOML.

    Of counts all rows of a panel are added up, unless `conditions` say what sets them apart.
    """
    known = sorted({str(one) for one in table["batch"] if one})
    return compare(
        load_study(study) if isinstance(study, str) else study,
        results={kind: table},
        batches=register(known) if batches is None else batches,
        panels=panels_of(table, *(raw or {}).values()),
        filed=NONE_FILED,
        raw=raw,
        conditions=conditions or {one: {} for one in raw or {}},
    )


def of(comparison: Comparison, batch: str, name: str = "") -> Verdict:
    """Return the one verdict of a batch, on the property of this name."""
    (found,) = (
        one for one in comparison.verdicts if one.batch == batch and one.property.startswith(name)
    )
    return found
