"""Variances within groups, and a straight line, against certified values: NIST StRD.

Source: NIST/ITL Statistical Reference Datasets, analysis of variance and linear regression (a work
of the United States government, in the public domain). The files in nist_strd/ are NIST's own, as
they travel with scipy 1.17.1.

The digits asked for are those that double precision leaves once the data are stored: SmLs07 has 13
leading digits in common.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tiecoat.compare.contrasts import Contrast, against_control
from tiecoat.compare.dose_line import line_through
from tiecoat.evaluate.estimate import pooled

FOLDER = Path(__file__).parent / "nist_strd"


def groups_of(name: str) -> tuple[list[NDArray[np.float64]], float]:
    """Return the groups of a file and the certified residual standard deviation."""
    text = (FOLDER / f"{name}.dat").read_text(encoding="ascii")
    found = re.search(r"Standard Deviation\s+([0-9.E+-]+)", text)
    assert found is not None
    lines = text.splitlines()[60:]
    rows = [tuple(map(float, line.split())) for line in lines if line.strip()]
    data = np.array(rows)
    return [data[data[:, 0] == one, 1] for one in np.unique(data[:, 0])], float(found[1])


def digits(value: float, certified: float) -> float:
    """Return how many leading digits agree."""
    return 16.0 if value == certified else -float(np.log10(abs(value / certified - 1)))


@pytest.mark.parametrize(
    ("name", "least"),
    [("SiRstv", 13.0), ("AtmWtAg", 11.0), ("SmLs01", 15.0), ("SmLs04", 10.0), ("SmLs07", 4.0)],
)
def test_the_spread_within_groups(name: str, least: float) -> None:
    """The pooled standard deviation to the digits that the data allow."""
    groups, certified = groups_of(name)
    deviation, freedom = pooled(groups)
    assert freedom == sum(len(one) - 1 for one in groups)
    assert digits(deviation, certified) >= least


def test_two_instruments_against_each_other() -> None:
    """AtmWtAg, two groups of 24: the square of t is the certified F, 15.94673, to seven digits.

    For groups of one size it is the same with one variance and with two.
    """
    groups, _ = groups_of("AtmWtAg")
    (found,) = against_control(groups[0], groups[1:]).own
    assert isinstance(found, Contrast)
    assert (found.effect / found.standard_error) ** 2 == pytest.approx(15.9467335677930, rel=1e-7)


def test_a_straight_line() -> None:
    """Norris: the slope of a line through groups at each dose, certified as 1.00211681802045."""
    lines = (FOLDER / "Norris.dat").read_text(encoding="ascii").splitlines()[60:]
    y, x = np.array([tuple(map(float, line.split())) for line in lines if line.strip()]).T
    doses = np.unique(x)
    line = line_through(doses, [y[x == one] for one in doses])
    assert digits(line.slope, 1.00211681802045) >= 13
