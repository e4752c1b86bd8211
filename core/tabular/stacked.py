"""Tables one below another that show different things of the same: strengths, and below them failures.

They have the same titles, ids of panels, and the same first column; what each shows, the line above
it says. They are one table with titles in two rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tiecoat.tabular.cell_looks import cleaned
from tiecoat.tabular.seen import Known, Line, Seen, SeenColumn, Sight

_LEAST = 2  # columns of panels


def with_blocks_joined(sight: Sight, known: Known, identity: Known) -> Sight:
    """Return what is seen with such tables as one; the sight itself where there are none."""
    blocks = sight.tables
    if len(blocks) < 2 or sight.records or not _belong(blocks, identity):
        return sight
    names = [_name(block, known) for block in blocks]
    if None in names or len(set(names)) < len(names):
        return sight
    first = blocks[0]
    above: list[Line] = [line for block in blocks for line in block.above[:-1]]
    columns = [first.columns[0]]
    for name, block in zip(names, blocks, strict=True):
        columns += [
            SeenColumn(f"{name} {each.title}", each.unit, each.cells, (str(name), each.title))
            for each in block.columns[1:]
        ]
    joined = Seen(first.grid, columns, first.header_row, above, first.rows)
    joined.summaries = [row for block in blocks for row in block.summaries]
    return replace(sight, tables=[joined])


def _belong(blocks: Sequence[Seen], identity: Known) -> bool:
    """Tell whether tables have the same titles, ids but for the first, and the same first column."""
    titles = [[column.title for column in block.columns] for block in blocks]
    firsts = [block.columns[0].cells if block.columns else [] for block in blocks]
    return (
        all(each == titles[0] for each in titles)
        and len(titles[0]) > _LEAST
        and all(map(identity, titles[0][1:]))
        and not identity(titles[0][0])
        and bool(firsts[0])
        and all(each == firsts[0] for each in firsts)
        and not any(block.short for block in blocks)
    )


def _name(block: Seen, known: Known) -> str | None:
    """Return the word of the trade that the line above a table is."""
    cells = cleaned(block.above[-1].cells) if block.above else []
    filled = [cell for cell in cells if cell != ""]
    return str(filled[0]) if len(filled) == 1 and known(str(filled[0])) else None
