"""The lab that the generated exports belong to: its ids, its batches and panels with their dates.

Ids look like M24-0117A for a batch and M24-0117A_03 for a panel: no built-in default does.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from random import Random
from zoneinfo import ZoneInfo

ZONE = ZoneInfo("Europe/Berlin")
BATCH = "M[0-9]{2}-[0-9]{4}[A-F]"
PANEL = "(?P<batch>M[0-9]{2}-[0-9]{4}[A-F])_[0-9]{2}"
FIRST_MIXED = datetime(2024, 1, 15, 9, 30)  # noqa: DTZ001 - local, as all times of the lab
PANELS_OF_A_BATCH = 12


@dataclass(frozen=True)
class Panel:
    """A registered panel; times are local."""

    id: str
    batch: str
    thickness_um: float
    coated_on: datetime
    immersed_at: datetime


@dataclass(frozen=True)
class Batch:
    """A registered batch; times are local."""

    id: str
    candidate: str
    dose_percent: float
    mixed_on: datetime
    panels: tuple[Panel, ...]


@cache
def batches() -> tuple[Batch, ...]:
    """Return the batches of the lab."""
    dice = Random(20240117)
    found = []
    for n in range(10):
        identity = f"M24-{101 + 8 * n + dice.randrange(8):04d}{dice.choice('ABCDEF')}"
        mixed = FIRST_MIXED + timedelta(days=11 * n + dice.randrange(9))
        panels = []
        for number in range(1, PANELS_OF_A_BATCH + 1):
            coated = (mixed + timedelta(days=dice.randrange(1, 4))).replace(hour=0, minute=0)
            immersed = coated + timedelta(days=dice.randrange(8, 15), hours=10)
            thickness = round(170 + 20 * dice.random() + 5 * n)
            panels.append(Panel(f"{identity}_{number:02d}", identity, thickness, coated, immersed))
        dose = 0.0 if n == 0 else [0.5, 1.0, 1.5, 2.0, 3.0][n % 5]
        candidate = "" if n == 0 else f"filler {'KLMNOPQRS'[n - 1]}"
        found.append(Batch(identity, candidate, dose, mixed, tuple(panels)))
    return tuple(found)


def sheet() -> str:
    """Return the register as the lab's own demo sheets write it, batches and panels in one."""
    lines = ["Batch;Recipe;Candidate;Dose (%);Role;Mixed on;Note"]
    for batch in batches():
        role = "candidate" if batch.candidate else "control"
        lines.append(
            f"{batch.id};two-pack epoxy primer;{batch.candidate};{batch.dose_percent:.1f};{role};"
            f"{batch.mixed_on:%Y-%m-%d};"
        )
    return "\n".join(lines) + "\n"


def panel_sheet() -> str:
    """Return the sheet of panels."""
    lines = ["Panel;Batch;Substrate;Coat system;Dry film (µm);Coated on;Immersed at;Note"]
    for batch in batches():
        for panel in batch.panels:
            lines.append(
                f"{panel.id};{panel.batch};steel, blasted Sa 2½;epoxy primer, 2 coats;"
                f"{panel.thickness_um:.0f};{panel.coated_on:%Y-%m-%d};"
                f"{panel.immersed_at:%Y-%m-%d %H:%M};"
            )
    return "\n".join(lines) + "\n"


def utc(local: datetime) -> datetime:
    """Return a time of the lab in UTC."""
    return local.replace(tzinfo=ZONE).astimezone(ZoneInfo("UTC"))


def later(dice: Random, start: datetime, days_from: int, days_to: int) -> datetime:
    """Return a working minute some days after a time."""
    day = start + timedelta(days=dice.randint(days_from, days_to))
    return day.replace(hour=dice.randint(7, 17), minute=dice.randrange(60), second=0)
