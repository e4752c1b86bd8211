"""What `import tiecoat` gives, and what it costs."""

from __future__ import annotations

import pydoc
import re
import subprocess
import sys

import pytest

import tiecoat
import tiecoat.plugin

HEAVY = {"pandas", "numpy", "pyarrow", "duckdb", "pandera", "pint", "polars", "sqlite3", "pydantic"}


def loaded_by(statement: str) -> set[str]:
    """The top-level modules that a fresh Python has loaded after the statement."""
    code = f"import sys\n{statement}\nprint(*{{name.partition('.')[0] for name in sys.modules}})"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_the_names() -> None:
    """The public face has these names and no others."""
    assert tiecoat.__all__ == [
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
    for name in tiecoat.__all__:
        assert getattr(tiecoat, name)
    assert dir(tiecoat) == tiecoat.__all__
    with pytest.raises(AttributeError, match="no 'opne'"):
        _ = tiecoat.opne


def test_help_shows_all_of_the_door() -> None:
    """`help(tiecoat.plugin)` tells types, too, that load when they are first used."""
    told = pydoc.plain(pydoc.render_doc(tiecoat.plugin))
    names = [one for one in tiecoat.plugin.__all__ if one != "hookimpl"]
    assert [one for one in names if not re.search(rf"\b{one}\(", told)] == []


def test_the_import_is_light() -> None:
    """`import tiecoat` loads no library that takes long, nor does opening a lab load pandas."""
    assert loaded_by("import tiecoat; tiecoat.__version__; tiecoat.UnknownName") & HEAVY == set()
    assert loaded_by("import tiecoat; tiecoat.open") & HEAVY <= {"pydantic", "sqlite3"}
    assert loaded_by(
        "import tiecoat.lab.settings, tiecoat.disk.fsio, tiecoat.archive.journal.records"
    ) & HEAVY <= {"pydantic"}
