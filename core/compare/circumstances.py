"""What must be alike for a comparison: substrate, coat system, and what a determination was made
with, as the register of panels and the rows tell.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from tiecoat.evaluate.estimate import NotDeterminable

PARTS = ("substrate", "coat_system", "made_with")
LATER_COATS = {"coat_2_on": "{}, first coat alone", "coat_3_on": "{}, first two coats alone"}
TOLD_BY_ROWS = {"dolly_diameter_mm": "dolly of {:g} mm"}
SEVERAL = "several together: "  # begins what no panel is like, and nothing is compared with


class NotComparable(NotDeterminable):
    """Control and candidate share nothing that is alike."""


@dataclass(frozen=True)
class Circumstances:
    """What the panels of one line of a property have in common; "" where nothing is told."""

    condition: str = ""
    substrate: str = ""
    coat_system: str = ""
    made_with: str = ""

    @property
    def is_mixed(self) -> bool:
        """Whether a value was averaged over several of them."""
        return any(getattr(self, part).startswith(SEVERAL) for part in PARTS)

    def words(self, parts: Iterable[str]) -> str:
        """Return the parts in words, such as "epoxy primer, dolly of 20 mm"."""
        told = (getattr(self, part) or f"no {NAMES[part]} told" for part in parts)
        return ", ".join(told)


NAMES = {
    "condition": "condition",
    "substrate": "substrate",
    "coat_system": "coat system",
    "made_with": "dolly",
}


def differing(all_of: Iterable[Circumstances]) -> tuple[str, ...]:
    """Return the parts in which some of them differ, in the order in which they are told."""
    listed = list(all_of)
    order = ("coat_system", "substrate", "made_with", "condition")
    return tuple(part for part in order if len({getattr(one, part) for one in listed}) > 1)


@dataclass(frozen=True)
class PanelRegister:
    """What is registered of panels, by panel, and on which day each measurement was made."""

    panels: Mapping[str, Mapping[str, Any]]
    days: Mapping[str, pd.Timestamp]

    @classmethod
    def of(cls, panels: pd.DataFrame, filed: pd.DataFrame) -> PanelRegister:
        """Return it from the register of panels and the list of measurements."""
        rows = {str(one["panel"]): one for one in _records(panels)}
        days: dict[str, pd.Timestamp] = {}
        if {*LATER_COATS} & {*panels.columns}:
            known = filed.dropna(subset=["measured_at"])
            days = dict(zip(known["measurement"].astype(str), known["measured_at"], strict=True))
        return cls(rows, days)

    def coat_system(self, panel: str, days: Iterable[Any] = ()) -> str:
        """Return the coats of a panel as they were on the days of its determinations."""
        row = self.panels.get(panel, {})
        return together(_coats_on(row, day) for day in (list(days) or [None]))

    def substrate(self, panel: str) -> str:
        """Return the substrate of a panel, "" where none is told."""
        return _text(self.panels.get(panel, {}).get("substrate"))


def _records(table: pd.DataFrame) -> list[dict[str, Any]]:
    return [{str(name): value for name, value in row.items()} for row in table.to_dict("records")]


def _text(value: object) -> str:
    return value.strip() if isinstance(value, str) else ""


def _coats_on(row: Mapping[str, Any], day: Any) -> str:
    """Return the coat system of a registered panel, without the coats that came after a day."""
    system = _text(row.get("coat_system"))
    for column, words in LATER_COATS.items():
        applied = row.get(column)
        if applied is not None and pd.notna(applied) and pd.notna(day) and day < applied:
            return words.format(system)
    return system


def together(texts: Iterable[str]) -> str:
    """Return the one text that all are, else all of them, marked as several."""
    distinct = sorted(set(texts))
    return distinct[0] if len(distinct) == 1 else SEVERAL + " and ".join(distinct)


def placed(
    rows: pd.DataFrame, register: PanelRegister, raw: pd.DataFrame | None, *, of_panels: bool
) -> pd.DataFrame:
    """Return rows with the circumstances of each in the columns `PARTS`.

    Parameters
    ----------
    rows
        Result rows, or raw rows.
    raw
        The rows of the kind as filed, which tell what each panel was determined with.
    of_panels
        Whether the kind is one of panels; wet paint has no circumstances. What is pooled over the
        panels of a batch has those of all its panels.
    """
    if not of_panels or not len(rows):
        return rows.assign(**dict.fromkeys(PARTS, ""))
    panel = rows["panel"].fillna("").astype(str)
    substrates = {one: register.substrate(one) for one in panel.unique()}
    found = rows.assign(
        substrate=panel.map(substrates),
        coat_system=_coat_systems(panel, _days(rows, register), register),
        made_with=_made_with(rows, panel, raw),
    )
    return _pooled(found, panel, register)


def _coat_systems(panel: pd.Series[str], day: pd.Series[Any], register: PanelRegister) -> list[str]:
    """Return the coat system of each row; the many rows of a panel on one day have the same."""
    of_panel, names = pd.factorize(panel)
    of_day, moments = pd.factorize(day)  # -1 where no day is known
    rows = list(zip(of_panel.tolist(), of_day.tolist(), strict=True))
    known: dict[int, list[Any]] = {}
    for name, moment in dict.fromkeys(rows):
        known.setdefault(name, []).extend([] if moment < 0 else [moments[moment]])
    coats = {
        (name, moment): register.coat_system(
            str(names[name]), known[name] if moment < 0 else [moments[moment]]
        )
        for name, moment in dict.fromkeys(rows)
    }
    return [coats[one] for one in rows]


def _days(rows: pd.DataFrame, register: PanelRegister) -> pd.Series[Any]:
    if "measured_at" in rows and register.days:
        return rows["measured_at"]
    if "measurement" in rows:
        return rows["measurement"].map(register.days)
    return pd.Series(pd.NaT, index=rows.index)


def _made_with(
    rows: pd.DataFrame, panel: pd.Series[str], raw: pd.DataFrame | None
) -> pd.Series[str] | str:
    """Return what the determinations of each row were made with, by the row or by its panel."""
    for column, words in TOLD_BY_ROWS.items():
        if column in rows:
            return rows[column].map(words.format)
        if raw is not None and column in raw:
            told = raw.dropna(subset=["panel", column])
            texts = told[column].map(words.format).groupby(told["panel"]).agg(together)
            by_panel = {str(name): text for name, text in texts.items()}
            return panel.map(dict.fromkeys(panel, "") | by_panel)
    return ""


def _pooled(rows: pd.DataFrame, panel: pd.Series[str], register: PanelRegister) -> pd.DataFrame:
    """Return rows where what is pooled over panels has the circumstances of all of them."""
    whole = rows.index[panel == ""]
    if not len(whole):
        return rows
    of_panels = rows[panel != ""]
    registered = pd.DataFrame(
        [
            {
                "batch": _text(row.get("batch")),
                "substrate": register.substrate(name),
                "coat_system": register.coat_system(name),
                "made_with": "",
            }
            for name, row in register.panels.items()
        ],
        columns=["batch", *PARTS],
    )
    for batch in rows.loc[whole, "batch"].unique():
        mine = of_panels[of_panels["batch"] == batch]
        mine = mine if len(mine) else registered[registered["batch"] == batch]
        at = whole[rows.loc[whole, "batch"] == batch]
        for part in PARTS:
            rows.loc[at, part] = together(mine[part].fillna("")) if len(mine) else ""
    return rows
