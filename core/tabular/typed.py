"""Notes that people type: an id and its readings in a line, or a determination a line below an id.

    BRO-33T-P6: 18,4  18,9  18,1            Pannello KH306d, carrelli diametro 20 mm
    bro-33t   23 °C   71 s                  1)  5,8 MPa   rottura: 100 % B
    BRO-37Z-P5: Ri 1, pęcherze 2(S2)        2)  6,1 MPa   rottura: 85 % B, 15 % A/B

Such rows get titles by what stands in them: the word beside a value, what its unit is of, or merely
`value`, which the free lines must say more of. A mean behind readings is none of them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from tiecoat.dialect.delimited import Grid
from tiecoat.tabular.cell_looks import cleaned, is_ruler
from tiecoat.tabular.note_amounts import (
    NUMBER,
    ends_in_mean,
    like_values,
)
from tiecoat.tabular.note_parts import Identity
from tiecoat.tabular.note_rows import Note, NoteGroup
from tiecoat.tabular.seen import Allows, Known, Seen, SeenColumn, Sight

TYPED = "\0\0"  # the delimiter of a note, which has none
_LEAST_ROWS = 2
_DELIMITED = re.compile(r"\t|(?:;.*){2}|(?:\|.*){2}")  # made by a program
_READINGS_BEHIND = re.compile(rf"[^;|\t:]*:\s*{NUMBER}(?:\s*[;|]\s*{NUMBER})+[^;|\t]{{0,12}}")
_WIDE = re.compile(r"\s{2,}")


def seen_as_note(
    lines: Sequence[str], known: Known, identity: Identity, allows: Allows
) -> Sight | None:
    """Return what a person sees in a typed note; None for a text that is none.

    Parameters
    ----------
    known
        Tells whether a text is a word of the trade.
    identity
        Tells whether a text is the id of a panel or a batch.
    allows
        Tells whether a text is a closed word of what a title names.
    """
    note = Note(known, identity, allows)
    for number, line in enumerate(lines, start=1):
        cells = [cell for cell in cleaned([line.strip()]) if cell != ""]
        if cells and not is_ruler(cells):
            note.take(str(cells[0]), number)
        else:
            note.gap()
    rows = [row.line for group in note.groups for row in group.rows]
    if len(rows) < _LEAST_ROWS or any(_is_delimited(lines[n - 1]) for n in rows):
        return None
    if any(_is_header(_above(lines, n), lines[n - 1], identity) for n in rows):
        return None
    grid = Grid(
        [[line.strip()] for line in lines],
        range(1, len(lines) + 1),
        delimiter=TYPED,
        whole_lines=lines,
    )
    tables = [_table(grid, group) for group in note.groups if group.rows]
    mere = [
        line for group in note.groups if not group.rows for line in group.own
    ]  # that head nothing
    below = sorted([*mere, *note.below], key=lambda line: line.row)
    heads = {
        (row.cells["id"], group.own[0].row)
        for group in note.groups
        if group.own
        for row in group.rows
    }
    lost = [row for row, identity in note.valued.items() if (identity, row) not in heads]
    means = list(note.grids) if all(map(ends_in_mean, note.grids.values())) else []
    values = [
        str(row.cells["value"])
        for group in note.groups
        for row in group.rows
        if "value" in row.cells
    ]
    orphans = sorted({*note.orphans, *lost, *means, *like_values(note.texts, rows, values)})
    for number in note.summaries:
        above = [table for table in tables if table.rows[-1] < number]
        if above:
            above[-1].summaries.append(number)
    return Sight(grid, tables, below, orphans)


def _is_delimited(line: str) -> bool:
    """Tell whether a line is one that programs write: parted by signs, but for readings behind a colon."""
    return _DELIMITED.search(line) is not None and _READINGS_BEHIND.fullmatch(line) is None


def _above(lines: Sequence[str], number: int) -> str:
    """Return the nearest line above one that is neither empty nor a ruler."""
    above = (line.strip() for line in reversed(lines[: number - 1]))
    return next((line for line in above if line and not is_ruler([line])), "")


def _is_header(line: str, row: str, identity: Identity) -> bool:
    """Tell whether a line parts into titles for the cells of the row below it."""
    titles, cells = (_WIDE.split(text.strip()) for text in (line, row))
    if len(titles) < 2 or abs(len(titles) - len(cells)) > 1:
        return False
    return not any(char.isdigit() for char in "".join(titles)) and not any(map(identity, titles))


def _table(grid: Grid, group: NoteGroup) -> Seen:
    titles = list(dict.fromkeys(title for row in group.rows for title in row.cells))
    columns = [
        SeenColumn(title, None, [row.cells.get(title, "") for row in group.rows])
        for title in titles
    ]
    rows = [row.line for row in group.rows]
    return Seen(grid, columns, rows[0], group.above, rows)
