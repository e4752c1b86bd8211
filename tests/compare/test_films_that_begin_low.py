"""A film that is low from the start is no better for falling less: simulated, with known truth."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest
from film_courses import HOURS, SIX, compared, evaluated, steady, verdict

from tiecoat.compare.verdict import Verdict, VerdictWord

FEW, MANY = 1, 200
COUNTS = [pytest.param(FEW, id="few"), pytest.param(MANY, id="many", marks=pytest.mark.campaign)]
DECLINE = """
[[property]]
name = "modulus decline"
"""
OWN_NAME = """
[[property]]
name = "fall of the film"
kind = "impedance"
quantity = "modulus_decline"
condition = "0.1 Hz"
direction = "lower"
margin = 0.02
"""
FLOOR = 3.3


@dataclass(frozen=True)
class Films:
    """Six panels: lg modulus at the start, its scatter among them, fall a day, lowest that is left.

    `low` of them start there instead.
    """

    start: float
    per_day: float
    floor: float = FLOOR
    low: int = 0
    low_start: float = 6.5

    def drawn(self, rng: np.random.Generator) -> list[list[float]]:
        """Return the courses of six panels."""
        starts = [self.start] * (6 - self.low) + [self.low_start] * self.low
        rates = self.per_day * rng.uniform(0.9, 1.1, 6)
        return [
            [max(lg + offset - rate * hour / 24, self.floor) for hour in HOURS]
            for lg, rate, offset in zip(starts, rates, rng.normal(0, 0.1, 6), strict=True)
        ]


GOOD = Films(9.5, 0.30)


def decided(control: Films, candidate: Films, seed: int, study: str = DECLINE) -> Verdict:
    """Return the verdict on the decline of the candidate."""
    rng = np.random.default_rng(seed)
    courses = {"RB-010": control.drawn(rng), "RB-011": candidate.drawn(rng)}
    (found,) = compared(evaluated(courses, seed=seed), study).verdicts
    return found


def skip_unless_asked(count: int, request: pytest.FixtureRequest) -> None:
    """Leave the full number to the campaign."""
    if count == MANY and "campaign" not in request.config.getoption("-m"):
        pytest.skip("run with -m campaign")


LOW = {
    "water from the first hour on, level": Films(7.5, 0.0),
    "falls half as fast": Films(7.5, 0.15),
    "just below what is good": Films(7.7, 0.05),
    "on what is left of it": Films(6.5, 0.30, floor=6.2),
    "one panel of six": Films(9.5, 0.20, low=1),
    "just above a failed film": Films(6.3, 0.02),
}


@pytest.mark.every(4)
@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("low", LOW.values(), ids=LOW)
def test_what_begins_low_is_never_better_than_a_good_film(
    low: Films, count: int, request: pytest.FixtureRequest
) -> None:
    """The control begins at 3e9 and falls 0.3 decades a day; none that begins low beats it.

    Nor is it called not worse, and where it is the control, no good film is worse than it.
    """
    skip_unless_asked(count, request)
    for seed in range(count):
        found = decided(GOOD, low, seed)
        assert found.outcome not in {VerdictWord.BETTER, VerdictWord.NOT_WORSE}
        assert not found.is_comparable
        turned = decided(low, GOOD, seed)
        assert turned.outcome is VerdictWord.CANNOT_TELL


HEALTHY = {
    "both blocking": (GOOD, Films(9.5, 0.15)),
    "candidate begins a decade higher": (GOOD, Films(10.5, 0.15)),
    "candidate begins a decade lower, and good": (GOOD, Films(8.5, 0.15, floor=0)),
    "both low alike": (Films(7.6, 0.20, floor=0), Films(7.6, 0.05)),
}


@pytest.mark.parametrize("count", COUNTS)
@pytest.mark.parametrize("pair", HEALTHY.values(), ids=HEALTHY)
def test_what_begins_alike_or_good_is_better_where_it_falls_less(
    pair: tuple[Films, Films], count: int, request: pytest.FixtureRequest
) -> None:
    """Half the decline, six panels each: found as often as without the rule, which stops none."""
    skip_unless_asked(count, request)
    found = [decided(*pair, seed).outcome for seed in range(count)]
    assert found.count(VerdictWord.BETTER) >= 0.98 * count


def test_the_reason_tells_where_both_begin() -> None:
    """How many panels begin low, the lowest, what is good, and where the other batch begins."""
    courses = {
        "RB-010": [steady(start, 0.3) for start in SIX],
        "RB-011": [steady(start, 0.0) for start in (7.5, *SIX[1:])],
    }
    found = verdict(compared(evaluated(courses), DECLINE), "RB-011", "modulus decline")
    assert found.outcome is VerdictWord.CANNOT_TELL
    assert found.because == (
        "not comparable: 1 of 6 panels of RB-011 begin below 1e+08 ohm cm2, the lowest at 3e+07,"
        " and RB-010 at 9.6e+08: what begins low has little to lose"
    )


def test_a_decline_under_another_name_is_held_to_the_same() -> None:
    """A study may name it by kind and quantity: what begins low does not win there either."""
    found = decided(GOOD, Films(7.5, 0.0), 1, OWN_NAME)
    assert (found.outcome, found.is_comparable) == (VerdictWord.CANNOT_TELL, False)
