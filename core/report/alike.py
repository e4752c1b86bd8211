"""Rows of panels by what tells these apart, so that a figure draws only what may be compared."""

from __future__ import annotations

import pandas as pd

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.circumstances import PARTS, Circumstances, differing, placed


def by_line(
    data: StudyData, kind: str, rows: pd.DataFrame, *, with_coats: bool = False
) -> list[tuple[str, pd.DataFrame]]:
    """Return the rows of each coat system, substrate and dolly, with the words for it.

    Where all panels are alike in these there is one part, and its words are "".

    Parameters
    ----------
    rows
        Filed rows or results of the kind, of single panels.
    with_coats
        Whether the coat system is told where all have the same, too.
    """
    found = placed(rows, data.register, data.rows.get(kind), of_panels=True)
    parts = {
        Circumstances(**dict(zip(PARTS, map(str, key), strict=True))): rows.loc[part.index]
        for key, part in found.groupby(list(PARTS), sort=True)
    }
    apart = differing(parts)
    if with_coats and "coat_system" not in apart and all(one.coat_system for one in parts):
        apart = ("coat_system", *apart)
    return [(line.words(apart), part) for line, part in parts.items()]
