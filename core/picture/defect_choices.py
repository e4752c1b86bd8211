"""What a laboratory sets for photographs in transmitted light: [read.transmitted_light]."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from tiecoat.picture.picture_choices import PictureChoices


@dataclass(frozen=True)
class DefectChoices(PictureChoices):
    """How defects are found on a photograph of a film before a lamp; no limit has a source.

    Light is counted as amount of light over that of the even film around, so that neither exposure
    nor an uneven lamp shifts a limit.

    Parameters
    ----------
    words
        A picture with one of these in its name or folder is a photograph in transmitted light.
    um_per_pixel
        Size of a pixel in µm where the notes beside a picture do not say it.
    edge_mm
        So much inside of the edge of the panel is left out, and no less than 10 pixels.
    least_diameter_mm
        Smaller defects are not counted, nor those below three pixels across.
    thin_from
        A spot brighter than this times the film is a defect, unless the noise is greater.
    through_share
        A spot goes through the film if at its brightest this share of the film's thickness is
        missing, by the logarithm of the light.
    lamp_ratio
        How many times brighter than the film the bare lamp is, where the picture does not show it
        beside the panel.
    pinhole_to_mm
        A hole of up to this diameter is a pinhole.
    round_from
        Least ratio of the axes of a crater.
    rim_to
        A crater that does not go through has a rim of piled-up paint, darker than this times the
        film.
    """

    limits: ClassVar[Mapping[str, tuple[float, float]]] = {
        "edge_mm": (0.0, 100.0),
        "least_diameter_mm": (0.005, 10.0),
        "thin_from": (1.02, 10.0),
        "through_share": (0.05, 1.0),
        "lamp_ratio": (1.1, 1e4),
        "pinhole_to_mm": (0.01, 10.0),
        "round_from": (0.1, 1.0),
        "rim_to": (0.1, 1.0),
    }

    words: tuple[str, ...] = ("transmitted", "Durchlicht")
    edge_mm: float = 5.0
    least_diameter_mm: float = 0.1
    thin_from: float = 1.3
    through_share: float = 0.7
    lamp_ratio: float = 5.0
    pinhole_to_mm: float = 0.5
    round_from: float = 0.6
    rim_to: float = 0.95

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        super().__post_init__()
        if self.least_diameter_mm > self.pinhole_to_mm:
            raise ValueError("least_diameter_mm is above pinhole_to_mm")
