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
from tiecoat.disk import fsio
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.reasons import Reason

if TYPE_CHECKING:
    from rich.console import Console

    from tiecoat.extend.learning import LessonInWords, Pupil
    from tiecoat.intake.held.files import Held
    from tiecoat.intake.outcome import Teller
    from tiecoat.lab.settings import Lab
    from tiecoat.tabular.questions import Question

Run = Callable[[Callable[["Lab", "Teller"], None]], int]

_AGAINST_ARCHIVE = (Reason.CONFLICT, Reason.AGAINST_REGISTER, Reason.BEFORE_MADE)


def learn(lab: Lab, options: argparse.Namespace, console: Console, run: Run) -> int:
    """Show a file as it is seen, ask what is open, write the profile, and retry held files of it.

    Returns
    -------
    int
        0 where the layout is known now, 1 where questions are open.
    """
    from tiecoat.extend.learning import Pupil, profile_name
    from tiecoat.intake.taking_in import retry

    path, name, folder = _file(lab, options.file)
    pupil = Pupil(lab, path, name, folder, options.kind)
    for key, value in _answers(options.answer):
        pupil.answer(key, value)
    lesson = pupil.lesson()
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
    if lesson.questions or lesson.faults:
        _show_open(lesson, console)
        return 1
    show_rows(lesson, console)
    if options.show:
        return 0
    profile = pupil.write(options.name or profile_name(name))
    console.print(f"Written: {profile}", soft_wrap=True)
    files = _held_of_layout(lab, pupil, profile)
    if files:
        console.print(f"{len(files)} held of this layout: tried again.")
        code = run(lambda of, teller: retry(of, files, teller))
        against = _achieves_nothing(lab, [held.id for held in files])
    else:
        console.print("No held file has this layout.")
        code, against = 0, _held_now(lab, path)
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
        for heading in ("in the file", "taken for", "because"):
            grid.add_column(heading, overflow="fold")
        for title, taken, why in lesson.taken(found):
            grid.add_row(*map(escape, (title, taken, why)))
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
    for fault in lesson.faults:
        console.print(f"  {fault.sentence}", markup=False, highlight=False)


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


def _held_now(lab: Lab, path: Path) -> str:
    """Return why a file would still be held, or nothing where a person or its id does the rest."""
    from tiecoat.intake.trying import try_file

    held = try_file(lab, path).held
    return "" if held is None or held.reason in _read_but() else _why(held)


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
