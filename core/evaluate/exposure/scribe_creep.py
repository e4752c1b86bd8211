"""Delamination and corrosion from a scribe: of each panel and of the batch, after each exposure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from tiecoat.contract.notations.rated_properties import SCRIBE
from tiecoat.evaluate.exposure.inspections import COURSE, backward
from tiecoat.evaluate.grouping import groups_of, numbered
from tiecoat.evaluate.ledger import table_of
from tiecoat.evaluate.statistics.replicates import means

OF_WIDTHS = "ISO 4628-8: half of what the damage is wider than the scribe"


def creeps(
    rows: pd.DataFrame, flags_of: Mapping[tuple[str, str], Sequence[str]]
) -> Iterator[pd.DataFrame]:
    """Return the creep of each panel and batch.

    That of a panel is the mean of its readings along the scribe; that of a batch the mean of its
    panels with the interval by t, panels as unit: readings of one panel have more in common.

    Parameters
    ----------
    rows
        Rows of the kind `exposure_rating` with a creep.
    flags_of
        What must be known of a batch in an exposure.
    """
    if not len(rows):
        return
    courses, _ = groups_of(rows, COURSE)
    odd = backward(rows, courses)
    yield _means(rows, [*COURSE, "exposure_h"], [odd[one] for one in courses.of_row], flags_of)
    of_batch = ["batch", "exposure", "property", "exposure_h"]
    yield _means(rows, of_batch, [()] * len(rows), flags_of)


def _means(
    rows: pd.DataFrame,
    by: list[str],
    odd: Sequence[Sequence[str]],
    flags_of: Mapping[tuple[str, str], Sequence[str]],
) -> pd.DataFrame:
    """Return the mean creep of each group; `odd` is what must be known of each row's panel."""
    groups, keys = groups_of(rows, by)
    creep_mm = rows["creep_mm"].to_numpy(dtype=float)
    found = means(creep_mm, numbered(rows["panel"])[0], groups, "reading")
    rated, exposures = keys.pop("property").tolist(), keys.pop("exposure").tolist()
    first = groups.first(np.arange(len(rows))).tolist()
    told = zip(first, keys["batch"].tolist(), exposures, found.flags, strict=True)
    flags = [
        "; ".join(filter(None, (*odd[row], *flags_of[batch, exposure], own)))
        for row, batch, exposure, own in told
    ]
    method = [f"{OF_WIDTHS}; {one}" for one in found.method]
    quantity = [one.replace(" ", "_") for one in rated]
    at = {"condition": exposures, "n": groups.sizes}
    return table_of(replace(found, method=method, flags=flags), quantity, "mm", keys, **at)


def is_creep(rows: pd.DataFrame) -> pd.Series[bool]:
    """Return which rows tell of a scribe."""
    return rows["property"].isin(SCRIBE)
