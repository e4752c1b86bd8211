"""The built-in evaluations: what is computed from which kind, and what else that needs.

What computes loads when it is asked, so that one kind's results wait for no other's.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from tiecoat.evaluate.choices import (
    CrossSectionChoices,
    DefectCountChoices,
    ExposureRatingChoices,
    FilmThicknessChoices,
)
from tiecoat.plugin import Evaluation, Nature, StudyProperty, hookimpl

if TYPE_CHECKING:
    import pandas as pd


class Brought:
    """What an entry point names: a plugin of one evaluation."""

    def __init__(self, evaluation: Evaluation) -> None:
        self.evaluation = evaluation

    @hookimpl
    def tiecoat_evaluations(self) -> list[Evaluation]:
        """Return the evaluation."""
        return [self.evaluation]


def _impedance(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.impedance.impedance import compute

    return compute(frames, choices)


def _circuits(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.impedance.circuit_results import compute

    return compute(frames, choices)


def _density(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.wet_paint.density import compute

    return compute(frames, choices)


def _foam(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.wet_paint.foam import compute

    return compute(frames, choices)


def _viscosity(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.wet_paint.viscosity import compute

    return compute(frames, choices)


def _pull_off(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.adhesion.pull_off import compute

    return compute(frames, choices)


def _exposure_rating(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.exposure.exposure_rating import compute

    return compute(frames, choices)


def _chamber_record(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.exposure.chamber_record import compute

    return compute(frames, choices)


def _rust_image(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.exposure.rust_image import compute

    return compute(frames, choices)


def _cross_section(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.film.cross_section import compute

    return compute(frames, choices)


def _defects(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.film.defects import compute

    return compute(frames, choices)


def _film_thickness(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.film.film_thickness import compute

    return compute(frames, choices)


def _gloss(frames: Mapping[str, pd.DataFrame], choices: Any) -> pd.DataFrame:
    from tiecoat.evaluate.film.gloss import compute

    return compute(frames, choices)


impedance = Brought(
    Evaluation(
        "impedance",
        "impedance",
        _impedance,
        needs=("panels", "film_thickness"),
        pooled=("water_uptake", "water_uptake_from_dry"),
        by_batch=True,
        of_batch=("modulus_decline",),  # whether it is straight, its panels tell together
    )
)
circuits = Brought(
    Evaluation("impedance_circuits", "impedance", _circuits, slow=True, pooled=(), by_batch=True)
)
density = Brought(
    Evaluation(
        "density",
        "density",
        _density,
        pooled=("density", "water_density_deviation"),
        by_batch=True,
        version="3",
    )
)
foam = Brought(
    Evaluation(
        "foam",
        "foam",
        _foam,
        pooled=(),
        by_batch=True,
        properties=(  # margins: common practice, no source
            StudyProperty("initial foam", "foam_initial", direction="lower", margin_percent=20),
            StudyProperty(
                "foam half-life",
                "foam_half_life",
                direction="lower",
                scale="ratio",
                margin_percent=50,
                nature=Nature(lost_by_failure=True),
            ),
        ),
    )
)
viscosity = Brought(
    Evaluation(
        "viscosity",
        "viscosity",
        _viscosity,
        needs=("density",),
        pooled=("dynamic_viscosity", "kinematic_viscosity"),
        by_batch=True,
        properties=(  # margins: common practice, no source
            StudyProperty(
                "shear-thinning index",
                "shear_thinning_index",
                "down; 1 over 10 1/s",
                direction="target",
                scale="ratio",
                margin_percent=20,
            ),
            StudyProperty(
                "smallest escaping bubble",
                "smallest_escaping_radius",
                direction="lower",
                scale="ratio",
                margin_percent=20,
                only_by_name=True,
            ),
        ),
    )
)
pull_off = Brought(Evaluation("pull_off", "pull_off", _pull_off, needs=("panels",), pooled=()))
exposure_rating = Brought(
    Evaluation(
        "exposure_rating",
        "exposure_rating",
        _exposure_rating,
        needs=("chamber_record",),
        choices=ExposureRatingChoices,
        pooled=(),
        by_batch=True,
    )
)
chamber_record = Brought(
    Evaluation("chamber_record", "chamber_record", _chamber_record, pooled=(), by_batch=True)
)
rust_image = Brought(Evaluation("rust_image", "rust_image", _rust_image, pooled=(), by_batch=True))
cross_section = Brought(
    Evaluation(
        "cross_section",
        "cross_section",
        _cross_section,
        needs=("pores",),
        choices=CrossSectionChoices,
        pooled=(),
        by_batch=True,
    )
)
defects = Brought(
    Evaluation(
        "defects",
        "defects",
        _defects,
        needs=("defect_regions",),
        choices=DefectCountChoices,
        pooled=(),
        by_batch=True,
    )
)
film_thickness = Brought(
    Evaluation(
        "film_thickness",
        "film_thickness",
        _film_thickness,
        needs=("panels",),
        choices=FilmThicknessChoices,
        pooled=(),
        by_batch=True,
    )
)
gloss = Brought(Evaluation("gloss", "gloss", _gloss, pooled=(), by_batch=True))
