"""To which batch and panel a measurement goes: what is asked first, and what must agree."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import pytest

from tiecoat.errors import FileHeld
from tiecoat.intake.filing.keying import Keyer
from tiecoat.intake.held.assigned import Assigned
from tiecoat.intake.workers.answers import Keys
from tiecoat.lab.settings import IdPatterns
from tiecoat.reasons import Reason

CODED = "(?P<batch>RB-[0-9]{3})-[0-9]"


@dataclass(frozen=True)
class Case:
    """A measurement of a panel P-201 or RB-014-3, and what says which batch the panel is of."""

    panel: str = "P-201"
    batch: str | None = None
    name: str = "pull-off.csv"
    folder: str = ""
    register: str | None = None
    replaces: bool = False
    assigned_batch: str | None = None

    def resolve(self) -> tuple[str, str | None]:
        """Ask for batch and panel in a lab whose panel ids may hold the batch."""
        register: Mapping[str, str | None] = {self.panel: self.register}
        ids = IdPatterns(batch="RB-[0-9]{3}", panel=f"{CODED}|P-[0-9]{{3}}")
        keys = Keys("m", "pull_off", "panel", self.replaces, self.batch, self.panel, 2, None)
        return Keyer(ids, register.get).resolve(
            keys, self.name, self.folder, Assigned(self.assigned_batch)
        )


@pytest.mark.parametrize(
    ("case", "batch"),
    [
        (Case(name="RB-014.csv"), "RB-014"),
        (Case(folder="week 39/RB-014"), "RB-014"),
        (Case(name="RB-014.csv", folder="RB-015"), "RB-014"),
        (Case(name="RB-014 P-201.csv"), "RB-014"),
        (Case(name="P-201.csv", folder="RB-014"), "RB-014"),
        (Case(name="RB-014.csv", register="RB-014"), "RB-014"),
        (Case(name="RB-014.csv", register="Q7"), "Q7"),
        (Case(name="RB-014.csv", batch="RB-015"), "RB-015"),
        (Case(name="RB-014.csv", batch="RB-015", register="RB-015"), "RB-015"),
        (Case(name="RB-014.csv", assigned_batch="RB-015"), "RB-015"),
        (Case(panel="RB-014-3", name="RB-015.csv"), "RB-014"),
        (Case(panel="RB-014-3", name="RB-015.csv", register="RB-014"), "RB-014"),
        (Case(batch="RB-015", register="RB-014", replaces=True), "RB-015"),
    ],
)
def test_the_name_is_asked_where_nothing_else_says_the_batch(case: Case, batch: str) -> None:
    """Where the file or the panel's id says the batch, a name is no rival, nor a word of no id."""
    assert case.resolve() == (batch, case.panel)


@pytest.mark.parametrize(
    ("case", "words"),
    [
        (
            Case(batch="RB-014", register="RB-015"),
            "RB-014 in the file, RB-015 in the register",
        ),
        (
            Case(panel="RB-014-3", register="RB-015"),
            "RB-015 in the register, RB-014 in the id RB-014-3",
        ),
        (
            Case(name="RB-014.csv", register="RB-015"),
            "RB-015 in the register, RB-014 in the file name",
        ),
        (
            Case(folder="RB-014", register="RB-015"),
            "RB-015 in the register, RB-014 in the file name",
        ),
        (
            Case(panel="RB-014-3", batch="RB-015", name="RB-016.csv"),
            "RB-015 in the file, RB-014 in the id RB-014-3",
        ),
    ],
)
def test_a_panel_of_two_batches_is_held_with_who_says_which(case: Case, words: str) -> None:
    """Where file, name, register and panel id contradict each other, all that they say is told."""
    with pytest.raises(FileHeld) as caught:
        case.resolve()
    (fault,) = caught.value.faults
    assert (caught.value.reason, fault.reason) == (Reason.OTHER_BATCH, Reason.OTHER_BATCH)
    assert (fault.found, fault.expected) == (words, "one batch for a panel")


def test_a_panel_of_which_nobody_says_the_batch_is_held() -> None:
    """Neither file nor register nor names: the panel is told, and what would help."""
    with pytest.raises(FileHeld) as caught:
        Case(name="RB-014 and RB-015.csv").resolve()
    (fault,) = caught.value.faults
    assert caught.value.reason is Reason.NO_BATCH
    assert (fault.found, fault.expected) == (
        "panel P-201",
        "a batch, or the panel in the register",
    )


@pytest.mark.parametrize(
    ("name", "register", "batch"),
    [
        ("RB-014 density.csv", None, "RB-014"),
        ("P-201 density.csv", "RB-015", "RB-015"),
        ("RB-014 P-201 density.csv", None, "RB-014"),
        ("RB-014 P-201 density.csv", "RB-014", "RB-014"),
        ("RB-014-3 density.csv", None, "RB-014"),
    ],
)
def test_wet_paint_is_of_the_batch_that_its_name_or_the_panel_in_it_says(
    name: str, register: str | None, batch: str
) -> None:
    """Of wet paint a name says the batch itself, or a panel of which id or register say it."""
    keys = Keys("m", "density", "batch", False, None, None, 2, None)
    ids = IdPatterns(batch="RB-[0-9]{3}", panel=f"{CODED}|P-[0-9]{{3}}")
    assert Keyer(ids, {"P-201": register}.get).resolve(keys, name) == (batch, None)


def test_wet_paint_whose_name_and_register_disagree_is_held() -> None:
    """A batch in the name beside a panel that the register has in another batch is not believed."""
    keys = Keys("m", "density", "batch", False, None, None, 2, None)
    ids = IdPatterns(batch="RB-[0-9]{3}", panel=f"{CODED}|P-[0-9]{{3}}")
    with pytest.raises(FileHeld) as caught:
        Keyer(ids, {"P-201": "RB-015"}.get).resolve(keys, "RB-014 P-201 density.csv")
    (fault,) = caught.value.faults
    assert (caught.value.reason, fault.found) == (
        Reason.OTHER_BATCH,
        "RB-015 in the register, RB-014 in the file name",
    )


@pytest.mark.parametrize("typed", ["RB 014 3", "rb-014 3", "RB_014-3", "RB–014–3", " rb.014.3 "])
def test_an_id_whose_signs_are_typed_otherwise_is_the_one_that_fits(typed: str) -> None:
    """A blank or another sign for the hyphen, in any case: letters and digits are the same."""
    assert Case(typed).resolve() == ("RB-014", "RB-014-3")


@pytest.mark.parametrize("typed", ["RB 01 43", "RB 0143", "RB-014-", "RB 014 / 3 / 4", "RBO14 3"])
def test_an_id_that_would_need_other_letters_or_digits_is_held(typed: str) -> None:
    """Numbers are neither parted nor joined."""
    with pytest.raises(FileHeld):
        Case(typed).resolve()


@pytest.mark.parametrize(
    ("pattern", "registered"),
    [
        ("T[0-9]-(?P<batch>RB-[0-9]{3})", "T5-RB-014"),
        ("(?P<batch>RB-[0-9]{3})-T[0-9]", "RB-014-T5"),
        ("(?P<batch>RB-[0-9]{3})_T[0-9]", "RB-014_T5"),
    ],
)
def test_a_registered_panel_may_be_told_by_its_batch_and_the_rest_of_its_id(
    pattern: str, registered: str
) -> None:
    """Batch and panel in two columns: T5 of RB-014. One that nobody registered is held."""
    ids = IdPatterns(batch="RB-[0-9]{3}", panel=pattern)
    keyer = Keyer(ids, {registered: "RB-014"}.get)
    keys = Keys("m", "pull_off", "panel", False, "rb-014", "T5", 2, None)
    assert keyer.resolve(keys, "pull-off.csv") == ("RB-014", registered)
    for other in (replace(keys, batch="RB-015"), replace(keys, panel="T6")):
        with pytest.raises(FileHeld) as held:
            keyer.resolve(other, "pull-off.csv")
        assert held.value.reason is Reason.ID_NOT_IN_PATTERN


@pytest.mark.parametrize(
    ("name", "folder"),
    [
        ("EIS RB_014_3 168h.csv", ""),
        ("rb.014.3_240 h.txt", ""),
        ("scan 7.csv", "pulls/RB 014 3"),
        ("Haftzug_RB_014_3_Mai.csv", ""),
    ],
)
def test_a_name_may_write_the_signs_of_an_id_otherwise(name: str, folder: str) -> None:
    """File names hold no dots and blanks in many a program."""
    ids = IdPatterns(batch="RB-[0-9]{3}", panel="(?P<batch>RB-[0-9]{3})-[0-9]")
    keys = Keys("m", "pull_off", "panel", False, None, None, 2, None)
    assert Keyer(ids, {}.get).resolve(keys, name, folder) == ("RB-014", "RB-014-3")


@pytest.mark.parametrize("name", ["RB_014_3 and RB_014_4.csv", "RB_0143.csv", "2026_03_1.csv"])
def test_a_name_with_other_signs_that_is_no_one_id_is_held(name: str) -> None:
    """Of two, of other numbers, or of a day."""
    ids = IdPatterns(batch="[0-9A-Z]+-[0-9]{2,3}", panel="(?P<batch>[0-9A-Z]+-[0-9]{2,3})-[0-9]")
    keys = Keys("m", "pull_off", "panel", False, None, None, 2, None)
    with pytest.raises(FileHeld):
        Keyer(ids, {}.get).resolve(keys, name)


def test_a_name_of_another_panel_with_other_signs_contradicts_the_file() -> None:
    """As it does with the lab's own signs."""
    ids = IdPatterns(batch="RB-[0-9]{3}", panel="(?P<batch>RB-[0-9]{3})-[0-9]")
    told = Keyer(ids, {}.get).contradictions([("RB-014", "RB-014-3")], "EIS RB_014_4.csv")
    assert told is not None
    assert told[0] is Reason.OTHER_PANEL
