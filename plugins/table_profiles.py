"""The built-in table profiles: the TOML files beside this module."""

from __future__ import annotations

from pathlib import Path

from tiecoat.plugin import Profile, hookimpl


@hookimpl
def tiecoat_readers() -> list[Profile]:
    """Return the profiles; tiecoat makes a reader of each."""
    return [Profile(path) for path in sorted(Path(__file__).parent.glob("*.toml"))]
