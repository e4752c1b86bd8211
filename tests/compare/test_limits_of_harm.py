"""Between which limits an effect does no harm, as the margin of a property says it."""

from __future__ import annotations

import math

import pytest

from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Limits
from tiecoat.evaluate.estimate import NotDeterminable


def asked(direction: str, **more: object) -> Property:
    """Return a property with a margin."""
    return Property("gloss", "gloss", "gloss", direction=direction, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("wanted", "limits"),
    [
        (asked("higher", margin=5.0), Limits(-5, math.inf)),
        (asked("lower", margin=5.0), Limits(-math.inf, 5)),
        (asked("target", margin=5.0), Limits(-5, 5)),
        (asked("higher", margin_percent=10.0), Limits(-8, math.inf)),
        (asked("target", margin_percent=10.0), Limits(-8, 8)),
        (asked("higher"), None),
        (asked("higher", scale="ratio"), None),
    ],
)
def test_a_margin_of_differences_is_in_the_unit_or_a_share_of_the_control(
    wanted: Property, limits: Limits | None
) -> None:
    """Of a control of -80 as of 80, 10 % are 8; without a margin there are no limits."""
    assert wanted.limits(80.0) == limits
    assert wanted.limits(-80.0) == limits


@pytest.mark.parametrize(
    ("wanted", "low", "high"),
    [
        (asked("higher", scale="ratio", margin_percent=20.0), 0.8, math.inf),
        (asked("lower", scale="ratio", margin_percent=20.0), 0.0, 1.2),
        (asked("target", scale="ratio", margin_percent=20.0), 0.8, 1.2),
        (asked("lower", method="counts", margin_percent=50.0), 0.0, 1.5),
        (asked("lower", scale="ratio", margin_percent=100.0), 0.0, 2.0),
        (asked("lower", scale="ratio", margin_percent=300.0), 0.0, 4.0),
    ],
)
def test_a_margin_of_ratios_is_a_fall_or_a_rise_by_that_share(
    wanted: Property, low: float, high: float
) -> None:
    """20 % are four fifths and six fifths of the control; less of a harm may fall to nothing."""
    found = wanted.limits(80.0)
    assert found is not None
    assert (math.exp(found.low), math.exp(found.high)) == pytest.approx((low, high))


@pytest.mark.parametrize("direction", ["higher", "target"])
@pytest.mark.parametrize("percent", [100.0, 150.0])
def test_no_ratio_falls_by_all_of_it(direction: str, percent: float) -> None:
    """A margin that lets everything pass is none."""
    with pytest.raises(
        NotDeterminable, match=r"^a ratio cannot fall by 100 %: state a smaller margin$"
    ):
        asked(direction, scale="ratio", margin_percent=percent).limits(80.0)


def test_a_margin_of_differences_is_none_of_a_ratio() -> None:
    """What is compared by ratio needs its margin in %."""
    told = r"^it is compared by ratio: state margin_percent, not margin$"
    with pytest.raises(NotDeterminable, match=told):
        asked("lower", margin=5.0, scale="ratio").limits(80.0)
