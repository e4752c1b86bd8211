"""Exports of a few lines, read in a lab whose panels are called K1-07.b2 and the like."""

from __future__ import annotations

from pathlib import Path

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits
from tiecoat.errors import FileHeld
from tiecoat.plugin import Measurement
from tiecoat.tabular.reader import AnyTable

HABITS = Habits(panel_ids=r"(?P<batch>K\d-\d\d)\.b\d", batch_ids=r"K\d-\d\d")


def read_lines(reader: AnyTable, path: Path, *lines: str, folder: str = "") -> list[Measurement]:
    """Write an export with these lines, as of a folder of the inbox, and return what is read of it.

    Raises
    ------
    FileHeld
        If anything stands in its way.
    """
    path.write_text("\n".join([*lines, ""]), encoding="utf-8")
    export = Export(path, path.name, folder, HABITS)
    found = list(reader.read(export))
    if export.fault_count:
        raise FileHeld(export.faults[0].reason, tuple(export.faults))
    return found


def column(found: list[Measurement], name: str) -> list[object]:
    """Return one column of all measurements, in the order of the rows."""
    return [value for one in found for value in one.columns[name]]
