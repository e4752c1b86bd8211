"""Grubbs' critical values against the printed tables."""

import pytest

from tiecoat.evaluate.statistics.outliers import critical, grubbs

# Two-sided 5 % and 1 %, computed from Student's t; the printed tables of ISO 5725-2 agree (from
# memory); for 6 values a function of GNU Octave has 1.8871.
TABLE = {
    3: (1.154, 1.155),
    5: (1.715, 1.764),
    6: (1.887, 1.973),
    8: (2.126, 2.274),
    10: (2.290, 2.482),
    20: (2.708, 3.001),
}


@pytest.mark.parametrize("n", sorted(TABLE))
def test_the_printed_values_come_out(n: int) -> None:
    """To a unit of the last printed digit: the tables have 2.126 where it is 2.1266."""
    five, one = TABLE[n]
    assert critical(n, 0.05) == pytest.approx(five, abs=1e-3)
    assert critical(n, 0.01) == pytest.approx(one, abs=1e-3)


def test_the_data_of_tietjen_and_moore() -> None:
    """Eight values of Tietjen and Moore, as a public package of outlier tests prints them.

    G 2.4688 and the one-sided 5 % limit for eight, 2.032, are printed there; the two-sided 1.887
    for six is in a public function for GNU Octave.
    """
    values = [199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57]
    found = grubbs(values)
    assert found.statistic == pytest.approx(2.4688, abs=5e-5)
    assert found.is_outlier
    assert found.position == 7
    assert critical(8, 0.10) == pytest.approx(2.032, abs=5e-4)
    assert critical(6) == pytest.approx(1.8871, abs=5e-5)
