"""Sheets of the register: batches that are new to the lab, and panels of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random
from typing import Any

from . import units
from .cells import Cell, Moment, Text, Unit, fixed
from .common import passed_over
from .draft import Draft, Group, Maker
from .register import utc
from .words import word

SYSTEMS = ("epoxy primer, 2 coats", "2 x EP primer + PUR topcoat", "EP primer 160 µm / PUR 60 µm")
SUBSTRATES = ("steel Sa 2½", "steel, blasted", "S235 Sa 2.5", "galvanised steel, swept")
MARCH = datetime(2025, 3, 1)  # noqa: DTZ001 - a local time, as all of an export
FEBRUARY = datetime(2025, 2, 1)  # noqa: DTZ001
RECIPES = ("E-40", "E-41", "EP 7/2", "primer base B")


def _new_batch(dice: Random) -> str:
    return f"M25-{dice.randint(1, 900):04d}{dice.choice('ABCDEF')}"


def batches_draft(dice: Random, language: str) -> Draft:
    """Draw a list of batches."""
    maker = Maker(dice, language)
    unit = units.PERMILLE if maker.chance(0.08) else units.PERCENT
    clock = maker.chance(0.2)
    fields = {"batch": maker.field("ids.batch", places=("column",))}
    fields["recipe"] = maker.field("register.recipe")
    fields["candidate"] = maker.field("register.candidate")
    fields["dose"] = maker.field("register.dose", unit, percent=unit is units.PERCENT)
    fields["role"] = maker.field("register.role")
    if dated := maker.chance(0.6):
        fields["mixed"] = maker.field("register.mixed_on")
    if noted := maker.chance(0.3):
        fields["note"] = maker.field("other.remark")
    words = {role: word(dice, f"role.{role}", language) for role in ("control", "candidate")}
    filler = dice.choice(("filler F1", "talc 20", "micaceous iron oxide", "barytes B"))
    recipe = dice.choice(RECIPES)
    rows: list[dict[str, Cell]] = []
    truth: list[dict[str, Any]] = []
    identities = sorted({_new_batch(dice) for _ in range(dice.randint(2, 7))})
    for n, identity in enumerate(identities):
        role = "control" if n == 0 else "candidate"
        dose = fixed(unit.of(0 if n == 0 else 2.5 * n), 1)
        day = FEBRUARY + timedelta(days=n + dice.randrange(25), hours=9 if clock else 0)
        moment = Moment(day, "both" if clock else "date")
        row: dict[str, Cell] = {"batch": Text(identity), "recipe": Text(recipe), "dose": dose}
        row |= {"candidate": Text(filler) if n else None, "role": Text(words[role])}
        said: dict[str, Any] = {
            "batch": identity,
            "panel": None,
            "recipe": recipe,
            "candidate": filler if n else None,
            "dose_percent": unit.back(dose),
            "role": role,
        }
        if dated:
            row["mixed"], said["mixed_on"] = moment, utc(moment.at)
        if noted:
            text = "second drum" if n % 2 else None
            row["note"], said["note"] = Text(text) if text else None, text
        rows.append(row)
        truth.append(said)
    group = Group({}, rows)
    found = Draft("batches", "batches", language, fields, [group], truth, ("flat",), "batch")
    found.distractors = passed_over(maker, ("Study", "bridge girder primer"))
    found.traits = [f"unit {fields['dose'].unit}"] + ["dated"] * dated
    return found


@dataclass
class PanelList:
    """What is drawn once for a list of panels."""

    maker: Maker

    def __post_init__(self) -> None:
        """Choose the fields, and what is the same for all."""
        maker, dice = self.maker, self.maker.dice
        self._unit: Unit = dice.choice(units.THICKNESS)
        optional = {
            "batch": (0.7, maker.field("ids.batch")),
            "substrate": (1, maker.field("register.substrate")),
            "system": (1, maker.field("register.coat_system")),
            "thickness": (0.7, maker.field("impedance.thickness", self._unit)),
            "coated": (1, maker.field("register.coated_on")),
            "immersed": (0.5, maker.field("register.immersed_at")),
            "note": (0.3, maker.field("other.remark")),
        }
        self.bare = maker.chance(0.1)  # panel, batch and coat system alone
        self.fields = {"panel": maker.field("ids.panel", places=("column",))}
        for key, (share, field) in optional.items():
            if maker.chance(share) and (not self.bare or key in {"batch", "system"}):
                self.fields[key] = field
        self._substrate, self._system = dice.choice(SUBSTRATES), dice.choice(SYSTEMS)

    def of_batch(self, batch: str) -> tuple[Group, list[dict[str, Any]]]:
        """Return the panels of a batch, and what is said of them."""
        dice = self.maker.dice
        coated = MARCH + timedelta(days=dice.randrange(29))
        constants: dict[str, Cell] = {
            "batch": Text(batch),
            "system": Text(self._system),
            "substrate": Text(self._substrate),
            "coated": Moment(coated, "date"),
        }
        rows, truth = [], []
        for number in range(1, dice.randint(2, 5) + 1):
            row, said = self._panel(f"{batch}_{number:02d}", coated)
            rows.append(self._kept(row))
            said |= {"batch": batch, "coat_system": self._system}
            if "substrate" in self.fields:
                said |= {"substrate": self._substrate, "coated_on": utc(coated)}
            truth.append(said)
        return Group(self._kept(constants), rows), truth

    def _kept(self, cells: dict[str, Cell]) -> dict[str, Cell]:
        return {key: cell for key, cell in cells.items() if key in self.fields}

    def _panel(self, panel: str, coated: datetime) -> tuple[dict[str, Cell], dict[str, Any]]:
        dice = self.maker.dice
        thickness = fixed(
            self._unit.of(dice.uniform(160, 240)), units.THICKNESS_DECIMALS[self._unit.factor]
        )
        at = coated + timedelta(days=10, hours=9, minutes=dice.randrange(60))
        note = "scratch at the edge" if panel.endswith("_02") else None
        row: dict[str, Cell] = {
            "panel": Text(panel),
            "thickness": thickness,
            "immersed": Moment(at),
            "note": Text(note) if note else None,
        }
        told = {
            "thickness": ("thickness_um", self._unit.back(thickness)),
            "immersed": ("immersed_at", utc(at)),
            "note": ("note", note),
        }
        said = dict(value for key, value in told.items() if key in self.fields)
        return row, {"panel": panel, **said}


def panels_draft(dice: Random, language: str) -> Draft:
    """Draw a list of panels."""
    maker = Maker(dice, language)
    listed = PanelList(maker)
    groups, truth = [], []
    for batch in sorted({_new_batch(dice) for _ in range(dice.randint(1, 3))}):
        group, said = listed.of_batch(batch)
        groups.append(group)
        truth += said
    shapes = ("flat", "flat", "blocks")
    found = Draft("panels", "panels", language, listed.fields, groups, truth, shapes, "batch")
    found.distractors = passed_over(maker, ("Study", "bridge girder primer"))
    found.traits = [key for key in ("thickness", "immersed") if key in listed.fields]
    found.traits += ["bare"] if listed.bare else []
    return found
