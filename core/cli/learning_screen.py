"""Teaching a layout at the screen: what is seen and taken for what, what is open, what comes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rich.markup import escape
from rich.table import Table as Grid

from tiecoat.cli.rows_preview import show_rows
from tiecoat.cli.switched_off import tell_switched_off
from tiecoat.disk import fsio
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.reasons import Fault, Reason, once_each

if TYPE_CHECKING:
    from rich.console import Console

    from tiecoat.extend.learning import LessonInWords, Pupil
    from tiecoat.intake.held.files import Held
    from tiecoat.intake.outcome import Teller
    from tiecoat.lab.settings import Lab
    from tiecoat.tabular.questions import Question

Run = Callable[[Callable[["Lab", "Teller"], None]], int]

_FAULTS_SHOWN = 5
_AGAINST_ARCHIVE = (Reason.CONFLICT, Reason.AGAINST_REGISTER, Reason.BEFORE_MADE)


def learn(lab: Lab, options: argparse.Namespace, console: Console, run: Run) -> int:
    """Show a file as it is seen, ask what is open, write the profile, and retry held files of it.

    Returns
    -------
    int
        0 where the layout is known now, 1 where questions are open.
    """
    from tiecoat.extend.learning import Pupil
    from tiecoat.intake.taking_in import retry

    path, name, folder = _file(lab, options.file)
    pupil = Pupil(lab, path, name, folder, options.kind)
    for key, value in _answers(options.answer):
        pupil.answer(key, value)
    lesson = pupil.lesson()
    tell_switched_off(pupil, lambda one: _held_with(lab, one, path, name, folder))
    _show(lesson, console)
    asked = not options.show and sys.stdin.isatty() and not options.answer
    while lesson.questions and asked:
        question = lesson.questions[0]
        try:
            pupil.answer(question.key, _ask(question, console))
        except QueryInvalid as error:
            console.print(str(error), markup=False, highlight=False)
            continue
        lesson = pupil.lesson()
    if asked:
        tell_switched_off(pupil, lambda one: _held_with(lab, one, path, name, folder))
    held = _held_with(lab, pupil, path, name, folder)
    if lesson.questions or lesson.faults:
        _show_open(lesson, console)
        _show_names(pupil, console)
        _show_held(held, lesson, console, asked=bool(lesson.questions))
        return 1
    show_rows(lesson, lab.zone, console, held=held is not None)
    if options.show:
        _show_names(pupil, console)
        _show_held(held, lesson, console, asked=False)
        return int(held is not None)
    profile = pupil.write(options.profile or pupil.free_name())
    console.print(f"Written: {profile}", soft_wrap=True)
    files = _held_of_layout(lab, pupil, profile)
    if files:
        console.print(f"{len(files)} held of this layout: tried again.")
        code = run(lambda of, teller: retry(of, files, teller))
        against = _achieves_nothing(lab, [held.id for held in files])
    else:
        console.print("No held file has this layout; files of it that come will be read so.")
        code = int(held is not None)
        against = _why(held) if held is not None and held.reason not in _read_but() else ""
    if against:
        fsio.remove(profile)
        console.print(
            f"Taken back: {profile}; with it every file of this layout is still held: {against}",
            markup=False,
            highlight=False,
            soft_wrap=True,
        )
    return 1 if against else code


def _answers(said: Sequence[str]) -> list[tuple[str, str]]:
    """Return keys and answers: what names a field, and tells the kind, before units and signs."""
    from tiecoat.tabular.answers import parted_answer

    try:
        found = [parted_answer(answer) for answer in said]
    except ValueError as error:
        raise QueryInvalid(f"--answer {error}") from None
    return sorted(found, key=lambda each: each[0].partition(":")[0] in ("unit", "sign"))


def _file(lab: Lab, text: str) -> tuple[Path, str, str]:
    """Return the path, the name and the folder of a file, or of a held one."""
    from tiecoat.intake.held.files import find_held
    from tiecoat.intake.inboxes.preserve import original_of

    path = Path(text)
    if fsio.is_file(path):
        return path.absolute(), path.name, path.absolute().parent.name
    held = find_held(lab, text)
    original = original_of(lab, held.sha256)
    if original is None:
        raise UnknownName(f"the original of {held.name} ({held.sha256}) is not there")
    return original, held.name, held.folder


def _show(lesson: LessonInWords, console: Console) -> None:
    kind = lesson.kind.name if lesson.kind else "no kind known yet"
    for found in lesson.attempts:
        sheet = f"sheet {found.table.seen.sheet!r}, " if found.table.seen.sheet else ""
        where = f"{sheet}row {found.table.seen.header_row}, {len(found.table.seen.rows)} rows"
        grid = Grid(title=f"{kind}: table in {where}", title_justify="left", box=None)
        for heading in ("column", "in the file", "taken for", "because"):
            grid.add_column(heading, overflow="fold")
        for row in lesson.taken(found):
            grid.add_row(*map(escape, row))
        console.print(grid)
        console.print()


def _show_open(lesson: LessonInWords, console: Console) -> None:
    if lesson.questions:
        console.print("Still open; answer with --answer KEY=VALUE:")
    for question in lesson.questions:
        console.print(f"  {question.key}", style="bold", markup=False, highlight=False)
        console.print(f"      {question.text}", markup=False, highlight=False)
        if question.options:
            shown = ", ".join(question.options)
            console.print(f"      such as: {shown}", markup=False, highlight=False, soft_wrap=True)


def _show_names(pupil: Pupil, console: Console) -> None:
    """Show the names that answers may use: of the likeliest kind, else of all."""
    names = pupil.names()
    grid = Grid(box=None, title_justify="left")
    if not names:
        grid.title = "What answers may name, by kind"
        for kind, listed in pupil.names_by_kind():
            grid.add_row(escape(kind), escape(listed))
    else:
        grid.title = f"What answers may name of {pupil.kind_name} (another kind: kind=KIND)"
        for heading in ("name", "unit", "what it is"):
            grid.add_column(heading, overflow="fold")
        for row in names:
            grid.add_row(*map(escape, row))
    console.print()
    console.print(grid)
    console.print("Every form of an answer: tiecoat profile --reference", highlight=False)


def _show_held(held: Held | None, lesson: LessonInWords, console: Console, *, asked: bool) -> None:
    """Show why a file is held, and by which answer that can be mended."""
    from tiecoat.tabular.questions import mended_by

    console.print()
    if held is None:
        console.print("Nothing holds the file.", highlight=False)
        return
    console.print(f"The file is held: {held.reason.text}.", markup=False, highlight=False)
    faults = once_each(held.faults)[:_FAULTS_SHOWN] or [(Fault(held.reason), [])]
    for fault, rows in faults:
        if fault.sentence != held.reason.text:
            console.print(f"  {fault.at_rows(rows)}", markup=False, highlight=False)
        of_all = asked and fault.reason is Reason.NO_READER
        mend = "answers to what is open above" if of_all else None
        mend = mend or mended_by(fault, lesson.title_of(fault.column))
        said = f"mended by: {mend}" if mend else f"no answer mends it. {fault.reason.advice}"
        console.print(f"      {said}", markup=False, highlight=False)
    if held.detail:
        console.print(f"  {held.detail}", markup=False, highlight=False)


def _ask(question: Question, console: Console) -> str:
    console.print(question.text, markup=False, highlight=False)
    for number, option in enumerate(question.options, 1):
        console.print(f"  {number}  {option}", markup=False, highlight=False)
    while True:
        said = input("> ").strip()
        if said.isdigit() and 1 <= int(said) <= len(question.options):
            return question.options[int(said) - 1]
        if not said and question.options:
            return question.options[0]
        if said:
            return said


def _held_of_layout(lab: Lab, pupil: Pupil, profile: Path) -> list[Held]:
    """Return every held file that the profile claims."""
    from tiecoat.intake.held.files import list_held
    from tiecoat.intake.inboxes.preserve import original_of

    kept = [(held, original_of(lab, held.sha256)) for held in list_held(lab)]
    files = [(held, path) for held, path in kept if path is not None]
    claimed = pupil.files_of_layout(profile, ((path, h.name, h.folder) for h, path in files))
    return [held for (held, _), mine in zip(files, claimed, strict=True) if mine]


def _held_with(lab: Lab, pupil: Pupil, path: Path, name: str, folder: str) -> Held | None:
    """Return why the file would be held with what was answered so far."""
    from tiecoat.intake.trying import held_with

    try:
        plugins = pupil.plugins()
    except QueryInvalid:  # of no kind, or known by nothing: told where it is written
        plugins = pupil.of_lab
    return held_with(lab, path, name, folder, plugins)


def _read_but() -> set[Reason]:
    """Return why a file that was read may still wait: for its id, the register, a person."""
    from tiecoat.intake.held.files import ASSIGN, WAIT_FOR_REGISTER

    return {*ASSIGN, *WAIT_FOR_REGISTER, *_AGAINST_ARCHIVE}


def _why(held: Held) -> str:
    return held.faults[0].sentence if held.faults else held.detail or held.reason.text


def _achieves_nothing(lab: Lab, tried: Sequence[str]) -> str:
    """Return why no file of those tried could be read, or nothing where one could be.

    One that lacks but its id, or that the archive contradicts, was read: a person does the rest.
    """
    from tiecoat.intake.held.files import list_held

    still = {held.id: held for held in list_held(lab) if held.id in tried}
    read = _read_but()
    if len(still) < len(set(tried)) or any(held.reason in read for held in still.values()):
        return ""
    return _why(next(iter(still.values())))


def explain_profile(path: Path) -> str:
    """Check a profile and say in words what it does.

    Raises
    ------
    ProfileInvalid
        With every key that breaks a rule.
    """
    from tiecoat.extend.learning import explained

    return explained(path)
