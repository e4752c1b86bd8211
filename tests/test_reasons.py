"""Every reason for which a file can be held: its code, its words, and that it really occurs."""

from __future__ import annotations

import re

import pytest
from bad_exports import BAD
from labs import LabAtWork

from tiecoat.errors import FileHeld
from tiecoat.intake.held.files import explain, hold
from tiecoat.reasons import Fault, Reason

EVERY = pytest.mark.parametrize("reason", Reason, ids=lambda reason: reason.code)


@EVERY
def test_every_reason_occurs(reason: Reason, bad_lab: LabAtWork) -> None:
    """Each reason is one that a file in an inbox is really held for."""
    assert reason.code in {record["reason"] for record in bad_lab.held().values()}


@EVERY
def test_every_reason_is_told_whole(reason: Reason, bad_lab: LabAtWork) -> None:
    """reason.txt says what is wrong, what to do next and with which commands."""
    record = next(r for r in bad_lab.held().values() if r["reason"] == reason.code)
    told = record["told"]
    assert told.startswith(f"{record['name']}\nis held: {reason.text}.\n")
    assert " ".join(reason.advice.split()) in " ".join(told.split())
    assert f"tiecoat held discard {record['id']}" in told
    assert record["sha256"] in told
    assert record["text"] == reason.text
    assert record["advice"] == reason.advice
    for foreign in ("Traceback", "None", "NaN", "<"):
        assert foreign not in told.split("The file begins")[0]


@EVERY
def test_every_reason_reads_well(reason: Reason) -> None:
    """A code is short and stable in form, a text completes a sentence, an advice is one."""
    assert re.fullmatch(r"[a-z]+(-[a-z]+)*", reason.code)
    assert Reason.of(reason.code) is reason
    assert not reason.text.endswith(".")
    assert reason.text == reason.text.strip()
    assert reason.advice[0].isupper()
    assert reason.advice.endswith(".")


@EVERY
def test_every_reason_can_be_explained_alone(reason: Reason) -> None:
    """A file that is held without a single fault named is still explained."""
    held = hold(name="x.csv", folder="", sha256="ab" * 32, reason=reason)
    told = explain(held)
    assert reason.text in told
    assert "What was found" not in told


@EVERY
def test_a_fault_survives_its_record(reason: Reason) -> None:
    """What reason.json keeps of a fault can be read back."""
    fault = Fault(reason, 7, "Density", "'x'", "a number", "Sheet 1")
    assert Fault.from_record(fault.as_record()) == fault
    assert (
        fault.sentence == "sheet 'Sheet 1', row 7, column 'Density': found 'x'; expected a number"
    )


def test_codes_and_texts_are_distinct() -> None:
    """No two reasons share a code or a text."""
    assert len({reason.code for reason in Reason}) == len(Reason)
    assert len({reason.text for reason in Reason}) == len(Reason)


def test_an_unknown_code_is_refused() -> None:
    """A code that no reason has is not taken for another."""
    with pytest.raises(KeyError, match="no-such-code"):
        Reason.of("no-such-code")


def test_a_held_error_says_everything() -> None:
    """The error that carries a hold shows the reason and each fault, and how many there were."""
    fault = Fault(Reason.NOT_A_NUMBER, row=7, found="'x'")
    error = FileHeld(Reason.NOT_A_NUMBER, (fault,), 12)
    assert str(error) == "there is text where a number belongs\nrow 7: found 'x'"
    assert error.total == 12


def test_the_catalogue_names_real_codes() -> None:
    """The bad exports of these tests expect codes that exist."""
    assert {bad.code for bad in BAD.values()} <= {reason.code for reason in Reason}


TOLD_TO = {
    "assign": "tiecoat held assign",
    "try again": "tiecoat held retry",
    "discard": "tiecoat held discard",
    "supersede": "tiecoat supersede",
}


@EVERY
def test_whatever_a_reason_advises_has_its_command(reason: Reason) -> None:
    """Who is told to assign, to try again, to discard or to supersede finds the command for it."""
    told = explain(hold(name="x.csv", folder="", sha256="ab" * 32, reason=reason))
    _, commands = told.split("Commands:\n")
    advised = {word for word in TOLD_TO if word in reason.advice.casefold()}
    assert advised, "the advice ends with something that a command does"
    assert {word for word in advised if f"  {TOLD_TO[word]} " not in commands} == set()


def test_words_in_the_place_of_a_reason_are_refused_with_what_to_write() -> None:
    """An author who gives a text, as to `Export.fault`, is told how."""
    with pytest.raises(TypeError, match=r"Fault\(Reason.READER_SAYS, row, column, words=...\)"):
        Fault("not scrubbed", row=3)  # type: ignore[arg-type]
