"""Times that contradict the register or the clock, or can be read in two ways."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

from . import units
from .cells import Moment, Number
from .spoilt import REGISTER, Spoilt
from .style import OPEN

ONE_DAY_MONTH = {"density", "foam", "viscosity", "flow_cup", "pull_off", "gloss", "film_thickness"}
ALL_DAY_WORDS = {word for words in units.DAY_WORDS.values() for word in words}


def _moved(spoilt: Spoilt, move: Callable[[datetime], datetime]) -> bool:
    moved = False
    for part in spoilt.parts():
        cell = part.get("measured")
        if isinstance(cell, Moment):
            part["measured"] = replace(cell, at=move(cell.at))
            moved = True
    return moved


def before_coating(spoilt: Spoilt) -> str:
    """It was measured before the panel was coated, or the batch was mixed."""
    if spoilt.flavour in REGISTER or not _moved(spoilt, lambda at: at - timedelta(days=364)):
        return ""
    return "before coating: a year too early"


def in_future(spoilt: Spoilt) -> str:
    """It was measured in a year that is still to come."""
    if spoilt.flavour in REGISTER or not _moved(spoilt, lambda at: at.replace(year=2044)):
        return ""
    return "in the future: 2044"


def day_or_month(spoilt: Spoilt) -> str:
    """No date in the file says whether the day or the month comes first."""
    if spoilt.flavour not in ONE_DAY_MONTH or spoilt.style.medium == "book":
        return ""
    day, month = spoilt.dice.choice(((9, 10), (10, 9), (11, 12), (12, 10), (10, 11)))
    if not _moved(spoilt, lambda at: at.replace(month=month, day=day)):
        return ""
    spoilt.style.dates = OPEN
    return "day or month: no day above 12"


def other_exposure(spoilt: Spoilt) -> str:
    """The stated exposure is a tenth of what the dates of file and register say."""
    key = {"impedance": "exposure", "exposure_rating": "hours"}.get(spoilt.flavour, "")
    if not key or "measured" not in spoilt.draft.fields:
        return ""
    done = False
    for group in spoilt.draft.groups:
        number = group.constants.get(key)
        days = spoilt.draft.fields[key].unit in {
            word for words in units.DAY_WORDS.values() for word in words
        }
        if isinstance(number, Number) and number.value * (24 if days else 1) >= 240:
            group.constants[key] = Number(f"{number.value / 10:.1f}")
            done = True
    return "other exposure: a tenth of what the dates say" if done else ""
