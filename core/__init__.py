"""tiecoat: from instrument exports to a validated, queryable archive.

    import tiecoat

    archive = tiecoat.open("lab")
    archive.read("impedance", batch="RB-014", panel="RB-014-3")

What is named here loads when it is first used, so that the import is quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tiecoat.ask.query import Archive
    from tiecoat.ask.query import open_archive as open  # noqa: A004 - the name users expect
    from tiecoat.errors import (
        ArchiveDamaged,
        FileHeld,
        LabInUse,
        NotALab,
        PluginNotLoaded,
        ProfileInvalid,
        QueryInvalid,
        SettingInvalid,
        TiecoatError,
        UnknownName,
    )

__all__ = [
    "Archive",
    "ArchiveDamaged",
    "FileHeld",
    "LabInUse",
    "NotALab",
    "PluginNotLoaded",
    "ProfileInvalid",
    "QueryInvalid",
    "SettingInvalid",
    "TiecoatError",
    "UnknownName",
    "__version__",
    "open",
]


def __getattr__(name: str) -> Any:
    if name == "__version__":
        from importlib.metadata import version

        return version("tiecoat")
    if name not in __all__:
        raise AttributeError(f"tiecoat has no {name!r}; it has {', '.join(__all__)}")
    if name == "open":
        return import_module("tiecoat.ask.query").open_archive
    home = "tiecoat.ask.query" if name == "Archive" else "tiecoat.errors"
    return getattr(import_module(home), name)


def __dir__() -> list[str]:
    return __all__
