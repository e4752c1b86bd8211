"""Each measurement against the register and the clock: what contradicts them, in plain words.

Pure: what the register knows comes in, what was found goes out. What is done about it, the lab
sets in [checks] (`judged`). A register may come later than a measurement: what was filed as "not in
the register" keeps that remark in its rows; who counts and uses remarks leaves it out by then
(`tiecoat.remarks.without_unregistered`). Dates that a later register brings are not checked again.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from tiecoat.lab.settings import CheckSettings
from tiecoat.reasons import Fault, Reason
from tiecoat.remarks import Remark

LEEWAY = timedelta(days=1)  # by which the clock of an instrument may be ahead
THICK_BY = 3.0  # nearer than by this factor the thickness of the register is no contradiction
UNIT_BY = 8.0  # by more it is one of units, if it holds of all readings of a panel
OFF_BY, OFF_BY_H = 0.1, 2.0  # a stated exposure contradicts by more than both
DAY_H = 24.0  # more, where a date stands without its time
IMMERSION = "immersion"  # the exposure that the register has the begin of
_COAT = re.compile(r"coat (\d+)")

REASONS: Mapping[Remark, Reason] = {
    Remark.UNREGISTERED_PANEL: Reason.NOT_REGISTERED,
    Remark.UNREGISTERED_BATCH: Reason.NOT_REGISTERED,
    Remark.FUTURE: Reason.IN_FUTURE,
    Remark.BEFORE_MADE: Reason.BEFORE_MADE,
    Remark.EXPOSURE: Reason.AGAINST_REGISTER,
    Remark.BEFORE_COAT: Reason.AGAINST_REGISTER,
    Remark.CORRECTED: Reason.AGAINST_REGISTER,
}


@dataclass(frozen=True)
class OfPanel:
    """What the register says of a panel; `coats` has the dates of the second coat and on."""

    coated_on: datetime | None = None
    immersed_at: datetime | None = None
    thickness_um: float | None = None  # of the whole system, dry
    coats: Mapping[int, datetime] = field(default_factory=dict)


@dataclass(frozen=True)
class OfBatch:
    """What the register says of a batch."""

    mixed_on: datetime | None = None


@dataclass(frozen=True)
class Stated:
    """What a measurement says of itself; `row` and `sheet` are where it begins in its file.

    `exposure` is what it was exposed to, and None where its kind knows one exposure only.
    """

    batch: str
    panel: str | None
    measured_at: datetime | None
    exposure_h: float | None = None
    exposure: str | None = None
    coat: str | None = None
    state: str | None = None
    row: int | None = None
    sheet: str | None = None


@dataclass(frozen=True)
class Oddity:
    """What is odd: as a remark with its words, and as found against expected."""

    remark: Remark
    words: str
    found: str
    expected: str


def oddities(
    stated: Stated,
    panel: OfPanel | None,
    batch: OfBatch | None,
    now: datetime,
    zone: ZoneInfo,
) -> Iterator[Oddity]:
    """Yield what contradicts the register or the clock.

    Parameters
    ----------
    panel, batch
        What the register says; None where it does not know them.
    now
        When it is filed.
    zone
        Of the lab: a time at its midnight is taken for a date alone.
    """
    yield from _unregistered(stated, panel, batch)
    at = stated.measured_at
    if at is None:
        return
    if at > now + LEEWAY:
        words = f"measured at {_shown(at, zone)}, filed at {_shown(now, zone)}"
        yield Oddity(Remark.FUTURE, words, _shown(at, zone), f"not after {_shown(now, zone)}, now")
        return
    yield from _before_made(at, panel, batch, zone)
    if panel:
        yield from _exposure(stated, at, panel, zone)
        yield from _before_coat(stated, at, panel, zone)


def _unregistered(stated: Stated, panel: OfPanel | None, batch: OfBatch | None) -> Iterator[Oddity]:
    """A panel is registered with its batch; wet paint needs the batch alone."""
    if stated.panel is not None and panel is None:
        remark, whose = Remark.UNREGISTERED_PANEL, f"panel {stated.panel}"
    elif stated.panel is None and batch is None:
        remark, whose = Remark.UNREGISTERED_BATCH, f"batch {stated.batch}"
    else:
        return
    yield Oddity(remark, "", whose, "one that the register knows")


def _before_made(
    at: datetime, panel: OfPanel | None, batch: OfBatch | None, zone: ZoneInfo
) -> Iterator[Oddity]:
    coated_on = panel.coated_on if panel else None
    mixed_on = batch.mixed_on if batch else None
    for what, when in (("the panel was coated", coated_on), ("the batch was mixed", mixed_on)):
        if when and _is_before(at, when, zone):
            words = f"measured at {_shown(at, zone)}, {what} {_shown(when, zone)}"
            expected = f"after {what} ({_shown(when, zone)} in the register)"
            yield Oddity(Remark.BEFORE_MADE, words, _shown(at, zone), expected)
            return


def coated_too_early(stated: Stated, batch: OfBatch | None, zone: ZoneInfo) -> Iterator[Oddity]:
    """Yield where a line of the register has a panel coated before its batch was mixed.

    `measured_at` of the line is when the panel was coated.
    """
    at, mixed_on = stated.measured_at, batch.mixed_on if batch else None
    if at and mixed_on and _is_before(at, mixed_on, zone):
        what, when = "the batch was mixed", _shown(mixed_on, zone)
        words = f"coated {_shown(at, zone)}, the batch was mixed {when}"
        expected = f"after {what} ({when} in the register)"
        yield Oddity(Remark.BEFORE_MADE, words, f"coated {_shown(at, zone)}", expected)


def _exposure(stated: Stated, at: datetime, panel: OfPanel, zone: ZoneInfo) -> Iterator[Oddity]:
    begin, hours = panel.immersed_at, stated.exposure_h
    if hours is None:
        return
    if stated.exposure not in (None, IMMERSION):
        yield from _longer_than_coated(hours, at, panel, zone)
        return
    if begin is None:
        return
    registered_h = (at - begin) / timedelta(hours=1)
    leeway_h = OFF_BY_H + (DAY_H if _is_date(at, zone) or _is_date(begin, zone) else 0.0)
    off_h = abs(hours - registered_h)
    if off_h > leeway_h and off_h > OFF_BY * abs(registered_h):
        by = f"{registered_h:.1f} h from {_shown(begin, zone)} (register) to {_shown(at, zone)}"
        found = f"{hours:g} h of exposure"
        yield Oddity(Remark.EXPOSURE, f"{hours:g} h stated, {by}", found, by)


def _longer_than_coated(
    hours: float, at: datetime, panel: OfPanel, zone: ZoneInfo
) -> Iterator[Oddity]:
    """Of other exposures the register has no begin: but none is longer than the coat is there."""
    if panel.coated_on is None:
        return
    there_h = (at - panel.coated_on) / timedelta(hours=1)
    if hours > there_h + OFF_BY_H + DAY_H:
        by = f"{there_h:.1f} h since it was coated on {_shown(panel.coated_on, zone)} (register)"
        found = f"{hours:g} h of exposure"
        yield Oddity(Remark.EXPOSURE, f"{hours:g} h stated, {by}", found, by)


def _before_coat(stated: Stated, at: datetime, panel: OfPanel, zone: ZoneInfo) -> Iterator[Oddity]:
    """The film is the whole coat system, but where the measurement names one of its coats."""
    named = _COAT.fullmatch(stated.coat or "")
    last = int(named[1]) if named else max(panel.coats, default=1)
    for number, when in sorted(panel.coats.items()):
        if number <= last and _is_before(at, when, zone):
            words = f"measured at {_shown(at, zone)}, coat {number} applied {_shown(when, zone)}"
            expected = f"after coat {number} ({_shown(when, zone)} in the register)"
            yield Oddity(Remark.BEFORE_COAT, words, _shown(at, zone), expected)
            return


def thickness_off(stated: Stated, um: float, panel: OfPanel | None) -> float | None:
    """Return by what factor a dry film of all coats is off the register; None if it is not."""
    if panel is None or not panel.thickness_um or stated.state == "wet":
        return None
    if um <= 0 or stated.coat not in (None, "system"):
        return None
    factor = max(um / panel.thickness_um, panel.thickness_um / um)
    return factor if factor > THICK_BY else None


def judged(
    stated: Stated, found: Iterable[Oddity], checks: CheckSettings
) -> tuple[list[Fault], list[str]]:
    """Return the faults for which the lab has it held, and the remarks with which it is filed."""
    faults, remarks = [], []
    for one in found:
        policy = checks.of(one.remark)
        if policy == "hold":
            faults.append(
                Fault(
                    REASONS[one.remark],
                    stated.row,
                    found=one.found,
                    expected=one.expected,
                    sheet=stated.sheet,
                )
            )
        elif policy == "remark":
            remarks.append(one.remark.said(one.words))
    return faults, remarks


def _is_before(at: datetime, made: datetime, zone: ZoneInfo) -> bool:
    if _is_date(at, zone) or _is_date(made, zone):
        return at.astimezone(zone).date() < made.astimezone(zone).date()
    return at < made


def _is_date(moment: datetime, zone: ZoneInfo) -> bool:
    local = moment.astimezone(zone)
    return (local.hour, local.minute, local.second, local.microsecond) == (0, 0, 0, 0)


def _shown(moment: datetime, zone: ZoneInfo) -> str:
    local = moment.astimezone(zone)
    return f"{local:%Y-%m-%d}" if _is_date(moment, zone) else f"{local:%Y-%m-%d %H:%M}"
