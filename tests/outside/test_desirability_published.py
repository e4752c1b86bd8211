"""Desirability against the worked example that introduced it: the tread of a tyre.

Source: G. Derringer and R. Suich, J. Qual. Technol. 12 (1980) 214; limits, optimum and
desirabilities from memory. Abrasion above 120 (170 is ideal), modulus above 1000 (1300), elongation
400 to 600 around 500, hardness 60 to 75 around 67.5; all exponents 1. At the optimum the predicted
responses are 129.5, 1300, 465.7 and 68.0 with desirabilities 0.189, 1.00, 0.656, 0.932 and 0.583
overall.
"""

from __future__ import annotations

import pytest

from tiecoat.compare.desirability import one_sided, overall, two_sided


def test_the_tyre_tread() -> None:
    """Each desirability to the rounding of the printed responses, 0.583 overall."""
    each = [
        float(one_sided(129.5, 120, 170)),
        float(one_sided(1300, 1000, 1300)),
        float(two_sided(465.7, 400, 500, 600)),
        float(two_sided(68.0, 60, 67.5, 75)),
    ]
    assert each == pytest.approx([0.189, 1.0, 0.656, 0.932], abs=2e-3)
    assert float(overall(each, [1, 1, 1, 1])) == pytest.approx(0.583, abs=2e-3)
