"""Are figures drawn and pages told of what the examples give, and do commands answer?"""

from __future__ import annotations

import argparse
import io
import re
from collections.abc import Iterator, Mapping
from contextlib import redirect_stderr, redirect_stdout
from typing import TYPE_CHECKING

import pandas as pd

from tiecoat.ask.evaluate import evaluate
from tiecoat.ask.query import open_archive
from tiecoat.compare.comparison import verdict_table
from tiecoat.errors import TiecoatError, UnknownName
from tiecoat.evaluate.result import panels_as_results
from tiecoat.extend.blame import blame
from tiecoat.plugin import (
    CommandAnswer,
    LabCommand,
    PageTable,
    StudyContents,
    StudyCourse,
    StudyFigure,
    StudyPage,
)
from tiecoat.report.brought_pages import PARTS, drawn_of
from tiecoat.report.looks import looks
from tiecoat.report.over_time import points_of
from tiecoat.testing.evaluating import filed_lab
from tiecoat.wording import untold

if TYPE_CHECKING:
    from tiecoat.testing.workbench import Workbench

OURS = (("--lab",), ("-q", "--quiet"), ("-v", "--verbose"), ("--json",))
MARKUP = re.compile(r"</?[a-zA-Z][a-zA-Z0-9]*(\s[^<>]*)?/?>")


def _of_kind(bench: Workbench, kind: str) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Return results and rows of a kind; without any where nothing of it is filed."""
    archive = open_archive(filed_lab(bench))
    try:
        rows = panels_as_results(archive.read(kind))
    except UnknownName:
        return pd.DataFrame(), pd.DataFrame()
    try:
        return evaluate(archive, kind).table, rows
    except UnknownName:  # no evaluation
        return pd.DataFrame(columns=["batch", "panel"]), rows


def figures_are_drawn(bench: Workbench) -> Iterator[str]:
    """Each figure has something to show of the examples, and of a single panel too."""
    for figure in bench.figures:
        if isinstance(figure, StudyCourse):
            yield from _course(bench, figure)
        else:
            yield from _drawn(bench, figure)


def _given(
    bench: Workbench, figure: StudyFigure | StudyCourse
) -> list[tuple[str, pd.DataFrame, pd.DataFrame]]:
    """Return how it is told, results and rows: all that there are, and one; nothing without any."""
    results, rows = _of_kind(bench, figure.kind)
    if not len(rows):
        return []
    first = rows.head(1)
    alone = results[results["batch"].isin(first["batch"]) & results["panel"].isin(first["panel"])]
    return [("", results, rows), (", given one row,", alone, first)]


def _untried(figure: StudyFigure | StudyCourse) -> str:
    return f"figure {figure.name} cannot be tried: no example gives rows of {figure.kind}"


def _course(bench: Workbench, course: StudyCourse) -> Iterator[str]:
    """Tell what is wrong with a course: its points are drawn by the report."""
    given = _given(bench, course)
    if not given:
        yield _untried(course)
    for told, results, rows in given:
        try:
            drawn = [points_of(course, one) for one in course.courses(results.copy(), rows)]
        except Exception as error:  # noqa: BLE001 - a stranger's code
            yield f"figure {course.name}{told} breaks down: {blame(error, course.courses)}"
            return
        if not told and not any(map(len, drawn)):
            yield f"figure {course.name} draws nothing of {len(rows)} rows"


def _drawn(bench: Workbench, figure: StudyFigure) -> Iterator[str]:
    what = f"figure {figure.name}"
    every = _given(bench, figure)
    if not every:
        yield _untried(figure)
    for given, of, some in every:
        names = _names(every[0][2])
        try:
            with looks():
                drawn = drawn_of(figure, of, some, names)
            words = figure.words(of.copy(), some.copy(), names) if figure.words else "-"
        except Exception as error:  # noqa: BLE001 - a stranger's code
            yield f"{what}{given} breaks down: {blame(error, figure.draw)}"
            return
        if not given and not drawn.axes:
            yield f"{what} draws nothing of {len(some)} rows"
        if not isinstance(words, str):
            yield f"{what} is told in {type(words).__name__}, not in words"


def _names(rows: pd.DataFrame) -> dict[str, str]:
    return {str(batch): str(batch) for batch in rows["batch"].unique()}


def pages_are_told(bench: Workbench) -> Iterator[str]:
    """Each page tells something of the examples, the same again, and changes nothing."""
    for page in bench.pages:
        yield from _told(bench, page)


def _told(bench: Workbench, page: StudyPage) -> Iterator[str]:
    what = f"page {page.name}"
    kinds = [kind.name for kind in bench.kinds] + [page.kind]
    given = {kind: _of_kind(bench, kind) for kind in dict.fromkeys(kinds) if kind}
    if page.kind and not len(given[page.kind][1]):
        yield f"{what} cannot be tried: no example gives rows of {page.kind}"
        return
    told = _tables(given)
    try:
        parts, again = list(page.parts(told)), list(page.parts(_tables(given)))
    except Exception as error:  # noqa: BLE001 - a stranger's code
        yield f"{what} breaks down: {blame(error, page.tell)}"
        return
    if not parts:
        yield f"{what} tells nothing"
    for part in parts:
        yield from _part_amiss(bench, what, part)
    if [*map(_as_told, parts)] != [*map(_as_told, again)]:
        yield f"{what} tells otherwise of the same study when it is asked again"
    for kind, (results, rows) in given.items():
        if not (rows.equals(told.rows[kind]) and results.equals(told.results[kind])):
            yield f"{what} changes the rows or results of {kind} that it is given"


def _part_amiss(bench: Workbench, what: str, part: object) -> Iterator[str]:
    """Tell what is wrong with one part of a page."""
    if isinstance(part, StudyFigure):
        yield from _drawn(bench, part)
    elif not isinstance(part, str | PageTable):
        yield f"{what} has a part that is {type(part).__name__}; expected {PARTS}"
    elif found := MARKUP.search(part if isinstance(part, str) else part.caption):
        yield (
            f"{what} has {found[0]!r} in a text, which stands in the report as it is written: a"
            " text is plain words, and a table a PageTable"
        )


def _tables(given: Mapping[str, tuple[pd.DataFrame, pd.DataFrame]]) -> StudyContents:
    """Return a study of all that is filed; nothing is compared in it."""
    names = {batch: batch for _, rows in given.values() if len(rows) for batch in _names(rows)}
    return StudyContents(
        "all that is filed",
        next(iter(names), ""),
        names,
        verdict_table([]),
        {kind: results.copy(deep=True) for kind, (results, _) in given.items()},
        {kind: rows.copy(deep=True) for kind, (_, rows) in given.items()},
        pd.DataFrame({"batch": [], "panel": []}, dtype="str"),
    )


def _as_told(part: object) -> str:
    if isinstance(part, PageTable):
        return f"{part.caption} {part.table.to_csv()}"
    return part if isinstance(part, str) else getattr(part, "name", "")


def commands_answer(bench: Workbench) -> Iterator[str]:
    """Each command takes what it is given, and answers by the fields that it names."""
    for command in bench.commands:
        what = f"command {command.name}"
        parser = argparse.ArgumentParser(prog=f"tiecoat {command.name}")
        for names in OURS:
            parser.add_argument(*names)
        try:
            if command.add is not None:
                command.add(parser)
        except Exception as error:  # noqa: BLE001 - a stranger's code
            yield f"{what} cannot say what it takes: {blame(error, command.add)}"
            continue
        with redirect_stderr(io.StringIO()):
            try:
                options = parser.parse_args([])
            except SystemExit:  # it cannot do without something
                continue
        yield from _answered(bench, command, options)


def _answered(bench: Workbench, command: LabCommand, options: argparse.Namespace) -> Iterator[str]:
    """Tell what is wrong with what a command answers, asked without anything."""
    what, printed = f"command {command.name}", io.StringIO()
    assert bench.taken_in is not None  # what is filed of the examples is there from here on
    try:
        with redirect_stdout(printed):
            done = command.run(bench.lab.root, options, untold)  # it may write there
    except TiecoatError:
        return
    except (Exception, SystemExit) as error:  # noqa: BLE001 - a stranger's code
        yield f"{what} breaks down: {blame(error, command.run)}"
        return
    if printed.getvalue():
        yield f"{what} prints; what it tells goes into `lines` of its CommandAnswer"
    if not isinstance(done, CommandAnswer):
        yield f"{what} returns {type(done).__name__}, not a CommandAnswer"
        return
    if done.wrong:
        yield f"{what}: {done.wrong}"
        return
    for stray in command.strays(done):
        yield f"{what} {stray}"
