"""Reports whose figures are empty: drawing takes most of the time, and their words need none."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from unittest import mock

from tiecoat.report.looks import FigureFiles


@contextmanager
def undrawn() -> Iterator[None]:
    """Figures are made up, but not drawn; for tests that look at words, tables and file names."""
    empty = FigureFiles(b"<svg></svg>")
    with mock.patch("tiecoat.report.figures.drawn", return_value=empty):
        yield
