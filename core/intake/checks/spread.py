"""Values that are plausible alone and not beside the others of the panel or batch.

A determination is compared with at least four others, for a slip of a power of ten with two: of its
panel, else of its batch, those of its own file and those filed before it. What comes later changes
no remark. Common practice, no source:
on the logarithm, the median and the median absolute deviation, which one slip among the others does
not move. A remark is all that comes of it: the value may be right.

Where values scatter widely, far ones come by chance, the sooner the more are looked at. So a far
one must also be none of a log-normal scatter like that of the others that are not far (Student's t
of a further value), at a level that leaves 1 % of clean batches with such a remark at most, over
all values of a kind and however they arrive (Bonferroni; at 1 % ISO 5725-2 begins to speak of
outliers, from memory). Of 200 clean batches in each of 16 designs (6 to 40 panels, 1 or 3 columns,
a scatter of 0.15 to 0.5 decades) none had one; without that up to 47 % of a design had.
"""

from __future__ import annotations

import json
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from tiecoat.archive.tables.describe import one_array
from tiecoat.remarks import Remark
from tiecoat.wording import unit_told

if TYPE_CHECKING:
    import pyarrow as pa
    from numpy.typing import NDArray

LEAST_OTHERS = 4
LEAST_BESIDE = 2  # others that agree so well that a power of ten is no scatter
AS_SIGMA = 1.4826  # of the median absolute deviation, for normal scatter
FAR_SIGMA = 5.0
CLEAN_REMARKED = 0.01  # of batches without anything odd
FAR_DECADES = float(np.log10(3.0))  # nearer than a factor of 3 nothing is far
SLIP_DECADES = 0.15  # a slip lies so near to a power of ten, and the others so near together
SIBLINGS = ("recipe", "candidate", "coat_system")  # what lines of a register have in common
TIMES = ("h", "s", "min", "day")


@dataclass(frozen=True)
class Level:
    """One column of one measurement: lowest, mean and highest decimal logarithm of its values.

    `alike` says what else must be equal for a comparison; `at` adds the time, for what changes
    while a panel is exposed. `whole` says that all its values are whole numbers.
    """

    measurement: str
    batch: str
    panel: str | None
    column: str
    unit: str
    alike: str
    at: str
    low: float
    mean: float
    high: float
    whole: bool = False


Groups: TypeAlias = defaultdict[tuple[str, str, str], list[Level]]  # by batch, column, alike


def levels(rows: pa.Table) -> list[Level]:
    """Return the level of each column of numbers that is neither identity nor order.

    Parameters
    ----------
    rows
        Of one kind, those of a measurement together.
    """
    if not len(rows):
        return []
    import pyarrow.compute as pc

    said = rows.schema.metadata
    identity = json.loads(said[b"tiecoat.identity"])
    columns = _columns(rows.schema, {*identity, *json.loads(said[b"tiecoat.order"])})
    ends = pc.run_end_encode(one_array(rows, "measurement")).run_ends.to_pylist()
    starts = [0, *ends[:-1]]
    keys = rows.select(["measurement", "batch", "panel", *identity]).take(starts).to_pylist()
    units = {field.name: (field.metadata or {}).get(b"unit", b"").decode() for field in rows.schema}
    conditions = [name for name in identity if _is_condition(rows.schema.field(name), units[name])]
    alike = [json.dumps([key[name] for name in conditions]) for key in keys]
    whens = [name for name in identity if units[name] in TIMES]
    at = [json.dumps([key[name] for name in whens]) for key in keys]
    found = []
    for name in columns:
        values = one_array(rows, name).to_numpy(zero_copy_only=False)
        whole = np.minimum.reduceat((values == np.round(values)).astype(int), starts)
        low, mean, high = _of_runs(values, starts)
        found += [
            Level(
                key["measurement"],
                key["batch"],
                key["panel"],
                name,
                units[name],
                alike[place],
                at[place],
                float(low[place]),
                float(mean[place]),
                float(high[place]),
                bool(whole[place]),
            )
            for place, key in enumerate(keys)
            if np.isfinite(mean[place])
        ]
    return found


def beside_siblings(rows: pa.Table) -> Iterator[Level]:
    """Yield the levels of the lines of a register, those that are alike under one name.

    Of panels those of one batch and coat system, of batches those of one candidate.
    """
    named = [name for name in SIBLINGS if name in rows.schema.names]
    texts = rows.select(["measurement", *named]).to_pylist()
    of = {row["measurement"]: [row[name] or "" for name in named] for row in texts}
    for level in levels(rows):
        alike = of[level.measurement]
        whose = level.batch if level.panel else " ".join(filter(None, alike)) or level.batch
        yield replace(level, batch=whose, panel=None, alike=json.dumps(alike))


def _columns(schema: pa.Schema, left_out: set[str]) -> list[str]:
    return [
        field.name
        for field in schema
        if (field.metadata or {}).get(b"role") == b"value"
        and str(field.type) == "double"
        and field.name not in left_out
    ]


def _is_condition(field: pa.Field, unit: str) -> bool:
    """Say whether a column of the identity sets the value: an angle does, the number of a spot not.

    Words always do; numbers where they have a unit that is no time.
    """
    return str(field.type) != "double" or (bool(unit) and unit not in TIMES)


def _of_runs(
    values: NDArray[np.float64], starts: Sequence[int]
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return lowest, mean and highest logarithm of each run; NaN where there is none."""
    with np.errstate(divide="ignore", invalid="ignore"):
        logs = np.log10(np.abs(values))
        logs[~np.isfinite(logs)] = np.nan
        there = np.add.reduceat(np.isfinite(logs).astype(float), starts)
        mean = np.add.reduceat(np.nan_to_num(logs), starts) / there
    return np.fmin.reduceat(logs, starts), mean, np.fmax.reduceat(logs, starts)


def add(groups: Groups, levels_of: Iterable[Level]) -> None:
    """Add levels to the groups in which they are compared."""
    for level in levels_of:
        groups[level.batch, level.column, level.alike].append(level)


def odd_ones(new: Sequence[Level], groups: Groups) -> Iterator[tuple[str, str]]:
    """Yield measurements and what is remarked: of each code one remark, about all its columns.

    Parameters
    ----------
    new
        Of the measurements of one file.
    groups
        These and what is filed already.
    """
    words: dict[tuple[str, Remark], list[str]] = defaultdict(list)
    levels_of: dict[str, float] = _levels_of(new, groups)
    for one in new:
        group = groups[one.batch, one.column, one.alike]
        others = [other for other in group if other.measurement != one.measurement]
        if not one.unit and one.whole and all(other.whole for other in others):
            continue  # counts, grades, and numbers of something
        of_panel = [other for other in others if other.panel == one.panel]
        whose = one.panel or one.batch
        if len(of_panel) < LEAST_OTHERS:
            of_panel, whose = others, one.batch
        if found := _judged(one, of_panel, levels_of[one.batch]):
            remark, those = found
            words[one.measurement, remark].append(_words(one, those, whose))
    for (measurement, remark), of_columns in words.items():
        yield measurement, remark.said(", ".join(of_columns))


def _levels_of(new: Sequence[Level], groups: Groups) -> dict[str, float]:
    """Return the level of each new value of a batch, so that all that ever come keep theirs.

    Of k values after b others each has the part 1 / ((b + 1) (b + k + 1)) of it: their sum over all
    files never passes 1.
    """
    arrived = Counter(one.batch for one in new)
    there: Counter[str] = Counter()
    for (batch, _, _), of in groups.items():
        there[batch] += len(of)
    before = {batch: max(0, there[batch] - count) for batch, count in arrived.items()}
    return {
        batch: CLEAN_REMARKED / ((before[batch] + 1) * (before[batch] + count + 1))
        for batch, count in arrived.items()
    }


def _judged(
    one: Level, others: Sequence[Level], level: float
) -> tuple[Remark, Sequence[Level]] | None:
    """Return what is odd about a level and the others that it was compared with; None if nothing.

    A slip by a power of ten moves lowest, mean and highest alike, at whatever time: a film that
    fails changes more at low frequency than at high. Far from the others is only told of what was
    measured at the same time, as films change under exposure.
    """
    near = median([other.mean for other in others]) if others else one.mean
    if abs(one.mean - near) > 1 - SLIP_DECADES and _is_slip(one, others):
        return Remark.FACTOR_TEN, others
    others = [other for other in others if other.at == one.at]
    if len(others) < LEAST_OTHERS:
        return None
    values = [other.mean for other in others]
    off, sigma = _off(one.mean, values)
    far = max(FAR_SIGMA * sigma, FAR_DECADES)
    if abs(off) <= far:
        return None
    near_them = [value for value in values if abs(_off(value, values)[0]) <= far]
    return (Remark.SPREAD, others) if _by_chance(one.mean, near_them) <= level else None


def _by_chance(value: float, others: Sequence[float]) -> float:
    """Return the chance that a further value of a normal scatter lies as far from the others' mean.

    Examples
    --------
    >>> round(_by_chance(2.0, [-1.0, 0.0, 1.0]), 4), _by_chance(1.0, [0.0, 0.0])
    (0.2254, 0.0)
    """
    from scipy.special import stdtr  # seldom needed, and slow to load

    n, deviation = len(others), float(np.std(others, ddof=1))
    if deviation == 0:
        return float(value == others[0])
    t = (value - float(np.mean(others))) / (deviation * np.sqrt(1 + 1 / n))
    return float(2 * stdtr(n - 1, -abs(t)))


def _is_slip(one: Level, others: Sequence[Level]) -> bool:
    if len(others) < LEAST_BESIDE:
        return False
    powers = set()
    for end in ("low", "mean", "high"):
        off, sigma = _off(getattr(one, end), [getattr(other, end) for other in others])
        power = round(off)
        if power == 0 or abs(off - power) > SLIP_DECADES or sigma > SLIP_DECADES:
            return False
        powers.add(power)
    return len(powers) == 1


def _off(value: float, others: Sequence[float]) -> tuple[float, float]:
    """Return how far a value is from the median of others, and their robust scatter."""
    middle = median(others)
    return value - middle, AS_SIGMA * median([abs(other - middle) for other in others])


def _words(one: Level, others: Sequence[Level], whose: str) -> str:
    low, high = (10 ** end([other.mean for other in others]) for end in (min, max))
    middle = 10 ** median([other.mean for other in others])
    return (
        f"{one.column} {10**one.mean:.3g} {unit_told(one.unit)}".rstrip()
        + f" beside {len(others)} others of {whose} from {low:.3g} to {high:.3g}"
        + f" (median {middle:.3g})"
    )
