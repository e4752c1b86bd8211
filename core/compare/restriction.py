"""What a study leaves out of its own accord: doses, coat systems and panels that it does not name.

What is left out is not looked at, so that harm may stand there: the first page says what it is.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import Any

import pandas as pd

from tiecoat.compare.circumstances import LATER_COATS, PanelRegister
from tiecoat.compare.selection import near_names
from tiecoat.compare.study import Study, kept_id
from tiecoat.errors import UnknownName


class ExcludedBy(Enum):
    """By which key of a study something is left out."""

    DOSES = "doses_percent"
    COAT_SYSTEMS = "coat_systems"
    PANELS = "panels"


@dataclass(frozen=True)
class Exclusion:
    """What a study leaves out by one of its keys.

    Parameters
    ----------
    name
        The dose in %, or the coat system, that is left out; "" of panels, and where no coat system
        is registered.
    count
        How many batches, or panels of the batches compared.
    kinds
        What is filed of them.
    """

    by: ExcludedBy
    name: str
    count: int
    kinds: tuple[str, ...]


def refuse_unknown_parts(
    study: Study, register: pd.DataFrame, panels: PanelRegister, chosen: Sequence[str]
) -> None:
    """Refuse a study that names a coat system or dose which none of its panels or batches has.

    Coat systems are named by the study, by its properties and by its applications.

    Raises
    ------
    UnknownName
        With a sentence for each, and names near it.
    """
    doses = _doses(register, chosen)
    known = sorted({coats for row in panels.panels.values() for coats in _coats_of(row) if coats})
    there = [f"{one:g}" for one in sorted({*doses.values()}) if not math.isnan(one)]
    told = [
        f"the study names the dose {one:g} %, which none of its batches has{near_names('', there)}"
        for one in study.doses_percent
        if not any(math.isclose(one, dose) for dose in doses.values())
    ]
    told += [
        f"{who} names the coat system {one!r}, which no registered panel has"
        f"{near_names(one, known)}"
        for who, named in study.named_coats().items()
        for one in named
        if one not in known
    ]
    if told:
        raise UnknownName("\n".join(told))


def with_doses(
    study: Study, register: pd.DataFrame, chosen: Sequence[str], control: str
) -> list[str]:
    """Return the batches of the doses that the study names, and the control."""
    doses = _doses(register, chosen)
    return [one for one in chosen if one == control or _has_dose(study, doses[one])]


def kept_panels(study: Study, panels: PanelRegister) -> frozenset[str] | None:
    """Return the panels that the study keeps; None for all."""
    if not study.panels and not study.coat_systems:
        return None
    named = {kept_id(one) for one in study.panels} or {*panels.panels}
    if study.coat_systems:
        named = {one for one in named if _has_coats(study, panels.panels.get(one, {}))}
    return frozenset(named)


def left_out(
    study: Study,
    register: pd.DataFrame,
    panels: PanelRegister,
    filed: pd.DataFrame,
    *,
    kept: Collection[str] | None,
    chosen: Sequence[str],
    order: Sequence[str],
) -> Iterator[Exclusion]:
    """Return what a study leaves out, by the key that it stands under.

    Parameters
    ----------
    filed
        Every measurement, as `archive.measurements()` lists it.
    kept
        As `kept_panels` returns it.
    chosen, order
        The batches before their doses were looked at, and those that are compared.
    """
    doses = _doses(register, chosen)
    others = {one: f"{doses[one]:g}" for one in chosen if order and one not in order}
    for dose in sorted({*others.values()}, key=float):
        batches = {one for one, has in others.items() if has == dose}
        kinds = _kinds(filed, "batch", batches)
        yield Exclusion(ExcludedBy.DOSES, dose, len(batches), kinds)
    if kept is None:
        return
    rest = {
        name: row
        for name, row in panels.panels.items()
        if row.get("batch") in order and name not in kept
    }
    coats = {name: _coats_of(row)[0] for name, row in rest.items() if not _has_coats(study, row)}
    for system in sorted({*coats.values()}):
        mine = {name for name, has in coats.items() if has == system}
        yield Exclusion(ExcludedBy.COAT_SYSTEMS, system, len(mine), _kinds(filed, "panel", mine))
    if unnamed := {*rest} - {*coats}:
        yield Exclusion(ExcludedBy.PANELS, "", len(unnamed), _kinds(filed, "panel", unnamed))


def _kinds(filed: pd.DataFrame, column: str, names: set[str]) -> tuple[str, ...]:
    mine = filed[filed[column].isin(names)]
    return tuple(sorted({*mine["kind"]} - {"batches", "panels"}))


def _doses(register: pd.DataFrame, chosen: Sequence[str]) -> dict[str, float]:
    known = dict(zip(register["batch"].astype(str), register["dose_percent"], strict=True))
    return {one: float(known[one]) for one in chosen}


def _has_dose(study: Study, dose: float) -> bool:
    asked = study.doses_percent
    return not asked or any(math.isclose(one, dose) for one in asked)


def _coats_of(row: Mapping[str, Any]) -> list[str]:
    """Return the coat system of a registered panel, and what it was before its later coats."""
    system = row.get("coat_system")
    told = system.strip() if isinstance(system, str) else ""
    before = [
        words.format(told)
        for column, words in LATER_COATS.items()
        if row.get(column) is not None and pd.notna(row[column])
    ]
    return [told, *before]


def _has_coats(study: Study, row: Mapping[str, Any]) -> bool:
    return not study.coat_systems or bool({*_coats_of(row)} & {*study.coat_systems})
