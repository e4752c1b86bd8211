"""Dunnett's comparisons against his own examples, and against scipy on a survey.

Source: C. W. Dunnett, J. Am. Stat. Assoc. 50 (1955) 1096. The data and
results are as in scipy's own tests (scipy/stats/tests/test_multicomp.py of scipy 1.17.1, which
name the paper and two R packages). The limits printed for the first example are p 0.620 and 0.0058
with intervals (-1.257, 2.557) and (0.839, 4.417); for the second the error mean square is
19.0 and the half-width 10.25.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import dunnett
from statsmodels.datasets import anes96

from tiecoat.compare.contrasts import Contrast, against_control
from tiecoat.compare.many_to_one import critical_value

CONTROL = np.array([7.40, 8.50, 7.20, 8.24, 9.84, 8.32])
DRUG_A = np.array([9.76, 8.80, 7.68, 9.36])
DRUG_B = np.array([12.80, 9.68, 12.16, 9.20, 10.55])
STANDARD = np.array([55.0, 47, 48])
PROCESSES = [np.array(one) for one in ([55.0, 64, 64], [55.0, 49, 52], [50.0, 44, 41])]


def contrasts(control: np.ndarray, candidates: list[np.ndarray]) -> list[Contrast]:
    """Return the contrasts with one scatter for all."""
    return list(against_control(control, candidates).alike)


def test_the_blood_counts() -> None:
    """p and intervals to the digits printed."""
    a, b = contrasts(CONTROL, [DRUG_A, DRUG_B])
    assert a.p == pytest.approx(0.620, abs=5e-4)
    assert b.p == pytest.approx(0.0058, abs=5e-5)
    assert a.interval == pytest.approx((-1.257, 2.557), abs=1e-3)
    assert b.interval == pytest.approx((0.839, 4.417), abs=1e-3)


def test_the_fabrics() -> None:
    """Effects 11, 2 and -5, and the half-width of all three intervals."""
    found = contrasts(STANDARD, PROCESSES)
    assert [one.effect for one in found] == pytest.approx([11, 2, -5])
    for one in found:
        assert one.interval[1] - one.effect == pytest.approx(10.25, abs=5e-3)


# Two-sided 95 %, one to nine candidates with as many panels each: the table of Dunnett, Biometrics
# 20 (1964) 482, as three public files have it. (The table of 1955 rested on an approximation.)
PRINTED = {
    5: (2.57, 3.03, 3.29, 3.48, 3.62, 3.73, 3.82, 3.90, 3.97),
    6: (2.45, 2.86, 3.10, 3.26, 3.39, 3.49, 3.57, 3.64, 3.71),
    10: (2.23, 2.57, 2.76, 2.89, 2.99, 3.07, 3.14, 3.19, 3.24),
    20: (2.09, 2.38, 2.54, 2.65, 2.73, 2.80, 2.86, 2.90, 2.95),
    60: (2.00, 2.27, 2.41, 2.51, 2.58, 2.64, 2.69, 2.73, 2.77),
}


@pytest.mark.parametrize("freedom", PRINTED)
def test_the_table_of_two_sided_limits(freedom: int) -> None:
    """Every one to its two printed decimals."""
    found = [critical_value((3,) * k, 3, float(freedom)) for k in range(1, 10)]
    assert found == pytest.approx(PRINTED[freedom], abs=0.0051)


def test_scipy_on_a_survey() -> None:
    """Years of education by party, statsmodels' data set anes96: seven groups of 37 to 200.

    scipy draws random numbers for the integral; its p is good to about 0.001.
    """
    table = anes96.load_pandas().data
    groups = [table.loc[table["PID"] == one, "educ"].to_numpy(float) for one in range(7)]
    found = against_control(groups[0], groups[1:])
    theirs = dunnett(*groups[1:], control=groups[0], rng=np.random.default_rng(1))
    listed = found.alike
    assert [one.p for one in listed] == pytest.approx(theirs.pvalue, abs=2e-3)
    low, high = theirs.confidence_interval()
    assert [one.interval[0] for one in listed] == pytest.approx(low, abs=5e-3)
    assert [one.interval[1] for one in listed] == pytest.approx(high, abs=5e-3)
