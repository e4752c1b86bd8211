"""Times of panels that are known as intervals, such as that to a limit: from result rows to
samples.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pandas as pd

from tiecoat.compare.cautions import flagged, left_out, reasons
from tiecoat.compare.samples import PANELS, NotTested, Sample, Samples
from tiecoat.evaluate.estimate import NotDeterminable


def placed_times(rows: pd.DataFrame) -> pd.DataFrame:
    """Return rows of times with a value wherever something is known of the time.

    That is the time given; else the middle of its interval; else the last time by which it had not
    happened, or the first by which it had.
    """
    low, high = rows["low"], rows["high"]
    middle = (low + high) / 2
    return rows.assign(value=rows["value"].fillna(middle).fillna(low).fillna(high))


def time_samples(rows: pd.DataFrame, batches: Sequence[str]) -> Samples:
    """Return the times of each batch, as intervals, from rows that `placed_times` returned."""
    found: Samples = {}
    for batch in batches:
        try:
            found[batch] = _sample(rows[rows["batch"] == batch], batch)
        except NotDeterminable as why:
            found[batch] = why
    return found


def _sample(rows: pd.DataFrame, batch: str) -> Sample:
    if not len(rows):
        raise NotTested(f"{batch} has no time")
    known = rows[rows["value"].notna()]
    if not len(known):
        raise NotDeterminable(f"{batch} has no time: {reasons(rows)}")
    if (known["panel"] == "").any() or known["panel"].duplicated().any():
        raise NotDeterminable(f"{batch} has no single time of each panel")
    known = known.sort_values("panel")
    values = known["value"].to_numpy(dtype=np.float64)
    low = known["low"].fillna(0.0).to_numpy(dtype=np.float64)
    high = known["high"].fillna(math.inf).to_numpy(dtype=np.float64)
    never = ~np.isfinite(high)
    cautions = [*left_out(rows, rows["value"].isna()), *flagged(known)]
    if never.any():
        cautions.append(
            f"{int(never.sum())} of {len(values)} panels of {batch} have not reached it yet: their"
            " times are lower bounds"
        )
    return Sample(
        batch,
        tuple(map(str, known["panel"])),
        values,
        PANELS,
        str(known["unit"].iloc[0]),
        ends=(low, high),
        is_floor=2 * int(never.sum()) >= len(values),
        cautions=tuple(cautions),
    )
