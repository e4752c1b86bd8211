"""A figure that a plugin adds to the report of a study."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pandas as pd
    from matplotlib.figure import Figure

    DrawFigure = Callable[[Figure, pd.DataFrame, pd.DataFrame, Mapping[str, str]], object]
    WordsOfFigure = Callable[[pd.DataFrame, pd.DataFrame, Mapping[str, str]], str]


@dataclass(frozen=True)
class StudyFigure:
    """What a kind shows, drawn for the page, the slides and the files of a report.

    Parameters
    ----------
    name
        Unique among the figures of all plugins; its files are called by it.
    kind
        The kind that it shows; there is none where a study has nothing of it.
    title
        Its heading.
    draw
        Gets an empty matplotlib figure as wide as the page, with the look of the report; the
        results of the kind, of all its quantities and conditions together, and its rows, of the
        batches compared, an empty panel "" in both; and by batch what it is called, the control
        first. It draws into the figure, whose height it may
        set, touches nothing else, and returns nothing. Where it adds no axes there is no figure. It
        is called once for panels that are alike in coat system, substrate and dolly, and so may be
        compared. What it raises stands in the place of the figure.
    caption
        How the figure is read.
    words
        Gets results, rows and names as `draw` does, and returns what the figure shows, for who
        cannot see it. None: its title and caption have to do.
    with_coats
        Whether the coat system stands above it where all panels have the same one, too.
    """

    name: str
    kind: str
    title: str
    draw: DrawFigure
    caption: str
    words: WordsOfFigure | None = None
    with_coats: bool = False
