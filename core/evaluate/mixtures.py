"""What is averaged over panels that are not alike, told in words."""

from __future__ import annotations

import pandas as pd

TOLD_APART = {"coat_system": "coat systems", "substrate": "substrates"}


def mixtures(rows: pd.DataFrame, panels: pd.DataFrame) -> dict[str, str]:
    """Return for each batch whose panels differ a flag for what is pooled over them.

    Parameters
    ----------
    rows
        What was measured: batch, panel.
    panels
        The register of panels: panel, coat_system, substrate.

    Examples
    --------
    >>> rows = pd.DataFrame({"batch": ["RB-010"] * 2, "panel": ["RB-010-1", "RB-010-2"]})
    >>> panels = rows.assign(coat_system=["primer", "primer, topcoat"], substrate="steel")
    >>> mixtures(rows, panels)
    {'RB-010': 'panels of several coat systems together: primer and primer, topcoat'}
    """
    measured = rows[["batch", "panel"]].dropna().drop_duplicates()
    registered = panels.drop_duplicates("panel").set_index("panel")
    found: dict[str, list[str]] = {}
    for column, words in TOLD_APART.items():
        values = measured["panel"].map(registered[column]).dropna()
        for batch, of_batch in values.groupby(measured["batch"]):
            if len(distinct := sorted(of_batch.unique())) > 1:
                told = f"panels of several {words} together: {' and '.join(distinct)}"
                found.setdefault(str(batch), []).append(told)
    return {batch: "; ".join(told) for batch, told in found.items()}
