"""The acceptance rules of ISO 19840 for the dry film thickness on blasted steel.

They support the inspection by the responsible person, and do not replace it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from tiecoat.evaluate.estimate import NotDeterminable
from tiecoat.wording import unlike

LEAST_NOMINAL_UM = 40.0  # ISO 19840, scope
SAME = 1e-9  # relative: a reading in mil may be off in the last digit


@dataclass(frozen=True)
class ThicknessRule:
    """A rule, whether the readings fulfil it, and what was found.

    Parameters
    ----------
    name
        mean, least_reading, low_share or maximum.
    asked, found
        In words with numbers and units.
    """

    name: str
    fulfilled: bool
    asked: str
    found: str


def is_below(thickness_um: ArrayLike, nominal_um: ArrayLike) -> NDArray[np.bool_]:
    """Return which readings are below the nominal thickness, shape (n,).

    Parameters
    ----------
    thickness_um
        In um, shape (n,).
    nominal_um
        In um, above 0; one, or that of each reading.

    Examples
    --------
    >>> is_below([150, 180, 200, 210], 180).tolist()
    [True, False, False, False]
    """
    return np.asarray(np.asarray(thickness_um) < np.asarray(nominal_um) * (1 - SAME))


def acceptance_rules(
    thickness_um: ArrayLike, nominal_um: float, most_times_nominal: float = 3.0
) -> tuple[ThicknessRule, ...]:
    """Return the rules of ISO 19840 for the readings of one inspection area.

    1. The arithmetic mean is at or above the nominal dry film thickness.
    2. No reading is below 80 % of the nominal thickness.
    3. Fewer than 20 % of the readings are from 80 % up to, and not including, the nominal.
    4. No reading is above the maximum, usually 3 times the nominal (ISO 12944-5).

    How many readings an area of its size needs is not checked: on panels the standard asks nothing.

    Parameters
    ----------
    thickness_um
        Dry film thickness in um, shape (n,), with the correction for the surface profile made.
    nominal_um
        Nominal dry film thickness in um, at least 40: below, the standard does not apply.
    most_times_nominal
        The maximum over the nominal thickness.

    Raises
    ------
    NotDeterminable
        If there is no reading, one is not finite, or the nominal is below 40 um.

    References
    ----------
    ISO 19840, clause 9 a to d, as printed in the data of a public steelwork quality program;
    its scope for the least nominal thickness, as printed in a published abstract. Paint makers'
    "80-20" rule has "not more than 20 %", so that one of five would pass there.

    Examples
    --------
    >>> [rule.fulfilled for rule in acceptance_rules([150, 190, 200, 200, 210], 180)]
    [True, True, False, True]
    """
    readings = np.asarray(thickness_um, dtype=float)
    if not len(readings) or not np.isfinite(readings).all():
        raise NotDeterminable("there is no reading, or one is no finite number")
    if not nominal_um >= LEAST_NOMINAL_UM:
        raise NotDeterminable(
            f"ISO 19840 does not apply to a nominal thickness below {LEAST_NOMINAL_UM:g} um;"
            f" {nominal_um:g} um is set"
        )
    below = 1 - SAME
    too_low = int((readings < 0.8 * nominal_um * below).sum())
    low = int((readings < nominal_um * below).sum()) - too_low
    average, most = float(readings.mean()), most_times_nominal * nominal_um
    n, least, largest = len(readings), float(readings.min()), float(readings.max())
    return (
        ThicknessRule(
            "mean",
            average >= nominal_um * below,
            f"mean at or above the nominal {nominal_um:g} um",
            f"mean {unlike(average, nominal_um)} um",
        ),
        ThicknessRule(
            "least_reading",
            too_low == 0,
            f"no reading below {0.8 * nominal_um:g} um (80 % of the nominal)",
            f"{too_low} of {n} readings, the least {unlike(least, 0.8 * nominal_um)} um",
        ),
        ThicknessRule(
            "low_share",
            5 * low < n,
            f"fewer than 20 % of the readings from {0.8 * nominal_um:g} to below {nominal_um:g} um",
            f"{low} of {n} readings",
        ),
        ThicknessRule(
            "maximum",
            largest <= most * (1 + SAME),
            f"no reading above {most:g} um ({most_times_nominal:g} times the nominal)",
            f"the largest {unlike(largest, most)} um",
        ),
    )
