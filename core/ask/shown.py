"""How an archive and its columns are shown to somebody who works with them."""

from __future__ import annotations

from html import escape
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

    import pandas as pd
    import pyarrow as pa

    from tiecoat.ask.contents import ArchiveHolds

TITLES = ("kind", "batches", "panels", "measurements", "rows", "from", "to")


def columns_told(schema: pa.Schema) -> pd.DataFrame:
    """Return what stands in a schema of the columns: a row for each, by its name."""
    import pandas as pd

    told = [(field.name, field.metadata or {}) for field in schema]
    found = {
        "unit": [said.get(b"unit", b"").decode() for _, said in told],
        "meaning": [said.get(b"meaning", b"").decode() for _, said in told],
    }
    return pd.DataFrame(found, index=pd.Index([name for name, _ in told], name="column"))


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
