"""Invented photographs whose truth is known: films before a lamp, and panels from a salt spray."""

from __future__ import annotations

import io
import math
import random
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image
from scipy import ndimage

Pixels = NDArray[np.uint8]
Reals = NDArray[np.float64]


@dataclass(frozen=True)
class Spot:
    """A round spot: place and diameter in mm, light over that of the film, rim over the film."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    light: float
    rim: float = 1.0


def encoded(light: Reals) -> Reals:
    """sRGB of an amount of light, 0 to 255, not rounded."""
    light = np.clip(light, 0, 1)
    curved = 1.055 * light ** (1 / 2.4) - 0.055
    return np.asarray(255 * np.where(light <= 0.0031308, 12.92 * light, curved))


def saved(pixels: NDArray[Any], form: str = "PNG", **options: Any) -> bytes:
    """The picture as a file of this form; grey for two dimensions, with alpha for four channels."""
    stream = io.BytesIO()
    Image.fromarray(pixels).save(stream, form, **options)
    return stream.getvalue()


def noise_of(seed: int, *shape: int) -> Reals:
    """Nearly normal noise of standard deviation 1, the same on every machine: sums of 12 bytes."""
    chance, sums = random.Random(seed), np.zeros(math.prod(shape), dtype=np.int64)
    for _ in range(12):
        sums += np.frombuffer(chance.randbytes(len(sums)), dtype=np.uint8)
    return np.asarray(((sums - 12 * 127.5) / math.sqrt(12 * (256**2 - 1) / 12)).reshape(shape))


def scattered(
    rng: random.Random, count: int, size_mm: tuple[float, float], apart_mm: float
) -> list[tuple[float, float]]:
    """Places at random that keep apart from each other and from the sides."""
    places: list[tuple[float, float]] = []
    while len(places) < count:
        x, y = (rng.uniform(apart_mm, side - apart_mm) for side in size_mm)
        if all(math.hypot(x - a, y - b) > apart_mm for a, b in places):
            places.append((x, y))
    return places


@dataclass(frozen=True)
class Place:
    """How a panel of width and height lies on a picture, turned about its middle."""

    size_mm: tuple[float, float]
    pixel_mm: float
    border_mm: float
    angle_deg: float

    @property
    def reach_mm(self) -> tuple[float, float]:
        """Width and height of the box around the panel."""
        (width, height), angle = self.size_mm, math.radians(self.angle_deg)
        across, down = abs(math.cos(angle)), abs(math.sin(angle))
        return width * across + height * down, width * down + height * across

    @property
    def columns(self) -> int:
        """Of the picture."""
        return round((self.reach_mm[0] + 2 * self.border_mm) / self.pixel_mm)

    @property
    def rows(self) -> int:
        """Of the picture."""
        return round((self.reach_mm[1] + 2 * self.border_mm) / self.pixel_mm)

    @property
    def off_middle(self) -> tuple[Reals, Reals]:
        """How far each pixel is from the middle of the picture in mm, to the right and down."""
        y, x = np.mgrid[0 : self.rows, 0 : self.columns]
        middle = (self.columns - 1) / 2, (self.rows - 1) / 2
        return (x - middle[0]) * self.pixel_mm, (y - middle[1]) * self.pixel_mm

    @property
    def on_panel(self) -> tuple[Reals, Reals]:
        """How far each pixel is from the panel's left and upper edge in mm."""
        (width, height), angle = self.size_mm, math.radians(self.angle_deg)
        across, down = self.off_middle
        return (
            across * math.cos(angle) + down * math.sin(angle) + width / 2,
            -across * math.sin(angle) + down * math.cos(angle) + height / 2,
        )

    def around(self, x_mm: float, y_mm: float, reach_mm: float) -> tuple[slice, slice]:
        """The part of the picture that holds everything near a point of the panel."""
        (width, height), angle = self.size_mm, math.radians(self.angle_deg)
        u, v = x_mm - width / 2, y_mm - height / 2
        column = (u * math.cos(angle) - v * math.sin(angle)) / self.pixel_mm + self.columns / 2
        row = (u * math.sin(angle) + v * math.cos(angle)) / self.pixel_mm + self.rows / 2
        reach = math.ceil(reach_mm / self.pixel_mm) + 2
        return (
            slice(max(0, int(row) - reach), max(0, int(row) + reach)),
            slice(max(0, int(column) - reach), max(0, int(column) + reach)),
        )

    @property
    def corners(self) -> Reals:
        """How far towards the corners each pixel is: 0 in the middle, 1 at a corner."""
        across, down = self.off_middle
        half = [side / 2 + self.border_mm for side in self.reach_mm]
        return np.asarray(((across / half[0]) ** 2 + (down / half[1]) ** 2) / 2)


def film(
    spots: list[Spot],
    size_mm: tuple[float, float] = (60.0, 40.0),
    *,
    pixel_mm: float = 0.08,
    border_mm: float = 8.0,
    angle_deg: float = 0.0,
    lamp: float = 0.5,
    film_light: float = 0.08,
    uneven: float = 0.3,
    blur_px: float = 1.0,
    noise: float = 1.5,
    exposure: float = 1.0,
    wave: tuple[float, float] = (0.0, 1.0),
    seed: int = 0,
) -> Pixels:
    """A film of width and height before a bare lamp, seen from the front.

    Parameters
    ----------
    lamp, film_light
        Light of the bare lamp and of the film; 1 is white.
    uneven
        By what share the lamp is darker in the corners.
    noise
        Standard deviation in steps of 8-bit grey.
    exposure
        Factor on the grey, as a brightness slider has it.
    wave
        Amplitude of ln light and wavelength in mm of a sine across the film.
    """
    width, height = size_mm
    place = Place(size_mm, pixel_mm, border_mm, angle_deg)
    u, v = place.on_panel
    rows, columns = place.rows, place.columns

    def covered(depth_mm: Reals) -> Reals:
        return np.clip(depth_mm / pixel_mm + 0.5, 0, 1)

    through = np.full((rows, columns), film_light / lamp)
    through *= np.exp(wave[0] * np.sin(2 * math.pi * u / wave[1]))
    for spot in spots:
        near = place.around(spot.x_mm, spot.y_mm, spot.diameter_mm)
        off = np.hypot(u[near] - spot.x_mm, v[near] - spot.y_mm)
        radius = spot.diameter_mm / 2
        if spot.rim != 1:
            ring = covered(1.6 * radius - off) * (1 - covered(radius - off))
            through[near] *= 1 + (spot.rim - 1) * ring
        share = covered(radius - off)
        through[near] += share * (min(film_light * spot.light / lamp, 1.0) - through[near])
    inside = covered(np.minimum(np.minimum(u, width - u), np.minimum(v, height - v)))
    through = inside * through + (1 - inside)
    light = ndimage.gaussian_filter(lamp * (1 - uneven * place.corners) * through, blur_px)
    grey = exposure * encoded(light) + noise * noise_of(seed, rows, columns)
    eight = np.clip(np.rint(grey), 0, 255).astype(np.uint8)
    return np.repeat(eight[..., None], 3, axis=2)


@dataclass(frozen=True)
class Exposed:
    """A photograph of a panel from the salt spray, and where it has rust."""

    pixels: Pixels
    rust: NDArray[np.bool_]
    depth_px: Reals
    place: Place

    def rust_percent(self, margin_px: float) -> float:
        """Rusted area further inside than the margin, in %."""
        inside = self.depth_px > margin_px
        return 100 * float((self.rust & inside).sum() / inside.sum())


def off_line(place: Place, ends: tuple[tuple[float, float], tuple[float, float]]) -> Reals:
    """How far each pixel is from a line between two points of the panel, in mm."""
    (u, v), ((x0, y0), (x1, y1)) = place.on_panel, ends
    along = ((u - x0) * (x1 - x0) + (v - y0) * (y1 - y0)) / ((x1 - x0) ** 2 + (y1 - y0) ** 2)
    along = np.clip(along, 0, 1)
    return np.asarray(np.hypot(u - x0 - along * (x1 - x0), v - y0 - along * (y1 - y0)))


GREY_COAT = (0.33, 0.35, 0.36)  # linear light of red, green and blue
RUST_COLOURS = ((0.27, 0.07, 0.015), (0.13, 0.035, 0.012), (0.42, 0.16, 0.03))


def exposed(
    rust: list[Spot],
    size_mm: tuple[float, float] = (70.0, 100.0),
    *,
    pixel_mm: float = 0.25,
    border_mm: float = 12.0,
    angle_deg: float = 0.0,
    coat: tuple[float, float, float] = GREY_COAT,
    table: tuple[float, float, float] = (0.02, 0.025, 0.03),
    scribe: tuple[float, float, float, float] | None = None,
    uneven: float = 0.2,
    noise: float = 2.0,
    exposure: float = 1.0,
    seed: int = 0,
) -> Exposed:
    """A coated panel on a dark table, with rust in ragged round spots.

    Parameters
    ----------
    scribe
        Ends of a scribe on the panel, x, y, x, y in mm; it is 1 mm wide, dark and rusty.
    exposure
        Factor on the amount of light.
    """
    width, height = size_mm
    place = Place(size_mm, pixel_mm, border_mm, angle_deg)
    u, v = place.on_panel
    rows, columns = place.rows, place.columns
    ragged = ndimage.gaussian_filter(noise_of(seed, rows, columns), 0.6 / pixel_mm)
    ragged *= 0.12 / ragged.std()
    is_rust = np.zeros((rows, columns), dtype=bool)
    for spot in rust:
        near = place.around(spot.x_mm, spot.y_mm, spot.diameter_mm)
        off = np.hypot(u[near] - spot.x_mm, v[near] - spot.y_mm)
        is_rust[near] |= off < spot.diameter_mm / 2 * (1 + ragged[near])
    light = np.broadcast_to(np.array(coat), (rows, columns, 3)).copy()
    mottle = ndimage.gaussian_filter(noise_of(seed + 1, rows, columns), 0.8 / pixel_mm)
    mottle = np.clip(mottle / mottle.std() / 4 + 0.5, 0, 1)[..., None]
    red, dark, ochre = (np.array(colour) for colour in RUST_COLOURS)
    rusty = np.where(
        mottle < 0.5, dark + 2 * mottle * (red - dark), red + (2 * mottle - 1) * (ochre - red)
    )
    light = np.where(is_rust[..., None], rusty, light)
    if scribe is not None:
        scribed = off_line(place, (scribe[:2], scribe[2:])) < 0.5
        light = np.where(scribed[..., None], 0.4 * rusty, light)
    depth = np.minimum(np.minimum(u, width - u), np.minimum(v, height - v)) / pixel_mm
    light = np.where((depth > 0)[..., None], light, np.array(table))
    light *= exposure * (1 - uneven * place.corners)[..., None]
    light = ndimage.gaussian_filter(light, (0.7, 0.7, 0))
    grey = encoded(light) + noise * noise_of(seed + 2, rows, columns, 3)
    pixels = np.clip(np.rint(grey), 0, 255).astype(np.uint8)
    return Exposed(pixels, is_rust & (depth > 0), depth, place)
