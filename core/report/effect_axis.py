"""An axis of effects: marks with their intervals, where harm begins, and how far it reaches."""

from __future__ import annotations

import math
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.markers import CARETLEFTBASE, CARETRIGHTBASE

from tiecoat.compare.properties import Property
from tiecoat.compare.verdict import Verdict, VerdictWord
from tiecoat.report.looks import FAINT, HARM, SOFT, look_of
from tiecoat.report.words import say

FARTHEST_LN = 700.0  # to which an axis of ratios reaches: beyond it the exponential is infinite
NEUTRAL = {"difference": 0.0, "ratio": 1.0, "probability of superiority": 0.5}


def is_turned(wanted: Property) -> bool:
    """Whether the axes run from right to left, so that harm stands at the left in every figure."""
    return wanted.direction == "lower" and wanted.method != "ratings"


def lay_out(axes: Axes, first: Verdict, ends: tuple[float, float]) -> None:
    """Give axes the scale of an effect, the line of no difference, and the side of harm."""
    if first.effect_is == "ratio":
        axes.set_xscale("log")
    axes.set_xlim(*ends)
    if not math.isnan(first.effect):
        _shade_harm(axes, first, *ends)
    axes.axvline(NEUTRAL[first.effect_is], color=SOFT, lw=0.8)


def draw_effect(
    axes: Axes,
    row: int,
    one: Verdict,
    ends_of_axis: tuple[float, float],
    *,
    turned: bool,
    size: float = 5.5,
) -> None:
    """Draw one effect with its interval; a caret says that it goes on beyond the axis."""
    low, high = ends_of_axis
    look = look_of(one)
    ends = [max(one.low, low), min(one.high, high)]
    axes.plot(ends, [row, row], color=look["color"], lw=1.4, solid_capstyle="butt")
    for is_beyond, limit in ((one.low < low, low), (one.high > high, high)):
        if is_beyond:
            marker = CARETLEFTBASE if (limit == low) != turned else CARETRIGHTBASE
            axes.plot(
                [limit], [row], marker=marker, color=look["color"], clip_on=False, ms=size - 0.5
            )
    shown = min(max(one.effect, low), high)  # a rate may be 0, or its ratio infinite
    axes.plot([shown], [row], linestyle="none", ms=size, mew=1.0, clip_on=False, **look)


def no_effect_words(one: Verdict | None) -> str:
    """Return what stands in the place of an effect that is not known."""
    is_untested = one is not None and one.outcome is VerdictWord.NOT_TESTED
    return say("not tested") if is_untested else say("not compared")


def _shade_harm(axes: Axes, one: Verdict, low: float, high: float) -> None:
    """Shade where harm begins by the margin."""
    for limit, begin, end in (
        (one.limit_low, low, one.limit_low),
        (one.limit_high, one.limit_high, high),
    ):
        if math.isfinite(limit) and begin < end:
            axes.axvspan(begin, end, facecolor=HARM, edgecolor=FAINT, hatch="////", lw=0, zorder=0)
            axes.axvline(limit, color="#C44E00", lw=0.7, linestyle=(0, (3, 2)))


def range_of(known: Sequence[Verdict], beyond: float = math.inf) -> tuple[float, float]:
    """Return the ends of the axis: whatever is finite and no more than it needs.

    Parameters
    ----------
    known
        Verdicts on one property, of the same sort of effect; one at least.
    beyond
        How far intervals may reach beyond effects and limits, in multiples of what these take; of
        those that reach farther the rest is cut off.
    """
    log, neutral = known[0].effect_is == "ratio", NEUTRAL[known[0].effect_is]
    core, ends = [neutral], [neutral]
    for one in known:
        core += [one.effect, one.limit_low, one.limit_high]
        ends += [one.low, one.high]
    core, ends = (_line(part, log) for part in (core, ends))
    low, high = min(core), max(core)
    reach = beyond * (high - low) if high > low else math.inf
    low, high = max(min(low, *ends), low - reach), min(max(high, *ends), high + reach)
    room = 0.12 * (high - low) or 0.5
    if log:
        return math.exp(max(low - room, -FARTHEST_LN)), math.exp(min(high + room, FARTHEST_LN))
    return low - room, high + room


def _line(numbers: Sequence[float], log: bool) -> list[float]:
    """Return the finite ones as they lie on the axis."""
    shown = [one for one in numbers if math.isfinite(one) and (one > 0 or not log)]
    return [math.log(one) for one in shown] if log else shown
