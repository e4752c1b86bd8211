"""Uptakes against the first spectrum are compared only where the first spectra are alike.

A film that was first measured an hour after immersion has taken up part of its water unseen (a
fifth of it at 100 µm and 1e-9 cm²/s by Fick's law, see tests/outside/test_uptake_by_fick.py), so
that it seems to take up less than one measured at once.
"""

from __future__ import annotations

import pandas as pd
from study_tables import NONE_FILED, register

from tiecoat.ask.study_data import no_panels
from tiecoat.compare.comparison import compare
from tiecoat.compare.study import load_study
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.evaluate.result import results, together

STUDY = """
[[property]]
name = "water uptake"
exposure_h = [24]
"""


def uptake(batch: str, first_h: float, values: tuple[float, ...]) -> pd.DataFrame:
    """Return the uptake of panels at their first spectrum and at a day."""
    rows = [
        results(
            "water_uptake",
            {"batch": batch, "panel": f"{batch}-{n}", "measurement": f"m{n}", "exposure_h": hours},
            percent,
            "%",
            condition="10000 Hz",
        )
        for n, value in enumerate(values, 1)
        for hours, percent in ((first_h, 0.0), (24.0, value))
    ]
    return together(rows)


def verdict(*tables: pd.DataFrame) -> Verdict:
    """Return the verdict on RB-011 against RB-010."""
    table = together(tables)
    comparison = compare(
        load_study(STUDY),
        results={"impedance": table},
        batches=register(["RB-010", "RB-011"]),
        panels=no_panels(),
        filed=NONE_FILED,
    )
    (found,) = comparison.verdicts
    return found


def test_a_first_spectrum_an_hour_later_makes_no_better_film() -> None:
    """By its numbers it takes up a quarter less; nothing is concluded, and the reason says why."""
    control = uptake("RB-010", 0.0, (2.0, 2.05, 1.95))
    assert verdict(control, uptake("RB-011", 0.0, (1.5, 1.55, 1.45))).outcome is VerdictWord.BETTER
    later = verdict(control, uptake("RB-011", 1.0, (1.5, 1.55, 1.45)))
    assert later.outcome is VerdictWord.CANNOT_TELL
    assert later.because == (
        "not comparable: it counts from the first measurement, which was at 1 h of RB-011 and at"
        " 0 h of the control"
    )


def test_panels_of_one_batch_that_begin_apart_are_not_pooled() -> None:
    """The batch that mixes them is named, with the first and the last begin."""
    mixed = together(
        [uptake("RB-011", 0.0, (1.5, 1.55)), uptake("RB-011", 2.0, (1.4, 1.45, 1.3)).iloc[4:]]
    )
    assert verdict(uptake("RB-010", 0.0, (2.0, 2.05, 1.95)), mixed).because == (
        "not comparable: it counts from the first measurement, and that of the panels of RB-011"
        " was made between 0 and 2 h"
    )
