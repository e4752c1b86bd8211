"""What a person is asked of a layout."""

from __future__ import annotations

from dataclasses import dataclass

UNITS = {  # what the trade measures a dimension in, the likeliest first
    "um": ("um", "mil", "mm"),
    "MPa": ("MPa", "N/mm2", "psi", "bar", "kgf/cm2"),
    "N": ("N", "kN", "lbf", "kgf"),
    "mm": ("mm", "in", "cm"),
    "cm**2": ("cm2", "mm2", "in2"),
    "ohm": ("ohm", "kohm", "Mohm"),
    "Hz": ("Hz", "kHz"),
    "Pa*s": ("Pa s", "mPa s", "cP"),
    "Pa": ("Pa", "mPa"),
    "g/cm**3": ("g/cm3", "kg/m3", "lb/gal"),
    "degC": ("°C", "°F"),
    "s": ("s", "min", "h"),
    "h": ("h", "d", "min", "s"),
    "percent": ("%",),
    "deg": ("deg", "rad"),
}


@dataclass(frozen=True)
class Question:
    """Something that the file does not say.

    Parameters
    ----------
    key
        By which it is answered: `area_cm2`, `column:Im`, `unit:Im`, `sign:Im`, `dates`, `decimal`,
        `kind`.
    text
        The question in plain words.
    options
        Answers that are likely, the likeliest first; a value of its own is allowed where `free`.
    """

    key: str
    text: str
    options: tuple[str, ...] = ()
    free: bool = False
