"""One sitting of teaching: a file, what was answered of it so far, and what is open still."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.disk import fsio
from tiecoat.errors import ProfileInvalid, QueryInvalid, UnknownName
from tiecoat.tabular.answers import ID_OF_ONE_FILE, is_own_id
from tiecoat.tabular.forms import PASS_OVER
from tiecoat.tabular.questions import Question

if TYPE_CHECKING:
    from tiecoat.extend.learning import LessonInWords, Pupil
    from tiecoat.intake.held.assigned import Assigned
    from tiecoat.intake.held.files import Held
    from tiecoat.lab.settings import Lab

_IDS_OFFERED = 12


@dataclass(frozen=True)
class SittingSeen:
    """A file as it is read with what was answered, why it would be held, and what is open.

    `of_file` is open of this file alone, and not of its layout: its id.
    """

    lesson: LessonInWords
    held: Held | None
    questions: list[Question]
    of_file: list[Question]


class Sitting:
    """Takes the answers to what is open of one file: those of its layout, and the ids of it alone.

    Parameters
    ----------
    lab
        Where the file is held, or would be.
    text
        The path of a file, or the id or name of a held one.
    kind
        What it holds, where a person has said it.
    """

    def __init__(self, lab: Lab, text: str, kind: str | None) -> None:
        from tiecoat.extend.learning import Pupil

        self.lab = lab
        self._path, self._name, self._folder, self.waits = _file(lab, text)
        self.pupil = Pupil(lab, self._path, self._name, self._folder, kind)
        self.said: list[tuple[str, str]] = []
        self._ids: dict[str, str] = {}

    def answer(self, key: str, value: str) -> None:
        """Take an answer.

        Raises
        ------
        QueryInvalid
            If there is no such question, or the answer is none.
        """
        if not is_own_id(key, value):
            self.pupil.answer(key, value)
        elif self.waits is None:
            raise QueryInvalid(f"{key}={value}: {ID_OF_ONE_FILE.format(key)}")
        else:
            self._ids[key] = value
        self.said.append((key, value))

    @property
    def assigned(self) -> Assigned | None:
        """The ids that were answered; they are of this file alone, and stand in no profile."""
        from tiecoat.intake.held.assigned import LISTED, Assigned

        if not self._ids:
            return None
        batches = [each.strip() for each in self._ids.get("batch", "").split(LISTED.strip())]
        return Assigned(LISTED.join(filter(None, batches)) or None, self._ids.get("panel"))

    def held_of(self, pupil: Pupil, assigned: Assigned | None = None) -> Held | None:
        """Return why the file would be held with what a pupil was taught."""
        from tiecoat.intake.trying import held_with

        try:
            plugins = pupil.plugins()
        except (
            QueryInvalid,
            ProfileInvalid,
        ):  # of no kind, or known by nothing: told where it is written
            plugins = pupil.of_lab
        where = (self._path, self._name, self._folder)
        return held_with(self.lab, *where, plugins, assigned=assigned)

    def seen(self) -> SittingSeen:
        """Return how the file is read with all answers.

        Raises
        ------
        QueryInvalid
            If it says itself of which batch or panel it is, and an id was answered.
        """
        lesson, held = self.pupil.lesson(), self.held_of(self.pupil)
        if lesson.questions or lesson.faults:
            return SittingSeen(lesson, held, lesson.questions, [])
        if self.assigned is not None:
            held = self._held_with_ids(held)
        if held is None:
            return SittingSeen(lesson, held, [], [])
        return SittingSeen(
            lesson, held, lesson.asked_by(held.faults), self._ids_asked_by(held, lesson)
        )

    def without_effect(self) -> Iterator[str]:
        """Yield each answer without which the file would be read, and asked about, just the same.

        One that is needed before another can be taken has an effect, and so has to pass over.
        """
        now = _read(self.pupil.lesson())
        for left_out in (each for each in self.said if each[1] != PASS_OVER):
            pupil = self.pupil.anew()
            try:
                for key, value in self.said:
                    if (key, value) != left_out and not is_own_id(key, value):
                        pupil.answer(key, value)
            except QueryInvalid:
                continue
            if not is_own_id(*left_out) and _read(pupil.lesson()) == now:
                yield "=".join(left_out)

    def _held_with_ids(self, without: Held | None) -> Held | None:
        from tiecoat.intake.held.files import ASSIGN

        if without is None or without.reason not in ASSIGN:
            key, value = next(iter(self._ids.items()))
            raise QueryInvalid(f"{key}={value}: {ID_OF_ONE_FILE.format(key)}")
        return self.held_of(self.pupil, self.assigned)

    def _ids_asked_by(self, held: Held, lesson: LessonInWords) -> list[Question]:
        """Ask for the id of a held file that says none."""
        from tiecoat.intake.filing.rounds import NOBODY_SAYS

        if held.reason not in NOBODY_SAYS or self.waits is None or lesson.kind is None:
            return []
        per = "panel" if lesson.kind.per == "panel" else "batch"
        text = f"the {per} of this file, which does not say it; no later file is filed under it"
        more = " (several with a comma: what a chamber's record is of)"
        text += more if lesson.kind.shared else ""
        return [Question(per, text, tuple(self._registered(per)), free=True)]

    def _registered(self, per: str) -> list[str]:
        """Return the ids that the register has, those that came last first."""
        from tiecoat.archive.opening import open_index

        with contextlib.closing(open_index(self.lab)) as index:
            ids = index.registered("panel" if per == "panel" else "batch")
        return sorted(ids, reverse=True)[:_IDS_OFFERED]


def _read(lesson: LessonInWords) -> tuple[str, ...]:
    """Return what is read of a file, and what is open of it, so that two can be compared."""
    rows = [
        repr((one.batch, one.panel, one.measured_at, one.instrument, one.columns, one.remarks))
        for one in lesson.rows
    ]
    asked = [question.key for question in lesson.questions]
    taken = [row[:3] for found in lesson.attempts for row in lesson.taken(found)]
    faults = [fault.sentence for fault in lesson.faults]
    return tuple(map(str, (lesson.kind and lesson.kind.name, rows, asked, faults, taken)))


def _file(lab: Lab, text: str) -> tuple[Path, str, str, Held | None]:
    """Return the path, the name and the folder of a file; and of a held one, what holds it."""
    from tiecoat.intake.held.files import ID_LENGTH, find_held, read_held
    from tiecoat.intake.inboxes.preserve import original_of

    path = Path(text)
    if fsio.is_file(path):
        same = read_held(lab.held / fsio.sha256_of(path)[:ID_LENGTH])
        return path.absolute(), path.name, path.absolute().parent.name, same
    held = find_held(lab, text)
    original = original_of(lab, held.sha256)
    if original is None:
        raise UnknownName(f"the original of {held.name} ({held.sha256}) is not there")
    return original, held.name, held.folder, held
