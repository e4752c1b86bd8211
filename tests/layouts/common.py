"""What the drafts of several kinds share: ids, times, durations, what a person passes over."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from random import Random
from typing import Any

from . import units
from .cells import Cell, Moment, Number, Text, Unit, fixed
from .draft import ID_PLACES, Draft, Field, Maker, Pivot
from .lines import Entry
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


@dataclass(frozen=True)
class Stamp:
    """Whether a file tells when it was measured, and whether with the clock."""

    stated: bool
    clock: bool

    @classmethod
    def put_into(
        cls, fields: dict[str, Field], maker: Maker, *, stated: float = 0.5, clock: float = 0.7
    ) -> Stamp:
        """Draw with these chances, and add the field where it is stated."""
        stamp = cls(maker.chance(stated), maker.chance(clock))
        if stamp.stated:
            fields["measured"] = maker.field("time.datetime" if stamp.clock else "time.date")
        return stamp

    def moment(self, at: datetime) -> Moment:
        """Return a time as it is written."""
        return Moment(at) if self.clock else Moment(at.replace(hour=0, minute=0), "date")

    def cells(self, at: datetime) -> dict[str, Cell]:
        """Return what stands in the field."""
        return {"measured": self.moment(at)} if self.stated else {}

    def truth(self, at: datetime) -> dict[str, Any]:
        """Return `measured_at`; a day alone is its midnight, or no time at all."""
        if not self.stated:
            return {}
        time = utc(self.moment(at).at)
        return {"measured_at": time if self.clock else frozenset({time, None})}


def hours_or_days(maker: Maker, hours: float) -> tuple[Unit, Number]:
    """Choose hours or, where they are whole days, days; with the words of the language."""
    if hours % 24 == 0 and maker.chance(0.35):
        unit = Unit(units.DAY_WORDS[maker.language], 24)
        return unit, fixed(hours / 24, 0)
    unit = Unit(units.HOUR_WORDS[maker.language], 1)
    return unit, fixed(hours, 0 if hours == int(hours) else 2)


def passed_over(maker: Maker, *more: tuple[str, str]) -> list[Entry]:
    """Return entries that a person passes over."""
    operator = word(maker.dice, "other.operator", maker.language)
    known = [(operator, maker.dice.choice(PEOPLE)), *more]
    chosen = maker.dice.sample(known, maker.dice.randint(1, len(known)))
    return [Entry(title, Text(text)) for title, text in chosen]


def remark_column(maker: Maker, draft: Draft, share: float = 0.12) -> None:
    """Perhaps add a column of words that no kind asks for."""
    if not maker.chance(share):
        return
    fields, rows = draft.fields, [row for group in draft.groups for row in group.rows]
    if maker.chance(0.5):
        fields["operator"] = maker.field("other.operator")
        for row in rows:
            row["operator"] = Text(maker.dice.choice(INITIALS))
    else:
        fields["remark"] = maker.field("other.remark")
        for row in rows:
            row["remark"] = Text("ok") if maker.chance(0.8) else Text("edge")


def index_column(maker: Maker, draft: Draft, share: float) -> bool:
    """Perhaps count the rows of each group in a column in front."""
    if not maker.chance(share):
        return False
    draft.fields = {"index": maker.field("other.index"), **draft.fields}
    for group in draft.groups:
        for n, row in enumerate(group.rows, 1):
            row["index"] = Number(str(n))
    draft.traits.append("index")
    return True


def number_or_text(cell: Cell) -> str:
    """Return what a label is made of."""
    assert isinstance(cell, Number | Text)
    return cell.text


def labelled(form: str) -> Callable[[Cell, Field], str]:
    """Return how a title is made of a value: {} is the value, {title} the quantity."""
    return lambda cell, field: form.format(number_or_text(cell), title=field.title)


def sideways(by: str, values: tuple[str, ...], form: str, *, statistics: bool = False) -> Pivot:
    """Return a pivot whose titles have this form."""
    return Pivot(by, values, labelled(form), over="title" not in form, statistics=statistics)
