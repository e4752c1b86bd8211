"""Sentences in the width of the terminal; of 80 columns where there is none."""

from __future__ import annotations

import textwrap
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.console import Console

WIDTH = 80


def say(console: Console, text: str, indent: int = 0) -> None:
    """Print a text as it is, broken between words; further lines stand two blanks further in."""
    width = console.width if console.is_terminal else WIDTH
    lines = textwrap.wrap(
        text,
        width,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + 2),
        break_long_words=False,
        break_on_hyphens=False,
    )
    for line in lines:
        console.print(line, markup=False, highlight=False)
