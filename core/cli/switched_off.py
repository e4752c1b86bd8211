"""Answers that would switch a check off: to leave out what shows that a file contradicts itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from tiecoat.errors import QueryInvalid
from tiecoat.reasons import Fault

if TYPE_CHECKING:
    from tiecoat.extend.learning import Pupil
    from tiecoat.intake.held.files import Held

HeldWith = Callable[["Pupil"], "Held | None"]


def tell_switched_off(pupil: Pupil, held_with: HeldWith) -> None:
    """Refuse to pass over what contradicts the rest of the file as it is read without that answer.

    A row that begins with a word, such as one of a summary, may contradict all else.

    Raises
    ------
    QueryInvalid
        With the answer, and what contradicts what without it.
    """
    others = list(pupil.without_pass_overs())
    if not others:
        return
    still, rows = {_where(fault) for fault in _contradictions(held_with(pupil))}, pupil.rows_read()
    for answer, other in others:
        sort, _, word = answer.rpartition("=")[0].partition(":")
        is_label = sort == "rows" and pupil.is_label(word)
        passed = other.rows_read() - rows if is_label else set()
        for fault in _contradictions(held_with(other)):
            if _where(fault) not in still and (fault.sheet, fault.row) not in passed:
                raise QueryInvalid(
                    f"{answer}: this would leave out what shows a contradiction: {fault.sentence}."
                    " No answer mends it: find out which is right, correct it in a copy, drop that"
                )


def _contradictions(held: Held | None) -> list[Fault]:
    from tiecoat.tabular.questions import contradicts

    faults = (held.faults or [Fault(held.reason)]) if held is not None else []
    return [fault for fault in faults if contradicts(fault)]


def _where(fault: Fault) -> tuple[object, ...]:
    return fault.reason, fault.sheet, fault.row, fault.column
