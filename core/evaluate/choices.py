"""What a laboratory sets for the evaluation: the section [evaluate] of tiecoat.toml.

Defaults that are common practice and have no published source say so.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import ClassVar


class _Checked:
    """Keys that are not known are refused when the settings are read."""

    __pydantic_config__: ClassVar[dict[str, object]] = {"extra": "forbid"}


@dataclass(frozen=True)
class ImpedanceChoices(_Checked):
    """For impedance of the film in salt water."""

    frequencies_hz: tuple[float, ...] = (0.1,)


@dataclass(frozen=True)
class DensityChoices(_Checked):
    """For density and entrapped air."""

    reference_temperature_c: float = 23.0


@dataclass(frozen=True)
class ViscosityChoices(_Checked):
    """For flow curves, flow cups, sagging, levelling and bubbles."""

    wet_film_um: float = 200.0


@dataclass(frozen=True)
class PullOffChoices(_Checked):
    """For pull-off strength."""

    least_determinations: int = 6  # ISO 4624


@dataclass(frozen=True)
class Choices(_Checked):
    """All choices of a laboratory."""

    impedance: ImpedanceChoices = field(default_factory=ImpedanceChoices)
    density: DensityChoices = field(default_factory=DensityChoices)
    viscosity: ViscosityChoices = field(default_factory=ViscosityChoices)
    pull_off: PullOffChoices = field(default_factory=PullOffChoices)
