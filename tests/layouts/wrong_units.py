"""Units that are wrong, contradict each other, or are nowhere said."""

from __future__ import annotations

from . import units
from .cells import Number
from .spoilt import TWICE_SAID, Spoilt
from .words import word

NOT_ASSUMED = {
    "impedance": ("exposure", "area"),
    "density": ("elapsed",),
    "foam": ("elapsed", "foam"),
    "pull_off": ("force",),
    "viscosity": ("viscosity",),
    "exposure_rating": ("hours",),
    "batches": ("dose",),
}


def unit_left_out(spoilt: Spoilt) -> str:
    """A unit that has no custom is nowhere said, and nothing else determines it."""
    keys = [key for key in NOT_ASSUMED.get(spoilt.flavour, ()) if key in spoilt.draft.fields]
    if spoilt.has("said in both") or not keys:
        return ""
    key = spoilt.dice.choice(keys)
    field = spoilt.draft.fields[key]
    if key in {"exposure", "hours"} and (
        "measured" in spoilt.draft.fields or field.title in {"Hours", "Stunden"}
    ):
        return ""
    values = [cell.value for part in spoilt.parts() if isinstance(cell := part.get(key), Number)]
    if not any(values):
        return ""
    field.unit, field.percent = "", False
    return f"unit left out: {key}"


OTHER_UNIT: dict[str, tuple[tuple[str, str, str], ...]] = {  # key, unit as said, unit in truth
    "density": (("density", "kg/m³", "g"), ("density", "g/cm³", "kg/m")),
    "film_thickness": (("thickness", "mm", "µ"), ("thickness", "µm", "mm")),
    "panels": (("thickness", "mm", "µ"), ("thickness", "µm", "mm")),
}


def wrong_unit(spoilt: Spoilt) -> str:
    """A title states another unit than its values have: they cannot be, or contradict another."""
    key, said = "", ""
    fields = spoilt.draft.fields
    if spoilt.has(*TWICE_SAID.get(spoilt.flavour, ())):
        key = {"impedance": "modulus", "pull_off": "strength", "viscosity": "viscosity"}[
            spoilt.flavour
        ]
        others = {
            "impedance": ("mOhm", "GOhm"),
            "pull_off": ("psi", "MPa"),
            "viscosity": ("mPa·s", "Pa·s"),
        }
        first, second = others[spoilt.flavour]
        bar = any(
            unit in fields[key].unit.lower()
            for unit in ("psi", "lbf", "bar", "kg", "mpa·", "mpas", "mpa ", "mpa*", "mpa.", "cp")
        )
        said = second if bar else first
    elif spoilt.flavour in OTHER_UNIT:
        for name, other, start in OTHER_UNIT[spoilt.flavour]:
            if name in fields and _spelled_like(fields[name].unit, start):
                key, said = name, other
    if not key or fields[key].unit == said:
        return ""
    old, fields[key].unit, fields[key].bare = fields[key].unit, said, False
    return f"wrong unit: {key} in {said} instead of {old}"


def _spelled_like(unit: str, start: str) -> bool:
    if start == "µ":
        return unit in units.MICROMETRES.spellings
    if start == "g":
        return unit.startswith(("g/", "g cm"))
    return unit.startswith(start) and unit not in units.MILS.spellings


STATED_ELSEWHERE = {
    "impedance": (("real", "MOhm"), ("modulus", "MOhm"), ("frequency", "MHz")),
    "density": (("density", "mg/ml"),),
    "pull_off": (("strength", "kPa"), ("force", "MN")),
    "film_thickness": (("thickness", "nm"),),
    "viscosity": (("viscosity", "kPa·s"), ("stress", "kPa")),
    "panels": (("thickness", "nm"),),
}


def two_units(spoilt: Spoilt) -> str:
    """The title states one unit, a sentence above another."""
    possible = [
        (key, other)
        for key, other in STATED_ELSEWHERE.get(spoilt.flavour, ())
        if key in spoilt.draft.fields
    ]
    if not possible or spoilt.has("form logs", "form admittance", "omega", "ohm cm2"):
        return ""
    key, other = spoilt.dice.choice(possible)
    field = spoilt.draft.fields[key]
    if field.unit.lower().startswith("m") and other.startswith("M"):
        return ""
    joint = word(spoilt.dice, "text.in", spoilt.draft.language)
    spoilt.draft.sentences.append(f"{field.title} {joint} {other}")
    field.bare = False
    if spoilt.style.unit_place == "sentence":
        spoilt.style.unit_place = "round"
    return f"two units: {key} in {field.unit} and in {other}"
