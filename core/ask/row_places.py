"""Where in its original each measurement stands: sheet, first row, last row."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import pandas as pd

if TYPE_CHECKING:
    from tiecoat.ask.query import Archive


def with_places(
    archive: Archive, measurements: pd.DataFrame, rows: Mapping[str, pd.DataFrame]
) -> pd.DataFrame:
    """Return measurements with the sheet and the last row of each in its original.

    Parameters
    ----------
    measurements
        As `archive.measurements` lists them; `source_row` is the first row.
    rows
        Filed rows by kind, of those that are at hand; the others are read.
    """
    parts = []
    for kind, listed in measurements.groupby("kind", sort=False):
        filed = rows.get(str(kind))
        if filed is None or not set(listed["measurement"]) <= set(filed["measurement"]):
            filed = archive.read(str(kind), withdrawn=True)
        mine = filed[filed["measurement"].isin(listed["measurement"])]
        of = mine.groupby("measurement")
        parts.append(
            pd.DataFrame(
                {"source_sheet": of["source_sheet"].first(), "last_row": of["source_row"].max()}
            )
        )
    if not parts:
        return measurements.assign(source_sheet=None, last_row=None)
    places = pd.concat(parts)
    return measurements.join(places, on="measurement")
