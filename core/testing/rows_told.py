"""Rows in a form in which they can be compared, whatever became of their file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any, NamedTuple

from tiecoat.contract.columns import told_of
from tiecoat.intake.workers.answers import Keys
from tiecoat.lab.ids import canonical
from tiecoat.wording import shortened

if TYPE_CHECKING:
    import pyarrow as pa

DIGITS = 10  # of numbers that are compared: the last ones differ between machines
IDS = ("panel", "batch")
BESIDE = ("batch", "panel", "measured_at", "instrument", "remark")  # compared like the kind's own


class RowTold(NamedTuple):
    """A row: its kind, where it stands, and its values as texts; what is empty is left out."""

    kind: str
    row: int | None
    sheet: str | None
    values: tuple[tuple[str, str], ...]

    def __str__(self) -> str:
        told = ", ".join(f"{name} {value}" for name, value in self.values)
        return f"{self.place}: {shortened(told)}"

    @property
    def place(self) -> str:
        """Where it stands in its file."""
        sheet = f"sheet {self.sheet!r}, " if self.sheet else ""
        return f"{sheet}row {self.row}" if self.row is not None else f"{sheet}no row"

    def stands_in(self, companion: str) -> bool:
        """Tell whether it stands in a companion, or with "" in the main file."""
        return (self.sheet or "") == companion

    def moved(self, rows: Mapping[int | None, int]) -> RowTold:
        """Return it as it would be if lines had changed places."""
        return self._replace(row=rows.get(self.row, self.row))

    def without(self, names: Collection[str]) -> RowTold:
        """Return it without some of its values."""
        return self._replace(values=tuple(one for one in self.values if one[0] not in names))


def as_text(value: object) -> str:
    """Return a value as it is compared.

    Examples
    --------
    >>> as_text(0.1 + 0.2), as_text(datetime(2026, 9, 14, 6, 12, tzinfo=UTC)), as_text("dry")
    ('0.3', '2026-09-14T06:12:00+00:00', 'dry')
    """
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, float):
        return f"{value:.{DIGITS}g}"
    return str(value)


def rows_of(kind: str, table: pa.Table, keys: Mapping[str, Keys] | None = None) -> list[RowTold]:
    """Return the rows of a table in its order.

    Parameters
    ----------
    keys
        By measurement, whose rows they are, where the table does not say so yet.
    """
    own = [field.name for field in table.schema if told_of(field).role == "value"]
    return [
        RowTold(kind, row["source_row"], row["source_sheet"], tuple(_values(row, own, keys)))
        for row in table.to_pylist()
    ]


def _values(
    row: Mapping[str, Any], own: Iterable[str], keys: Mapping[str, Keys] | None
) -> Iterator[tuple[str, str]]:
    for name in (*BESIDE, *own):
        value = row.get(name)
        if keys is not None and name in ("batch", "panel"):
            written = getattr(keys[row["measurement"]], name)
            value = written and (canonical(written) or written)
        if value is not None and value == value:  # noqa: PLR0124 - NaN is unequal to itself
            yield name, as_text(value)


def beyond(found: Iterable[RowTold], allowed: Iterable[RowTold]) -> list[RowTold]:
    """Return the rows that are not among the others as often.

    Examples
    --------
    >>> one = RowTold("gloss", 5, None, (("gloss_gu", "80"),))
    >>> beyond([one, one], [one])
    [RowTold(kind='gloss', row=5, sheet=None, values=(('gloss_gu', '80'),))]
    """
    return list((Counter(found) - Counter(allowed)).elements())


def same_rows(one: Iterable[RowTold], other: Iterable[RowTold]) -> bool:
    """Tell whether two lists have the same rows as often, in whatever order."""
    return Counter(one) == Counter(other)


def difference(before: Collection[RowTold], after: Collection[RowTold]) -> str:
    """Say what differs first between two lists of rows; "" where nothing does."""
    lacking, new = beyond(before, after), beyond(after, before)
    if not lacking and not new:
        return "" if list(before) == list(after) else "the same rows in another order"
    if lacking and new:
        like = min(new, key=lambda one: _unlike(one, lacking[0]))
        if told := _differing(lacking[0], like):
            return told
    said = [f"{lacking[0]} is gone"] if lacking else []
    said += [f"{new[0]} is new"] if new else []
    return "; ".join(said)


def factor_between(
    before: Collection[RowTold], after: Collection[RowTold], units: Mapping[str, str]
) -> str:
    """Say which column is throughout another multiple of what it was; "" for none.

    Parameters
    ----------
    units
        The unit of each column that holds numbers.
    """
    pairs = [*zip(sorted(before), sorted(after), strict=False)]
    if len(before) != len(after) or any(one[:3] != other[:3] for one, other in pairs):
        return ""
    for name, unit in units.items():
        numbers = [[dict(row.values).get(name, "") for row in pair] for pair in pairs]
        if len({one for one, _ in numbers}) > 1 and (factor := _one_factor(numbers)):
            of = f"in {unit}" if unit else "a plain number"
            return f". Each {name} is {factor} times what is expected; is it given {of}?"
    return ""


def _one_factor(numbers: Iterable[Sequence[str]]) -> str:
    """Return by what all first numbers must be multiplied to be the second; "" where nothing is."""
    try:
        found = {as_text(float(after) / float(before)) for before, after in numbers}
    except (ValueError, ZeroDivisionError):
        return ""
    return found.pop() if len(found) == 1 and found != {"1"} else ""


def _unlike(one: RowTold, other: RowTold) -> int:
    elsewhere = one[:3] != other[:3]
    return 10 * elsewhere + len(set(one.values) ^ set(other.values))


def _differing(one: RowTold, other: RowTold) -> str:
    """Say in which values two rows of one place differ; "" where they are not of one place."""
    if one.kind != other.kind:
        return ""
    if one.values == other.values:
        no_sheet = " without a sheet" if one.sheet and not other.sheet else ""
        return f"{one.place} is {other.place}{no_sheet} now"
    if one[:3] != other[:3]:
        return ""
    before, after = dict(one.values), dict(other.values)
    names = [name for name in before | after if before.get(name) != after.get(name)]
    told = [
        f"{name} {before.get(name, 'empty')}, then {after.get(name, 'empty')}" for name in names
    ]
    return f"{one.place}: {shortened('; '.join(told))}"
