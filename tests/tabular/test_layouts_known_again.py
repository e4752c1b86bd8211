"""A layout that was read before is read as if it were seen for the first time.

What a reader remembers makes it quick, and changes nothing of what it finds: no row, no fault.
"""

from __future__ import annotations

import hashlib
import re
import sys
from pathlib import Path

import pytest

from tiecoat.dialect.delimited import lines_of
from tiecoat.dialect.habits import Habits
from tiecoat.extend.loading import Plugins, load_plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.answers import Chunk
from tiecoat.intake.workers.reading import export_of, read_chunk
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import open_lab
from tiecoat.tabular.id_looks import in_texts
from tiecoat.tabular.outline import outline_of

sys.path.insert(0, str(Path(__file__).parents[1] / "exports"))
from strange_table import STRANGE, cases

TEXTS = {".csv", ".txt", ".tsv", ".dat", ".asc"}
LABS = ("mosel", "odra", "saone", "vltava")  # reading each file three times takes its time
LAST_DIGIT = re.compile(r"(?<=[.,]\d)\d(?![\d.,/-])")  # of a number: never of an id or a day


def file_of(path: Path) -> ExportFile:
    """Return an export as intake hands it over."""
    return ExportFile(path, path.name, "", hashlib.sha256(path.read_bytes()).hexdigest())


def varied(path: Path, habits: Habits, folder: Path) -> Path | None:
    """Write an export of the same layout with other numbers; None if it has none to change."""
    export = export_of(file_of(path), habits)
    text = export.text()
    other = LAST_DIGIT.sub(lambda digit: str((int(digit[0]) + 3) % 10), text)
    if other == text:
        return None
    target = folder / path.name
    target.write_bytes(other.encode("utf-8"))
    return target


def outline(path: Path, habits: Habits) -> tuple[str, ...]:
    """Return the outline of an export."""
    ids = [in_texts(re.compile(one)) for one in (habits.panel_ids, habits.batch_ids)]
    return outline_of(lines_of(export_of(file_of(path), habits).text()), ids)


def read(path: Path, habits: Habits, plugins: Plugins) -> Chunk:
    """Read one export."""
    return read_chunk([file_of(path)], plugins, habits)


@pytest.mark.every(4)
@pytest.mark.parametrize("lab", LABS)
def test_an_export_of_a_layout_known_before_is_read_as_by_a_reader_that_knows_none(
    lab: str, tmp_path: Path
) -> None:
    """The same rows, remarks and faults come of it, whether or not its like was read before."""
    settings = (STRANGE / lab / "lab.toml").read_text(encoding="utf-8")
    habits = open_lab(new_lab(tmp_path / "lab", settings).root).habits
    knowing, new = load_plugins(None), load_plugins(None)
    alike = 0
    for case in cases():
        if case.lab != lab or case.path.suffix not in TEXTS:
            continue
        other = varied(case.path, habits, tmp_path)
        if other is None or outline(other, habits) != outline(case.path, habits):
            continue
        read(case.path, habits, knowing)

        assert read(other, habits, knowing) == read(other, habits, new), case.name
        alike += 1
    assert alike > 3
