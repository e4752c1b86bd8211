"""What becomes of damaged exports: held, or filed as far as they are right, and told plainly."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from tiecoat.dialect.units import Conversion, scale, understand
from tiecoat.reasons import Fault, Reason
from tiecoat.testing.damage import NUMBER, ExportText, ExportVariant, May, other_number
from tiecoat.testing.examples import ExampleExport
from tiecoat.testing.rows_told import RowTold, beyond, difference, same_rows
from tiecoat.testing.workbench import WasRead, Workbench

NEAR = 1e-6  # how far a value may be from what follows from another unit
OF_PYTHON = re.compile(  # what no technician understands
    r"Traceback|\b\w+(?:Error|Exception)\b|<(?:class|function)|object at 0x|NoneType|\bNone\b"
    r"|\bnan\b|list index|dtype"
)
SAY_ENOUGH = (Reason.EMPTY_FILE, Reason.EMPTY_TABLE, Reason.NO_READER, Reason.NOT_TEXT)


def damage_is_never_filed_wrong(bench: Workbench) -> Iterator[str]:
    """A damaged example is held, or what is filed of it is what the undamaged one gives."""
    for example, variant, was in bench.damaged:
        if was.hold is None and (wrong := _wrong(bench, example, variant, was)):
            if _held_later(bench, example, variant):
                continue
            by = f" by {was.reader}" if was.reader not in bench.plugins.own else ""
            yield (
                f"{example.name} {variant.what} is filed{by}; it may be held, or"
                f" {variant.may.value}: {wrong}"
            )


def _held_later(bench: Workbench, example: ExampleExport, variant: ExportVariant) -> bool:
    """Tell whether a variant would be held behind the workers, as for an id that cannot be.

    A conflict does not count: it is one only because the example is filed.
    """
    held = bench.would_hold(bench.damaged_file(example, variant))
    return held is not None and held.reason is not Reason.CONFLICT


def _wrong(bench: Workbench, example: ExampleExport, variant: ExportVariant, was: WasRead) -> str:
    """Say what is wrong with the rows of a variant; "" where nothing is."""
    before, after = _as_moved(bench, bench.rows(example), was.rows, variant)
    match variant.may:
        case May.BE_PART:
            new = beyond(after, before)
            return difference(before, after) if new else ""
        case May.BE_EQUAL:
            return "" if same_rows(before, after) else difference(before, after)
        case May.BE_EMPTY:
            return _replaced(before, after, variant)
        case May.NOTHING:
            if same_rows(before, after):
                used = _is_used(bench, example, variant)
                return "the unit is not looked at" if used else ""
            return difference(before, after)
        case May.FOLLOW:
            return _not_followed(bench, example, variant, after)


def _as_moved(
    bench: Workbench, before: Sequence[RowTold], after: Sequence[RowTold], variant: ExportVariant
) -> tuple[Sequence[RowTold], Sequence[RowTold]]:
    """Return rows as they can be compared with those of a variant whose lines have moved."""
    if not variant.moved:
        return before, after
    moved: dict[int | None, int] = dict(variant.moved)
    counted = {kind.counted for kind in bench.plugins.kinds.values() if kind.counted}
    before = [row.moved(moved) if row.stands_in(variant.of) else row for row in before]
    return [row.without(counted) for row in before], [row.without(counted) for row in after]


def _replaced(before: Sequence[RowTold], after: Sequence[RowTold], variant: ExportVariant) -> str:
    """Say what has come in place of a value that cannot be read."""
    lost, new = beyond(before, after), beyond(after, before)
    for row in lost:
        like = [one for one in new if one[:3] == row[:3]]
        if not like:
            return f"{row.place} is left out without a word"
        if not set(like[0].values) <= set(row.values):
            return difference([row], like)
    return f"{new[0]} is new" if len(new) > len(lost) else ""


def _not_followed(
    bench: Workbench, example: ExampleExport, variant: ExportVariant, after: Sequence[RowTold]
) -> str:
    before = bench.rows(example)
    lost, new = beyond(before, after), beyond(after, before)
    if variant.units is None:  # another number, in one line
        other = [*lost, *new]
        if other and not any(
            row.stands_in(variant.of) and row.row in variant.lines for row in other
        ):
            found = ", ".join(sorted({row.place for row in other}))
            return f"that line was changed, and what is said to come from {found} is otherwise"
        return ""
    if not lost and not new:
        return "the unit is not looked at" if _is_used(bench, example, variant) else ""
    return "" if _is_scaled(lost, new, *variant.units) else difference(before, after)


def _is_scaled(lost: Sequence[RowTold], new: Sequence[RowTold], then: str, now: str) -> bool:
    """Tell whether a column has changed as much as its unit."""
    way = scale(now, understand(then) or "")
    if way is None or len(lost) != len(new):
        return False
    places = [sorted(rows, key=lambda one: (str(one.sheet), one.row or 0)) for rows in (lost, new)]
    changed: dict[str, list[bool]] = {}
    for one, other in zip(*places, strict=True):
        after = dict(other.values)
        for name, value in one.values:
            if after.get(name) != value:
                changed.setdefault(name, []).append(_is_near(value, after.get(name), way))
    return any(all(followed) for followed in changed.values())


def _is_near(before: str, after: str | None, way: Conversion) -> bool:
    try:
        then, found = float(before), float(after or "")
    except ValueError:
        return False
    wanted = [*way.apply([then])]
    if not way.offset:  # the unit may stand below a stroke, as in 1/s
        wanted.append(then / float(way.factor))
    return any(abs(found - one) <= NEAR * max(abs(one), abs(found)) for one in wanted)


def _is_used(bench: Workbench, example: ExampleExport, variant: ExportVariant) -> bool:
    """Tell whether the numbers beside or below a unit are read: with others, rows are otherwise."""
    text = ExportText.of(example.contents[variant.of])
    if text is None or variant.place is None:
        return False
    line, field = variant.place
    first = min(bench.lines_with_rows(example, variant.of), default=0)
    tried = [(first, field)] if first > line else []
    tried += [(line, n) for n in range(len((text.parted(line) or ("", [], ""))[1]))]
    for number, place in tried:
        parts = text.parted(number)
        if parts is None or not place < len(parts[1]):
            continue
        cell = parts[1][place].strip()
        if not NUMBER.fullmatch(cell):
            continue
        content = text.with_field(number, place, other_number(cell))
        if content is None:
            continue
        was = bench.read(bench.variant(example, content, of=variant.of))
        if was.hold is not None or difference(bench.rows(example), was.rows):
            return True
    return False


def messages_are_plain(bench: Workbench) -> Iterator[str]:
    """What is told of a held file is for a technician, and leads to the place."""
    held = [
        (f"broken/{one.name}", one, bench.was[one.sha256]) for one in bench.examples if one.broken
    ]
    held += [(f"{one.name} {variant.what}", one, was) for one, variant, was in bench.damaged]
    for what, example, was in held:
        if was.hold is None:
            continue
        if was.blames_plugin:
            yield f"{what}: a technician would see that {was.told}"
            continue
        faults = [Fault.from_record(record) for record in was.hold.faults]
        for fault in faults:
            place = fault.file or fault.sheet or ""  # a sheet may be the name of a companion
            text = ExportText.of(example.contents.get(place, b""))
            if found := OF_PYTHON.search(fault.sentence):
                yield f"{what}: a technician would not understand {found[0]!r} in: {fault.sentence}"
            elif _is_beyond(fault.row, text):
                of = len(text.lines) if text else 0
                yield f"{what}: row {fault.row} is told, of {of}: {fault.sentence}"
        if faults and not any(map(_says_where, faults)):
            yield f"{what}: nothing is told but {was.told!r}; say the row, and what was found"


def _is_beyond(row: int | None, text: ExportText | None) -> bool:
    if row is None or text is None or not text.lines:
        return False
    return not 0 < row <= len(text.lines) + 1


def _says_where(fault: Fault) -> bool:
    return fault.reason in SAY_ENOUGH or any(
        one is not None for one in (fault.row, fault.column, fault.found, fault.expected)
    )


def told_to_technicians(bench: Workbench) -> Iterator[str]:
    """Yield what is told of each held variant, to be looked through by whoever wrote the reader."""
    for example, variant, was in bench.damaged:
        if was.hold is not None:
            yield f"{example.name} {variant.what}:\n    {was.told}"
