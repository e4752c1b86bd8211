"""A first study file, written from what is filed: who, on what, and margins left to fill in.

Beside each margin stands how far the units of the control scatter, and what a margin would take in
panels. What counts as harm is for the responsible person to say.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence

import numpy as np
import pandas as pd

from tiecoat.compare.circumstances import TOLD_BY_ROWS
from tiecoat.compare.comparison import Comparison
from tiecoat.compare.power import POWER, panels_for_own_scatter, power_for_own_scatter
from tiecoat.compare.properties import Catalogue, Property
from tiecoat.compare.reach import BY_ORDER, of_sizes
from tiecoat.compare.samples import PANELS, Sample
from tiecoat.evaluate.result import together
from tiecoat.wording import listed

LISTED = 3  # names in a comment
WIDTH = 96  # characters of a line of comment
COUNTED = {"defects": (("craters", "pinholes", "bare_spots", "thin_spots"), "evaluated_mm2")}
LINES = {"coat_system": "coat_systems", "substrate": "substrates", "made_with": "dollies_mm"}
FREE = "\x7f\x80\x85\u2028\u2029"  # what TOML or an editor takes for more than a character

HEAD = (
    "A first study, made from the register and from what is filed. It runs as it stands:",
    "    tiecoat compare {file}",
    "    tiecoat report {file}",
    "Before you trust it, look through three things:",
    "- margins: what counts as harm is for the responsible person to say, best before the tests.",
    "  Where none is stated the preset holds, and the report says that it is one;",
    "- properties: what is not named is not compared, and the report says so. With weight = 2 one",
    "  counts double in the ranking, with weight = 0 not at all;",
    "- the batches, and which of them is the control.",
)
BY_ORDER_WORDS = (
    "What so many panels can show by their order, as ratings, times and values that are all equal"
    " are compared"
)
REGISTERED = "as many as are registered, for nothing is measured on panels yet"
NO_BOUND = "Means that scatter have no such bound."
DIRECTION = 'direction =  # what is better: "higher", "lower", or "target" (near to the control)'
FURTHER = (
    "Also filed of these batches. To compare one, take the # away, and say which way is better and"
    " what counts as harm."
)


def draft(
    comparison: Comparison,
    hours: Mapping[str, Sequence[float]],
    further: Mapping[str, pd.DataFrame],
    registered: Mapping[str, int],
    file: str,
) -> str:
    """Return the text of a study file.

    Parameters
    ----------
    comparison
        Of a study that names the batches and nothing else.
    hours
        Exposure times at which there are results, by name of the property.
    further
        Result tables by kind, of these batches.
    registered
        How many panels of each batch are registered.
    file
        What the file will be called, for the commands in its head.
    """
    lines = [f"# {one.format(file=file)}" for one in HEAD]
    lines += ["", *_who(comparison)]
    by_name: dict[str, list[Property]] = {}
    for one in comparison.properties:
        found = comparison.samples.get(one.label, {}).values()
        if any(isinstance(sample, Sample) for sample in found):
            by_name.setdefault(one.name, []).append(one)
    lines += _design(comparison, registered, by_name, further)
    for wanted in by_name.values():
        lines += ["", *_property(comparison, wanted, hours.get(wanted[0].name, ()))]
    lines += _further(further, comparison.study.catalogue)
    return "\n".join(lines) + "\n"


def _who(comparison: Comparison) -> Iterator[str]:
    control, register = comparison.control, comparison.batches
    yield f"name = {toml_text(f'Candidates against {control}')}  # heading of the report"
    yield f"control = {toml_text(control)}"
    yield "batches = ["
    for batch in register.index:
        row = register.loc[batch].to_dict()
        dose = float(row["dose_percent"])
        words = "" if math.isnan(dose) else f"{dose:g} % "
        words += row["candidate"] if isinstance(row["candidate"], str) else "no candidate named"
        told = "control" if batch == control else words
        yield f"    {toml_text(batch)},  # {_one_line(told)}"
    yield "]"


def _design(
    comparison: Comparison,
    registered: Mapping[str, int],
    by_name: Mapping[str, Sequence[Property]],
    further: Mapping[str, pd.DataFrame],
) -> Iterator[str]:
    """Return what the panels can show at all where they are compared by their order.

    They are those that a property was measured on; before anything is, those registered.
    """
    there = {str(batch): registered.get(str(batch), 0) for batch in comparison.batches.index}
    measured = _measured_panels(comparison, by_name, further)
    by_sizes = measured or ({tuple(there.items()): [REGISTERED]} if any(there.values()) else {})
    told = [
        f"{one.words}."
        for sizes, labels in by_sizes.items()
        for one in of_sizes(listed(labels), dict(sizes), comparison.control, max(1, len(by_name)))
    ]
    if not told:
        return
    yield from ("", *_comments(f"{BY_ORDER_WORDS}. {NO_BOUND}"))
    for line in told:
        yield from _comments(f"- {line}")
    if measured and any(dict(sizes) != there for sizes in measured):
        least, most = min(there.values()), max(there.values())
        number = f"{most}" if least == most else f"{least} to {most}"
        yield from _comments(
            f"Registered are {number} panels of each batch: here those count that were measured."
        )


def _measured_panels(
    comparison: Comparison,
    by_name: Mapping[str, Sequence[Property]],
    further: Mapping[str, pd.DataFrame],
) -> dict[tuple[tuple[str, int], ...], list[str]]:
    """Return the properties that were measured on as many panels, by their number of each batch.

    What is compared by order once a study names it is among them: its panels are others.
    """
    counted = []
    for wanted in (one for lines in by_name.values() for one in lines):
        samples = comparison.samples.get(wanted.label, {}).values()
        known = (one for one in samples if isinstance(one, Sample) and one.units == PANELS)
        counted.append((wanted.label, {one.batch: one.n for one in known}))
    for wanted in comparison.study.catalogue.by_name.values():
        if wanted.method in BY_ORDER:
            rows = _told_rows(further, wanted)
            each = rows[rows["panel"] != ""].groupby("batch")["panel"].nunique()
            counted.append((wanted.label, {str(batch): int(n) for batch, n in each.items()}))
    found: dict[tuple[tuple[str, int], ...], list[str]] = {}
    for label, of in counted:
        if any(of.values()):
            sizes = tuple((one, of.get(one, 0)) for one in map(str, comparison.batches.index))
            found.setdefault(sizes, []).append(label)
    return found


def _told_rows(tables: Mapping[str, pd.DataFrame], wanted: Property) -> pd.DataFrame:
    """Return the results of a property that tell something of it."""
    table = tables.get(wanted.kind, together([]))
    told = table[["value", "low", "high"]].notna().any(axis=1)
    return table[(table["quantity"] == wanted.quantity) & told]


def _property(
    comparison: Comparison, lines: Sequence[Property], hours: Sequence[float]
) -> Iterator[str]:
    """Return one table of the file; a property may have several lines, such as exposure times."""
    first = lines[0]
    yield "[[property]]"
    yield f"name = {toml_text(first.name)}"
    compared = sorted({one.exposure_h for one in lines if not math.isnan(one.exposure_h)})
    if compared:
        listed = ", ".join(f"{one:g}" for one in compared)
        there = ", ".join(f"{one:g}" for one in hours)
        yield f"exposure_h = [{listed}]  # hours; there are results after {there} h"
    yield from _lines(lines)
    for one in lines:
        yield from _comments(_scatter_words(comparison, one))
    mine = {one.label for one in lines}
    for reach in comparison.reaches:
        if reach.label in mine:
            yield from _comments(f"{reach.words}.")
    known = comparison.study.catalogue.known[first.name]
    in_percent = first.by_ratio or known.margin is None
    key = "margin_percent" if in_percent else "margin"
    side = {"higher": "less than", "lower": "more than", "target": "more or less than"}
    of = "%" if in_percent else _unit(comparison, first)
    preset = known.margin_percent if in_percent else known.margin
    words = f"{of} {side[first.direction]} the control is harm".strip()
    yield f"# {key} =   # fill in: from how many {words} (preset {preset:g})"


def _lines(lines: Sequence[Property]) -> Iterator[str]:
    """Return the keys that name the lines of a property, where it has several."""
    found = [one.circumstances for one in lines if one.circumstances is not None]
    for part, key in LINES.items():
        names = list(dict.fromkeys(str(getattr(one, part)) for one in found))
        if len(names) > 1:
            told = [_dolly(one) if part == "made_with" else toml_text(one) for one in names]
            yield "# A comparison for each of these; take out what you do not want."
            yield f"{key} = [{', '.join(told)}]"


def _dolly(words: str) -> str:
    """Return the diameter of a dolly from its words."""
    start, _, end = TOLD_BY_ROWS["dolly_diameter_mm"].partition("{:g}")
    return words.removeprefix(start).removesuffix(end)


def _unit(comparison: Comparison, wanted: Property) -> str:
    found = comparison.samples.get(wanted.label, {}).values()
    unit = next((one.unit for one in found if isinstance(one, Sample)), "")
    return "points" if unit.startswith("%") else "" if unit == "1" else unit


def _scatter_words(comparison: Comparison, wanted: Property) -> str:
    """Say how far the units of the control scatter, and what that makes of a margin."""
    found = comparison.samples.get(wanted.label, {})
    several = [one for one in found.values() if isinstance(one, Sample) and _tells_spread(one)]
    start = f"{wanted.label}: " if wanted.label != wanted.name else ""
    control = comparison.control
    of_control = next((one for one in several if one.batch == control), None)
    if of_control is None:
        return f"{start}the values of the control {control} tell no spread"
    deviation = spread(of_control, wanted)
    units, n = of_control.units, min(one.n for one in several)
    if not deviation > 0:
        return (
            f"{start}the {units} of the control {control} are equal: their spread is not resolved"
        )
    unit = _unit(comparison, wanted)
    size = f"a factor of {math.exp(deviation):.3g}" if wanted.scale == "ratio" else ""
    size = size or f"{_two_digits(deviation)} {unit}".strip()
    told = f"{start}{of_control.n} {units} of the control {control} scatter by {size} (standard"
    told += " deviation)."
    comparisons = max(1, len(found) - 1)
    least = least_margin(n, deviation, comparisons, wanted)
    both = wanted.direction == "target"
    half = panels_for_own_scatter(least / 2, deviation, comparisons, both_sides=both)
    shown = _margin_words(least, wanted, unit)
    told += f" With {n} of each, margins from about {shown} on can be shown to be kept"
    told += f" (power {100 * POWER:g} %, if both are equal)"
    return told + (f"; half of that takes {half} of each." if half else ".")


def _tells_spread(sample: Sample) -> bool:
    return sample.n > 1 and sample.reported is None and not sample.is_floor and sample.ends is None


def spread(sample: Sample, wanted: Property) -> float:
    """Return the standard deviation within a batch, on the scale of the comparison."""
    values = np.log(sample.values) if wanted.scale == "ratio" else sample.values
    return float(values.std(ddof=1))


def least_margin(n: int, deviation: float, comparisons: int, wanted: Property) -> float:
    """Return the least margin that so many units of each batch can show, on the scale compared.

    It is that at which `power_for_own_scatter` reaches 80 %, to a thousandth.

    Examples
    --------
    Seventeen panels were reckoned for a margin of one standard deviation:

    >>> from tiecoat.compare.properties import CATALOGUE
    >>> round(least_margin(17, 1.0, 1, CATALOGUE.usual["pull-off strength"]), 2)
    0.99
    """
    both = wanted.direction == "target"

    def enough(margin: float) -> bool:
        return power_for_own_scatter(n, margin, deviation, comparisons, both_sides=both) >= POWER

    low, high = 0.0, deviation
    while not enough(high):
        low, high = high, 2 * high
    while high - low > 1e-3 * high:
        middle = (low + high) / 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def _margin_words(margin: float, wanted: Property, unit: str) -> str:
    if wanted.scale != "ratio":
        return f"{_two_digits(margin)} {unit}".strip()
    falls = wanted.direction == "higher"
    percent = -100 * math.expm1(-margin) if falls else 100 * math.expm1(margin)
    return f"{_two_digits(percent)} %"


def _two_digits(value: float) -> str:
    """Return a number to two digits, without a power of ten where it needs none.

    Examples
    --------
    >>> _two_digits(118.4), _two_digits(0.0694)
    ('120', '0.069')
    """
    return f"{float(f'{value:.2g}'):g}"


def _further(tables: Mapping[str, pd.DataFrame], catalogue: Catalogue) -> Iterator[str]:
    """Return results that the study does not name, as tables that are commented out."""
    named = {(one.kind, one.quantity, one.condition) for one in catalogue.usual.values()}
    by_name = {(one.kind, one.quantity) for one in catalogue.by_name.values()}
    known = {one.kind for one in catalogue.usual.values()}
    lines: list[str] = []
    for kind, table in sorted(tables.items()):
        keys = table[table["value"].notna()].groupby(["quantity", "condition"], sort=True).size()
        keys = keys[
            [(kind, *one) not in named and (kind, one[0]) not in by_name for one in keys.index]
        ]
        if not len(keys):
            continue
        if kind in known:
            names = list(dict.fromkeys(keys.index.get_level_values("quantity")))
            lines += ["#", *_comments(f"Further results of {kind}: {', '.join(names)}")]
        else:
            lines += ["#", "# [[property]]", *(f"# {one}" for one in _unnamed(kind, keys))]
        if kind in COUNTED:
            lines += ["#", "# [[property]]", *(f"# {one}" for one in _counted(kind))]
    lines = [*_by_name(tables, catalogue), *lines]
    if lines:
        yield from ("", *_comments(FURTHER), *lines)


def _by_name(tables: Mapping[str, pd.DataFrame], catalogue: Catalogue) -> Iterator[str]:
    """Return a table for each property with results that is compared only where it is named."""
    for one in catalogue.by_name.values():
        if len(_told_rows(tables, one)):
            side = "less" if one.direction == "higher" else "more"
            margin = f"margin_percent =   # from how many % {side} (preset {one.margin_percent:g})"
            if one.margin is not None:
                margin = f"margin =   # from how much {side} (preset {one.margin:g})"
            yield from ("#", "# [[property]]", f"# name = {toml_text(one.name)}")
            conditions = sorted({*_told_rows(tables, one)["condition"]})
            if one.condition == "" and len(conditions) > 1:
                yield "# Each of its conditions is compared, and each weighs, unless one is named:"
                yield f"# condition = {toml_text(conditions[0])}{_or_texts(conditions[1:])}"
            yield f"# {margin}"


def _unnamed(kind: str, keys: pd.Series[int]) -> Iterator[str]:
    """Return a table for a kind of which tiecoat knows no property; `keys` counts its values."""
    most = keys.groupby(level="quantity").max().sort_values(ascending=False, kind="stable")
    means = [one for one in most.index if one.endswith("_mean")]  # what a kind is asked for
    first = (means or list(most.index))[0]
    others = [one for one in most.index if one != first]
    conditions = keys[first].sort_values(ascending=False, kind="stable").index.tolist()
    yield f"name = {toml_text(first.replace('_', ' '))}"
    yield f"kind = {toml_text(kind)}"
    yield f"quantity = {toml_text(first)}{_or(others)}"
    if conditions != [""]:
        others = [one for one in conditions[1:] if one]
        yield f"condition = {toml_text(conditions[0])}{_or_texts(others)}"
    yield DIRECTION
    yield "margin ="


def _counted(kind: str) -> Iterator[str]:
    """Return a table for what is counted, which no result but the rows tell."""
    (first, *others), area = COUNTED[kind]
    yield f"name = {toml_text(first)}"
    yield f"kind = {toml_text(kind)}"
    yield f"quantity = {toml_text(first)}{_or(others)}"
    yield f"area = {toml_text(area)}"
    yield 'method = "counts"'
    yield DIRECTION
    yield "margin_percent =   # from how many % more; or margin, in counts per dm²"


def _or_texts(others: Sequence[str]) -> str:
    """Return further conditions in quotes: they hold commas and semicolons of their own."""
    return _or([toml_text(one) for one in others])


def _or(others: Sequence[str]) -> str:
    return f"  # or {_few(others)}" if others else ""


def _few(names: Sequence[str]) -> str:
    more = len(names) - LISTED
    told = ", ".join(map(_one_line, names[:LISTED]))
    return f"{told} and {more} more" if more > 0 else told


def _comments(text: str) -> Iterator[str]:
    """Return a text as lines of comment."""
    line = "#"
    for word in _one_line(text).split():
        if len(line) + len(word) >= WIDTH:
            yield line
            line = "#"
        line += f" {word}"
    yield line


def _one_line(text: str) -> str:
    return " ".join("".join(one for one in text if one.isprintable() or one == " ").split())


def toml_text(text: str) -> str:
    r"""Return a text as TOML has it.

    Examples
    --------
    >>> print(toml_text('5 % "fine"'), toml_text("a\nb\x7f"))
    "5 % \"fine\"" "a\nb\u007f"
    """
    told = json.dumps(text, ensure_ascii=False)
    return "".join(f"\\u{ord(one):04x}" if one in FREE else one for one in told)
