"""Sizes of the pores of some cut films, as sections show them and as spheres behind these."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
from numpy.typing import ArrayLike

from tiecoat.evaluate.estimate import Estimate, NotDeterminable
from tiecoat.evaluate.statistics.replicates import (
    NO_INTERVAL,
    Found,
    not_below_zero,
    share_interval,
)
from tiecoat.evaluate.statistics.stereology import ROUNDING, Spheres, ratio, saltykov
from tiecoat.wording import counted

NO_PORES = "no whole pore was seen"


def spheres_method(classes: int, unseen_below_um: float) -> str:
    """Say how spheres were found."""
    return (
        f"Saltykov, {classes} linear classes from the least diameter counted,"
        f" {unseen_below_um:.3g} um; if pores are spheres that lie at random, of those above it"
    )


def number_mean(diameters: pd.Series[float], units: pd.Series[str], unit: str) -> Found:
    """Return the mean diameter by number, with an interval over the units, not below 0.

    Parameters
    ----------
    diameters, units
        Shape (n,): diameter of each whole pore, and its field or panel.
    unit
        What a unit is called.

    Raises
    ------
    NotDeterminable
        Without pores.
    """
    _refuse_none(diameters)
    groups = diameters.groupby(units)
    found = ratio(groups.sum(), groups.count())
    method = f"mean by number; {unit}s as unit"
    if math.isnan(found.standard_error):
        why = "no spread" if found.n > 1 else f"one {unit}"
        return Found(found, method, (f"no interval: {why}",), NO_INTERVAL)
    return not_below_zero(Found(found, method))


def quantile(diameters: pd.Series[float], share: float, units: pd.Series[str], unit: str) -> Found:
    """Return the diameter that a share of the pores does not exceed, by number, with its interval.

    The interval is Woodruff's: from the diameter that the lower end of the interval of the share
    belongs to up to that of the upper end, fields or panels as the unit.

    Raises
    ------
    NotDeterminable
        Without pores.

    References
    ----------
    Woodruff, J. Am. Stat. Assoc. 47 (1952) 635 (from memory), with the interval of the share that
    `share_interval` gives.
    """
    _refuse_none(diameters)
    value = float(diameters.quantile(share))
    (low, high), _ = share_interval(diameters <= value, units)
    method = f"by number, linear between the ordered diameters; Woodruff, {unit}s as unit"
    n = len(diameters)
    if low * n <= 100 or (100 - high) * n <= 100:  # beyond the pore at an end nothing is known
        few = "no interval: too few pores or pictures"
        return Found(Estimate(value), method, (few,), NO_INTERVAL)
    ends = (float(diameters.quantile(low / 100)), float(diameters.quantile(high / 100)))
    return Found(Estimate(value), method, (), ends)


def volume_mean(diameters: ArrayLike) -> float:
    r"""Return the mean diameter weighted by volume, :math:`\sum d^4 / \sum d^3`.

    Examples
    --------
    >>> round(volume_mean([1.0, 3.0]), 3)
    2.929
    """
    each = np.asarray(diameters, dtype=float)
    return float((each**4).sum() / (each**3).sum())


def volume_weighted(diameters: pd.Series[float]) -> Found:
    """Return the mean diameter weighted by volume.

    Raises
    ------
    NotDeterminable
        Without pores.
    """
    _refuse_none(diameters)
    method = "mean weighted by the cube of the diameter, as sections show it"
    return Found(Estimate(volume_mean(diameters)), method, (), NO_INTERVAL)


def spheres(
    diameters: pd.Series[float], per_mm2: float, classes: int, least: int, unseen_below_um: float
) -> tuple[Spheres, tuple[str, ...]]:
    """Return the spheres a mm³ behind pores with diameters in µm, and what must be known of them.

    Parameters
    ----------
    diameters
        Of the whole pores, in µm, shape (n,).
    per_mm2
        Pores a mm² of film.
    classes
        How many classes of size.
    least
        How many pores it takes.
    unseen_below_um
        Pores below this diameter were not counted.

    Raises
    ------
    NotDeterminable
        From too few pores, or where the classes contradict each other.
    """
    if len(diameters) < least:
        raise NotDeterminable(f"{counted(len(diameters), 'whole pore')}; it takes {least}")
    found = saltykov(diameters / 1000, per_mm2, classes, unseen_below_um / 1000)
    largest = found.diameter[-1] * (1 + ROUNDING)
    if not found.total > 0 or found.mean_diameter > largest:
        raise NotDeterminable("the sections are not those of spheres")
    below = int((found.number < 0).sum())
    flags = (f"{below} of {classes} classes came out below zero",) if below else ()
    return found, flags


def _refuse_none(diameters: pd.Series[float]) -> None:
    if not len(diameters):
        raise NotDeterminable(NO_PORES)
