"""Tables one below another that show different things of the same: strengths, and below them failures.

They have the same titles, ids of panels, and the same first column; or the same panels in it, and
the determinations of the first side by side. What each shows, the line above it says. They are one
table with titles in two rows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tiecoat.tabular.cell_looks import cleaned
from tiecoat.tabular.note_amounts import number_of_determination
from tiecoat.tabular.seen import Known, Line, Seen, SeenColumn, Sight

_LEAST = 2  # columns of panels


def without_statistics(sight: Sight, summary: Known) -> Sight:
    """Return what is seen with statistics under titles of their own as rows that sum up those above.

    Such as `n = 5 | F max | Sigma max` over rows for the mean and the deviation.
    """
    if len(sight.tables) < 2 or sight.records:
        return sight
    kept: list[Seen] = []
    for table in sight.tables:
        if kept and _sums_up(table, kept[-1], summary):
            kept[-1].summaries += table.rows
        else:
            kept.append(table)
    return sight if len(kept) == len(sight.tables) else replace(sight, tables=kept)


def _sums_up(table: Seen, above: Seen, summary: Known) -> bool:
    """Tell whether each row of a table begins with a word for a summary, under titles of that above."""
    first, *others = table.columns
    names = [str(cell) for cell in first.cells]
    titles = {column.title for column in above.columns}
    return (
        bool(names and others)
        and all(map(summary, names))
        and {each.title for each in others} <= titles
    )


def with_blocks_joined(sight: Sight, known: Known, identity: Known) -> Sight:
    """Return what is seen with such tables as one; the sight itself where there are none."""
    blocks = sight.tables
    if len(blocks) < 2 or sight.records:
        return sight
    names = [_name(block, known) for block in blocks]
    across = _belong(blocks, identity)
    if not (across and None not in names) and not _are_below(blocks, names, identity):
        return sight
    if len(set(names)) < len(names):
        return sight
    first = blocks[0]
    above: list[Line] = [line for block in blocks[1:] for line in block.above[:-1]]
    above = [*(first.above[:-1] if names[0] else first.above), *above]
    columns = [first.columns[0]]
    for name, block in zip(names, blocks, strict=True):
        columns += [_named(name, each) for each in block.columns[1:]]
    joined = Seen(first.grid, columns, first.header_row, above, first.rows)
    joined.summaries = [row for block in blocks for row in block.summaries]
    return replace(sight, tables=[joined])


def _named(name: str | None, column: SeenColumn) -> SeenColumn:
    """Return a column under what its block shows: its title, or the number that it counts."""
    if name is None:
        return column
    number = number_of_determination(column.title)
    told = column.title if number is None else f"{number:g}"
    return SeenColumn(f"{name} {told}", column.unit, column.cells, (name, told))


def _belong(blocks: Sequence[Seen], identity: Known) -> bool:
    """Tell whether tables have the same titles, ids but for the first, and the same first column."""
    titles = [[column.title for column in block.columns] for block in blocks]
    return (
        all(each == titles[0] for each in titles)
        and len(titles[0]) > _LEAST
        and all(map(identity, titles[0][1:]))
        and not identity(titles[0][0])
        and _share_rows(blocks)
    )


def _are_below(blocks: Sequence[Seen], names: Sequence[str | None], identity: Known) -> bool:
    """Tell whether later tables show more of the panels and determinations of the first."""
    first, *later = [[column.title for column in block.columns] for block in blocks]
    return (
        None not in names[1:]
        and _share_rows(blocks)
        and all(identity(str(cell)) for cell in blocks[0].columns[0].cells)
        and all(len(each) > _LEAST and {*each} <= {*first} for each in later)
        and all(number_of_determination(title) is not None for each in later for title in each[1:])
    )


def _share_rows(blocks: Sequence[Seen]) -> bool:
    """Tell whether tables have the same first column, and no row is cut."""
    firsts = [block.columns[0].cells if block.columns else [] for block in blocks]
    return (
        bool(firsts[0])
        and all(each == firsts[0] for each in firsts)
        and not any(block.short for block in blocks)
    )


def _name(block: Seen, known: Known) -> str | None:
    """Return the word of the trade that the line above a table is."""
    cells = cleaned(block.above[-1].cells) if block.above else []
    filled = [cell for cell in cells if cell != ""]
    return str(filled[0]) if len(filled) == 1 and known(str(filled[0])) else None
