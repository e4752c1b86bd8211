"""Pages of a report that plugins bring, and the figures that they bring without a page."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import pandas as pd
from matplotlib.figure import Figure

from tiecoat.ask.study_data import StudyData
from tiecoat.evaluate.result import panels_as_results
from tiecoat.extend.blame import blame
from tiecoat.extend.loading import load_report_parts
from tiecoat.plugin import PageTable, StudyContents, StudyFigure, StudyPage
from tiecoat.report.alike import by_line
from tiecoat.report.labels import batch_words
from tiecoat.report.looks import fault_figure, new_figure, titled
from tiecoat.report.over_time import OF_PLUGIN
from tiecoat.report.words import say, translated

FURTHER = "further-figures"  # the page on which those stand
HEIGHT = 3.2  # inches, where the plugin sets no other
PARTS = "a text, a PageTable or a StudyFigure"


@dataclass(frozen=True)
class MadeFigure:
    """A figure of a page: what it is called among all figures of the report, and what it shows.

    `heading` stands above it, "" where the title of its page does; `words` are of each drawing.
    """

    key: str
    figure: StudyFigure
    heading: str = ""
    words: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """Its heading, in the language of the report."""
        return translated(self.figure.title)

    @property
    def caption(self) -> str:
        """How it is read, in the language of the report."""
        return translated(self.figure.caption)


@dataclass(frozen=True)
class MadePage:
    """A page as its plugin has made it from a study: its anchor, its heading, what stands on it."""

    name: str
    title: str
    parts: tuple[str | PageTable | MadeFigure, ...] = field(repr=False)

    @property
    def figures(self) -> list[MadeFigure]:
        """The figures on it."""
        return [one for one in self.parts if isinstance(one, MadeFigure)]

    @property
    def tables(self) -> dict[str, PageTable]:
        """The tables on it, by what they are called in `tables/`."""
        found = [one for one in self.parts if isinstance(one, PageTable)]
        return {f"page_{self.name}_{number}": one for number, one in enumerate(found, 1)}


def made_pages(data: StudyData) -> list[MadePage]:
    """Return the pages of plugins that the study has something for, then their other figures."""
    parts = load_report_parts(data.lab.own_readers)
    wanted = [one for one in parts.pages.values() if not one.kind or _has(data, one.kind)]
    told = study_tables(data)
    pages = [_made(data, page, told) for page in wanted]
    alone = [one for one in parts.figures.values() if isinstance(one, StudyFigure)]
    further = [one for one in alone if _has(data, one.kind)]
    figures = [_figure(data, OF_PLUGIN + one.name, one, translated(one.title)) for one in further]
    pages.append(MadePage(FURTHER, say("Further figures"), tuple(figures)))
    return [page for page in pages if page.parts]


def study_tables(data: StudyData) -> StudyContents:
    """Return what pages are made from."""
    comparison = data.comparison
    return StudyContents(
        comparison.study.name,
        comparison.control,
        MappingProxyType(_names(data)),
        comparison.table(),
        MappingProxyType({kind: table.copy() for kind, table in data.results.items()}),
        MappingProxyType({kind: panels_as_results(table) for kind, table in data.rows.items()}),
        data.panels.copy(),
    )


def _names(data: StudyData) -> dict[str, str]:
    batches, control = data.comparison.batches, data.comparison.control
    return {one: batch_words(batches, one, control) for one in data.comparison.control_first}


def _has(data: StudyData, kind: str) -> bool:
    return len(data.rows.get(kind, ())) > 0


def _made(data: StudyData, page: StudyPage, told: StudyContents) -> MadePage:
    """Return a page; where it cannot be made, or a part of it is none, it says so itself."""
    parts: list[str | PageTable | MadeFigure] = []
    title = translated(page.title)
    try:
        for part in page.parts(told):
            if isinstance(part, StudyFigure):
                if _has(data, part.kind):
                    alone = part.name == page.name
                    key = page.name if alone else f"{page.name} {part.name}"
                    parts.append(_figure(data, key, part, "" if alone else translated(part.title)))
            elif isinstance(part, str):
                parts.append(translated(part))
            elif isinstance(part, PageTable) and isinstance(part.table, pd.DataFrame):
                parts.append(PageTable(translated(part.caption), part.table.copy()))
            else:
                raise TypeError(f"a part of it is {type(part).__name__}; expected {PARTS}")
    except Exception as error:  # noqa: BLE001 - a stranger's code
        parts.append(say("The page could not be made: {why}", why=blame(error, page.tell)))
    return MadePage(page.name, title, tuple(parts))


def _figure(data: StudyData, key: str, wanted: StudyFigure, heading: str) -> MadeFigure:
    if wanted.words is None:
        return MadeFigure(key, wanted, heading)
    told = []
    for line, results, rows in _alike(data, wanted):
        try:
            words = str(wanted.words(results.copy(), panels_as_results(rows), _names(data)))
        except Exception as error:  # noqa: BLE001 - a stranger's code
            words = say(
                "What the figure shows could not be told: {why}", why=blame(error, wanted.words)
            )
        if words:
            told.append(f"{line}: {words}" if line else words)
    return MadeFigure(key, wanted, heading, tuple(told))


def drawn_by(
    data: StudyData, wanted: StudyFigure, batches: Collection[str] | None = None
) -> Iterator[Figure]:
    """Draw a figure of a plugin, for panels that are alike; or say why it could not be drawn.

    Parameters
    ----------
    batches
        Only these; None is all.
    """
    names = {one: of for one, of in _names(data).items() if batches is None or one in batches}
    for line, *tables in _alike(data, wanted):
        results, rows = (one if batches is None else _only(one, batches) for one in tables)
        if not len(rows):
            continue
        try:
            figure = drawn_of(wanted, results, rows, names)
        except Exception as error:  # noqa: BLE001 - a stranger's code
            yield fault_figure(
                say("The figure could not be drawn: {why}", why=blame(error, wanted.draw))
            )
        else:
            if figure.axes:
                yield titled(figure, line)


def _only(table: pd.DataFrame, batches: Collection[str]) -> pd.DataFrame:
    return table[table["batch"].isin(batches)].reset_index(drop=True)


def drawn_of(
    wanted: StudyFigure, results: pd.DataFrame, rows: pd.DataFrame, names: Mapping[str, str]
) -> Figure:
    """Return what a plugin draws of results and rows; what it raises comes out here.

    Raises
    ------
    TypeError
        If it returns something and leaves the figure empty that it was given.
    """
    figure = new_figure(HEIGHT)
    made = wanted.draw(figure, results.copy(), panels_as_results(rows), dict(names))
    if made is not None and not figure.axes:
        raise TypeError(
            f"draw returns {type(made).__name__}, and leaves the figure empty that it was given;"
            " expected that it draws into that one"
        )
    if not any(axes.get_subplotspec() for axes in figure.axes):
        figure.set_layout_engine("none")  # they stand where the plugin has put them
    figure.draw_without_rendering()  # what only comes out when it is drawn
    return figure


def _alike(
    data: StudyData, wanted: StudyFigure
) -> Iterator[tuple[str, pd.DataFrame, pd.DataFrame]]:
    """Return results and rows of panels that are alike, with the words for them."""
    kind = wanted.kind
    rows, results = data.rows[kind], data.results[kind]
    lines = [("", rows)]
    if rows["panel"].notna().all():
        lines = by_line(data, kind, rows, with_coats=wanted.with_coats)
    if len(lines) == 1:
        yield lines[0][0], results, rows
        return
    for line, part in lines:
        yield line, results[results["panel"].isin(part["panel"])], part
