"""Rows with the remarks that hold now, as results and reports need them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tiecoat.remarks import UNREGISTERED

if TYPE_CHECKING:
    import pandas as pd

    from tiecoat.archive.query import Archive


def as_of_now(archive: Archive, kind: str, rows: pd.DataFrame) -> pd.DataFrame:
    """Return rows of a kind without "not in the register" where the register knows them by now.

    Parameters
    ----------
    rows
        As `archive.read` gives them: there the column `remark` is as it was filed. Frames without
        it, as scripts make them, come back as they are.
    """
    if "remark" not in rows:
        return rows
    codes = "|".join(f"{remark.code}:" for remark in UNREGISTERED)
    claim = rows["remark"].str.contains(codes, na=False).to_numpy(dtype=bool)
    if not claim.any():
        return rows
    listed = archive.measurements(kind=kind, withdrawn=True)
    holds = listed.set_index("measurement")["remark"]
    now = rows["measurement"].map(holds).astype(rows["remark"].dtype)
    return rows.assign(remark=rows["remark"].where(~claim, now))
