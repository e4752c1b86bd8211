"""What the drafts of several kinds share: ids, times, durations, what a person passes over."""

from __future__ import annotations

from datetime import datetime
from random import Random
from typing import Any

from . import units
from .cells import Cell, Moment, Number, Text, Unit, fixed
from .draft import ID_PLACES, Field, Maker
from .register import Batch, Panel, batches, utc
from .words import word

PEOPLE = ("K. Weber", "A. Nowak", "M. Rossi", "J. Novák", "L. Martin", "S. de Vries", "T. Brown")
INITIALS = ("kw", "an", "mr", "jn", "lm", "sv", "tb")


def some_batches(dice: Random, many: int) -> list[Batch]:
    """Return so many batches, in the order of the register."""
    return sorted(dice.sample(batches(), many), key=lambda batch: batch.id)


def some_panels(dice: Random, many: int) -> list[Panel]:
    """Return so many panels: mostly of one batch."""
    if dice.random() < 0.7:
        panels = list(dice.choice(batches()).panels)
    else:
        panels = [panel for batch in batches() for panel in batch.panels]
    return sorted(dice.sample(panels, many), key=lambda panel: panel.id)


def panel_fields(maker: Maker) -> dict[str, Field]:
    """Return the field of the panel, perhaps with that of its batch."""
    found = {"panel": maker.field("ids.panel", places=ID_PLACES)}
    if maker.chance(0.2):
        found["batch"] = maker.field("ids.batch")
    return found


def panel_cells(panel: Panel, fields: dict[str, Field]) -> dict[str, Cell]:
    """Return what stands in these."""
    said: dict[str, Cell] = {"panel": Text(panel.id), "batch": Text(panel.batch)}
    return {key: said[key] for key in said if key in fields}


def batch_fields(maker: Maker) -> dict[str, Field]:
    """Return the field of the batch."""
    return {"batch": maker.field("ids.batch", places=ID_PLACES)}


def ids_of(panel: Panel) -> dict[str, Any]:
    """Return batch and panel as they are filed."""
    return {"batch": panel.batch, "panel": panel.id}


def measured_field(maker: Maker, *, clock: bool) -> Field:
    """Return the field of the time of a measurement."""
    return maker.field("time.datetime" if clock else "time.date")


def moment_of(at: datetime, *, clock: bool) -> Moment:
    """Return a time as it is written: with its clock or without."""
    return Moment(at) if clock else Moment(at.replace(hour=0, minute=0), "date")


def truth_of(moment: Moment) -> dict[str, Any]:
    """Return `measured_at`; a day alone is its midnight, or no time at all."""
    if moment.part == "both":
        return {"measured_at": utc(moment.at)}
    return {"measured_at": frozenset({utc(moment.at), None})}


def hours_or_days(maker: Maker, hours: float) -> tuple[Unit, Number]:
    """Choose hours or, where they are whole days, days; with the words of the language."""
    if hours % 24 == 0 and maker.chance(0.35):
        unit = Unit(units.DAY_WORDS[maker.language], 24)
        return unit, fixed(hours / 24, 0)
    unit = Unit(units.HOUR_WORDS[maker.language], 1)
    return unit, fixed(hours, 0 if hours == int(hours) else 2)


def passed_over(maker: Maker, *more: tuple[str, str]) -> list[tuple[str, str]]:
    """Return entries that a person passes over."""
    operator = word(maker.dice, "other.operator", maker.language)
    known = [(operator, maker.dice.choice(PEOPLE)), *more]
    return maker.dice.sample(known, maker.dice.randint(1, len(known)))


def remark_column(maker: Maker, fields: dict[str, Field], rows: list[dict[str, Cell]]) -> None:
    """Perhaps add a column of words that no kind asks for."""
    if not maker.chance(0.12):
        return
    if maker.chance(0.5):
        fields["operator"] = maker.field("other.operator")
        for row in rows:
            row["operator"] = Text(maker.dice.choice(INITIALS))
    else:
        fields["remark"] = maker.field("other.remark")
        for row in rows:
            row["remark"] = Text("ok") if maker.chance(0.8) else Text("edge")
