"""Values that cannot be, or not beside their neighbours."""

from __future__ import annotations

from .cells import Cell, Number, Text
from .spoilt import Spoilt

SLIPS = {
    "impedance": ("modulus", "imag"),
    "density": ("density",),
    "foam": ("foam",),
    "pull_off": ("strength", "force"),
    "gloss": ("gloss",),
    "film_thickness": ("thickness",),
    "viscosity": ("viscosity", "stress"),
    "flow_cup": ("temperature",),
    "chamber_record": ("temperature", "ph"),
    "batches": ("dose",),
    "panels": ("thickness",),
}


def slipped(spoilt: Spoilt) -> str:
    """One value is ten or a hundred times too great, for its bounds or for its neighbours."""
    keys = [key for key in SLIPS.get(spoilt.flavour, ()) if key in spoilt.draft.fields]
    if spoilt.has("form logs", "form admittance") or not keys:
        return ""
    key = keys[0]
    part = _middle(spoilt, key)
    if part is None:
        return ""
    number = part[key]
    assert isinstance(number, Number)
    factor = 100 if spoilt.flavour == "batches" else 10
    if number.value == 0 or (
        spoilt.flavour == "density"
        and number.value > 20
        and "kg/m" not in spoilt.draft.fields[key].unit
    ):
        return ""
    part[key] = _times(number, factor)
    return f"slipped: {key} {number.text} -> {part[key].text}"  # type: ignore[union-attr]


def _middle(spoilt: Spoilt, key: str) -> dict[str, Cell] | None:
    """Return a row from the midst; of few rows none, for their neighbours say too little."""
    holding = [part for part in spoilt.parts() if isinstance(part.get(key), Number)]
    by_bounds = spoilt.flavour in {"density", "flow_cup", "chamber_record", "batches"}
    if by_bounds:
        return holding[-1] if holding else None
    sizes = [len(group.rows) for group in spoilt.draft.groups]
    if spoilt.flavour == "panels":
        return holding[1] if len(holding) >= 4 else None
    if min(sizes) < (9 if spoilt.flavour == "impedance" else 3):
        return None
    rows = spoilt.draft.groups[0].rows
    if spoilt.flavour == "gloss" and spoilt.has("1 spots"):
        return None
    if spoilt.flavour == "impedance":  # where the film blocks, so that this part is the greater
        return rows[len(rows) // 4]
    return rows[len(rows) // 2]


def _times(number: Number, factor: float) -> Number:
    mantissa, letter, exponent = number.text.replace("e", "E").partition("E")
    if letter:
        return Number(f"{mantissa}E{int(exponent) + (2 if factor == 100 else 1):+03d}")
    decimals = len(mantissa.partition(".")[2])
    return Number(f"{float(mantissa) * factor:.{decimals}f}")


def sign_lost(spoilt: Spoilt) -> str:
    """The imaginary part, or the phase, is positive under a title that says nothing of it."""
    if not spoilt.has("form parts", "form polar", "form all", "form polar rad"):
        return ""
    for row in spoilt.rows():
        for key in ("imag", "phase"):
            if isinstance(number := row.get(key), Number):
                row[key] = Number(number.text.lstrip("-"))
    return "sign lost: imaginary part and phase are positive"


def negative(spoilt: Spoilt) -> str:
    """One value is below zero, which it cannot be."""
    keys = {
        "gloss": "gloss",
        "film_thickness": "thickness",
        "pull_off": "strength",
        "density": "density",
        "foam": "foam",
        "flow_cup": "efflux",
    }
    key = keys.get(spoilt.flavour, "")
    rows = [row for row in spoilt.rows() if isinstance(row.get(key), Number)]
    if not rows:
        return ""
    row = spoilt.dice.choice(rows)
    number = row[key]
    assert isinstance(number, Number)
    row[key] = Number(f"-{number.text}")
    return f"negative: {key}"


def bad_notation(spoilt: Spoilt) -> str:
    """A rating, a failure or a role is none that there is."""
    wrong = {
        "pull_off": ("failure", ("60 % B, 30 % C", "60 % B", "100 % Q")),
        "exposure_rating": ("rating", ("Ri 7", "3(S9)", "8(S2)")),
        "batches": ("role", ("maybe", "half")),
    }
    key, texts = wrong.get(spoilt.flavour, ("", ("",)))
    if spoilt.flavour == "exposure_rating" and "rust" in spoilt.draft.fields:
        key, texts = "rust", ("Ri 7", "Ri 12")
    rows = [row for row in spoilt.rows() if key in row]
    if not rows:
        return ""
    spoilt.dice.choice(rows)[key] = Text(spoilt.dice.choice(texts))
    return f"bad notation: {key}"


def twice(spoilt: Spoilt) -> str:
    """The same determination stands there twice, with two values."""
    keys = {"pull_off": "determination", "gloss": "spot", "film_thickness": "spot"}
    key = keys.get(spoilt.flavour, "")
    value = {"pull_off": "failure", "gloss": "gloss", "film_thickness": "thickness"}.get(
        spoilt.flavour, ""
    )
    group = spoilt.draft.groups[0]
    rows = [
        row for row in group.rows if key in row and row.get("angle") == group.rows[0].get("angle")
    ]
    if len(rows) < 2 or rows[0].get(value) == rows[1].get(value) or value not in rows[0]:
        return ""
    rows[1][key] = rows[0][key]
    return f"twice: {key} {rows[0][key].text}"  # type: ignore[union-attr]


def other_angle(spoilt: Spoilt) -> str:
    """The gloss was read at an angle that its standard does not have."""
    if spoilt.flavour != "gloss":
        return ""
    parts = [part for part in spoilt.parts() if isinstance(part.get("angle"), Number)]
    old = parts[0]["angle"]
    for part in parts:
        if part["angle"] == old:
            part["angle"] = Number("46")
    return "other angle: 46 degrees"
