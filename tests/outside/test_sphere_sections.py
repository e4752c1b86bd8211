"""Spheres behind their sections, against results and tables of stereology."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tiecoat.evaluate.statistics.stereology import saltykov

# One class of sections after the other, the largest last; what a single section of that class adds
# to the spheres of each class, as the printed tables for a linear scale give it.
TABLE = [
    [1.0000, -0.1547, -0.0360],
    [0.0000, 0.5774, -0.1529],
    [0.0000, 0.0000, 0.4472],
]


def cut_spheres(
    diameters: np.ndarray, share: np.ndarray, n: int, rng: np.random.Generator
) -> np.ndarray:
    """Section diameters of n spheres: a plane meets the larger ones in proportion to diameter."""
    met = rng.choice(diameters, n, p=diameters * share / (diameters @ share))
    off = rng.uniform(0, met / 2)
    return np.asarray(2 * np.sqrt((met / 2) ** 2 - off**2))


def test_the_coefficients_are_the_printed_ones() -> None:
    """Saltykov, linear scale, as tabulated in Underwood, Quantitative Stereology, 1970 (memory).

    Columns are the class of a section, rows the class of spheres; classes are 1 wide, and a section
    of class 3 is always there, so that the width is known. By the equation the first row is 1,
    -0.1547, -0.0357, the second 1/sqrt 3, -0.1529, the third 1/sqrt 5; the table (as remembered)
    has -0.0360: hence the tolerance.
    """
    base = saltykov([3.0], 1.0, 3).number
    for section in (1, 2):
        together = saltykov([float(section), 3.0], 2.0, 3).number
        assert together - base == pytest.approx([row[section - 1] for row in TABLE], abs=5e-4)
    assert base == pytest.approx([row[2] for row in TABLE], abs=5e-4)


def test_equal_spheres_come_back_from_their_sections() -> None:
    """N_A = N_V D, and the mean section has pi/4 of the diameter (Underwood, Weibel; from memory).

    100,000 spheres of 40 um cut at random. The classes know that the smallest sections come from
    large spheres: mean diameter and number are right within 2 %.
    """
    rng = np.random.default_rng(11)
    sections = cut_spheres(np.array([0.040]), np.array([1.0]), 100_000, rng)
    assert sections.mean() == pytest.approx(math.pi / 4 * 0.040, rel=0.005)
    per_volume = 5000.0
    found = saltykov(sections, per_volume * 0.040, 8)
    assert found.mean_diameter == pytest.approx(0.040, rel=0.02)
    assert found.total == pytest.approx(per_volume, rel=0.02)
    assert found.number[:-1] == pytest.approx(np.zeros(7), abs=0.03 * per_volume)


def test_three_sizes_of_spheres_come_back_from_their_sections() -> None:
    """An independent route: a box of spheres, one plane after the other, sections counted.

    20, 40 and 80 um, half, 30 % and 20 % by number; classes of 10 um hold them at their upper
    limits. Within 4 % of the number for each size, and less than 3 % of all between them.
    """
    rng = np.random.default_rng(12)
    diameters, share = np.array([0.020, 0.040, 0.080]), np.array([0.5, 0.3, 0.2])
    side, spheres, planes = 1.0, 4000, 150
    kinds = rng.choice(3, spheres, p=share)
    height = rng.uniform(0, side, spheres)
    sections = []
    for plane in rng.uniform(0.04, side - 0.04, planes):
        off = np.abs(height - plane)
        radius = diameters[kinds] / 2
        met = off < radius
        sections.append(2 * np.sqrt(radius[met] ** 2 - off[met] ** 2))
    every = np.concatenate(sections)
    found = saltykov(every, len(every) / (planes * side**2), 8)
    of_sizes = found.number[[1, 3, 7]]
    true = np.bincount(kinds) / side**3
    assert of_sizes == pytest.approx(true, rel=0.04)
    between = np.delete(found.number, [1, 3, 7])
    assert np.abs(between).max() < 0.03 * spheres
    assert found.mean_diameter == pytest.approx(float(diameters @ share), rel=0.04)


def seen_mean(unseen_below: float, known: bool, seed: int) -> tuple[float, float]:
    """Mean diameter found behind 20,000 sections of which small ones are not seen, and the true.

    Spheres of 40 um, lognormal with 35 % spread, none below 16 um.
    """
    rng = np.random.default_rng(seed)
    spread = math.sqrt(math.log(1 + 0.35**2))
    spheres = 0.040 * np.exp(rng.normal(-(spread**2) / 2, spread, 200_000))
    spheres = spheres[spheres > 0.016]
    sections = cut_spheres(spheres, np.full(len(spheres), 1 / len(spheres)), 20_000, rng)
    kept = sections[sections >= unseen_below]
    found = saltykov(kept, 1.0, 15, unseen_below if known else 0.0)
    return found.mean_diameter, float(spheres.mean())


@pytest.mark.parametrize("unseen_below", [0.008, 0.012, 0.016])
def test_what_is_too_small_to_be_seen_is_allowed_for(unseen_below: float) -> None:
    """Known truth: 3 to 6 % too large, as classes are; 11 to 25 % as if all had been seen."""
    found, truth = seen_mean(unseen_below, True, 5)
    assert found == pytest.approx(truth, rel=0.065)
    without, _ = seen_mean(unseen_below, False, 5)
    assert without > 1.1 * truth


def test_without_a_least_diameter_it_is_saltykovs() -> None:
    """The equation for a linear scale, solved here from the largest class down."""
    rng = np.random.default_rng(3)
    sections = rng.uniform(0.1, 1.0, 500)
    width, classes = sections.max() / 6, 6
    counts = np.bincount(np.ceil(sections / width * (1 - 1e-12)).astype(int), minlength=7)[1:] / 500
    number = np.zeros(classes)
    for i in range(classes, 0, -1):
        rest = sum(
            number[j - 1] * (math.sqrt(j**2 - (i - 1) ** 2) - math.sqrt(j**2 - i**2))
            for j in range(i + 1, classes + 1)
        )
        number[i - 1] = (counts[i - 1] / width - rest) / math.sqrt(i**2 - (i - 1) ** 2)
    assert saltykov(sections, 1.0, classes).number == pytest.approx(number, rel=1e-9)
