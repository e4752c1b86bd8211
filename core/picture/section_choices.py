"""What a laboratory sets for pictures of cross-sections: [read.cross_section] in tiecoat.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Literal

from tiecoat.picture.picture_choices import PictureChoices

Side = Literal["auto", "top", "bottom", "left", "right"]


@dataclass(frozen=True)
class SectionChoices(PictureChoices):
    """How the film and its pores are found on a micrograph.

    Parameters
    ----------
    words
        A picture with one of these in its name or folder is a cross-section.
    um_per_pixel
        Size of a pixel in µm where the notes beside a picture do not say it.
    substrate
        At which side of the picture the substrate lies; auto: the brighter of the two outer layers,
        as polished steel is in reflected light.
    pores
        Whether pores are darker than the film or brighter (filled with a fluorescent dye).
    smallest_pore_px
        Dark spots of fewer pixels are not counted. Below about 10 px noise makes pores; no source.
    smoothing_px
        Standard deviation of the Gaussian filter that precedes every threshold.
    pore_contrast
        By what share of the film's own grey a spot must differ from it, at its core, to be a pore.
        Fillers that are darker than the film need more; no source.
    least_contrast
        By what share of the range from black to white the film must differ from substrate and
        from resin; no source.
    """

    limits: ClassVar[Mapping[str, tuple[float, float]]] = {
        "smallest_pore_px": (1, 1_000_000),
        "smoothing_px": (0.0, 20.0),
        "pore_contrast": (0.02, 5.0),
        "least_contrast": (0.01, 1.0),
    }

    words: tuple[str, ...] = ("section", "Querschliff")
    substrate: Side = "auto"
    pores: Literal["dark", "bright"] = "dark"
    smallest_pore_px: int = 12
    smoothing_px: float = 1.0
    pore_contrast: float = 0.25
    least_contrast: float = 0.06
