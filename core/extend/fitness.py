"""Why what a plugin offers will not do, in words for its author; "" where it will."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TYPE_CHECKING

from tiecoat.plugin import Kind, Reader

if TYPE_CHECKING:
    from tiecoat.plugin import LabCommand, StudyCourse, StudyFigure, StudyPage

LINES = ("panel", "measurement", "batch")  # what a line of a course may be
_NEEDED = ("name", "kind", "version", "recognise", "read")
_PAGE_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
_COMMAND_NAME = re.compile(r"[a-z][a-z0-9-]{1,29}")


def unfit_reader(reader: object, kinds: Mapping[str, Kind]) -> str:
    """Say why this is not a reader of one of the kinds."""
    if isinstance(reader, type):
        return f"it is a class, not an object: return {reader.__name__}()"
    lacking = [name for name in _NEEDED if not hasattr(reader, name)]
    if lacking or not isinstance(reader, Reader):
        return f"it has no {', no '.join(lacking)}"
    return _unfit_texts(reader) or _unfit_rest(reader, kinds)


def _unfit_texts(reader: Reader) -> str:
    for name in ("name", "kind", "version"):
        text = getattr(reader, name)
        if (
            not isinstance(text, str)
            or not text
            or text.split() != [text]
            or not text.isprintable()
        ):
            return f"its {name} is {text!r}; expected a text without blanks"
    return ""


def _unfit_rest(reader: Reader, kinds: Mapping[str, Kind]) -> str:
    if dead := [name for name in ("recognise", "read") if not callable(getattr(reader, name))]:
        return f"its {dead[0]} cannot be called"
    if reader.kind not in kinds:
        return f"its kind {reader.kind!r} is not known; there are {', '.join(sorted(kinds))}"
    from tiecoat.plugin import Companions

    if isinstance(getattr(reader, "companions", None), Companions | None):
        return ""
    return "its companions are no Companions; expected such as Companions('*.hdr', ...)"


def unfit_figure(figure: StudyFigure | StudyCourse) -> str:
    """Say why it cannot be drawn."""
    from tiecoat.plugin import StudyCourse

    if isinstance(figure, StudyCourse):
        return _unfit_course(figure)
    if not _are_texts(figure.name, figure.kind, figure.title, figure.caption):
        return "name, kind, title and caption must be texts that are not empty"
    if not callable(figure.draw):
        return "its draw cannot be called"
    return "" if figure.words is None or callable(figure.words) else "its words cannot be called"


def _unfit_course(course: StudyCourse) -> str:
    from tiecoat.plugin import Clock

    if not _are_texts(course.name, course.kind):
        return "name and kind must be texts that are not empty"
    if not isinstance(course.clock, Clock):
        return f"its clock is {course.clock!r}; expected such as Clock.EXPOSURE"
    if course.line not in LINES:
        return f"its line is {course.line!r}; allowed are {', '.join(LINES)}"
    return "" if callable(course.courses) else "its courses cannot be called"


def unfit_page(page: StudyPage) -> str:
    """Say why it cannot stand in a report."""
    from tiecoat.contract.study_page import OWN_SECTIONS

    if not isinstance(page.name, str) or not _PAGE_NAME.fullmatch(page.name):
        return "its name may have lower-case letters, digits and underscores"
    if page.name in OWN_SECTIONS:
        return "the report has a section of this name itself"
    if not _are_texts(page.title) or not isinstance(page.kind, str):
        return 'title must be a text that is not empty, and kind a text ("" for any study)'
    return "" if callable(page.tell) else "its tell cannot be called"


def unfit_command(command: LabCommand) -> str:
    """Say why it cannot be asked for."""
    from tiecoat.contract.lab_command import OWN_COMMANDS

    if not isinstance(command.name, str) or not _COMMAND_NAME.fullmatch(command.name):
        return "its name may have lower-case letters, digits and hyphens, and has two at least"
    if command.name in OWN_COMMANDS:
        return "tiecoat has a command of this name itself"
    if not _are_texts(command.words):
        return "words must be a text that is not empty"
    if not callable(command.run) or not (command.add is None or callable(command.add)):
        return f"its {'add' if callable(command.run) else 'run'} cannot be called"
    told = command.answers
    if isinstance(told, Mapping) and all(
        isinstance(of, tuple) and len(of) == 2 and _are_texts(path, *of)
        for path, of in told.items()
    ):
        return ""
    return 'its answers must be by field its type and meaning, such as {"count": ("whole", "...")}'


def _are_texts(*texts: object) -> bool:
    return all(isinstance(text, str) and text.strip() for text in texts)
