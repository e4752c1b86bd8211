"""Plates as they stand in a report: drawn, each with what it shows in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tiecoat.compare.comparison import Comparison
from tiecoat.report.looks import FigureFiles, drawn, looks
from tiecoat.report.plate_figure import (
    parts_of,
    picture_words,
    plate_figures,
    plate_words,
)
from tiecoat.report.plates import Plate
from tiecoat.report.words import joined


@dataclass(frozen=True)
class PlatePage:
    """One figure of a plate: its name among the files, its title, and what it shows."""

    name: str
    title: str
    files: FigureFiles
    words: str


def plate_pages(
    comparison: Comparison, plates: Sequence[Plate], *, with_png: bool
) -> list[PlatePage]:
    """Return the figures of all plates."""
    with looks():
        return [page for one in plates for page in _pages(comparison, one, with_png)]


def _pages(comparison: Comparison, plate: Plate, with_png: bool) -> Iterator[PlatePage]:
    title = plate_words(plate)
    figures = plate_figures(comparison, plate)
    for part, figure in zip(parts_of(plate, comparison), figures, strict=True):
        told = [
            f"{one.shot.batch} ({'; '.join(picture_words(one, plate.subject))})" for one in part
        ]
        name = f"plate {plate.subject.kind}"
        yield PlatePage(name, title, drawn(figure, with_png=with_png), joined(told))
