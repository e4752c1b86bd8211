"""Where the lines above a table name one panel, and its rows are of others."""

from __future__ import annotations

import re
from collections.abc import Iterator

from tiecoat.reasons import Reason
from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.id_looks import one_id


def tell_other_panel(found: Attempt) -> None:
    """Note a panel that the lines above a table name, and none of its rows: one of the two is wrong."""
    given = found.given.get("panel")
    if given is None or given.place is None or found.lexicon.kind.replaces:
        return
    panel = re.compile(found.file.export.habits.panel_ids, re.IGNORECASE)
    cells = (str(cell) for cell in found.contents[given.place].filled)
    of_rows = {one.upper() for cell in cells if (one := one_id(panel, cell)) is not None}
    named = list(_named(found, panel))
    if not of_rows or not named or of_rows & {identity for identity, _ in named}:
        return
    identity, row = named[0]
    found.file.export.fault(
        Reason.INCONSISTENT,
        row,
        found.titles[given.place].raw,
        f"{identity} above the table, {', '.join(sorted(of_rows)[:3])} in its rows",
        "one panel, or rows of the panel that is named above",
        sheet=found.table.seen.sheet,
    )


def _named(found: Attempt, panel: re.Pattern[str]) -> Iterator[tuple[str, int]]:
    """Yield each panel that the lines above the table name, with its row."""
    first = found.table.seen.header_row
    for entry in found.table.entries:
        if entry.row < first and (one := one_id(panel, str(entry.value))) is not None:
            yield one, entry.row
    for line in found.table.headings:
        if line.row < first and (one := one_id(panel, line.text)) is not None:
            yield one, line.row
