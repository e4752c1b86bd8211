"""Are the kinds sound: units, meanings and bounds of their columns, identity and order?"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from tiecoat.contract.columns import ColumnInfo, columns_of
from tiecoat.dialect.units import is_same, scale
from tiecoat.intake.held.files import Held
from tiecoat.plugin import Kind
from tiecoat.reasons import Reason
from tiecoat.testing.damage import ExportVariant, May
from tiecoat.testing.examples import ExampleExport
from tiecoat.testing.rows_told import RowTold, as_text, beyond
from tiecoat.testing.workbench import Workbench

FEW = 2  # rows, of which nobody can say that they are numbered
LOW = {"greater_than", "greater_than_or_equal_to"}
HIGH = {"less_than", "less_than_or_equal_to"}
IN_NAMES = {  # how the end of a name says the unit
    "s": "s",
    "min": "min",
    "h": "h",
    "ms": "ms",
    "d": "day",
    "nm": "nm",
    "um": "um",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "cm2": "cm**2",
    "mm2": "mm**2",
    "g": "g",
    "kg": "kg",
    "mg": "mg",
    "n": "N",
    "kn": "kN",
    "pa": "Pa",
    "kpa": "kPa",
    "mpa": "MPa",
    "ohm": "ohm",
    "hz": "Hz",
    "v": "V",
    "mv": "mV",
    "percent": "percent",
    "deg": "degree",
    "c": "degC",
}


def units_and_meanings(bench: Workbench) -> Iterator[str]:
    """Each column says its unit and its meaning, and a unit in its name is that unit."""
    for kind in bench.kinds:
        if not (kind.model.__doc__ or "").strip():
            yield f"kind {kind.name}: its model has no docstring, which is the meaning of the kind"
        for info in columns_of(kind):
            what = f"kind {kind.name}, column {info.name!r}"
            if not info.meaning.strip():
                yield f"{what} has no meaning"
            if info.type not in ("float", "whole") and info.unit:
                yield f"{what} holds {info.type}, and has a unit ({info.unit})"
            if info.type == "float":
                yield from _named_otherwise(info, what)


def _named_otherwise(info: ColumnInfo, what: str) -> Iterator[str]:
    before, _, end = info.name.rpartition("_")
    said = IN_NAMES.get(end)
    if said is None or not before or before.endswith("_per") or _is_of_several(info.unit):
        return
    if scale(info.unit, said) is None or not is_same(info.unit, said, said):
        unit = info.unit or "a plain number"
        yield f"{what} is named after {said}, and its unit is {unit}"


def _is_of_several(unit: str) -> bool:
    """Tell whether a unit is made of several, all of which its name may tell: Pa*s, ml/h."""
    return bool(re.search(r"/|(?<!\*)\*(?!\*)", unit))


def bounds_are_sane(bench: Workbench) -> Iterator[str]:
    """Each column of numbers has a lower and an upper bound, so that nonsense is outside."""
    for kind in bench.kinds:
        schema = kind.model.to_schema()
        if schema.coerce or any(column.coerce for column in schema.columns.values()):
            yield f"kind {kind.name}: its model converts (coerce), so that 1.5 may become 1"
        for info in columns_of(kind):
            what = f"kind {kind.name}, column {info.name!r}"
            checks = {check.name: check for check in schema.columns[info.name].checks}
            if "isin" in checks:
                if not list(checks["isin"].statistics["allowed_values"]):
                    yield f"{what} allows no value"
                continue
            if info.type not in ("float", "whole"):
                continue
            low = [checks[name].statistics["min_value"] for name in LOW & checks.keys()]
            high = [checks[name].statistics["max_value"] for name in HIGH & checks.keys()]
            ranged = checks.get("in_range")
            low += [ranged.statistics["min_value"]] if ranged else []
            high += [ranged.statistics["max_value"]] if ranged else []
            if not low or not high:
                side = "lower" if not low else "upper"
                yield f"{what} has no {side} bound; give ge= and le=, for what is possible at all"
            elif not max(low) < min(high):
                yield f"{what} is to be above {max(low):g} and below {min(high):g}: nothing is"


def identity_and_order(bench: Workbench) -> Iterator[str]:
    """A corrected export is the same determination again, and rows stand in the kind's order."""
    for kind in bench.kinds:
        if not kind.replaces:
            yield from _filed_beside(bench, kind)
            yield from _numbered(bench, kind)
        yield from _out_of_order(bench, kind)


def _filed_beside(bench: Workbench, kind: Kind) -> Iterator[str]:
    """Tell where an export with a corrected value would be filed beside the one that is filed.

    A change may make another determination of it, such as that of its number or its hours; but not
    each change.
    """
    told = {"batch", "panel", "measured_at", *kind.identity}
    others: list[tuple[ExampleExport, ExportVariant]] = []
    for example, variant, was in bench.damaged:
        before = bench.rows(example)
        lost, new = beyond(before, was.rows), beyond(was.rows, before)
        corrected = variant.may is May.FOLLOW and variant.units is None and was.hold is None
        if not corrected or not new or {row.kind for row in new} != {kind.name}:
            continue
        if _told_by(lost, told) == _told_by(new, told):
            held = _held(bench, example, variant)
            if held is None or held.reason is not Reason.CONFLICT:
                yield (
                    f"kind {kind.name}: {example.name} {variant.what} contradicts what is filed of"
                    f" it, and is no conflict: {held.reason.text if held else 'it would be filed'}"
                )
            return
        others.append((example, variant))
    if others and _held(bench, *others[0]) is None:
        example, variant = others[0]
        yield (
            f"kind {kind.name}: {example.name} {variant.what} would be filed beside what is filed"
            " of it, as if it was another determination, and so with each value that is corrected;"
            f" what tells two apart is {', '.join(['batch', 'panel', 'time', *kind.identity])}"
        )


def _numbered(bench: Workbench, kind: Kind) -> Iterator[str]:
    """Tell of a column that numbers the rows, where the kind makes nothing of it."""
    lacking = [name for name in ("unique", "order") if not getattr(kind, name)]
    whole = [one for one in bench.sound if len(bench.was[one.sha256].reading.keys) == 1]
    told = [[row for row in bench.rows(one) if row.kind == kind.name] for one in whole]
    several = [rows for rows in told if len(rows) > FEW]
    for info in columns_of(kind) if lacking and several else ():
        if all(_are_numbered(rows, info.name) for rows in several):
            yield (
                f"kind {kind.name}: {info.name} numbers the rows of a measurement, and the kind has"
                f" no {' and no '.join(lacking)}; give"
                f" {', '.join(f'{name}=({info.name!r},)' for name in lacking)}, so that a row that"
                " stands twice is told, and rows come in one order"
            )


def _are_numbered(rows: Sequence[RowTold], column: str) -> bool:
    """Tell whether a column counts rows from 1."""
    numbers = {dict(row.values).get(column) for row in rows}
    return numbers == {as_text(n) for n in range(1, len(rows) + 1)}


def _held(bench: Workbench, example: ExampleExport, variant: ExportVariant) -> Held | None:
    """Return why a variant would be held, once the example is filed."""
    if example.name not in bench.taken_in:
        return None
    return bench.would_hold(bench.damaged_file(example, variant))


def _told_by(rows: list[RowTold], names: set[str]) -> list[list[tuple[str, str]]]:
    return [[one for one in row.values if one[0] in names] for row in rows]


def _out_of_order(bench: Workbench, kind: Kind) -> Iterator[str]:
    """Tell where the rows of a measurement stand as the file has them, though the kind sorts."""
    for example, variant, was in bench.damaged:
        swapped = variant.may is May.BE_EQUAL and variant.moved
        if not kind.order or not swapped or was.hold or len(was.reading.keys) != 1:
            continue
        before, after = (
            [row.values for row in rows if row.kind == kind.name]
            for rows in (bench.rows(example), was.rows)
        )
        if sorted(before) == sorted(after) and before != after:
            yield (
                f"kind {kind.name}: {example.name} {variant.what} gives its rows in another order,"
                f" so {', '.join(kind.order)} does not settle it"
            )
            return
