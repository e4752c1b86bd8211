"""What a laboratory sets for the built-in evaluations: [evaluate.NAME] in tiecoat.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from tiecoat.contract.choices import Checked

GRADES = ("rust_grade", "blister_density", "cracking_quantity", "flaking_quantity")
# By the grades of ISO 8503-1, subtracted from each reading of a gauge that was set on smooth steel;
# 25 um where the profile is not known (ISO 19840, table 2, as printed in the data of a public
# steelwork quality program). `none` is not of the table: a substrate that was not blasted, or a
# gauge that was set on the profile itself.
CORRECTION_UM = {"fine": 10.0, "medium": 25.0, "coarse": 40.0, "unknown": 25.0, "none": 0.0}


@dataclass(frozen=True)
class ExposureRatingChoices(Checked):
    """For ratings of exposed panels: the grades whose times are wanted, and the distribution.

    Rust by its degree Ri, blisters, cracking and flaking by their quantity.
    """

    rust_grade: int = 3  # ISO 12944-1, where major repainting is due; from memory
    blister_density: int = 2  # common practice, no source
    cracking_quantity: int = 2  # common practice, no source
    flaking_quantity: int = 2  # common practice, no source
    distribution: Literal["weibull", "log-normal"] = "weibull"

    def __post_init__(self) -> None:
        """Refuse a grade that no panel can reach, or that a sound one has."""
        for name in GRADES:
            if not 1 <= getattr(self, name) <= 5:
                raise ValueError(f"{name} = {getattr(self, name)}: allowed is 1 to 5")


@dataclass(frozen=True)
class FilmThicknessChoices(Checked):
    """For film thickness and its acceptance.

    `nominal_um` gives the nominal dry film thickness of each coat system, by its name in the
    register of panels. `surface_profile` is the grade by ISO 8503-1 of the blasted steel, where the
    gauge was set on smooth steel; `unknown` where nobody knows it; `none` where nothing is due: a
    substrate that was not blasted, or a gauge that was set on the profile. Where it is not set, the
    mean and the other numbers stay as read, and what ISO 19840 is asked is asked as of an unknown
    profile, 25 um less.
    """

    nominal_um: Mapping[str, float] = field(default_factory=dict)
    surface_profile: Literal["fine", "medium", "coarse", "unknown", "none"] | None = None
    most_times_nominal: float = 3.0  # ISO 19840, clause 9 d, after ISO 12944-5 (published summary)

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        known: dict[str, float] = {}
        for system, nominal in self.nominal_um.items():
            if not nominal > 0:
                raise ValueError(f"nominal_um.{system} = {nominal:g}: allowed is above 0")
            if (other := known.setdefault(folded(system), nominal)) != nominal:
                found = f"nominal_um.{system} = {nominal:g}"
                raise ValueError(f"{found}: it is there with {other:g} too")
        if not self.most_times_nominal > 1:
            found = f"most_times_nominal = {self.most_times_nominal:g}"
            raise ValueError(f"{found}: allowed is above 1")

    @property
    def correction_um(self) -> float:
        """What the rules of ISO 19840 subtract from each reading of the dry system, in um."""
        return CORRECTION_UM[self.surface_profile or "unknown"]


@dataclass(frozen=True)
class CrossSectionChoices(Checked):
    """For cross-sections: [evaluate.cross_section] in tiecoat.toml.

    Parameters
    ----------
    near_substrate_um
        A pore is near the substrate if its edge is at most so far off; no source.
    size_classes
        Of spheres; 7 to 15 are common practice, no source. Few make the mean diameter too large
        (see `saltykov`), many leave few pores in each.
    least_pores
        Whole pores that it takes to tell spheres from sections; common practice, no source.
    """

    near_substrate_um: float = 10.0
    size_classes: int = 12
    least_pores: int = 50

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        if not self.near_substrate_um >= 0:
            raise ValueError(f"near_substrate_um = {self.near_substrate_um:g}: allowed is from 0")
        if not 1 <= self.size_classes <= 40:
            raise ValueError(f"size_classes = {self.size_classes}: allowed is 1 to 40")
        if not self.least_pores >= 1:
            raise ValueError(f"least_pores = {self.least_pores}: allowed is from 1")


@dataclass(frozen=True)
class DefectCountChoices(Checked):
    """For defects in transmitted light: [evaluate.defects] in tiecoat.toml.

    Parameters
    ----------
    differ_below
        Panels are said to differ if counts as uneven as theirs would come by chance less often.
    """

    differ_below: float = 0.05  # common practice, no source

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        if not 0 < self.differ_below < 1:
            raise ValueError(f"differ_below = {self.differ_below:g}: allowed is above 0, below 1")


def folded(system: str) -> str:
    return " ".join(system.split()).casefold()
