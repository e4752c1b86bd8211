"""Figures that plugins add to a report."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd
from matplotlib.figure import Figure

from tiecoat.ask.study_data import StudyData
from tiecoat.extend.blame import blame
from tiecoat.extend.loading import load_evaluations
from tiecoat.plugin import StudyFigure
from tiecoat.report.alike import by_line
from tiecoat.report.labels import batch_words
from tiecoat.report.looks import DPI, fixed_figure, new_figure
from tiecoat.report.words import say

OF_PLUGIN = "figure "  # before the name of a figure that a plugin brings
HEIGHT = 3.2  # inches, where the plugin sets no other
OF_FAULT = 0.8


def brought(data: StudyData) -> list[StudyFigure]:
    """Return the figures of plugins whose kind the study has rows of, in the order of loading."""
    figures = load_evaluations(data.lab.own_readers).figures
    return [one for one in figures.values() if len(data.rows.get(one.kind, ()))]


def drawn_by(data: StudyData, wanted: StudyFigure) -> Iterator[Figure]:
    """Draw a figure of a plugin, for panels that are alike; or say why it could not be drawn."""
    batches, control = data.comparison.batches, data.comparison.control
    names = {one: batch_words(batches, one, control) for one in data.comparison.control_first}
    for line, results, rows in _alike(data, wanted.kind):
        figure = new_figure(HEIGHT, line)
        try:
            wanted.draw(figure, results.copy(), rows.copy(), dict(names))
            if not any(axes.get_subplotspec() for axes in figure.axes):
                figure.set_layout_engine("none")  # they stand where the plugin has put them
            figure.draw_without_rendering()  # what only comes out when it is drawn
        except Exception as error:  # noqa: BLE001 - a stranger's code
            figure = fixed_figure(OF_FAULT, DPI)
            told = say("The figure could not be drawn: {why}", why=blame(error))
            figure.text(0.01, 0.5, told, va="center", wrap=True)
            yield figure
        else:
            if figure.axes:
                yield figure


def _alike(data: StudyData, kind: str) -> Iterator[tuple[str, pd.DataFrame, pd.DataFrame]]:
    """Return results and rows of panels that are alike, with the words for them."""
    rows, results = data.rows[kind], data.results[kind]
    lines = by_line(data, kind, rows) if rows["panel"].notna().all() else [("", rows)]
    if len(lines) == 1:
        yield "", results, rows
        return
    for line, part in lines:
        yield line, results[results["panel"].isin(part["panel"])], part
