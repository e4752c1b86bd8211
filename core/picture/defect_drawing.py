"""A photograph in transmitted light with what was found on it, for a person to see and contest."""

from __future__ import annotations

from typing import Final

import numpy as np

from tiecoat.picture.defects import CLASSES, Class, FoundDefects
from tiecoat.picture.regions import (
    BLUE,
    ORANGE,
    PURPLE,
    SKY,
    YELLOW,
    Colour,
    Pixels,
    captioned,
    outlined,
)

COLOURS: Final[dict[Class, tuple[str, Colour]]] = {
    "pinhole": ("orange", ORANGE),
    "crater": ("light blue", SKY),
    "bare spot": ("purple", PURPLE),
    "thin spot": ("yellow", YELLOW),
}


def drawn(pixels: Pixels, defects: FoundDefects, pixel_mm: float, title: str) -> Pixels:
    """Return the picture with outlines and a caption.

    Parameters
    ----------
    pixels
        As taken, shape (rows, columns, 3).
    defects
        What was found on it.
    pixel_mm
        Size of a pixel in mm.
    title
        First words of the caption.
    """
    picture = outlined(pixels, defects.film, BLUE)
    for name, (_, colour) in COLOURS.items():
        chosen = np.concatenate([[False], defects.classes == name])
        if chosen.any():
            picture = outlined(picture, chosen[defects.labels], colour)
    dm2 = float(defects.film.sum()) * pixel_mm**2 / 1e4
    counts = ", ".join(f"{name} {defects.count(name)} ({COLOURS[name][0]})" for name in CLASSES)
    least = defects.least_diameter_px * pixel_mm
    return captioned(
        picture,
        (
            title,
            f"on {dm2:.3g} dm² (dark blue), from {least:.2g} mm: {counts}",
            *defects.remarks,
        ),
    )
