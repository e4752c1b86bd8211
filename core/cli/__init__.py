"""The commands and their screens."""

from __future__ import annotations

from tiecoat.cli.commands import main

__all__ = ["main"]
