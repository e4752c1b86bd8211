"""Properties that are compared: which result it is, which way is better, what counts as harm.

The margins are common practice without a source; a study should state its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from tiecoat.compare.circumstances import Circumstances
from tiecoat.compare.verdict import Limits
from tiecoat.contract.study_property import Direction, Method, Nature, Scale
from tiecoat.evaluate.estimate import NotDeterminable


@dataclass(frozen=True)
class Property:
    """What is compared.

    Parameters
    ----------
    name
        As the study calls it.
    kind, quantity, condition
        Which rows of the result table; for counts `quantity` is a column of the raw rows, and
        `condition` what sets determinations apart; see `under_conditions`.
    direction
        Which way is better: higher, lower, or neither (target).
    scale
        Differences, or ratios (compared by logarithms).
    method
        means; strengths (pull-off with lower bounds); counts (per area); ratings (ranks); times
        (known as intervals, compared by the ratio of their medians).
    exposure_h
        The time at which it is compared; NaN where it has none, or none is chosen yet.
    margin, margin_percent
        What counts as harm: in the unit of the property, or in % of the control. Counts are
        compared by their ratio, and with `margin` by the difference of their rates. For ratings the
        margin is one of the probability of superiority (0.5 is no difference). None: not stated.
    target
        For the direction target: the value that is wanted; None is that of the control.
    weight, ideal, unacceptable
        For the ranking: weight 0 leaves it out; values of desirability 1 and 0, None by default.
    area
        For counts: the column that holds the area, or other size, that was looked at.
    decisive
        Whether nothing is recommended while it is open or untested.
    nature
        What the result is like; of a property that the study names by kind and quantity `nature_of`
        tells it.
    circumstances, setting
        What the panels of this line have in common, None where no line is chosen yet; and the words
        that tell it from the other lines of the property, "" where it is the only one.
    """

    name: str
    kind: str
    quantity: str
    condition: str = ""
    direction: Direction = "higher"
    scale: Scale = "difference"
    method: Method = "means"
    exposure_h: float = math.nan
    margin: float | None = None
    margin_percent: float | None = None
    target: float | None = None
    weight: float = 1.0
    ideal: float | None = None
    unacceptable: float | None = None
    area: str = ""
    decisive: bool = False
    nature: Nature = Nature()
    circumstances: Circumstances | None = None
    setting: str = ""

    @property
    def by_ratio(self) -> bool:
        """Whether its effect is a ratio; of counts with a margin in their unit a difference."""
        if self.method == "counts":
            return self.margin is None
        return self.scale == "ratio" or self.method == "times"

    @property
    def label(self) -> str:
        """Name, with what tells it from other lines, and with the exposure time if there is one.

        Examples
        --------
        >>> Property("modulus", "impedance", "modulus", setting="primer alone").at(240).label
        'modulus, primer alone, after 240 h'
        """
        if math.isnan(self.exposure_h):
            return self.line_label
        return f"{self.line_label}{',' if self.setting else ''} after {self.exposure_h:g} h"

    @property
    def line_label(self) -> str:
        """The label without the exposure time."""
        return f"{self.name}, {self.setting}" if self.setting else self.name

    def at(self, exposure_h: float) -> Property:
        """Return it at an exposure time."""
        return replace(self, exposure_h=exposure_h)

    def line(self, circumstances: Circumstances, setting: str) -> Property:
        """Return it as one of its lines."""
        condition = circumstances.condition
        return replace(self, circumstances=circumstances, setting=setting, condition=condition)

    def limits(self, control: float) -> Limits | None:
        """Return the limits of harm on the scale of the effect, where 0 is no effect.

        A margin in % on the scale of differences is taken of the control's mean as if that were
        known.

        Raises
        ------
        NotDeterminable
            If the margin is one of differences and the scale one of ratios, or the ratio would
            have to fall by 100 %.
        """
        if self.margin is None and self.margin_percent is None:
            return None
        if self.by_ratio:
            if self.margin_percent is None:
                raise NotDeterminable("it is compared by ratio: state margin_percent, not margin")
            share = self.margin_percent / 100
            if share >= 1 and self.direction != "lower":
                raise NotDeterminable("a ratio cannot fall by 100 %: state a smaller margin")
            low = math.log1p(-share) if share < 1 else -math.inf
            high = math.log1p(share)
        else:
            half = self.margin
            if half is None:
                assert self.margin_percent is not None
                half = abs(control) * self.margin_percent / 100
            low, high = -half, half
        if self.direction == "target":
            return Limits(low, high)
        return Limits(low, math.inf) if self.direction == "higher" else Limits(-math.inf, high)


@dataclass(frozen=True)
class Catalogue:
    """The properties that a study may name without saying more of them, by name.

    Parameters
    ----------
    usual
        What is compared where a study names none.
    by_name
        What is compared only where a study names it.
    left_out
        Sentences about properties and plugins that were left out: what a study names may be theirs.
    """

    usual: Mapping[str, Property]
    by_name: Mapping[str, Property]
    left_out: tuple[str, ...] = ()

    @classmethod
    def of(cls, usual: Iterable[Property], by_name: Iterable[Property]) -> Catalogue:
        """Return the catalogue of these properties."""
        return cls({one.name: one for one in usual}, {one.name: one for one in by_name})

    @cached_property
    def known(self) -> Mapping[str, Property]:
        """All of them."""
        return {**self.usual, **self.by_name}

    def nature_of(self, kind: str, quantity: str) -> Nature:
        """Return what a result is like; nothing out of the ordinary where it is not known.

        Examples
        --------
        >>> CATALOGUE.nature_of("impedance", "water_uptake").since_first
        True
        >>> CATALOGUE.nature_of("gloss", "gloss_mean")
        Nature(lost_by_failure=False, since_first=False, falls_from='')
        """
        mine = (kind, quantity)
        known = (one for one in self.known.values() if (one.kind, one.quantity) == mine)
        return next((one.nature for one in known), Nature())


# What is known without any plugin; evaluations bring further ones (`compare/offered.py`).
CATALOGUE = Catalogue.of(
    (
        Property(
            "modulus",
            "impedance",
            "modulus",
            "0.1 Hz",
            scale="ratio",
            margin_percent=50,
        ),
        Property(
            "modulus decline",
            "impedance",
            "modulus_decline",
            "0.1 Hz",
            "lower",
            margin=0.02,
            nature=Nature(lost_by_failure=True, falls_from="modulus"),
        ),
        Property(
            "time to a limit",
            "impedance",
            "time_to_limit",
            scale="ratio",
            method="times",
            margin_percent=50,
        ),
        Property(
            "water uptake",
            "impedance",
            "water_uptake",
            "10000 Hz",
            "lower",
            margin=0.5,
            nature=Nature(since_first=True),
        ),
        Property(
            "pull-off strength", "pull_off", "strength_mean_censored", method="strengths", margin=1
        ),
        Property("adhesive failure", "pull_off", "failure_adhesive", "", "lower", margin=20),
        Property("entrapped air", "density", "entrapped_air", "as mixed", "lower", margin=0.5),
    ),
    by_name=(
        Property(
            "time to a rust grade",
            "exposure_rating",
            "time_to_rust_grade",
            scale="ratio",
            method="times",
            margin_percent=50,
        ),
        Property(
            "time to a blister grade",
            "exposure_rating",
            "time_to_blister_density",
            scale="ratio",
            method="times",
            margin_percent=50,
        ),
    ),
)
