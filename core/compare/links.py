"""Which results go together: such as air and voids, or thickness and modulus, over the batches.

Panels of one batch share their paint, so that they are no independent pairs: taken as such they
would make a chance look certain (pseudo-replication). So two questions are asked apart, as Bland
and Altman do with subjects: between batches, of their means (BMJ 310 (1995) 633), and within
batches, of the distances of panels from the mean of their batch (BMJ 310 (1995) 446; both from
memory; here by ranks). What belongs to the batch alone, such as air in the wet paint, has the first
only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import product
from typing import TypeAlias

import numpy as np
import pandas as pd

from tiecoat.compare.circumstances import differing
from tiecoat.compare.properties import Property
from tiecoat.compare.result_rows import panel_rows_of
from tiecoat.compare.samples import PANELS, Sample, Samples
from tiecoat.compare.selection import near_names
from tiecoat.compare.study import Study
from tiecoat.compare.tables import StudyTables, found_in, of_line
from tiecoat.errors import UnknownName
from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.evaluate.statistics.rank_correlation import METHOD, RankCorrelation, rank_correlation

NO_PROOF = (
    "That two results go together is no proof that one causes the other: the recipes differ in more"
    " than one thing. The intervals are not adjusted for how many such pairs are looked at."
)
FURTHER = {
    "void fraction": Property("void fraction", "cross_section", "void_fraction", "", "lower"),
    "film thickness": Property("film thickness", "film_thickness", "thickness_mean"),
    "gloss": Property("gloss", "gloss", "gloss_mean"),
    "viscosity": Property("viscosity", "viscosity", "apparent_viscosity", "down; 10 1/s", "target"),
}
PRESET = (
    ("entrapped air", "void fraction"),
    ("entrapped air", "modulus"),
    ("void fraction", "modulus"),
    ("void fraction", "pull-off strength"),
    ("film thickness", "modulus"),
    ("film thickness", "pull-off strength"),
    ("viscosity", "entrapped air"),
    ("viscosity", "gloss"),
)
ROUNDING = 12  # digits of a distance, beyond which equal ones differ as binary numbers do
Correlation: TypeAlias = RankCorrelation | NotDeterminable


@dataclass(frozen=True)
class Link:
    """Whether two results go together.

    Parameters
    ----------
    first, second
        Each on one line of its property, at its exposure time.
    points
        A row a panel where both are known of panels, else a row a batch: batch, panel ("" of a
        batch), first, second.
    means
        A row a batch: batch, first, second; the means of the panels in `points`.
    between, within
        The rank correlation of the means, and of the distances of panels from them; or why there
        is none.
    """

    first: Property
    second: Property
    points: pd.DataFrame = field(repr=False)
    means: pd.DataFrame = field(repr=False)
    units: tuple[str, str]
    between: Correlation
    within: Correlation

    @property
    def panels(self) -> int:
        """Of how many panels both are known; 0 where one belongs to the batch."""
        return int((self.points["panel"] != "").sum())


@dataclass(frozen=True)
class PairableResult:
    """A result that can be held against another one: under which name, and what there is of it.

    Parameters
    ----------
    conditions
        Each of them may stand behind the name, after a comma; without it all are looked at.
    batches, panels
        Of how many there is a value; no panels where it belongs to the batch.
    """

    name: str
    kind: str
    conditions: tuple[str, ...]
    batches: int
    panels: int


def named_properties(study: Study) -> dict[str, Property]:
    """Return what can be named in pairs whatever results there are, by name."""
    own = {one.name: one.made() for one in study.property}
    return {**study.catalogue.known, **FURTHER, **own}


def pairable(study: Study, tables: StudyTables, order: Sequence[str]) -> list[PairableResult]:
    """Return every result of these batches that can be held against another one, by kind."""
    found: list[PairableResult] = []
    for wanted, rows in _every_result(study, tables):
        mine = rows[rows["batch"].isin(order) & rows[["value", "low", "high"]].notna().any(axis=1)]
        mine = panel_rows_of(mine)
        conditions = tuple(filter(None, sorted(mine["condition"].unique())))
        panels = mine.loc[mine["panel"] != "", "panel"].nunique()
        batches = int(mine["batch"].nunique())
        if batches:
            found.append(PairableResult(wanted.name, wanted.kind, conditions, batches, int(panels)))
    return found


def _every_result(study: Study, tables: StudyTables) -> Iterator[tuple[Property, pd.DataFrame]]:
    """Yield what each result is called, as a property without a condition, and its rows."""
    named = {(one.kind, one.quantity): one for one in named_properties(study).values()}
    for kind, table in sorted(tables.results.items()):
        if "quantity" not in table:
            continue
        for quantity, rows in table.groupby("quantity", sort=True):
            spoken = str(quantity).replace("_", " ")
            unnamed = Property(spoken, kind, str(quantity))
            yield named.get((kind, str(quantity)), unnamed), rows


def _results_by_name(study: Study, tables: StudyTables) -> dict[str, Property]:
    """Return results by what they are called, with and without a condition behind it."""
    found: dict[str, Property] = {}
    for wanted, rows in _every_result(study, tables):
        found.setdefault(wanted.name, wanted)
        for condition in filter(None, panel_rows_of(rows)["condition"].unique()):
            found.setdefault(f"{wanted.name}, {condition}", replace(wanted, condition=condition))
    return found


def unnamed(study: Study) -> set[str]:
    """Return the names of its pairs that only the results can tell the meaning of."""
    return {name for pair in study.why for name in pair} - named_properties(study).keys()


def asked_links(study: Study, tables: StudyTables) -> list[tuple[Property, Property]]:
    """Return the pairs of properties that are looked at: those of the study, else the usual ones.

    Parameters
    ----------
    tables
        With the results of all kinds where the study names some by their quantity.

    Raises
    ------
    UnknownName
        If the study names what neither it nor tiecoat knows, and no result is called.
    """
    known = named_properties(study)
    if unnamed(study):
        known = {**_results_by_name(study, tables), **known}
    unknown = {name for pair in study.why for name in pair if name not in known}
    if unknown:
        told = [
            f"why names {name!r}, which no property and no result is called"
            f"{near_names(name, list(known))}; tiecoat why lists all"
            for name in sorted(unknown)
        ]
        raise UnknownName("\n".join(told))
    return [(known[first], known[second]) for first, second in study.why or PRESET]


def links(study: Study, tables: StudyTables, order: Sequence[str]) -> list[Link]:
    """Return every link that the study looks at and that there are results of.

    Parameters
    ----------
    tables
        With the results of both properties of each pair.
    order
        The control, then the candidates.
    """
    found = []
    for pair in asked_links(study, tables):
        lines = [list(_lines(study, tables, one, order)) for one in pair]
        for first, second in product(*lines):
            if _are_alike(first, second):
                found.append(_link(tables, first, second, order))
    return [one for one in found if len(one.points)]


def _lines(
    study: Study, tables: StudyTables, wanted: Property, order: Sequence[str]
) -> Iterator[Property]:
    """Return the lines of a property in all circumstances, each at its last shared time."""
    try:
        rows = tables.rows_of(wanted)
    except NotDeterminable:
        return
    everywhere = [one for one in found_in(rows[rows["batch"].isin(order)]) if not one.is_mixed]
    parts = differing(everywhere)
    for one in everywhere:
        line = wanted.line(one, one.words(parts))
        mine = of_line(rows, line)
        there = [batch for batch in order if (mine["batch"] == batch).any()]
        try:
            times = tables.at_times(line, None, study.exposure_h, there)
        except NotDeterminable:
            continue
        yield from times[-1:]


def _are_alike(first: Property, second: Property) -> bool:
    """Whether two lines may be of the same panels; wet paint has neither coat nor substrate."""
    one, other = first.circumstances, second.circumstances
    assert one is not None
    assert other is not None
    return all(
        not getattr(one, part)
        or not getattr(other, part)
        or getattr(one, part) == getattr(other, part)
        for part in ("coat_system", "substrate")
    )


def _link(tables: StudyTables, first: Property, second: Property, order: Sequence[str]) -> Link:
    sides = [tables.samples_of(one, order) for one in (first, second)]
    units = tuple(
        next((one.unit for one in side.values() if isinstance(one, Sample)), "") for side in sides
    )
    of_panels = [_values(side, line) for side, line in zip(sides, (first, second), strict=True)]
    points = _joined(of_panels, ["batch", "panel"])
    points = points[points["panel"] != ""]
    if not len(points):
        of_batches = [
            _means(one, line) for one, line in zip(of_panels, (first, second), strict=True)
        ]
        points = _joined(of_batches, ["batch"]).assign(panel="")
    means = _means_of_points(points, first, second)
    return Link(
        first,
        second,
        points,
        means,
        (units[0], units[1]),
        _between(means),
        _within(points, first, second),
    )


def _values(samples: Samples, wanted: Property) -> pd.DataFrame:
    """Return a row a panel or, where panels are not told apart, a batch."""
    rows: list[tuple[str, str, float]] = []
    for batch, one in samples.items():
        if not isinstance(one, Sample) or one.is_floor:
            continue
        if one.units == PANELS and one.reported is None:
            of = one.values if one.areas is None else one.values / one.areas
            rows += [(batch, name, float(value)) for name, value in zip(one.names, of, strict=True)]
        else:
            rows.append((batch, "", one.mean(wanted.scale)))
    return pd.DataFrame(rows, columns=["batch", "panel", "value"])


def _joined(sides: Sequence[pd.DataFrame], on: Sequence[str]) -> pd.DataFrame:
    first, second = (
        one.rename(columns={"value": name})
        for one, name in zip(sides, ("first", "second"), strict=True)
    )
    return first.merge(second, on=list(on)).dropna().reset_index(drop=True)


def _means(values: pd.DataFrame, wanted: Property) -> pd.DataFrame:
    scaled = values.assign(value=_scaled(values["value"], wanted))
    means = scaled.groupby("batch", sort=False)["value"].mean().reset_index()
    return means.assign(value=np.exp(means["value"])) if wanted.scale == "ratio" else means


def _means_of_points(points: pd.DataFrame, first: Property, second: Property) -> pd.DataFrame:
    sides = [
        _means(points.rename(columns={name: "value"}), wanted)
        for name, wanted in (("first", first), ("second", second))
    ]
    return _joined(sides, ["batch"])


def _scaled(values: pd.Series[float], wanted: Property) -> pd.Series[float]:
    """Return values on the scale on which they are averaged."""
    if wanted.scale != "ratio":
        return values
    return pd.Series(np.log(values.where(values > 0)), index=values.index)


def _between(means: pd.DataFrame) -> Correlation:
    try:
        return rank_correlation(means["first"].to_numpy(), means["second"].to_numpy())
    except NotDeterminable as why:
        return why


def _within(points: pd.DataFrame, first: Property, second: Property) -> Correlation:
    if not (points["panel"] != "").any():
        return NotDeterminable("one of the two belongs to the batch, not to its panels")
    several = points[points.groupby("batch")["panel"].transform("size") > 1]
    off = {}
    for name, wanted in (("first", first), ("second", second)):
        scaled = _scaled(several[name], wanted)
        away = scaled - scaled.groupby(several["batch"]).transform("mean")
        off[name] = (away / scaled.abs().max()).round(ROUNDING).to_numpy()
    try:
        return rank_correlation(off["first"], off["second"], several["batch"].nunique())
    except NotDeterminable as why:
        return why


def links_table(found: Sequence[Link]) -> pd.DataFrame:
    """Return the links, a row each and level: between batches, and panels within batches."""
    rows = []
    for one in found:
        for level, told in (("between batches", one.between), ("within batches", one.within)):
            row: dict[str, object] = {
                "first": one.first.label,
                "second": one.second.label,
                "level": level,
            }
            row |= {"batches": len(one.means), "panels": one.panels}
            if isinstance(told, RankCorrelation):
                row |= {**vars(told), "method": METHOD, "reason": ""}
            else:
                row |= {"n": 0, "method": "", "reason": str(told)}
            rows.append(row)
    keys = ["first", "second", "level", "batches", "panels", "n", "value", "low", "high"]
    return pd.DataFrame(rows, columns=[*keys, "method", "reason"])


def link_points(found: Sequence[Link]) -> pd.DataFrame:
    """Return the values behind the links, a row a panel or batch."""
    parts = [
        one.points.rename(columns={"first": "first_value", "second": "second_value"}).assign(
            first=one.first.label, second=one.second.label
        )
        for one in found
    ]
    columns = ["first", "second", "batch", "panel", "first_value", "second_value"]
    return pd.concat(parts, ignore_index=True)[columns] if parts else pd.DataFrame(columns=columns)
