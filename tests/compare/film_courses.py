"""Films whose lg modulus over exposure is given: through evaluation and comparison to verdicts."""

from __future__ import annotations

import numpy as np
import pandas as pd
from films import AREA_CM2, R, frame_of, impedance
from study_tables import NONE_FILED, register

from tiecoat.ask.study_data import no_panels
from tiecoat.compare.comparison import Comparison, compare
from tiecoat.compare.study import load_study
from tiecoat.compare.verdict import Verdict
from tiecoat.contract.choices import Choices, ImpedanceChoices
from tiecoat.evaluate.impedance.impedance import compute

HOURS = (1.0, 24.0, 72.0, 168.0, 240.0)
HZ = np.array([0.1, 1.0, 10.0])
SCATTER_LG = 0.05  # of every spectrum, about 12 %
STUDY = """
[[property]]
name = "modulus decline"

[[property]]
name = "time to a limit"
"""
SIX = (9.0, 9.1, 8.9, 9.05, 8.95, 9.0)


def evaluated(
    courses: dict[str, list[list[float]]],
    choices: ImpedanceChoices | None = None,
    seed: int = 4,
) -> pd.DataFrame:
    """Return the results of panels whose lg modulus at each of the hours is given."""
    parts, batch, panel, hours = [], [], [], []
    rng = np.random.default_rng(seed)
    for name, panels in courses.items():
        for place, course in enumerate(panels, 1):
            for hour, lg in zip(HOURS, course, strict=True):
                ohm = 10 ** (lg + SCATTER_LG * rng.normal()) / AREA_CM2
                parts.append((HZ, impedance(R(ohm), HZ)))
                batch.append(name)
                panel.append(f"{name}-{place}")
                hours.append(hour)
    frame = frame_of(parts, batch=batch, panel=panel, exposure_h=hours)
    return compute({"impedance": frame}, Choices(impedance=choices or ImpedanceChoices()))


def steady(start: float, per_day: float) -> list[float]:
    """Return a course that falls by so many decades in a day."""
    return [start - per_day * hour / 24 for hour in HOURS]


def compared(table: pd.DataFrame, study: str = STUDY) -> Comparison:
    """Compare them, on decline and times if no other study is given."""
    return compare(
        load_study(study),
        results={"impedance": table},
        batches=register(list(dict.fromkeys(table["batch"]))),
        panels=no_panels(),
        filed=NONE_FILED,
    )


def verdict(comparison: Comparison, batch: str, name: str) -> Verdict:
    """Return the verdict on a batch."""
    (found,) = (
        one for one in comparison.verdicts if one.batch == batch and one.property.startswith(name)
    )
    return found
