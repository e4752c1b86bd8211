"""Guides for people, which come with the program."""

from __future__ import annotations

from importlib.resources import files

from tiecoat.cli.shared import show_markdown


def show_guide(topic: str) -> None:
    """Show a guide: laid out on a terminal, and as it is written elsewhere."""
    text = (files("tiecoat.cli") / "guides" / f"{topic}.md").read_text(encoding="utf-8")
    show_markdown(text.removesuffix("\n"))
