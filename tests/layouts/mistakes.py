"""Mistakes that people and instruments make, done to ordinary exports.

Each contradicts the file itself, the register or the clock, or leaves two readings open: the file
must be held, or at the least be filed with a remark.
"""

from __future__ import annotations

from dataclasses import replace
from random import Random

from .case import Case
from .compose import draw, render
from .cut_file import cut, cut_off
from .spoilt import Mistake, Spoilt
from .wrong_columns import rotated, shifted, swapped
from .wrong_keys import batch_twice, foreign_batch, nameless, other_name, slipped_id, unknown_panel
from .wrong_times import before_coating, day_or_month, in_future, other_exposure
from .wrong_units import two_units, unit_left_out, wrong_unit
from .wrong_values import bad_notation, negative, other_angle, sign_lost, slipped, twice

MISTAKES: tuple[Mistake, ...] = (
    swapped,
    shifted,
    rotated,
    slipped,
    sign_lost,
    negative,
    bad_notation,
    twice,
    other_angle,
    batch_twice,
    nameless,
    foreign_batch,
    unknown_panel,
    slipped_id,
    other_name,
    unit_left_out,
    wrong_unit,
    two_units,
    before_coating,
    in_future,
    day_or_month,
    other_exposure,
    cut_off,
)


def mistaken(seed: int, flavour: str) -> Case:
    """Return the export of a seed with one mistake in it."""
    dice = Random(f"mistake {seed} {flavour}")
    while True:
        draft, style = draw(dice, flavour)
        draft.statistics_of = ()
        for mistake in dice.sample(MISTAKES, len(MISTAKES)):
            spoilt = Spoilt(draft, style, dice)
            if said := mistake(spoilt):
                return _rendered(seed, spoilt, said)


def _rendered(seed: int, spoilt: Spoilt, said: str) -> Case:
    if spoilt.style.medium == "book":
        spoilt.style.unit_place = spoilt.style.unit_place.replace("cell", "round")
    case = render(seed, spoilt.draft, spoilt.style, spoilt.dice, said)
    if spoilt.name:
        return replace(case, name=f"{spoilt.name}{case.name[case.name.rindex('.') :]}", folder="")
    return replace(case, content=cut(case.content, spoilt)) if spoilt.cut else case
