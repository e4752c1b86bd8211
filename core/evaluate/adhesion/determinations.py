"""Determinations of pull-off strength as arrays, which thousands of groups are taken from."""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from tiecoat.evaluate.adhesion.failure_sites import CLASSES, sites_of
from tiecoat.evaluate.grouping import Bools


@dataclass(frozen=True)
class Determinations:
    """Determinations, shape (n,) each.

    `panel_number` and `measurement_number` tell panels and measurements apart; `failed_percent` is
    the share of the area of each class and of each place, shape (n, classes and places).
    """

    batch: NDArray[np.object_]
    panel: NDArray[np.object_]
    panel_number: NDArray[np.intp]
    measurement: NDArray[np.object_]
    measurement_number: NDArray[np.intp]
    measured_at: NDArray[np.datetime64]
    determination: NDArray[np.float64]
    dolly_diameter_mm: NDArray[np.float64]
    area_mm2: NDArray[np.float64]
    strength_mpa: NDArray[np.float64]
    is_bound: NDArray[np.bool_]
    failed_percent: NDArray[np.float64]

    @property
    def is_stated(self) -> Bools:
        """Whether it is known where it failed."""
        return np.asarray(self.failed_percent.sum(axis=1) > 0)

    def at(self, positions: NDArray[np.intp] | NDArray[np.bool_]) -> Determinations:
        """Return some of them."""
        return Determinations(*(getattr(self, one.name)[positions] for one in fields(self)))


def determinations_of(marked: pd.DataFrame) -> tuple[Determinations, tuple[str, ...]]:
    """Return determinations, and the places of failure that follow the classes.

    Parameters
    ----------
    marked
        As `pull_off.marked` gives them.
    """
    sites = sites_of(marked["failure"])
    numbers = ("determination", "dolly_diameter_mm", "area_mm2", "strength_mpa")
    names = ("batch", "panel", "measurement")
    found = Determinations(
        **{name: marked[name].to_numpy(dtype=float) for name in numbers},
        **{name: marked[name].to_numpy(dtype=object) for name in names},
        panel_number=pd.factorize(marked["panel"], sort=True)[0],
        measurement_number=pd.factorize(marked["measurement"], sort=True)[0],
        measured_at=marked["measured_at"].to_numpy(dtype="datetime64[us]"),
        is_bound=marked["is_bound"].to_numpy(dtype=bool),
        failed_percent=np.hstack([marked[list(CLASSES)].to_numpy(float), sites.to_numpy(float)]),
    )
    return found, tuple(map(str, sites))
