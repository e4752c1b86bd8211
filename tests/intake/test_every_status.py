"""Every status of a file has its place in lines, sums, colours and exit codes."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest
from bad_exports import density
from labs import LabAtWork
from one_more_word import one_more_word
from rich.console import Console

from tiecoat.archive.plan import Filed, Incoming, StoreAnswer
from tiecoat.archive.store import Store
from tiecoat.cli import main
from tiecoat.intake.held.files import hold
from tiecoat.intake.outcome import FileStatus, Outcome, Teller
from tiecoat.reasons import Fault, Reason
from tiecoat.service.view import View

HELD = hold(name="x.csv", folder="", sha256="ab" * 32, reason=Reason.EMPTY_FILE)
EXIT_CODES = {"filed": 0, "known": 0, "held": 1, "waiting": 1, "damaged": 1}
EVERY = pytest.mark.parametrize("status", FileStatus)


def outcome(status: FileStatus) -> Outcome:
    """Return an outcome of this status with what belongs to it."""
    held = HELD if status is FileStatus.HELD else None
    return Outcome(status, "x.csv", (("density", "RB-014", 2),), 8, held, "a note")


def exit_code(status: FileStatus, lab: LabAtWork, monkeypatch: pytest.MonkeyPatch) -> int:
    """Return how `tiecoat take` ends of which one file came out so."""

    def take(lab: object, paths: object, teller: Teller) -> None:
        teller.tell(outcome(status))

    monkeypatch.setattr("tiecoat.intake.taking_in.take", take)
    return main(["take", "--lab", str(lab.root)])


@EVERY
def test_every_status_ends_the_command_rightly(
    status: FileStatus, lab: Callable[..., LabAtWork], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The exit code says whether anything is left to do."""
    assert exit_code(status, lab(), monkeypatch) == EXIT_CODES[status]


@EVERY
def test_every_status_is_shown(status: FileStatus, lab: Callable[..., LabAtWork]) -> None:
    """The live view has the word in its table, and in its sums unless the file still settles."""
    console = Console(file=io.StringIO(), width=120, color_system=None)
    view = View(console, lab().lab)
    view.teller.tell(outcome(status))
    console.print(view._render())
    assert isinstance(console.file, io.StringIO)
    shown = console.file.getvalue()
    assert f"  {status} " in shown.replace("waiting ", "  waiting ")
    assert (f"1 {status}" in shown) == (status is not FileStatus.WAITING)


@EVERY
def test_every_status_says_something(status: FileStatus) -> None:
    """The line of a file says where it went, or why it did not."""
    meant = {
        "filed": "density RB-014 (2 measurements), 8 rows; a note",
        "known": "a note",
        "held": "a note; see: tiecoat held show abababababab",
        "waiting": "a note",
        "damaged": "a note",
    }
    assert outcome(status).said == meant[status]


def test_a_status_without_a_place_is_refused(
    lab: Callable[..., LabAtWork],
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Line, exit code and live view know no file that came out by an unknown word."""
    made = lab()
    view = View(Console(file=io.StringIO(), force_terminal=True), made.lab)
    with one_more_word(FileStatus, "frozen") as frozen:
        with pytest.raises(AssertionError, match="frozen"):
            _ = outcome(frozen).said
        assert exit_code(frozen, made, monkeypatch) == 70  # a fault of the program itself
        assert "frozen" in capsys.readouterr().err
        view.teller.tell(outcome(frozen))
        with pytest.raises(KeyError, match="frozen"):
            view._table()


def test_an_answer_of_the_store_without_a_place_is_refused(
    lab: Callable[..., LabAtWork], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An export is not told as filed because the store said something new of it."""
    made = lab()
    made.drop("d.csv", density())
    file = Store.file

    with one_more_word(StoreAnswer, "postponed") as postponed:

        def answer(store: Store, incoming: Sequence[Incoming]) -> list[Filed]:
            return [replace(one, status=postponed) for one in file(store, incoming)]

        monkeypatch.setattr(Store, "file", answer)
        with pytest.raises(AssertionError, match="postponed"):
            made.take()


@pytest.mark.parametrize(
    ("faults", "detail", "said"),
    [
        ((Fault(Reason.EMPTY_FILE),), None, "the file is empty"),
        ((), None, "the file is empty"),
        ((), "0 bytes", "the file is empty (0 bytes)"),
        ((Fault(Reason.EMPTY_FILE, found="a blank"),), None, "the file is empty (found a blank)"),
    ],
)
def test_a_held_file_says_why_once(
    faults: tuple[Fault, ...], detail: str | None, said: str
) -> None:
    """The line of a held file has the reason and the first fault, unless that says no more."""
    held = hold(
        name="x.csv",
        folder="",
        sha256="ab" * 32,
        reason=Reason.EMPTY_FILE,
        faults=faults,
        detail=detail,
    )
    told = Outcome(FileStatus.HELD, "x.csv", held=held)
    assert told.said == f"{said}; see: tiecoat held show {held.id}"
