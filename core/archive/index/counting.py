"""What the index in SQLite counts of each table, so that nobody has to count measurements."""

from __future__ import annotations

from typing import Literal

from tiecoat.archive.index.cache import CountedOf
from tiecoat.archive.index.in_database import InDatabase
from tiecoat.archive.tables.parquet import Place
from tiecoat.remarks import UNREGISTERED

COUNT_TABLES = """
CREATE TABLE counts (
    kind TEXT NOT NULL, batch TEXT NOT NULL, panel TEXT, remark TEXT,
    measurements INTEGER NOT NULL, n_rows INTEGER NOT NULL, first INTEGER, last INTEGER
);
CREATE INDEX counts_table ON counts (kind, batch);
CREATE INDEX counts_remark ON counts (remark, panel, batch) WHERE remark IS NOT NULL;
"""
_COUNT = """
INSERT INTO counts SELECT kind, batch, panel, remark, count(*), sum(n_rows), min(measured_at),
max(measured_at) FROM measurements WHERE kind = ? AND batch = ? AND withdrawn IS NULL
GROUP BY panel, remark
"""
_SAME = ("r.panel = m.panel", "r.panel IS NULL AND r.batch = m.batch")  # panel, batch registered
_KNOWN = " OR ".join(
    f"(m.remark = '{remark.said()}' AND EXISTS (SELECT 1 FROM measurements r"
    f" WHERE {same} AND r.registers = 1 AND r.withdrawn IS NULL))"
    for remark, same in zip(UNREGISTERED, _SAME, strict=True)
)


class Counting(InDatabase):
    """See `Index` for what its methods promise."""

    def counts(self) -> list[CountedOf]:
        """Return how many valid measurements there are of each kind, batch, panel and remark."""
        rows = self._rows("SELECT * FROM counts ORDER BY kind, batch")
        return [*map(CountedOf._make, rows)]

    def remarked(self) -> int:
        """Count the valid measurements with a remark, but those that a register knows by now."""
        sql = "SELECT total(measurements) FROM counts m WHERE m.remark IS NOT NULL"
        return int(self._rows(f"{sql} AND NOT ({_KNOWN})")[0][0])

    def unregistered(self, kind: str) -> list[tuple[str, str | None]]:
        """Return batch and panel of what of a kind was filed as "not in the register"."""
        claims = " OR ".join(f"remark LIKE '%{remark.code}:%'" for remark in UNREGISTERED)
        # +kind: what has a remark is little, and looked through by that, not all of a kind
        of_kind = f"remark IS NOT NULL AND +kind = ? AND ({claims})"
        valid = f"SELECT batch, panel FROM counts WHERE {of_kind}"
        gone = f"SELECT batch, panel FROM measurements WHERE {of_kind} AND withdrawn IS NOT NULL"
        rows = self._rows(f"{valid} UNION {gone}", kind, kind)
        return [(batch, panel) for batch, panel in rows]

    def registered(self, column: Literal["batch", "panel"]) -> set[str]:
        """Return the panels that a register has, or the batches that it has themselves."""
        sql = (
            f"SELECT DISTINCT {column} FROM measurements WHERE registers = 1 AND withdrawn IS NULL"
        )
        sql += " AND panel IS NULL" if column == "batch" else " AND panel IS NOT NULL"
        return {found for (found,) in self._rows(sql)}

    def _recount(self, place: Place) -> None:
        self._do("DELETE FROM counts WHERE kind = ? AND batch = ?", *place)
        self._do(_COUNT, *place)
