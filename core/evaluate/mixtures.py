"""Panels of one batch that are not alike: told where they are pooled, and taken apart."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import compress

import pandas as pd

TOLD_APART = {"coat_system": "coat system", "substrate": "substrate"}
OF_ALIKE = "|".join(f"{word}: " for word in TOLD_APART.values())  # in a condition: so they share it


def registered(rows: pd.DataFrame, panels: pd.DataFrame) -> pd.DataFrame:
    """Return each panel that was measured with what the register tells apart, NaN where unknown.

    Parameters
    ----------
    rows
        What was measured: batch, panel.
    panels
        The register of panels: panel, coat_system, substrate.
    """
    measured = rows[["batch", "panel"]].dropna().drop_duplicates()
    register = panels.drop_duplicates("panel").set_index("panel")
    told = {column: measured["panel"].map(register[column]) for column in TOLD_APART}
    return measured.assign(**told)


def mixtures(measured: pd.DataFrame) -> dict[str, str]:
    """Return for each batch whose panels differ a flag for what is pooled over them.

    Parameters
    ----------
    measured
        What `registered` returns.

    Examples
    --------
    >>> rows = pd.DataFrame({"batch": ["RB-010"] * 2, "panel": ["RB-010-1", "RB-010-2"]})
    >>> panels = rows.assign(coat_system=["primer", "primer, topcoat"], substrate="steel")
    >>> mixtures(registered(rows, panels))
    {'RB-010': 'panels of several coat systems together: primer and primer, topcoat'}
    """
    found: dict[str, list[str]] = {}
    for column, word in TOLD_APART.items():
        known = measured.dropna(subset=column)
        for batch, of_batch in _differing(known, [column]).groupby("batch"):
            distinct = sorted(of_batch[column].unique())
            told = f"panels of several {word}s together: {' and '.join(distinct)}"
            found.setdefault(str(batch), []).append(told)
    return {batch: "; ".join(told) for batch, told in found.items()}


def alike(measured: pd.DataFrame) -> dict[str, list[str]]:
    """Return the panels that are alike in each batch whose panels are not, by what they share.

    Parameters
    ----------
    measured
        What `registered` returns.

    Returns
    -------
    dict
        What tells them from the others of their batch, and the panels of all batches of which that
        is told. A panel that the register does not know is with none.

    Examples
    --------
    >>> rows = pd.DataFrame({"batch": ["RB-010"] * 2, "panel": ["RB-010-1", "RB-010-2"]})
    >>> panels = rows.assign(coat_system=["primer", "primer, topcoat"], substrate="steel")
    >>> alike(registered(rows, panels))
    {'coat system: primer': ['RB-010-1'], 'coat system: primer, topcoat': ['RB-010-2']}
    """
    columns, words = list(TOLD_APART), list(TOLD_APART.values())
    known = measured.dropna().sort_values(["batch", *columns], kind="stable")
    differ = known.groupby("batch")[columns].transform("nunique").gt(1).to_numpy().tolist()
    found: dict[str, list[str]] = {}
    each = zip(known["panel"].tolist(), known[columns].to_numpy().tolist(), differ, strict=True)
    for panel, values, told_apart in each:
        pairs = compress(zip(words, values, strict=True), told_apart)
        if shared := "; ".join(f"{word}: {value}" for word, value in pairs):
            found.setdefault(shared, []).append(panel)
    return found


def _differing(panels: pd.DataFrame, columns: list[str]) -> pd.DataFrame:
    """Return the panels of the batches whose panels differ in one of some columns."""
    several = panels.groupby("batch")[columns].nunique().gt(1).any(axis=1)
    return panels[panels["batch"].isin(several.index[several])]


def of_panels(
    frames: Mapping[str, pd.DataFrame], named: list[str], measured: str
) -> dict[str, pd.DataFrame]:
    """Return frames with the rows of some panels, and with what belongs to no panel of theirs.

    Parameters
    ----------
    frames
        Rows by kind, each with batch and panel.
    named
        The panels.
    measured
        The kind of which only what belongs to these panels is wanted.
    """
    return {
        kind: rows[rows["panel"].isin(named) | (rows["panel"].isna() & (kind != measured))]
        for kind, rows in frames.items()
    }
