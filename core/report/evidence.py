"""What stands behind each value that is compared: the measurements, and their rows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import pandas as pd

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.circumstances import PARTS, placed
from tiecoat.compare.properties import Property
from tiecoat.compare.raw_samples import under_conditions
from tiecoat.compare.result_rows import is_near
from tiecoat.compare.samples import Sample
from tiecoat.report.origins import Origin, rows_text
from tiecoat.report.words import say
from tiecoat.wording import by_number

# The measurements of each value, by batch and name of the value, by the label of its property
Behind: TypeAlias = Mapping[str, Mapping[tuple[str, str], Sequence[str]]]

RAW = frozenset({"strengths", "counts"})  # compared from the filed rows themselves


@dataclass(frozen=True)
class RowLink:
    """Rows of one original: the words, and the first measurement in them, to go to."""

    measurement: str
    words: str


@dataclass(frozen=True)
class ValueOrigin:
    """One value behind a verdict, or what is known of it, and the rows that it was made of.

    `low` and `high` are the ends between which a time or a rating lies, 0 or infinite if open; NaN
    of what is known exactly.
    """

    batch: str
    name: str
    value: float
    low: float
    high: float
    rows: Sequence[RowLink]


def all_behind(data: StudyData) -> Behind:
    """Return what `measurements_behind` gives for each property, by its label."""
    return {one.label: measurements_behind(data, one) for one in data.comparison.properties}


def measurements_behind(data: StudyData, wanted: Property) -> dict[tuple[str, str], list[str]]:
    """Return the measurements of each value of a property, by batch and name of the value.

    A value that a result gives for itself has that result's measurement, one that is pooled has
    every measurement of the kind of its panel, or of its batch where there are no panels.
    """
    rows = rows_of_line(data, wanted)
    results = data.results.get(wanted.kind)
    pooled = _by_key(rows, "panel")
    whole = _by_key(rows, "")
    own = _of_property(results, wanted, rows)
    found = {}
    for batch, sample in data.comparison.samples.get(wanted.label, {}).items():
        if not isinstance(sample, Sample):
            continue
        for name in sample.names:
            key = batch, name
            mine = own.get(key) or pooled.get(key)
            if mine is None:  # wet paint: the name is a measurement, or else the batch
                mine = [name] if name in whole.get((batch, ""), ()) else whole.get((batch, ""), [])
            found[key] = mine
    return found


def rows_of_line(data: StudyData, wanted: Property) -> pd.DataFrame | None:
    """Return the filed rows of the panels that are alike in what this line is about."""
    rows, line = data.rows.get(wanted.kind), wanted.circumstances
    if rows is None or line is None or "panel" not in rows or rows["panel"].isna().all():
        return rows
    if wanted.method == "counts":
        rows = under_conditions(rows, wanted, data.comparison.conditions[wanted.kind])
    found = placed(rows, data.register, rows, of_panels=True)
    for part in PARTS:
        found = found[found[part] == getattr(line, part)]
    return rows.loc[found.index]


def single_tests(data: StudyData, wanted: Property) -> pd.DataFrame | None:
    """Return the single tests behind one line of a property."""
    return rows_of_line(data, wanted)


def _of_property(
    results: pd.DataFrame | None, wanted: Property, rows: pd.DataFrame | None
) -> dict[tuple[str, str], list[str]]:
    """Return the measurements of results of panels, by batch and panel; of `rows` only."""
    if results is None or "quantity" not in results or wanted.method in RAW:
        return {}
    mine = (results["quantity"] == wanted.quantity) & (results["condition"] == wanted.condition)
    mine &= (results["panel"] != "") & (results["measurement"] != "") & results["value"].notna()
    if not math.isnan(wanted.exposure_h):
        mine &= is_near(results["exposure_h"], wanted.exposure_h)
    if rows is not None and "measurement" in rows:
        mine &= results["measurement"].isin(rows["measurement"])
    return _by_key(results[mine], "panel")


def _by_key(rows: pd.DataFrame | None, panel: str) -> dict[tuple[str, str], list[str]]:
    """Return the measurements by batch and panel; by batch alone without the name of a column."""
    if rows is None or not len(rows) or "measurement" not in rows:
        return {}
    distinct = rows.drop_duplicates("measurement").sort_values("measurement")
    names = distinct[panel].fillna("").astype(str) if panel else [""] * len(distinct)
    found: dict[tuple[str, str], list[str]] = {}
    for batch, name, one in zip(distinct["batch"], names, distinct["measurement"], strict=True):
        found.setdefault((str(batch), str(name)), []).append(str(one))
    return found


def value_origins(
    data: StudyData, wanted: Property, origins: Sequence[Origin], behind: Behind
) -> list[ValueOrigin]:
    """Return each value behind the verdicts on a property, with the rows that it was made of."""
    at = {row["measurement"]: (one, row) for one in origins for row in one.measurements}
    found, mine = [], behind[wanted.label]
    for batch, sample in data.comparison.samples.get(wanted.label, {}).items():
        if isinstance(sample, Sample):
            values = sample.values if sample.areas is None else sample.values / sample.areas
            nothing = np.full(len(values), math.nan)
            each = zip(sample.names, values, *(sample.ends or (nothing, nothing)), strict=True)
            for name, value, low, high in sorted(each, key=lambda one: by_number(one[0])):
                links = list(_links([at[one] for one in mine[batch, name] if one in at]))
                numbers = float(value), float(low), float(high)
                found.append(ValueOrigin(batch, name, *numbers, links))
    return found


def _links(rows: Sequence[tuple[Origin, Mapping[str, str]]]) -> Iterator[RowLink]:
    """Return a link for each run of rows in one sheet of one original."""
    runs: list[tuple[Origin, str, str, list[tuple[int, int]]]] = []
    for origin, row in rows:
        first, last = row["source_row"], row["last_row"]
        ends = (int(first), int(last)) if first and last else (0, 0)
        if runs and runs[-1][0] is origin and runs[-1][1] == row["source_sheet"]:
            runs[-1][3].append(ends)
        else:
            runs.append((origin, row["source_sheet"], row["measurement"], [ends]))
    for origin, sheet, measurement, spans in runs:
        words = f"{origin.number}. {origin.name}"
        words += say(", sheet {sheet}", sheet=sheet) if sheet else ""
        told = rows_text([one for one in sorted(spans) if one != (0, 0)])
        yield RowLink(measurement, f"{words}, {told}" if told else words)


def evidence_table(data: StudyData, behind: Behind) -> pd.DataFrame:
    """Return a row a value and measurement behind it, with the place in the original."""
    listed = [
        {"property": label, "batch": batch, "name": name, "measurement": one}
        for label, of_values in behind.items()
        for (batch, name), mine in of_values.items()
        for one in mine
    ]
    table = pd.DataFrame(listed, columns=["property", "batch", "name", "measurement"])
    places = data.measurements.set_index("measurement")[
        ["source_name", "source_sheet", "source_row", "last_row", "source_sha256"]
    ]
    return table.join(places, on="measurement")


def values_table(data: StudyData, behind: Behind) -> pd.DataFrame:
    """Return the values behind the verdicts, each with its measurements; see `panel_values`."""
    ids = {
        (label, batch, name): "; ".join(mine)
        for label, of_values in behind.items()
        for (batch, name), mine in of_values.items()
    }
    values = data.comparison.values()
    keys = zip(values["property"], values["batch"], values["name"], strict=True)
    return values.assign(measurements=[ids.get(one, "") for one in keys])
