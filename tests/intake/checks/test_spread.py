"""Values that are plausible alone and not beside the others of the panel or batch."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Sequence

import numpy as np
import pytest
from bad_exports import pull_off
from labs import LabAtWork

from tiecoat.intake.checks.spread import LEAST_BESIDE, LEAST_OTHERS, Groups, Level, add, odd_ones
from tiecoat.rebuild.rebuild import rebuild
from tiecoat.remarks import Remark

Make = Callable[..., LabAtWork]
QUIET = {"unregistered": "off"}


def level(number: int, values: float | Sequence[float], **more: str) -> Level:
    """What one measurement of a panel has in a column."""
    logs = np.log10(np.atleast_1d(values))
    said = {"batch": "RB-014", "panel": "RB-014-1", "column": "x", "unit": "MPa"}
    said |= {"alike": "", "at": "", **more}
    return Level(f"m-{number}", **said, low=logs.min(), mean=logs.mean(), high=logs.max())


def found(new: Sequence[Level], filed: Sequence[Level] = ()) -> dict[str, Remark | None]:
    groups: Groups = defaultdict(list)
    add(groups, [*filed, *new])
    return {one: Remark.of(words) for one, words in odd_ones(new, groups)}


@pytest.mark.parametrize(
    ("value", "remark"),
    [
        (5.2, None),
        (14.0, None),  # nearer than a factor of 3
        (20.0, Remark.SPREAD),
        (52.0, Remark.FACTOR_TEN),
        (0.052, Remark.FACTOR_TEN),
        (5100.0, Remark.FACTOR_TEN),
        (1.5, Remark.SPREAD),
    ],
)
def test_one_value_beside_five(value: float, remark: Remark | None) -> None:
    """A power of ten off is a slip, a factor of three far, and what is nearer is neither."""
    others = [level(n, v) for n, v in enumerate((5.0, 5.1, 4.9, 5.3, 5.2))]
    expected = {} if remark is None else {"m-9": remark}
    assert found([level(9, value)], others) == expected
    assert found([*others, level(9, value)]) == expected  # within one file as well


def test_clean_batches_that_scatter_widely_are_not_remarked() -> None:
    """Of 60 with 12 panels and 3 columns, filed one by one, none; a third were by median alone."""
    rng = np.random.default_rng(1)
    remarked = 0
    for _ in range(60):
        filed: list[Level] = []
        for n, values in enumerate(10 ** rng.normal(0, 0.3, (12, 3))):
            new = [level(n, value, column=f"c{place}") for place, value in enumerate(values)]
            remarked += len([one for one in found(new, filed).values() if one is Remark.SPREAD])
            filed += new
    assert remarked == 0


def test_one_slip_does_not_hide_another() -> None:
    """The median and its deviation stay where they are: both of two slips are told."""
    values = [5.0, 5.1, 4.9, 5.3, 5.2, 52.0, 51.0]
    assert found([level(n, v) for n, v in enumerate(values)]).keys() == {"m-5", "m-6"}


def test_values_that_scatter_are_not_far() -> None:
    """Where the others differ by decades, nothing is odd about one more."""
    rising = [level(n, 10.0**n) for n in range(6)]
    assert found(rising) == {}


@pytest.mark.parametrize("count", [LEAST_OTHERS - 1, LEAST_OTHERS])
def test_three_others_are_too_few_for_what_is_far(count: int) -> None:
    """At least four others are asked for, where it is no slip of a power of ten."""
    others = [level(n, 5.0 + n / 10) for n in range(count)]
    assert bool(found([level(9, 25.0)], others)) == (count >= LEAST_OTHERS)


@pytest.mark.parametrize("count", [LEAST_BESIDE - 1, LEAST_BESIDE])
def test_one_other_is_too_few_for_a_slip(count: int) -> None:
    """A power of ten is told beside two that agree: the third spot of three."""
    others = [level(n, 5.0 + n / 10) for n in range(count)]
    assert bool(found([level(9, 52.0)], others)) == (count >= LEAST_BESIDE)


def test_the_batch_stands_in_for_the_panel() -> None:
    """A panel with too few of its own is compared with those of its batch, not of another."""
    batch = [level(n, 5.0 + n / 10, panel=f"RB-014-{n}") for n in range(2, 7)]
    assert found([level(9, 52.0)], batch) == {"m-9": Remark.FACTOR_TEN}
    assert found([level(9, 52.0, batch="RB-015")], batch) == {}


def test_unlike_is_not_compared() -> None:
    """Another angle or coat sets the value; another time only lets a slip be told."""
    wet = [level(n, 160.0 + n, alike="wet") for n in range(5)]
    assert found([level(9, 1600.0, alike="dry")], wet) == {}
    early = [level(n, 5.0 + n / 10, at="24") for n in range(5)]
    assert found([level(9, 20.0, at="500")], early) == {}
    assert found([level(9, 50.0, at="500")], early) == {"m-9": Remark.FACTOR_TEN}


def test_a_failing_film_is_no_slip_and_a_wrong_unit_is() -> None:
    """A sweep that falls at its low end only has failed; one that is shifted as a whole slipped."""
    sound = [
        level(n, np.logspace(9, 4, 10) * (1 + n / 50), unit="ohm", at=str(n)) for n in range(6)
    ]
    failed = level(9, np.logspace(6, 4, 10), unit="ohm", at="9")
    in_kiloohm = level(9, np.logspace(9, 4, 10) / 1000, unit="ohm", at="9")
    assert found([failed], sound) == {}
    assert found([in_kiloohm], sound) == {"m-9": Remark.FACTOR_TEN}


# Through the real way of a file


def test_a_slip_among_what_is_filed_and_in_the_same_file(lab: Make) -> None:
    """The first values are filed quietly, and whichever file brings the slip, it is remarked."""
    at_work = lab(checks=QUIET)
    title, *_ = pull_off().splitlines()
    row = lambda number, strength: pull_off(number=number, strength=strength).splitlines()[1]  # noqa: E731
    for number in range(1, 6):
        at_work.drop(f"{number}.csv", f"{title}\n{row(number, f'5.{number}')}\n")
    at_work.take()
    at_work.drop("more.csv", "\n".join([title, row(6, "5.0"), row(7, "52"), row(8, "4.9")]))
    told = at_work.take()["more.csv"]
    odd = {row["determination"]: row["remark"] for row in at_work.rows("pull_off") if row["remark"]}
    assert odd.keys() == {7.0}
    assert "strength_mpa 52 MPa beside 7 others of RB-014-3 from 4.9 to 5.5" in odd[7.0]
    assert told.remarked == 1
    made = rebuild(at_work.lab, "M. Keller")  # in other rounds, and the same is far from the same
    assert made.swapped
    assert not made.differences


def test_spot_and_thickness_in_each_others_place(lab: Make) -> None:
    """Thicknesses of 1 to 3 µm beside 160 are remarked, each of them."""
    at_work = lab(checks=QUIET)
    sheet = "Panel,Date,Time,Spot,Coat,State,Thickness (µm)"
    at = "2026-09-28,09:10"
    good = [f"RB-014-3,{at},{n},system,dry,{158 + n}" for n in range(1, 7)]
    swapped = [f"RB-014-3,{at},{158 + n},system,dry,{n}" for n in range(1, 4)]
    at_work.drop("good.csv", "\n".join([sheet, *good]))
    at_work.take()
    at_work.drop("swapped.csv", "\n".join([sheet, *swapped]))
    at_work.take()
    odd = {row["thickness_um"] for row in at_work.rows("film_thickness") if row["remark"]}
    assert odd == {1.0, 2.0, 3.0}


def test_lines_of_a_register_beside_their_siblings(lab: Make) -> None:
    """A thickness and a dose ten times off their siblings in the sheet are remarked, no others."""
    at_work = lab(checks=QUIET)
    panels = [
        f"RB-014-{n},RB-014,steel,2 x primer,{um}"
        for n, um in enumerate((182, 176, 18.0 * 100, 180), 1)
    ]
    at_work.drop("p.csv", "\n".join(["Panel,Batch,Substrate,Coat system,Dry film (µm)", *panels]))
    batches = [
        f"RB-0{n},EP-1,{name},{dose},{role}"
        for n, name, dose, role in (
            (20, "", 0, "control"),
            (21, "filler A", 1.5, "candidate"),
            (22, "filler A", 1.5, "candidate"),
            (23, "filler A", 15, "candidate"),
            (24, "filler B", 0.5, "candidate"),
            (25, "filler B", 1, "candidate"),
            (26, "filler B", 5, "candidate"),
        )
    ]
    at_work.drop("b.csv", "\n".join(["Batch,Recipe,Candidate,Dose (%),Role", *batches]))
    at_work.take()
    thick = {row["panel"]: row["remark"] for row in at_work.rows("panels") if row["remark"]}
    assert thick.keys() == {"RB-014-3"}
    assert "thickness_um 1.8e+03 um beside 3 others of RB-014" in thick["RB-014-3"]
    dosed = {row["batch"]: row["remark"] for row in at_work.rows("batches") if row["remark"]}
    assert dosed.keys() == {"RB-023"}
    assert "dose_percent 15 % beside 2 others of EP-1 filler A" in dosed["RB-023"]


def test_the_check_can_be_switched_off(lab: Make) -> None:
    """With spread = "off" nothing is compared."""
    at_work = lab(checks={**QUIET, "spread": "off"})
    title, _ = pull_off().splitlines()
    rows = [pull_off(number=n, strength=s).splitlines()[1] for n, s in enumerate("555559", 1)]
    at_work.drop(
        "all.csv", "\n".join([title, *rows, pull_off(number=9, strength="52").splitlines()[1]])
    )
    at_work.take()
    assert [row["remark"] for row in at_work.rows("pull_off")] == [None] * 7
