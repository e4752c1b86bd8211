"""Rows without "not in the register" where a register knows their panel or batch by now.

The tables keep what was true when it was filed; who asks is told what is so.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import TYPE_CHECKING

from tiecoat.archive.tables.describe import one_array
from tiecoat.remarks import UNREGISTERED, without_unregistered

if TYPE_CHECKING:
    import pyarrow as pa

    from tiecoat.archive.index.cache import Index

CODES = "|".join(remark.code for remark in UNREGISTERED)
TOLD_BY = ("remark", "batch", "panel")  # the columns that it takes


@dataclass(frozen=True)
class Registered:
    """The panels that registers have, and the batches that they have themselves."""

    panels: Collection[str]
    batches: Collection[str]

    @classmethod
    def of(cls, index: Index) -> Registered:
        """Return those that an index knows."""
        return cls(index.registered("panel"), index.registered("batch"))

    def has(self, batch: str, panel: str | None) -> bool:
        """Say whether a register knows the panel, or of wet paint the batch."""
        return panel in self.panels if panel is not None else batch in self.batches


def claims(rows: pa.Table) -> bool:
    """Say whether any row claims that something is not in the register."""
    import pyarrow.compute as pc

    if any(name not in rows.column_names for name in TOLD_BY):
        return False
    column = rows["remark"]
    if column.null_count == len(column):
        return False
    return bool(pc.any(pc.match_substring_regex(column, f"({CODES}):")).as_py())


def as_registered(rows: pa.Table, registered: Registered) -> pa.Table:
    """Return rows without what a register has answered since."""
    import pyarrow as pa
    import pyarrow.compute as pc

    remarks = one_array(rows, "remark")
    claim = pc.fill_null(pc.match_substring_regex(remarks, f"({CODES}):"), False)
    claiming = rows.select(TOLD_BY).filter(claim)
    texts, batches, panels = (claiming[name].to_pylist() for name in TOLD_BY)
    left = {text: without_unregistered(text) for text in {*texts}}
    now = [
        left[text] if registered.has(batch, panel) else text
        for text, batch, panel in zip(texts, batches, panels, strict=True)
    ]
    place = rows.schema.get_field_index("remark")
    found = pc.replace_with_mask(remarks, claim, pa.array(now, remarks.type))
    return rows.set_column(place, rows.schema.field(place), found)


def in_sql(names: Collection[tuple[str, str | None]], registered: Registered) -> str:
    """Return the column `remark` in SQL as it is now; "" where it is as it was filed.

    Parameters
    ----------
    names
        Batch and panel of whatever is filed as "not in the register".
    """
    open_ = {one for one in names if not registered.has(*one)}
    if len(open_) == len({*names}):
        return ""
    panels = sorted({panel for _, panel in open_ if panel is not None})
    batches = sorted({batch for batch, panel in open_ if panel is None})
    unless = [
        f"{column} IN ({', '.join(map(_text, ids))})"
        for column, ids in (("panel", panels), ("panel IS NULL AND batch", batches))
        if ids
    ]
    left = f"regexp_replace(remark, '(^|; )({CODES}): [^;]*', '', 'g')"
    answered = f"nullif(ltrim({left}, '; '), '')"
    if not unless:
        return answered
    return f"CASE WHEN {' OR '.join(unless)} THEN remark ELSE {answered} END"


def _text(text: str) -> str:
    return "'" + text.replace("'", "''") + "'"
