"""How much more widely a candidate scatters than the control.

A remark, never a verdict; but where it is much, nothing is concluded as if both scattered alike.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import fdtri

from tiecoat.evaluate.statistics.censored_normal import Floats

MUCH_WIDER = 2.0  # times; our own choice, without a source
CONFIDENCE = 0.95


@dataclass(frozen=True)
class ScatterRatio:
    """Standard deviation of a candidate's panels over that of the control's, with its interval."""

    value: float
    low: float
    high: float

    @property
    def is_much_wider(self) -> bool:
        """Whether the whole interval lies above twice the control's."""
        return self.low > MUCH_WIDER

    @property
    def is_far_off(self) -> bool:
        """Whether one of both scatters much more widely than the other, whichever it is.

        Examples
        --------
        >>> ScatterRatio(7.0, 2.5, 20.0).is_far_off, ScatterRatio(1 / 7, 1 / 20, 0.4).is_far_off
        (True, True)
        """
        return self.is_much_wider or 1 / self.high > MUCH_WIDER

    @property
    def words(self) -> str:
        """It as a remark beside a verdict.

        Examples
        --------
        >>> ScatterRatio(7.0, 2.62, 18.7).words.partition(": ")[0]
        'scatters 7 times as widely as the control (95 % interval 2.6 to 19)'
        """
        return (
            f"scatters {self.value:.2g} times as widely as the control (95 % interval"
            f" {self.low:.2g} to {self.high:.2g}): look at the single values, and at how evenly it"
            " was mixed and applied"
        )


def scatter_ratio(control: Floats, candidate: Floats) -> ScatterRatio | None:
    r"""Return the ratio of two standard deviations; None where a side does not scatter.

    .. math:: \frac{s_1}{s_0} \Big/ \sqrt{F_{0.975}(\nu_1, \nu_0)} \quad\text{to}\quad
        \frac{s_1}{s_0} \Big/ \sqrt{F_{0.025}(\nu_1, \nu_0)}

    Of panels that scatter about normally, on the scale of the comparison; of this one comparison
    alone. The interval follows from the definition of the F distribution.

    Examples
    --------
    The table of F has 7.146 for five and five degrees at 97.5 %.

    >>> import numpy as np
    >>> found = scatter_ratio(np.arange(6.0), 7 * np.arange(6.0))
    >>> round(found.value, 6), round((found.value / found.low) ** 2, 3)
    (7.0, 7.146)
    """
    if min(len(control), len(candidate)) < 2:
        return None
    below, above = float(control.std(ddof=1)), float(candidate.std(ddof=1))
    if not min(below, above) > 0:
        return None
    freedoms = len(candidate) - 1, len(control) - 1
    ends = [(1 + sign * CONFIDENCE) / 2 for sign in (1, -1)]
    low, high = (above / below / math.sqrt(fdtri(*freedoms, end)) for end in ends)
    return ScatterRatio(above / below, low, high)
