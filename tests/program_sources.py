"""The source of every module of the program."""

from __future__ import annotations

import importlib.util
import pkgutil
from pathlib import Path

import tiecoat
import tiecoat.plugins
import tiecoat.schemas


def sources() -> dict[str, str]:
    """The source of every module of the program, by its name."""
    packages = (tiecoat, tiecoat.plugins, tiecoat.schemas)  # below one folder, or in three
    names = {package.__name__ for package in packages}
    for package in packages:
        walked = pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        names |= {module.name for module in walked}
    found = {}
    for name in sorted(names):
        spec = importlib.util.find_spec(name)
        assert spec is not None
        assert spec.origin is not None
        found[name] = Path(spec.origin).read_text(encoding="utf-8")
    return found
