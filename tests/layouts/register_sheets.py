"""Sheets of the register: batches that are new to the lab, and panels of them."""

from __future__ import annotations

from datetime import datetime, timedelta
from random import Random
from typing import Any

from . import units
from .cells import Cell, Moment, Text, fixed
from .common import passed_over
from .draft import Draft, Group, Maker
from .register import utc
from .words import word

SYSTEMS = ("epoxy primer, 2 coats", "2 x EP primer + PUR topcoat", "EP primer 160 µm / PUR 60 µm")
SUBSTRATES = ("steel Sa 2½", "steel, blasted", "S235 Sa 2.5", "galvanised steel, swept")
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
        day = datetime(2025, 2, 1) + timedelta(days=n + dice.randrange(25), hours=9 if clock else 0)
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


def panels_draft(dice: Random, language: str) -> Draft:
    """Draw a list of panels."""
    maker = Maker(dice, language)
    unit = dice.choice(units.THICKNESS)
    fields = {"panel": maker.field("ids.panel", places=("column",))}
    if maker.chance(0.7):
        fields["batch"] = maker.field("ids.batch")
    fields["substrate"] = maker.field("register.substrate")
    fields["system"] = maker.field("register.coat_system")
    if thick := maker.chance(0.7):
        fields["thickness"] = maker.field("impedance.thickness", unit)
    fields["coated"] = maker.field("register.coated_on")
    if immersed := maker.chance(0.5):
        fields["immersed"] = maker.field("register.immersed_at")
    if noted := maker.chance(0.3):
        fields["note"] = maker.field("other.remark")
    if bare := maker.chance(0.1):  # panel, batch and coat system alone
        fields = {key: fields[key] for key in ("panel", "batch", "system") if key in fields}
        thick = immersed = noted = False
    substrate, system = Text(dice.choice(SUBSTRATES)), Text(dice.choice(SYSTEMS))
    groups, truth = [], []
    for batch in sorted({_new_batch(dice) for _ in range(dice.randint(1, 3))}):
        coated = datetime(2025, 3, 1) + timedelta(days=dice.randrange(29))
        rows: list[dict[str, Cell]] = []
        for number in range(1, dice.randint(2, 5) + 1):
            panel = f"{batch}_{number:02d}"
            row: dict[str, Cell] = {"panel": Text(panel)}
            said: dict[str, Any] = {"panel": panel, "batch": batch, "coat_system": system.text}
            if not bare:
                said |= {"substrate": substrate.text, "coated_on": utc(coated)}
            if thick:
                decimals = {1.0: 0, 25.4: 1, 1000.0: 3}[unit.factor]
                row["thickness"] = dry = fixed(unit.of(dice.uniform(160, 240)), decimals)
                said["thickness_um"] = unit.back(dry)
            if immersed:
                at = coated + timedelta(days=10, hours=9, minutes=dice.randrange(60))
                row["immersed"], said["immersed_at"] = Moment(at), utc(at)
            if noted:
                text = "scratch at the edge" if number == 2 else None
                row["note"], said["note"] = Text(text) if text else None, text
            rows.append(row)
            truth.append(said)
        constants: dict[str, Cell] = {"system": system}
        if not bare:
            constants |= {"substrate": substrate, "coated": Moment(coated, "date")}
        if "batch" in fields:
            constants["batch"] = Text(batch)
        groups.append(Group(constants, rows))
    found = Draft(
        "panels", "panels", language, fields, groups, truth, ("flat", "flat", "blocks"), "batch"
    )
    found.distractors = passed_over(maker, ("Study", "bridge girder primer"))
    found.traits = ["thickness"] * thick + ["immersed"] * immersed + ["bare"] * bare
    return found
