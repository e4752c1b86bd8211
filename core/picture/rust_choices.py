"""What a laboratory sets for photographs of exposed panels: [read.rust_photograph]."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from tiecoat.picture.picture_choices import PictureChoices


@dataclass(frozen=True)
class RustChoices(PictureChoices):
    """How rust is found on a photograph of an exposed panel.

    Limits of colour have no source: they are for rust on grey, white, blue or green coatings, and
    hold for no coating that is itself red, brown or ochre.

    Parameters
    ----------
    words
        A picture with one of these in its name or folder is a photograph of an exposed panel.
    um_per_pixel
        Size of a pixel in µm where the notes beside a picture do not say it; may be unknown.
    edge_mm, scribe_mm
        So much beside the edge of the panel, and on each side of a scribe, is left out, where the
        size of a pixel is known. 10 mm of the edge: ISO 12944-6, as a published summary prints
        the edition of 1998; the present one was not seen.
    edge_percent, scribe_percent
        The same in % of the shorter side of the panel, where it is not known.
    find_scribe
        Whether scribes are sought: long, thin, straight and darker than the coating.
    scribe_box_percent
        A part to be left out as scribed instead: from, to across, from, to down, in % of the box
        around the panel; empty for none.
    hue_from_deg, hue_to_deg
        Hue angle of rust in CIELAB.
    hue_doubt_deg, saturation_doubt
        By so much the limits are moved outwards and inwards for the bounds of the rusted area.
    saturation_from
        Least saturation of rust, C / sqrt(L² + C²) in CIELAB, which hardly depends on exposure.
    darkest_lightness
        Darker pixels have no colour to be judged, and are not rust.
    """

    limits: ClassVar[Mapping[str, tuple[float, float]]] = {
        "edge_mm": (0.0, 200.0),
        "scribe_mm": (0.0, 200.0),
        "edge_percent": (0.0, 45.0),
        "scribe_percent": (0.0, 45.0),
        "hue_from_deg": (0.0, 90.0),
        "hue_to_deg": (0.0, 110.0),
        "hue_doubt_deg": (0.0, 30.0),
        "saturation_from": (0.05, 0.95),
        "saturation_doubt": (0.0, 0.5),
        "darkest_lightness": (0.0, 50.0),
    }

    words: tuple[str, ...] = ("salt spray", "exposed", "Salzsprüh", "bewittert")
    edge_mm: float = 10.0
    scribe_mm: float = 10.0
    edge_percent: float = 10.0
    scribe_percent: float = 10.0
    find_scribe: bool = True
    scribe_box_percent: tuple[float, ...] = ()
    hue_from_deg: float = 20.0
    hue_to_deg: float = 80.0
    hue_doubt_deg: float = 5.0
    saturation_from: float = 0.3
    saturation_doubt: float = 0.1
    darkest_lightness: float = 8.0

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        super().__post_init__()
        if self.hue_from_deg + 2 * self.hue_doubt_deg >= self.hue_to_deg:
            raise ValueError("hue_from_deg and hue_to_deg leave nothing between their doubts")
        if not self.saturation_doubt < self.saturation_from < 1 - self.saturation_doubt:
            raise ValueError("saturation_doubt is not below saturation_from")
        _check_box(self.scribe_box_percent)


def _check_box(box: tuple[float, ...]) -> None:
    if not box:
        return
    if len(box) != 4:
        raise ValueError(f"scribe_box_percent has {len(box)} numbers: allowed are 4 or none")
    left, right, top, bottom = box
    if not (0 <= left < right <= 100 and 0 <= top < bottom <= 100):
        raise ValueError("scribe_box_percent: allowed are two that rise across, two that rise down")
