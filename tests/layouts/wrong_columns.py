"""Columns under each other's title, or a row too low."""

from __future__ import annotations

from .spoilt import TWICE_SAID, Spoilt

PAIRS: dict[str, tuple[tuple[str, str], ...]] = {
    "impedance": (("real", "imag"), ("modulus", "phase")),
    "density": (("temperature", "density"),),
    "foam": (("liquid", "foam"),),
    "pull_off": (("force", "strength"),),
    "gloss": (("angle", "gloss"), ("spot", "gloss")),
    "film_thickness": (("spot", "thickness"),),
    "viscosity": (("stress", "viscosity"),),
    "exposure_rating": (("damage", "scribe"),),
    "chamber_record": (("temperature", "ph"),),
    "panels": (("coated", "immersed"),),
}


def swapped(spoilt: Spoilt) -> str:
    """Two columns stand under each other's title, and what they say cannot be."""
    possible = [
        pair
        for pair in PAIRS.get(spoilt.flavour, ())
        if all(k in spoilt.draft.fields for k in pair)
    ]
    if spoilt.flavour == "impedance" and not spoilt.has("form parts", "form polar", "form all"):
        return ""
    if spoilt.flavour == "density" and spoilt.draft.fields["density"].unit.startswith("lb"):
        return ""
    if spoilt.flavour != "panels":
        possible = [pair for pair in possible if spoilt.stands_in_rows(*pair)]
    if not possible:
        return ""
    first, second = spoilt.dice.choice(possible)
    for group in spoilt.draft.groups:
        for row in group.rows:
            whole = {**group.constants, **row}
            row[first], row[second] = whole[second], whole[first]
        group.constants.pop(first, None)
        group.constants.pop(second, None)
    return f"swapped: {first} and {second}"


SHIFTED = {
    "impedance": ("real", "imag", "modulus", "phase"),
    "density": ("density", "temperature"),
    "foam": ("foam",),
    "pull_off": ("force", "strength", "failure"),
    "gloss": ("gloss",),
    "film_thickness": ("thickness",),
    "viscosity": ("stress", "viscosity", "rate"),
    "exposure_rating": ("damage", "creep", "rating"),
}


def shifted(spoilt: Spoilt) -> str:
    """One column stands a row too low; its first cell is empty and its last value lost."""
    keys = [key for key in SHIFTED.get(spoilt.flavour, ()) if key in spoilt.draft.fields]
    keys = [key for key in keys if spoilt.stands_in_rows(key)]
    rows = spoilt.rows()
    if not keys or len(rows) < 3 or (spoilt.flavour == "viscosity" and spoilt.has("said in both")):
        return ""  # of three columns one may be missing in a row
    if spoilt.flavour in {"impedance", "pull_off"} and spoilt.has(*TWICE_SAID[spoilt.flavour]):
        return ""
    key = spoilt.dice.choice(keys)
    values = [row[key] for row in rows]
    for row, value in zip(rows, [None, *values[:-1]], strict=True):
        row[key] = value
    spoilt.draft.shapes = tuple(s for s in spoilt.draft.shapes if s not in {"records", "wide"})
    return f"shifted: {key} down by a row"


def rotated(spoilt: Spoilt) -> str:
    """One of columns that say the same twice stands a row too low, its last value on top."""
    if not spoilt.has(*TWICE_SAID.get(spoilt.flavour, ())):
        return ""
    key = {"impedance": "modulus", "pull_off": "force", "viscosity": "viscosity"}[spoilt.flavour]
    rows = spoilt.rows()
    values = [row[key] for row in rows]
    if len(set(values)) < 3:
        return ""
    for row, value in zip(rows, [values[-1], *values[:-1]], strict=True):
        row[key] = value
    return f"rotated: {key} by a row"
