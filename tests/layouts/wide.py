"""One key laid out sideways: angles, spots or panels as columns side by side."""

from __future__ import annotations

from dataclasses import replace

from .cells import Cell
from .draft import Draft, Field, Group, Pivot

MOST_COLUMNS = 12
Rest = tuple[tuple[str, Cell], ...]


def fits(draft: Draft, pivot: Pivot) -> bool:
    """Say whether every row of the wide table would be full."""
    rows = draft.rows()
    if any(pivot.by not in row for row in rows):
        return False
    values = {row[pivot.by] for row in rows}
    rest = {_rest(row, pivot) for row in rows}
    return 1 < len(values) <= MOST_COLUMNS and len(values) * len(rest) == len(rows)


def pivoted(draft: Draft, pivot: Pivot) -> tuple[Draft, str]:
    """Return the draft with the key laid sideways, and what has to stand above the table."""
    order = list(dict.fromkeys(row[pivot.by] for row in draft.rows()))
    wide = replace(
        draft,
        fields=_fields(draft, pivot, order),
        groups=_merged(_groups(draft, pivot, order)),
        statistics_of=(),
        id_key="" if pivot.by == draft.id_key else draft.id_key,
    )
    if not pivot.over:
        return wide, ""
    field = draft.fields[pivot.values[0]]
    return wide, f"{field.title} ({field.unit})" if field.unit else field.title


def _rest(row: dict[str, Cell], pivot: Pivot) -> Rest:
    return tuple((k, v) for k, v in row.items() if k != pivot.by and k not in pivot.values)


def _fields(draft: Draft, pivot: Pivot, order: list[Cell]) -> dict[str, Field]:
    away = {pivot.by, *pivot.values}
    fields = {key: field for key, field in draft.fields.items() if key not in away}
    for n, cell in enumerate(order):
        for key in pivot.values:
            field = draft.fields[key]
            unit = "" if pivot.over else field.unit
            fields[f"{key}@{n}"] = replace(field, title=pivot.label(cell, field), unit=unit)
    return fields


def _groups(draft: Draft, pivot: Pivot, order: list[Cell]) -> list[Group]:
    """Return a group for each row of the wide table."""
    groups: dict[Rest, Group] = {}
    for group in draft.groups:
        for row in group.rows:
            whole = {**group.constants, **row}
            rest = _rest(whole, pivot)
            constants = {k: v for k, v in rest if k in group.constants}
            others = {k: v for k, v in rest if k not in constants}
            mine = groups.setdefault(rest, Group(constants, [others]))
            n = order.index(whole[pivot.by])
            mine.rows[0].update({f"{key}@{n}": whole[key] for key in pivot.values})
    return list(groups.values())


def _merged(groups: list[Group]) -> list[Group]:
    """Put the rows of groups with the same constants together."""
    found: list[Group] = []
    for group in groups:
        if found and found[-1].constants == group.constants:
            found[-1].rows += group.rows
        else:
            found.append(group)
    return found
