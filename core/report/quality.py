"""How good the data behind a study are: what failed a test, what is missing, what is held."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.ask.study_data import StudyData
from tiecoat.compare.cautions import hull, sort_of
from tiecoat.compare.properties import Property
from tiecoat.compare.result_rows import is_near
from tiecoat.evaluate.impedance.kramers_kronig import FAILS
from tiecoat.report.held_files import held_files, held_table
from tiecoat.report.words import say, say_counted, translated
from tiecoat.wording import by_number

KRAMERS_KRONIG = "kramers_kronig_"
USUAL = 0.5  # a time that so many of the panels have is missing where a panel lacks it
TOLD_PANELS = 6
MANY_ALIKE = 3  # flags that differ in numbers alone, from which on they are one


@dataclass(frozen=True)
class Quality:
    """What a reader must know of the data, as tables for the page and for files.

    Parameters
    ----------
    held
        Files that name batches of the study alone and are not filed: name, reason, first fault,
        how many, since.
    mixed
        How many held files name batches of other studies too.
    unplaced
        How many held files name no batch at all.
    spectra
        How many spectra were tested by Kramers-Kronig.
    failed_spectra
        Those that failed, or could not be tested: panel, exposure_h, largest and systematic
        residual in % of |Z|, change of the conductance in % of 1 / max |Z|, remark.
    glue
        Pull-off tests and lower bounds of each batch.
    flags
        What results of the compared properties carry: flag, results, whose.
    missing
        Sentences: panels and exposure times without data.
    withdrawn
        Measurements that were superseded or retracted.
    """

    held: pd.DataFrame
    mixed: int
    unplaced: int
    spectra: int
    failed_spectra: pd.DataFrame
    glue: pd.DataFrame
    flags: pd.DataFrame
    missing: tuple[str, ...]
    withdrawn: pd.DataFrame


def quality_of(data: StudyData) -> Quality:
    """Return the quality of the data that a study draws on."""
    impedance = data.results.get("impedance")
    tested = _tested(impedance)
    batches, pattern = data.comparison.batches.index, data.lab.settings.ids.batch
    held = held_files(data.held, batches, data.lab)
    return Quality(
        held=held_table(held, batches, pattern),
        mixed=held.mixed,
        unplaced=held.unplaced,
        spectra=len(tested),
        failed_spectra=_failed(tested),
        glue=_glue(data),
        flags=_flags(data),
        missing=tuple(_missing(data)),
        withdrawn=data.withdrawn.assign(withdrawn=data.withdrawn["withdrawn"].map(translated)),
    )


def _tested(impedance: pd.DataFrame | None) -> pd.DataFrame:
    """Return a row a spectrum with what the Kramers-Kronig test gave."""
    columns = ["panel", "exposure_h", "passes", "largest", "systematic", "change", "reason"]
    if impedance is None or "quantity" not in impedance:
        return pd.DataFrame(columns=columns)
    rows = impedance[impedance["quantity"].str.startswith(KRAMERS_KRONIG)]
    of_spectra = rows.drop_duplicates("measurement").set_index("measurement")
    table = of_spectra[["panel", "exposure_h", "reason"]]
    for name in ("passes", "largest", "systematic", "change"):
        mine = rows[rows["quantity"] == KRAMERS_KRONIG + name].set_index("measurement")
        table = table.assign(**{name: mine["value"]})
    table = table.sort_values("exposure_h", kind="stable")
    order = sorted(range(len(table)), key=lambda place: by_number(table["panel"].iloc[place]))
    return table.iloc[order][columns]


def _failed(tested: pd.DataFrame) -> pd.DataFrame:
    bad = tested[tested["passes"] != 1]
    remark = np.where(bad["passes"].isna(), bad["reason"], FAILS)
    remark = np.array([translated(str(one)) for one in remark], dtype=object)
    return pd.DataFrame(
        {
            "panel": bad["panel"],
            "exposure (h)": bad["exposure_h"],
            "largest residual (% of |Z|)": bad["largest"],
            "systematic (% of |Z|)": bad["systematic"],
            "conductance changed by (%)": bad["change"],
            "remark": remark,
        }
    ).reset_index(names="measurement")


def _glue(data: StudyData) -> pd.DataFrame:
    """Return how many pull-off tests of each batch are lower bounds."""
    rows = data.rows.get("pull_off")
    if rows is None or not len(rows):
        return pd.DataFrame(columns=["batch", "tests", "lower bounds"])
    from tiecoat.evaluate.adhesion.pull_off import marked

    tests = marked(rows, data.lab.settings.evaluate.pull_off)
    found = tests.groupby("batch", sort=True)["is_bound"].agg(["size", "sum"])
    return found.set_axis(["tests", "lower bounds"], axis=1).astype("int64").reset_index()


def _flags(data: StudyData) -> pd.DataFrame:
    """Return the flags of the results compared and of outlier tests, with whose they are."""
    found: dict[str, list[str]] = {}
    for kind, table in data.results.items():
        flagged = table[_is_told(kind, table, data.comparison.properties)] if len(table) else table
        for row in flagged.to_dict("records"):
            for flag in filter(None, str(row["flags"]).split("; ")):
                found.setdefault(flag, []).append(str(row["panel"] or row["batch"]))
    rows = [
        {"flag": translated(flag), "results": len(whose), "whose": _listed(whose)}
        for flag, whose in sorted(_drawn_together(found).items())
    ]
    return pd.DataFrame(rows, columns=["flag", "results", "whose"])


def _drawn_together(found: Mapping[str, list[str]]) -> dict[str, list[str]]:
    """Return flags with whose they are; many that differ in numbers alone are one with ranges."""
    of_sort: dict[str, list[str]] = {}
    for flag in found:
        of_sort.setdefault(sort_of(flag), []).append(flag)
    drawn: dict[str, list[str]] = {}
    for flags in of_sort.values():
        parts = [flags] if len(flags) >= MANY_ALIKE else [[one] for one in flags]
        for part in parts:
            drawn[hull(part)] = [whose for flag in part for whose in found[flag]]
    return drawn


def _is_told(kind: str, table: pd.DataFrame, properties: Sequence[Property]) -> pd.Series[bool]:
    """Return which results stand behind a property at its condition and time, or are of Grubbs."""
    told = table["quantity"] == "grubbs_statistic"
    for one in properties:
        if one.kind == kind:
            mine = (table["quantity"] == one.quantity) & (table["condition"] == one.condition)
            if (mine & (table["panel"] != "")).any():  # what is pooled over them is not compared
                mine &= table["panel"] != ""
            if not math.isnan(one.exposure_h):
                mine &= is_near(table["exposure_h"], one.exposure_h)
            told |= mine
    return told


def _listed(names: Iterable[str]) -> str:
    distinct = sorted(set(names), key=by_number)
    told = ", ".join(distinct[:TOLD_PANELS])
    more = len(distinct) - TOLD_PANELS
    return say("{names} and {count} more", names=told, count=more) if more > 0 else told


def _missing(data: StudyData) -> Iterator[str]:
    """Tell which kinds, registered panels, batches and usual exposure times have no data."""
    for kind in dict.fromkeys(one.kind for one in data.comparison.properties):
        if kind not in data.rows:
            yield say("{kind}: no data at all", kind=_kind(kind))
    for kind, rows in data.rows.items():
        words = _kind(kind)
        measured_batches = set(rows["batch"])
        if rows["panel"].notna().any():
            registered = data.panels[data.panels["batch"].isin(measured_batches)]
            measured = set(rows["panel"].dropna())
            yield from _fewer_panels(words, registered, measured)
            if strangers := sorted(measured - set(data.panels["panel"]), key=by_number):
                told = ", ".join(strangers)
                yield say(
                    "{kind}: panels that are not in the register: {names}", kind=words, names=told
                )
        without = sorted(set(data.comparison.batches.index) - measured_batches)
        if without:
            told = ", ".join(without)
            yield say("{kind}: no data of {names}", kind=words, names=told)
        if "exposure_h" in rows:
            yield from _missing_times(words, rows)
    yield from _never_measured(data)


def _fewer_panels(words: str, registered: pd.DataFrame, measured: set[str]) -> Iterator[str]:
    """Tell which batches have fewer panels of a kind than most, with the same coats.

    A panel that was made for another test is not missing here: how many a kind takes shows in what
    most batches have.
    """
    there = registered[registered["panel"].isin(measured)]
    for coats, of in there.groupby(there["coat_system"].fillna(""), sort=True):
        counts = of.groupby("batch")["panel"].nunique()
        usual = int(counts.mode().max())
        if (counts == usual).mean() <= 0.5:
            continue
        few = [f"{batch} ({count})" for batch, count in sorted(counts.items()) if count < usual]
        if few:
            told = say("{kind}, {coats}", kind=words, coats=coats) if coats else words
            yield say(
                "{kind}: most batches have {usual}, fewer: {names}",
                kind=told,
                usual=say_counted(usual, "panel"),
                names=", ".join(few),
            )


def _never_measured(data: StudyData) -> Iterator[str]:
    """Tell once which registered panels have no data of any kind, compared or not."""
    if lacking := set(data.panels["panel"]) - data.measured:
        told = _listed(lacking)
        yield say("no data of any kind of the registered panels {names}", names=told)


def _kind(kind: str) -> str:
    return translated(kind.replace("_", " "))


def _missing_times(words: str, rows: pd.DataFrame) -> Iterator[str]:
    known = rows.dropna(subset=["exposure_h", "panel"])[["panel", "exposure_h"]].drop_duplicates()
    panels = {str(name): part["exposure_h"].to_numpy() for name, part in known.groupby("panel")}
    usual: list[float] = []
    for hours in sorted(known["exposure_h"].unique().tolist()):
        having = sum(bool(is_near(times, hours).any()) for times in panels.values())
        is_known = bool(usual) and bool(is_near(np.array(usual), hours).any())
        if having >= USUAL * len(panels) and not is_known:
            usual.append(hours)
    for hours in usual:
        lacking = [name for name, times in panels.items() if not is_near(times, hours).any()]
        if lacking:
            told = ", ".join(sorted(lacking, key=by_number))
            yield say(
                "{kind}: nothing near {hours} h of {names}",
                kind=words,
                hours=f"{hours:g}",
                names=told,
            )
