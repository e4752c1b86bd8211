"""How an archive and its columns are shown to somebody who works with them."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

from tiecoat.contract.columns import told_of
from tiecoat.wording import unit_told

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    import pyarrow as pa

    from tiecoat.ask.contents import ArchiveHolds

TITLES = ("kind", "batches", "panels", "measurements", "rows", "from", "to")


def columns_told(schema: pa.Schema) -> pd.DataFrame:
    """Return what stands in a schema of the columns: a row for each, by its name."""
    import pandas as pd

    told = [told_of(field) for field in schema]
    found = {
        "unit": [unit_told(one.unit) for one in told],
        "meaning": [one.meaning for one in told],
    }
    return pd.DataFrame(found, index=pd.Index(schema.names, name="column"))


def as_html(root: Path, holds: ArchiveHolds) -> str:
    """Return an archive as a notebook shows it: what it holds of each kind."""
    rows = [
        (
            one.kind,
            *(f"{count:,}" for count in (one.batches, one.panels, one.measurements, one.rows)),
            *(f"{at:%Y-%m-%d}" if at else "" for at in (one.first, one.last)),
        )
        for one in holds.kinds
    ]
    lines = [f"<tr><td>{'</td><td>'.join(map(escape, row))}</td></tr>" for row in rows]
    head = f"<tr><th>{'</th><th>'.join(TITLES)}</th></tr>"
    title = f"<caption>{escape(str(root))}</caption>"
    return f"<table>{title}<thead>{head}</thead><tbody>{''.join(lines)}</tbody></table>"
