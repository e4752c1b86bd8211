"""Teaching a layout at the screen: what is seen and taken for what, what is open, what comes."""

from __future__ import annotations

import argparse
import shlex
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from rich.markup import escape
from rich.table import Table as Grid

from tiecoat.cli.learning_sitting import Sitting, SittingSeen
from tiecoat.cli.rows_preview import show_rows
from tiecoat.cli.switched_off import tell_switched_off
from tiecoat.cli.wrapped import say
from tiecoat.errors import QueryInvalid
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
    sitting = Sitting(lab, options.file, options.kind)
    for key, value in _answers(options.answer):
        sitting.answer(key, value)
    seen = sitting.seen()
    if seen.lesson.rows:
        tell_switched_off(sitting.pupil, sitting.held_of)
    if (former := sitting.pupil.former) is not None:
        console.print(f"It goes on with what was taught: {former.path}", soft_wrap=True)
    _show(seen.lesson, console)
    if not options.show and sys.stdin.isatty() and not options.answer:
        seen = _asked(sitting, seen, console)
        tell_switched_off(sitting.pupil, sitting.held_of)
    _tell_needless(sitting, seen, console)
    open_still = [*seen.questions, *([] if sitting.pupil.has_said else seen.of_file)]
    if open_still or seen.lesson.faults:
        ahead = sitting.pupil.ahead()
        if seen.lesson.rows:
            show_rows(seen.lesson, lab.zone, console, held=True)
        _show_open(open_still, ahead, console)
        _show_names(sitting.pupil, console)
        _show_held(seen.held, seen.lesson, [*open_still, *ahead], console)
        _show_command(options, sitting.said, console)
        return 1
    show_rows(seen.lesson, lab.zone, console, held=seen.held is not None)
    if options.show:
        _show_names(sitting.pupil, console)
        _show_held(seen.held, seen.lesson, [], console)
        return int(seen.held is not None)
    return _write(sitting, seen, options, console, run)


def _write(
    sitting: Sitting, seen: SittingSeen, options: argparse.Namespace, console: Console, run: Run
) -> int:
    """Write the profile, try again what is held of its layout; take it back if that is nothing."""
    from tiecoat.intake.taking_in import retry_taught

    lab, pupil, waits = sitting.lab, sitting.pupil, sitting.waits
    profile = pupil.write(options.profile or pupil.free_name()) if pupil.has_said else None
    files = _held_of_layout(lab, pupil, profile) if profile else [waits] if waits else []
    if files:
        console.print(f"{len(files)} held of this layout: tried again.")
        ids = {waits.id: given} if waits and (given := sitting.assigned) else {}
        code = run(lambda of, teller: retry_taught(of, files, teller, ids))
        against = _achieves_nothing(lab, [held.id for held in files])
    else:
        console.print("No held file has this layout; files of it that come will be read so.")
        held = seen.held
        code = int(held is not None)
        against = _why(held) if held is not None and held.reason not in _read_but() else ""
    if profile is None:
        console.print("No profile is written: the layout is known.")
        return code
    if not against:
        console.print(f"Written: {profile}", soft_wrap=True)
        if pupil.former is not None:
            console.print(f"In place of the former one, kept as: {pupil.former.kept}")
        if seen.of_file:
            _show_open(seen.of_file, [], console)
            _show_command(options, [], console)
        return code
    pupil.take_back(profile)
    told = f"Taken back: {profile}; with it every file of this layout is still held: {against}"
    say(console, told)
    _show_held(seen.held, seen.lesson, [], console)
    _show_command(options, sitting.said, console)
    return 1


def _asked(sitting: Sitting, seen: SittingSeen, console: Console) -> SittingSeen:
    """Ask what is open until nothing is; return how the file is read then."""
    while open_still := [*seen.questions, *seen.of_file]:
        question = open_still[0]
        try:
            sitting.answer(question.key, _ask(question, console))
            seen = sitting.seen()
        except QueryInvalid as error:
            say(console, str(error))
    return seen


def _tell_needless(sitting: Sitting, seen: SittingSeen, console: Console) -> None:
    for needless in sitting.without_effect() if seen.lesson.rows else ():
        say(console, f"Note: --answer {shlex.quote(needless)} changes nothing in this file.")


def _answers(said: Sequence[str]) -> list[tuple[str, str]]:
    """Return keys and answers: what names a field, and tells the kind, before units and signs."""
    from tiecoat.tabular.answers import parted_answer

    try:
        found = [parted_answer(answer) for answer in said]
    except ValueError as error:
        raise QueryInvalid(f"--answer {error}") from None
    return sorted(found, key=lambda each: each[0].partition(":")[0] in ("unit", "sign"))


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


def _show_open(questions: Sequence[Question], ahead: Sequence[Question], console: Console) -> None:
    """Show what is open, and what the likeliest answers to it would open: all in one go."""
    from tiecoat.tabular.questions import in_one_answer

    for heading, asked in (
        ("Still open; answer with --answer KEY=VALUE:", questions),
        ("Open then, if the likeliest answers above are right; answer these too:", ahead),
    ):
        if asked:
            console.print(heading)
        for question in asked:
            style = "bold"
            console.print(f"  {question.key}", style=style, markup=False, highlight=False)
            say(console, question.text, 6)
            if question.options:
                say(console, f"such as: {', '.join(question.options)}", 6)
        for together in in_one_answer(asked):
            say(console, f"or in one answer: {together}", 2)


def _show_command(
    options: argparse.Namespace, said: Sequence[tuple[str, str]], console: Console
) -> None:
    """Show the command to go on with, and all answers so far: another call remembers none."""
    parts = [f"tiecoat learn {shlex.quote(options.file)}"]
    parts += [f"--lab {shlex.quote(str(options.lab))}"] if options.lab else []
    parts += [f"--kind {options.kind}"] if options.kind else []
    parts += [f"--answer {shlex.quote(f'{key}={value}')}" for key, value in said]
    console.print("\nTo go on, with all answers so far:" if said else "\nTo go on:")
    shown = " \\\n  ".join([*parts, "--answer KEY=VALUE"])
    console.print(shown, markup=False, highlight=False, soft_wrap=True)


def _show_names(pupil: Pupil, console: Console) -> None:
    """Show the names that answers may use: of the likeliest kind, else of all."""
    names = pupil.names()
    of_kind = f"of {pupil.kind_name} (another kind: kind=KIND)" if names else "by kind"
    console.print(f"\nWhat answers may name, {of_kind}:", highlight=False)
    for row in names or pupil.names_by_kind():
        say(console, "  ".join(filter(None, row)), 2)
    console.print("Every form of an answer: tiecoat profile --reference", highlight=False)


def _show_held(
    held: Held | None, lesson: LessonInWords, asked: Sequence[Question], console: Console
) -> None:
    """Show why a file is held, and by which answer that can be mended.

    Parameters
    ----------
    asked
        What is shown above already.
    """
    from tiecoat.tabular.questions import asks_for, mended_by, of_none

    console.print()
    if held is None:
        console.print("Nothing holds the file.", highlight=False)
        return
    say(console, f"The file is held: {held.reason.text}.")
    faults = once_each(held.faults)[:_FAULTS_SHOWN] or [(Fault(held.reason), [])]
    for fault, rows in faults:
        title = lesson.title_of(fault.column)
        above = [each.key for each in asked if asks_for(each, fault, title)]
        shown = replace(fault, expected="the answer above") if above else fault
        if fault.sentence != held.reason.text:
            say(console, shown.at_rows(rows), 2)
        mend = ", ".join(above)
        mend = mend or ("answers to what is open above" if asked and of_none(fault) else "")
        mend = mend or mended_by(fault, title) or ""
        say(
            console,
            f"mended by: {mend}" if mend else f"no answer mends it. {fault.reason.advice}",
            6,
        )
    if held.detail:
        say(console, held.detail, 2)


def _ask(question: Question, console: Console) -> str:
    say(console, question.text)
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
