"""Teaching a layout at the screen: what is seen and taken for what, what is open, what comes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rich.markup import escape
from rich.table import Table as Grid

from tiecoat.disk import fsio
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.reasons import Reason

if TYPE_CHECKING:
    from rich.console import Console

    from tiecoat.extend.learning import LessonInWords, Pupil
    from tiecoat.intake.outcome import Teller
    from tiecoat.lab.settings import Lab
    from tiecoat.tabular.learning import Question

Run = Callable[[Callable[["Lab", "Teller"], None]], int]

_ROWS_SHOWN = 3
_AGAINST_ARCHIVE = (Reason.CONFLICT, Reason.AGAINST_REGISTER, Reason.BEFORE_MADE)


def learn(lab: Lab, options: argparse.Namespace, console: Console, run: Run) -> int:
    """Show a file as it is seen, ask what is open, write the profile, and retry held files of it.

    Returns
    -------
    int
        0 where the layout is known now, 1 where questions are open.
    """
    from tiecoat.extend.learning import Pupil, profile_name

    path, name, folder = _file(lab, options.file)
    pupil = Pupil(lab, path, name, folder, options.kind)
    for answer in options.answer:
        key, mark, value = answer.partition("=")
        if not mark:
            raise QueryInvalid(f"--answer {answer!r}: expected KEY=VALUE")
        pupil.answer(key.strip(), value.strip())
    lesson = pupil.lesson()
    _show(lesson, console)
    asked = not options.show and sys.stdin.isatty() and not options.answer
    while lesson.questions and asked:
        question = lesson.questions[0]
        pupil.answer(question.key, _ask(question, console))
        lesson = pupil.lesson()
    if lesson.questions or lesson.faults:
        _show_open(lesson, console)
        return 1
    _show_rows(lesson, console)
    if options.show:
        return 0
    profile = pupil.write(options.name or profile_name(name))
    console.print(f"Written: {profile}", soft_wrap=True)
    return _retry(lab, pupil, profile, run, console)


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


def _show_rows(lesson: LessonInWords, console: Console) -> None:
    rows = sum(len(measurement.rows) for measurement in lesson.rows)
    console.print(f"{len(lesson.rows)} measurements, {rows} rows would be filed, such as:")
    assert lesson.kind is not None
    units = lesson.units()
    for measurement in lesson.rows[:_ROWS_SHOWN]:
        parts = [f"batch {measurement.batch}"] if measurement.batch else []
        parts += [f"panel {measurement.panel}"] if measurement.panel else []
        parts += (
            [f"{measurement.measured_at:%Y-%m-%d %H:%M} UTC"] if measurement.measured_at else []
        )
        for name, values in measurement.columns.items():
            value = values[0]
            if value is not None and value == value:  # noqa: PLR0124 - NaN is unequal to itself
                shown = f"{value:.6g}" if isinstance(value, float) else str(value)
                parts.append(f"{name} {shown} {units.get(name, '')}".rstrip())
        console.print("  " + ", ".join(parts), markup=False, highlight=False)


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


def _retry(lab: Lab, pupil: Pupil, profile: Path, run: Run, console: Console) -> int:
    """Try every held file of this layout again; a profile by which none can be read goes again."""
    from tiecoat.intake.held.files import list_held
    from tiecoat.intake.inboxes.preserve import original_of
    from tiecoat.intake.taking_in import retry

    again = []
    for held in list_held(lab):
        original = original_of(lab, held.sha256)
        if original is not None and pupil.is_of_layout(original, held.name, held.folder):
            again.append(held)
    if not again:
        console.print("No held file has this layout.")
        return 0
    console.print(f"{len(again)} held of this layout: tried again.")
    code = run(lambda of, teller: retry(of, again, teller))
    if reason := _achieves_nothing(lab, [held.id for held in again]):
        fsio.remove(profile)
        console.print(
            f"Taken back: {profile}; with it every file of this layout is still held: {reason}",
            markup=False,
            highlight=False,
            soft_wrap=True,
        )
    return code


def _achieves_nothing(lab: Lab, tried: Sequence[str]) -> str:
    """Return why no file of those tried could be read, or nothing where one could be.

    One that lacks but its id, or that the archive contradicts, was read: a person does the rest.
    """
    from tiecoat.intake.held.files import ASSIGN, WAIT_FOR_REGISTER, list_held

    still = {held.id: held for held in list_held(lab) if held.id in tried}
    read = {*ASSIGN, *WAIT_FOR_REGISTER, *_AGAINST_ARCHIVE}
    if len(still) < len(set(tried)) or any(held.reason in read for held in still.values()):
        return ""
    first = next(iter(still.values()))
    return first.faults[0].sentence if first.faults else first.detail or first.reason.text


def explain_profile(path: Path) -> str:
    """Check a profile and say in words what it does.

    Raises
    ------
    ProfileInvalid
        With every key that breaks a rule.
    """
    from tiecoat.extend.learning import explained

    return explained(path)


def reference() -> str:
    """Return every key of a profile with an example."""
    return REFERENCE


REFERENCE = """\
A table profile says of one layout what its titles and words mean. tiecoat learn writes one;
it is plain TOML, and can be written and changed by hand. It lies in the lab's readers/ folder
and wins over every built-in reader.

  name = "gauge_of_hall_3"       lower case, digits and underscores; unique among all readers
  kind = "film_thickness"        what the file holds (tiecoat readers lists the kinds)
  version = "1"                  raise it when rows would come out otherwise
  titles = ["Panel", "Rdg"]      a table with all these titles is of this layout

  [take]                         a title of the file = what it is
  "Rdg" = { as = "thickness_um", unit = "mil" }
                                 as: a column of the kind, or panel, batch, date, clock, moment,
                                 instrument; or what exports show instead, such as
                                 z_modulus_ohm with phase_deg, omega_rad_s, y_real_s, z_complex
                                 unit: in place of what the title says
  "Im" = { as = "z_imag_ohm", sign = "turned" }
                                 sign: "turned" where the column holds the negative
  "lg f" = { as = "frequency_hz", scale = "log10" }
                                 scale: "log10" for decimal logarithms
  "F" = { as = "force_n", factor = 9.80665 }
                                 factor: numbers are multiplied by it
  "G60" = { as = "gloss_gu", angle_deg = 60 }
                                 a wide layout: the column that tells two apart, and its value
  "Bat. V" = "pass over"         a column with numbers that nobody wants

  [told]                         what the file leaves unsaid, for every row, written as in a file;
                                 never a panel or batch: an id belongs to one file
  area_cm2 = "14.6 cm2"
  coat = "coat 1"

  [words.state]                  a word of the file = the kind's own word
  "frisch" = "as mixed"

  [file]
  dates = "day first"            or "month first", for dates such as 03/04/2026
  decimal = "comma"              or "point"
"""
