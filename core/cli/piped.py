"""What goes into a file or to another program: a row of a table is a line, its cells stand by tabs.

Nothing is broken to the width of a terminal, padded or coloured.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from typing import Any

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text


class PipedConsole(Console):
    """A console for what is no terminal."""

    def __init__(self) -> None:
        super().__init__(file=sys.stdout, force_terminal=False, color_system=None)

    def print(self, *objects: Any, **more: Any) -> None:
        """Print each on lines of its own length."""
        if len(objects) == 1 and isinstance(objects[0], Table):
            self.file.writelines(f"{line}\n" for line in _lines(objects[0]))  # it would fill tabs
        else:
            super().print(*map(_flat, objects), **{**more, "soft_wrap": True})


def _flat(shown: Any) -> Any:
    if isinstance(shown, Padding):
        return Text(" " * shown.left + _plain(shown.renderable))
    return shown


def _lines(table: Table) -> Iterator[str]:
    if table.title:
        yield _plain(table.title)
    if table.show_header and any(_plain(column.header) for column in table.columns):
        yield "\t".join(_plain(column.header) for column in table.columns)
    for cells in zip(*(column.cells for column in table.columns), strict=True):
        yield "\t".join(map(_plain, cells)).rstrip("\t")


def _plain(cell: Any) -> str:
    """Return the text of a cell in one line."""
    text = Text.from_markup(cell) if isinstance(cell, str) else cell
    return "; ".join(line.strip("\r") for line in str(text).splitlines())
