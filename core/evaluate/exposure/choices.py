"""What a laboratory sets for the evaluation of exposed panels: [evaluate.NAME] in tiecoat.toml."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tiecoat.contract.choices import Checked

GRADES = ("rust_grade", "blister_density", "cracking_quantity", "flaking_quantity")


@dataclass(frozen=True)
class ExposureRatingChoices(Checked):
    """For ratings of exposed panels: the grades whose times are wanted, and the distribution.

    Rust by its degree Ri, blisters, cracking and flaking by their quantity.
    """

    rust_grade: int = 3  # ISO 12944-1:2017, where major repainting is due; from memory
    blister_density: int = 2  # common practice, no source
    cracking_quantity: int = 2  # common practice, no source
    flaking_quantity: int = 2  # common practice, no source
    distribution: Literal["weibull", "log-normal"] = "weibull"

    def __post_init__(self) -> None:
        """Refuse a grade that no panel can reach, or that a sound one has."""
        for name in GRADES:
            if not 1 <= getattr(self, name) <= 5:
                raise ValueError(f"{name} = {getattr(self, name)}: allowed is 1 to 5")
