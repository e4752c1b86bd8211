"""What a laboratory sets for the evaluation: the section [evaluate] of tiecoat.toml.

Evaluations and readers of plugins have choices of their own, derived from `Checked`. Defaults that
are common practice and have no published source say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import ClassVar, Literal, TypeAlias, get_args


class Checked:
    """Base of what a lab may set: unknown keys, texts for numbers, infinite numbers are refused.

    Derive a frozen dataclass from it, with a default for every field, and refuse in
    `__post_init__` by ValueError what makes no sense.
    """

    __pydantic_config__: ClassVar[dict[str, object]] = {
        "extra": "forbid",
        "strict": True,
        "allow_inf_nan": False,
    }


def _above_zero(**choices: float) -> None:
    """Refuse a choice that is not above zero, by its name."""
    for name, value in choices.items():
        if not value > 0:
            raise ValueError(f"{name} = {value:g}: allowed is above 0")


@dataclass(frozen=True)
class ImpedanceChoices(Checked):
    """For impedance of the film in salt water.

    With `class_frequency_hz = None` the barrier class is read at the lowest frequency measured.
    """

    frequencies_hz: tuple[float, ...] = (0.1,)  # modulus and phase; common practice, no source
    class_frequency_hz: float | None = 0.1  # common practice, no source
    # Bacon, Smith and Rugg, Ind. Eng. Chem. 40 (1948) 161, as told by Greenfield and Scantlebury,
    # J. Corros. Sci. Eng. 3, paper 5: above the first good, below the second poor; they measured
    # with direct current
    good_from_ohm_cm2: float = 1e8
    poor_below_ohm_cm2: float = 1e6
    # the largest impedance that the instrument measures, in ohm as measured, not times the area:
    # what reaches it is a lower bound
    instrument_limit_ohm: float | None = None
    capacitance_frequency_hz: float = 1e4  # common practice, no source
    # of the bath, for spectra that do not tell it: for the permittivity of water
    bath_temperature_c: float | None = None
    dry_until_h: float = 1.0  # a first spectrum later than this is of a wet film; no source
    kramers_kronig_limit_percent: float = 0.4  # measured, see kramers_kronig.py

    def __post_init__(self) -> None:
        """Refuse what has no logarithm, and a good film that is worse than a poor one."""
        for one in (*self.frequencies_hz, self.class_frequency_hz):
            if one is not None:
                _above_zero(frequency_hz=one)
        if self.instrument_limit_ohm is not None:
            _above_zero(instrument_limit_ohm=self.instrument_limit_ohm)
        if self.bath_temperature_c is not None and not 0 <= self.bath_temperature_c <= 100:
            raise ValueError(
                f"bath_temperature_c = {self.bath_temperature_c:g}: allowed is 0 to 100"
            )
        _above_zero(
            good_from_ohm_cm2=self.good_from_ohm_cm2,
            poor_below_ohm_cm2=self.poor_below_ohm_cm2,
            capacitance_frequency_hz=self.capacitance_frequency_hz,
            kramers_kronig_limit_percent=self.kramers_kronig_limit_percent,
        )
        if self.poor_below_ohm_cm2 > self.good_from_ohm_cm2:
            raise ValueError("poor_below_ohm_cm2 is above good_from_ohm_cm2")


@dataclass(frozen=True)
class DensityChoices(Checked):
    """For density and entrapped air.

    `air_free_g_cm3` gives the density without air, at the reference temperature, of batches that
    have no deaerated sample, or for which it is to be used instead of that sample.
    """

    reference_temperature_c: float = 23.0  # ISO 3270, standard conditions
    expansion_per_k: float = 7e-4  # of solvent-borne paint; common practice, no source
    expansion_uncertainty_per_k: float = 2e-4  # its standard uncertainty; no source
    uncertainty_g_cm3: float = 0.0005  # of one density, where none is stated; no source
    air_free_g_cm3: Mapping[str, float] = field(default_factory=dict)  # by batch
    air_free_uncertainty_g_cm3: float = 0.0005  # standard uncertainty of these; no source
    water_tolerance_g_cm3: float = 0.001  # common practice, no source

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        _above_zero(
            uncertainty_g_cm3=self.uncertainty_g_cm3,
            air_free_uncertainty_g_cm3=self.air_free_uncertainty_g_cm3,
            water_tolerance_g_cm3=self.water_tolerance_g_cm3,
            **{f"air_free_g_cm3.{batch}": value for batch, value in self.air_free_g_cm3.items()},
        )
        for name in ("expansion_per_k", "expansion_uncertainty_per_k"):
            if not 0 <= getattr(self, name) <= 5e-3:
                raise ValueError(f"{name} = {getattr(self, name):g}: allowed is 0 to 0.005")


@dataclass(frozen=True)
class ViscosityChoices(Checked):
    """For flow curves, flow cups, sagging, levelling and bubbles.

    Values without a source are common practice: set what the paint and its application ask for.
    """

    wet_film_um: float = 200.0  # no source
    thinning_rates_per_s: tuple[float, float] = (1.0, 10.0)  # ratio of ten as in ASTM D2196
    recovery_rate_per_s: float = 1.0  # where the structure is read after high shear; no source
    levelling_rate_per_s: float = 1.0  # where the viscosity for levelling is read; no source
    wavelength_mm: float = 2.0  # of the marks of brush or roller; no source
    mark_height_um: float = 20.0  # from the middle to the crest of the marks; no source
    surface_tension_mn_m: float = 30.0  # of epoxy paint; no source
    bubble_radius_um: float = 50.0  # no source
    open_time_s: float = 600.0  # during which the film stays as liquid as measured; no source

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        low, high = self.thinning_rates_per_s
        _above_zero(**{**vars(self), "thinning_rates_per_s": low})
        if not low < high:
            raise ValueError(f"thinning_rates_per_s = {low:g}, {high:g}: allowed are two that rise")
        if not self.mark_height_um <= self.wet_film_um / 2:
            raise ValueError(
                f"mark_height_um = {self.mark_height_um:g}: allowed is up to half of wet_film_um"
            )


@dataclass(frozen=True)
class PullOffChoices(Checked):
    """For pull-off strength.

    A determination is a lower bound of the strength where at least so much of its area failed in
    or at the glue: the film would have borne more.
    """

    least_determinations: int = 6  # ISO 4624, from memory
    lower_bound_glue_percent: float = 50.0  # common practice, no source

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        if self.least_determinations < 1:
            found = f"least_determinations = {self.least_determinations}"
            raise ValueError(f"{found}: allowed is 1 or more")
        if not 0 < self.lower_bound_glue_percent <= 100:
            found = f"lower_bound_glue_percent = {self.lower_bound_glue_percent:g}"
            raise ValueError(f"{found}: allowed is above 0 up to 100")


EVERYWHERE = ("blocking film", "intact film, ideal", "intact film", "film with pores")


CircuitName: TypeAlias = Literal[
    "blocking film",
    "intact film, ideal",
    "intact film",
    "film with pores",
    "relaxing film",
    "pores with diffusion",
    "pores with finite diffusion",
]


@dataclass(frozen=True)
class CircuitChoices(Checked):
    """For equivalent circuits fitted to impedance; limits are common practice without a source.

    Of the circuits tried, the last three only where the others do not suffice. Without the two of
    diffusion the charge transfer of pores is given as if nothing diffused. A parameter is not
    identifiable if the standard error of its lg is above `most_lg_error`, or
    above a fifth of that while its correlation with another is above `most_correlation`; with a
    smaller error the correlation is only told. The misfit is the standard deviation of the
    residuals in % of the modulus: above the first limit it is told, above the second no value is
    given.
    """

    tried: tuple[CircuitName, ...] = get_args(CircuitName)
    least_points: int = 12
    least_decades: float = 3.0
    most_inductive: float = 0.1  # share of the points
    most_lg_error: float = 0.05
    most_correlation: float = 0.99
    misfit_doubt_percent: float = 3.0
    misfit_limit_percent: float = 10.0

    def __post_init__(self) -> None:
        """Refuse what makes no sense."""
        if not self.tried:
            raise ValueError("tried = []: name at least one circuit")
        further = [name for name in self.tried if name not in EVERYWHERE]
        if further and "film with pores" not in self.tried:
            raise ValueError(
                f"tried has {further[0]} without film with pores: expected both, since the fit"
                " starts from there"
            )
        _above_zero(
            least_points=self.least_points,
            least_decades=self.least_decades,
            most_lg_error=self.most_lg_error,
            most_correlation=self.most_correlation,
            misfit_doubt_percent=self.misfit_doubt_percent,
            misfit_limit_percent=self.misfit_limit_percent,
        )
        if not 0 <= self.most_inductive <= 1:
            raise ValueError(f"most_inductive = {self.most_inductive:g}: allowed is 0 to 1")


@dataclass(frozen=True)
class Choices(Checked):
    """All choices of a laboratory."""

    impedance: ImpedanceChoices = field(default_factory=ImpedanceChoices)
    density: DensityChoices = field(default_factory=DensityChoices)
    viscosity: ViscosityChoices = field(default_factory=ViscosityChoices)
    pull_off: PullOffChoices = field(default_factory=PullOffChoices)
    circuits: CircuitChoices = field(default_factory=CircuitChoices)
