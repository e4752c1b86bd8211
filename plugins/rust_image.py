"""Reads photographs of exposed panels: how much of the panel has the colour of rust.

An aid to the inspector, who rates. The picture belongs to its panel by its file or folder name, or
by its notes (`panel`, `batch`, `photograph`); the hours of exposure stand in the notes
(`exposure_h`), or in the name of the file or a folder, such as `RB-014-1 480 h.jpg`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePath, PurePosixPath
from typing import TYPE_CHECKING, Any

from tiecoat.picture.rust_choices import RustChoices
from tiecoat.plugin import Claim, Export, FileHeld, Measurement, Reader, Reason, hookimpl
from tiecoat.plugins.picture_files import (
    claim,
    held_if_nothing,
    measurement,
    noted_number,
    photograph_of,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from tiecoat.picture.rust import Rust
    from tiecoat.plugin import Picture

KIND = "rust_image"
LEAST_UM_PER_PIXEL, MOST_UM_PER_PIXEL = 1.0, 2000.0  # macro lens to a girder; no source
HOURS = re.compile(r"(?<![\w.,])(\d{1,6}(?:[.,]\d+)?) ?h(?![A-Za-z0-9])", re.IGNORECASE | re.ASCII)
# 1,000 h may be one hour or a thousand, and so may 1 000 h after the number of a picture
GROUPED = re.compile(r"(?:(?<![\w.,])\d{1,3}[.,]|(?<!\S)\d{1,3}\s)\d{3} ?h(?![A-Za-z0-9])", re.I)


class RustPhotograph:
    """Rusted area of an exposed panel, from a photograph."""

    name, kind, version = "rust_photograph", KIND, "4"
    choices = RustChoices

    def recognise(self, export: Export) -> Claim | None:
        """Claim pictures that are called so, by their names or their notes."""
        return claim(export, KIND, export.choices.words)

    def read(self, export: Export) -> Iterator[Measurement]:
        """Return one measurement of one row."""
        seen = _look(export)
        low, high = seen.rust.bounds_percent
        columns: dict[str, list[Any]] = {
            "photograph": [seen.photograph],
            "exposure_h": [float("nan") if seen.exposure_h is None else seen.exposure_h],
            "rusted_area_percent": [seen.rust.percent()],
            "rusted_area_low_percent": [low],
            "rusted_area_high_percent": [high],
            "evaluated_percent": [seen.rust.evaluated_percent],
            "um_per_pixel": [float("nan") if seen.um_per_pixel is None else seen.um_per_pixel],
            "scale_source": [seen.scale_source],
            "parameters": [_parameters(seen.choices, seen.um_per_pixel is not None)],
            "remarks": ["; ".join((*seen.picture.remarks, *seen.rust.remarks)) or None],
        }
        yield measurement(export, KIND, columns)

    def draw(self, export: Export) -> NDArray[np.uint8]:
        """Return the picture with panel, scribe and rust outlined, and the figures."""
        from tiecoat.picture.rust_drawing import drawn

        seen = _look(export)
        hours = "" if seen.exposure_h is None else f"{seen.exposure_h:g} h"
        title = seen.photograph if hours in seen.photograph else f"{seen.photograph}, {hours}"
        return drawn(seen.picture.pixels, seen.rust, title)


@dataclass(frozen=True)
class _RustSeen:
    """A picture, its scale if there is one, and what was found on it."""

    picture: Picture
    rust: Rust
    um_per_pixel: float | None
    scale_source: str | None
    photograph: str
    exposure_h: float | None
    choices: RustChoices


def _look(export: Export) -> _RustSeen:
    from tiecoat.picture.rust import find_rust

    choices: RustChoices = export.choices
    photograph, exposure_h = photograph_of(export), _exposure_h(export)
    picture = export.picture()
    um_per_pixel, source = _scale(export, picture, choices)
    with held_if_nothing(export):
        rust = find_rust(picture.pixels, um_per_pixel, choices)
    return _RustSeen(picture, rust, um_per_pixel, source, photograph, exposure_h, choices)


def _exposure_h(export: Export) -> float | None:
    noted = noted_number(export, "exposure_h")
    if noted is not None:
        return noted
    for part in (PurePath(export.name).stem, *reversed(PurePosixPath(export.folder).parts)):
        text = part.replace("_", " ")
        found = {float(hours.replace(",", ".")) for hours in HOURS.findall(text)}
        if found:
            return found.pop() if len(found) == 1 and not GROUPED.search(text) else None
    return None


def _scale(
    export: Export, picture: Picture, choices: RustChoices
) -> tuple[float | None, str | None]:
    """Return the size of a pixel in µm and where it comes from; a share needs none."""
    try:
        return export.um_per_pixel(
            picture, choices.um_per_pixel, LEAST_UM_PER_PIXEL, MOST_UM_PER_PIXEL
        )
    except FileHeld as held:
        if held.reason is Reason.NO_SCALE:
            return None, None
        raise


def _parameters(choices: RustChoices, in_mm: bool) -> str:
    margins = (
        f"edge {choices.edge_mm:g} mm, scribe {choices.scribe_mm:g} mm"
        if in_mm
        else f"edge {choices.edge_percent:g} %, scribe {choices.scribe_percent:g} %"
    )
    sought = "" if choices.find_scribe or choices.scribe_box_percent else "; no scribe sought"
    return (
        f"{margins}{sought}; CIELAB hue {choices.hue_from_deg:g} to {choices.hue_to_deg:g} deg"
        f" +/- {choices.hue_doubt_deg:g}, saturation from {choices.saturation_from:g}"
        f" +/- {choices.saturation_doubt:g}, L* from {choices.darkest_lightness:g};"
        " bounds: these limits moved, and a pixel along each outline"
    )


@hookimpl
def tiecoat_readers() -> list[Reader]:
    """Return the reader."""
    return [RustPhotograph()]
