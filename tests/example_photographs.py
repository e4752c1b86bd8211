"""Invented photographs for the example: films before a lamp, and panels from the salt spray."""

from __future__ import annotations

import random
import struct
import zlib
from collections.abc import Sequence

import numpy as np
from example_formats import INVENTED
from example_truth import RECIPES, SEED, Recipe
from numpy.typing import NDArray
from photographs import Pixels, Spot, exposed, film, scattered

FILM_MM = (52.0, 36.0)
FILM_PIXEL_MM = 0.1
PANEL_MM = (70.0, 100.0)
PANEL_PIXEL_MM = 0.4
SCRIBE_MM = (18.0, 40.0, 48.0, 86.0)
STEP = 3  # of grey: a camera sees more, the file would be larger

LIT = (("RB-010", 1), ("RB-010", 2), ("RB-018", 1), ("RB-018", 2))
SPRAYED = (
    ("RB-010", 1, 240),
    ("RB-010", 1, 480),
    ("RB-010", 2, 480),
    ("RB-016", 1, 480),
    ("RB-016", 2, 480),
)
NOTED = ("RB-018", 2)  # its scale stands in notes beside it
BY_BATCH = {recipe.batch: recipe for recipe in RECIPES}


def defects(recipe: Recipe, place: int) -> list[Spot]:
    """Return the holes in a film: the more air the paint held, the more."""
    rng = random.Random(f"{SEED} lit {recipe.batch} {place}")
    pinholes = round(8 * recipe.air / 0.026 + rng.uniform(-1.5, 1.5))
    craters, thin = round(rng.uniform(0, 1) + 30 * recipe.air), round(rng.uniform(1, 3))
    places = scattered(rng, pinholes + craters + thin, FILM_MM, 2.5)
    spots = [Spot(*at, rng.uniform(0.34, 0.46), 30.0) for at in places[:pinholes]]
    spots += [
        Spot(*at, rng.uniform(1.0, 1.6), 2.2, 0.75) for at in places[pinholes : pinholes + craters]
    ]
    return spots + [Spot(*at, rng.uniform(0.8, 1.5), 1.7) for at in places[pinholes + craters :]]


def rust(recipe: Recipe, place: int, exposure_h: int) -> list[Spot]:
    """Return the rusted spots of a panel: the more pores the film has, the more."""
    rng = random.Random(f"{SEED} sprayed {recipe.batch} {place}")
    most = 24 * 10 ** (0.5 * (recipe.pores_lg + 9.3)) * rng.uniform(0.8, 1.2)
    places = scattered(rng, 40, PANEL_MM, 5.5)
    sizes = [rng.uniform(2.0, 4.5) for _ in places]
    grown = exposure_h / 480
    count = round(most * grown)
    return [Spot(*at, size * grown**0.5, 1.0) for at, size in zip(places, sizes, strict=True)][
        :count
    ]


def transmitted(recipe: Recipe, place: int) -> Pixels:
    """Return the photograph of a film before the lamp."""
    return film(
        defects(recipe, place),
        FILM_MM,
        pixel_mm=FILM_PIXEL_MM,
        border_mm=4.0,
        angle_deg=1.5 * place - 2,
        noise=0.7,
        wave=(0.02 + recipe.air, 4.5),
        seed=recipe.number * 10 + place,
    )


def sprayed(recipe: Recipe, place: int, exposure_h: int) -> Pixels:
    """Return the photograph of a scribed panel."""
    return exposed(
        rust(recipe, place, exposure_h),
        PANEL_MM,
        pixel_mm=PANEL_PIXEL_MM,
        border_mm=8.0,
        angle_deg=2.0 * place - 3,
        scribe=SCRIBE_MM,
        noise=0.7,
        seed=recipe.number * 1000 + place * 100,
    ).pixels


def png(pixels: Pixels, pixel_mm: float | None) -> bytes:
    """Return the picture as PNG: grey where it is, coarse in grey, with a scale where one is given.

    Written here, so that the bytes do not depend on the version of a library of pictures.
    """
    steps = (pixels.astype(np.int64) + STEP // 2) // STEP * STEP
    coarse: Pixels = np.clip(steps, 0, 255).astype(np.uint8)
    is_grey = bool((pixels == pixels[..., :1]).all())
    lines: NDArray[np.uint8] = coarse[..., 0] if is_grey else coarse.reshape(len(coarse), -1)
    head = struct.pack(
        ">IIBBBBB", pixels.shape[1], pixels.shape[0], 8, 0 if is_grey else 2, 0, 0, 0
    )
    data = b"".join(b"\x00" + line.tobytes() for line in lines)
    chunks = [(b"IHDR", head), (b"tEXt", b"Comment\x00" + INVENTED.encode("latin-1"))]
    if pixel_mm is not None:
        per_m = round(1000 / pixel_mm)
        chunks.append((b"pHYs", struct.pack(">IIB", per_m, per_m, 1)))
    chunks += [(b"IDAT", zlib.compress(data, 9)), (b"IEND", b"")]
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(body)) + name + body + struct.pack(">I", zlib.crc32(name + body))
        for name, body in chunks
    )


def exports(
    lit: Sequence[tuple[str, int]] = LIT, salted: Sequence[tuple[str, int, int]] = SPRAYED
) -> dict[str, bytes]:
    """Return path below the inbox -> content, the notes beside pictures too."""
    files = {}
    for batch, place in lit:
        noted = (batch, place) == NOTED
        path = f"transmitted light/{batch}-{place}.png"
        files[path] = png(transmitted(BY_BATCH[batch], place), None if noted else FILM_PIXEL_MM)
        if noted:
            notes = f"# {INVENTED}\num_per_pixel = {1000 * FILM_PIXEL_MM:g}\n"
            files[f"{path}.toml"] = notes.encode()
    for batch, place, hours in salted:
        path = f"salt spray photographs/{batch}-{place} {hours} h.png"
        files[path] = png(sprayed(BY_BATCH[batch], place, hours), PANEL_PIXEL_MM)
    return files
