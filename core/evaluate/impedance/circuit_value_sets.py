"""One quantity of the circuits of many spectra: values with errors, limits and reasons."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tiecoat.evaluate.impedance.circuit_models import Floats
from tiecoat.evaluate.impedance.spectra import Texts
from tiecoat.evaluate.statistics.least_squares_many import Integers


@dataclass
class Values:
    """One quantity of k spectra.

    Parameters
    ----------
    unit
        Of value, standard_error, low and high.
    value, standard_error, low, high
        (k,) each; NaN where there is none.
    reason, flags
        (k,) each.
    more
        What is to be added to the method.
    """

    unit: str
    value: Floats
    standard_error: Floats
    low: Floats
    high: Floats
    reason: Texts
    flags: Texts
    more: str = ""

    @classmethod
    def none(cls, unit: str, count: int, reason: str, more: str = "") -> Values:
        """Return values that are all missing."""
        value, error, low, high = (np.full(count, np.nan) for _ in range(4))
        why, flags = (np.full(count, text, dtype=object) for text in (reason, ""))
        return cls(unit, value, error, low, high, why, flags, more)

    def set_logarithmic(self, rows: Integers, ln_value: Floats, error: Floats, t: Floats) -> None:
        """Set values from logarithms with their standard errors; the interval is even in these."""
        self.value[rows] = np.exp(ln_value)
        self.standard_error[rows] = np.exp(ln_value) * error
        with np.errstate(over="ignore"):
            self.low[rows] = np.exp(ln_value - t * error)
            self.high[rows] = np.exp(ln_value + t * error)
        self.reason[rows] = ""

    def miss(self, row: int, reason: str) -> None:
        """Leave a value open."""
        self.value[row] = self.standard_error[row] = self.low[row] = self.high[row] = np.nan
        self.reason[row] = reason
