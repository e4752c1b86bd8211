"""What a laboratory may set for every reader of pictures, and how it is checked."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar

from tiecoat.contract.choices import Checked


@dataclass(frozen=True)
class PictureChoices(Checked):
    """Base of the choices of a reader of pictures.

    Parameters
    ----------
    words
        A picture with one of these in its name or folder is for this reader.
    um_per_pixel
        Size of a pixel in µm where the notes beside a picture do not say it.

    `limits` holds, for each other number, the least and the most that is allowed.
    """

    limits: ClassVar[Mapping[str, tuple[float, float]]] = {}

    words: tuple[str, ...] = ()
    um_per_pixel: float | None = None

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        if not all(word.strip() for word in self.words):
            raise ValueError("words: an empty word stands in every name")
        if self.um_per_pixel is not None and not self.um_per_pixel > 0:
            raise ValueError(f"um_per_pixel = {self.um_per_pixel:g}: allowed is above 0")
        for name, (low, high) in self.limits.items():
            if not low <= (value := getattr(self, name)) <= high:
                raise ValueError(f"{name} = {value:g}: allowed is {low:g} to {high:g}")
