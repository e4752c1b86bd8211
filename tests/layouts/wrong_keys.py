"""Ids and registers that contradict each other, or are none."""

from __future__ import annotations

from collections.abc import Callable

from .cells import Text
from .register import PANELS_OF_A_BATCH, batches
from .spoilt import PER_PANEL, REGISTER, Spoilt

BATCHES = {batch.id: batch for batch in batches()}


def batch_twice(spoilt: Spoilt) -> str:
    """A batch, or a panel, stands in one sheet twice with different values."""
    rows = spoilt.rows()
    if spoilt.flavour == "batches" and len(rows) > 2:
        rows[2]["batch"] = rows[1]["batch"]
        return "twice: a batch with two doses"
    if spoilt.flavour == "panels" and "thickness" in spoilt.draft.fields:
        rows = spoilt.draft.groups[0].rows
        if len(rows) > 1 and rows[0]["thickness"] != rows[1]["thickness"]:
            rows[1]["panel"] = rows[0]["panel"]
            return "twice: a panel with two thicknesses"
    return ""


def nameless(spoilt: Spoilt) -> str:
    """A candidate has no name."""
    if spoilt.flavour != "batches" or len(spoilt.rows()) < 2:
        return ""
    spoilt.rows()[1]["candidate"] = None
    return "nameless: a candidate"


def foreign_batch(spoilt: Spoilt) -> str:
    """A panel is said to be of another batch than its id says."""
    if "panel" not in spoilt.draft.fields or "batch" not in spoilt.draft.fields:
        return ""
    other = spoilt.dice.choice(sorted(BATCHES))
    part = next(part for part in spoilt.parts() if "batch" in part)
    if part["batch"] == Text(other):
        return ""
    part["batch"] = Text(other)
    spoilt.draft.fields["panel"].places = ("entry", "column")
    return f"foreign batch: {other}"


def _each_panel(spoilt: Spoilt, change: Callable[[str], str]) -> None:
    for part in spoilt.parts():
        cell = part.get("panel")
        if isinstance(cell, Text):
            part["panel"] = Text(change(cell.text))


def unknown_panel(spoilt: Spoilt) -> str:
    """No such panel is registered."""
    if spoilt.flavour not in PER_PANEL:
        return ""
    number = PANELS_OF_A_BATCH + spoilt.dice.randint(1, 60)
    _each_panel(spoilt, lambda text: f"{text[:-2]}{number + int(text[-2:]) % 13:02d}")
    return "unknown panel"


def slipped_id(spoilt: Spoilt) -> str:
    """An id has a letter for a digit, or a mark too many, and fits no pattern."""
    way = spoilt.dice.choice(("O", "double", "short"))
    key = spoilt.draft.id_key
    part = next((part for part in spoilt.parts() if isinstance(part.get(key), Text)), None)
    if part is None:
        return ""
    cell = part[key]
    assert isinstance(cell, Text)
    part[key] = Text(
        {
            "O": cell.text.replace("0", "O", 1),
            "double": cell.text.replace("-0", "-00", 1),
            "short": cell.text[1:],
        }[way]
    )
    if key == "panel":
        spoilt.draft.fields.pop("batch", None)
        for one in spoilt.parts():
            one.pop("batch", None)
    return f"slipped id: {part[key].text}"  # type: ignore[union-attr]


def other_name(spoilt: Spoilt) -> str:
    """The file is named after another panel, or batch, than the one it speaks of."""
    if spoilt.flavour in REGISTER:
        return ""
    key = spoilt.draft.id_key
    said = {cell.text for part in spoilt.parts() if isinstance(cell := part.get(key), Text)}
    every = (
        [panel.id for batch in batches() for panel in batch.panels]
        if key == "panel"
        else sorted(BATCHES)
    )
    spoilt.name = spoilt.dice.choice([one for one in every if one not in said])
    spoilt.draft.fields[key].places = ("entry", "column")
    return f"other name: {spoilt.name}"
