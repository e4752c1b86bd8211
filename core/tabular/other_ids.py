"""Where the lines above a table, or its name, tell one panel, and its rows show others."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from tiecoat.tabular.attempts import Attempt
from tiecoat.tabular.id_looks import one_id
from tiecoat.tabular.words import EXACT


def tell_other_panel(found: Attempt) -> None:
    """Note a panel that the lines above a table name, and none of its rows: one of the two is wrong."""
    if not found.lexicon.kind.replaces:
        panel = re.compile(found.file.export.habits.panel_ids, re.IGNORECASE)
        _tell_other(found, "panel", panel, _named(found, panel))


def _tell_other(
    found: Attempt, what: str, look: re.Pattern[str], above: Iterable[tuple[str, int]]
) -> None:
    """Note the first id above a table where those in the column of its rows are others, all of them."""
    given = found.given.get(what)
    if given is None or given.place is None:
        return
    cells = (str(cell) for cell in found.contents[given.place].filled)
    of_rows = {one.upper() for cell in cells if (one := one_id(look, cell)) is not None}
    named = list(above)
    if not of_rows or not named or of_rows & {identity.upper() for identity, _ in named}:
        return
    identity, row = named[0]
    found.tell_contradiction(
        f"{identity} above the table, {', '.join(sorted(of_rows)[:3])} in its rows",
        f"one {what}, or rows of the {what} that is named above",
        found.titles[given.place].raw,
        row=row,
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


def tell_other_batch(found: Attempt) -> None:
    """Note a batch that an entry above the table names, and none of its rows.

    Of paint: a batch beside panels may be that of a control, which a sentence speaks of.
    """
    if found.lexicon.kind.per == "batch" and not found.lexicon.kind.replaces:
        batch = re.compile(found.file.export.habits.batch_ids, re.IGNORECASE)
        _tell_other(found, "batch", batch, _in_entries(found, batch))


def _in_entries(found: Attempt, batch: re.Pattern[str]) -> Iterator[tuple[str, int]]:
    """Yield each batch that an entry above the table is about, with its row."""
    for entry in found.table.entries:
        identity = str(entry.value).strip()
        if entry.row >= found.table.seen.header_row or not batch.fullmatch(identity):
            continue
        if any(r.name == "batch" and f.level == EXACT for r, f in found.lexicon.fits(entry.title)):
            yield identity, entry.row


def tell_ids_of_rows(found: Attempt) -> None:
    """Note a column that nobody took and that has ids in some cells: its rows are of several samples.

    Under no word for them, among rows of means: the file's name would tell one id for all.
    """
    kind, habits = found.lexicon.kind, found.file.export.habits
    given = found.given.get(kind.per)
    if kind.replaces or (given is not None and given.place is not None):
        return
    if any(kind.per in dict(one.keys) for one in found.spreads):
        return
    look = re.compile(habits.panel_ids if kind.per == "panel" else habits.batch_ids, re.IGNORECASE)
    taken = {one.place for one in (*found.given.values(), *found.spreads)}
    told = str(given.told.value).strip().upper() if given and given.told else None
    for place, content in enumerate(found.contents):
        if place in taken or found.taught.of(found.titles[place]) is not None:
            continue
        texts = [cell.strip() for cell in content.filled if isinstance(cell, str)]
        ids = sorted({text.upper() for text in texts if look.fullmatch(text)})
        if not ids or ids == [told]:
            continue
        found.tell_contradiction(
            f"{', '.join(ids[:3])} in some rows, other texts in others",
            f"the {kind.per} of every row, or an answer that says what the column is (tiecoat learn)",
            found.titles[place].raw,
        )
