"""A layout that was read before is read as if it were seen for the first time.

What a reader remembers makes it quick, and changes nothing of what it finds: no row, no fault.
"""

from __future__ import annotations

import hashlib
import math
import re
import sys
from collections.abc import Callable
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
from tiecoat.tabular.known_layouts import KnownLayouts
from tiecoat.tabular.outline import outline_of
from tiecoat.tabular.reader import AnyTable

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
    return outline_of(lines_of(export_of(file_of(path), habits).text()), _ids(habits))


def read(path: Path, habits: Habits, plugins: Plugins) -> Chunk:
    """Read one export."""
    return read_chunk([file_of(path)], plugins, habits)


@pytest.mark.thorough
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


SETTINGS = "[ids]\nbatch = 'RB-[0-9]{3}'\npanel = '(?P<batch>RB-[0-9]{3})-[0-9]{1,3}'\n"


def sweep(panel: str = "RB-014-2", hours: str = "24", area: str = "14.6", ohm: float = 2e8) -> str:
    """Return a spectrum of a resistor beside a capacitor."""
    lines = [
        "Electrode in salt water",
        f"Panel: {panel}",
        f"Cell area: {area} cm2",
        f"Immersed for: {hours} h",
        "",
        "Frequency [Hz];Z' [Ohm];Z'' [Ohm]",
    ]
    for step in range(30):
        frequency = 10 ** (5 - step / 5)
        z = ohm / (1 + 2j * math.pi * frequency * ohm * 3e-10)
        lines.append(f"{frequency:.6g};{z.real:.6g};{z.imag:.6g}")
    return "\n".join(lines) + "\n"


def with_rows(text: str, change: Callable[[int, list[str]], str]) -> str:
    """Return a spectrum with each row made anew, counted from 0."""
    lines = text.split("\n")
    rows = [change(n, line.split(";")) for n, line in enumerate(lines[6:-1])]
    return "\n".join([*lines[:6], *rows, ""])


def known_by(plugins: Plugins) -> KnownLayouts:
    """Return what the reader of tables remembers."""
    reader = plugins.readers["any_table"]
    assert isinstance(reader, AnyTable)
    return reader._layouts


OTHERS = {
    "of another panel, time and size": sweep("RB-207-11", "1176", "14.65", 3e9),
    "of a decimal comma": sweep("RB-207-1").replace(".", ","),
    "of whole numbers, as a column of ordinals has": with_rows(
        sweep(), lambda n, row: f"{n + 1};{row[1]};{row[2]}"
    ),
    "with rows of whole numbers": with_rows(
        sweep(), lambda n, row: ";".join(f"{float(cell):.0f}" for cell in row)
    ),
    "with one frequency in all rows": with_rows(
        sweep(), lambda n, row: f"1000.5;{row[1]};{row[2]}"
    ),
    "with its columns swapped": with_rows(sweep(), lambda n, row: f"{row[0]};{row[2]};{row[1]}"),
    "with its sign lost": with_rows(sweep(), lambda n, row: ";".join(row).replace(";-", ";")),
    "with a number that is none": with_rows(
        sweep(), lambda n, row: ";".join(row) if n != 9 else f"{row[0]};{row[1]};n.m."
    ),
    "with numbers that have two readings": with_rows(
        sweep(), lambda n, row: f"{row[0]};1,{n + 100};{row[2]}"
    ),
    "with a cell too few": with_rows(sweep(), lambda n, row: ";".join(row if n != 9 else row[:2])),
    "cut within its last row": sweep()[:-9],
    "with an empty row amid the others": with_rows(
        sweep(), lambda n, row: ";".join(row) if n != 9 else ""
    ),
    "with a second sweep below": sweep() + sweep("RB-014-3"),
    "with a note below": sweep() + "cell leaked\n",
    "with another unit in a title": sweep().replace("Z' [Ohm]", "Z' [kOhm]"),
    "with another unit above": sweep().replace("cm2", "mm2"),
    "with another word above": sweep().replace("Immersed for", "Dried for"),
    "with two times above": sweep().replace("Electrode in", "After 500 h in"),
    "without its panel": sweep("unknown"),
    "with a list of panels": sweep("RB-014-2, RB-014-3"),
    "with serial days in a column": with_rows(
        sweep(), lambda n, row: f"{45000.5 + n};{row[1]};{row[2]}"
    ),
}


@pytest.mark.every(5)
@pytest.mark.parametrize("other", OTHERS)
def test_a_table_of_numbers_known_before_is_read_as_by_a_reader_that_knows_none(
    other: str, tmp_path: Path
) -> None:
    """What differs from the like of it decides as if nothing were known: what is held, and why."""
    habits = open_lab(new_lab(tmp_path / "lab", SETTINGS).root).habits
    knowing, new = load_plugins(None), load_plugins(None)
    before, path = tmp_path / "before.txt", tmp_path / "after.txt"
    before.write_text(sweep(), encoding="utf-8")
    path.write_text(OTHERS[other], encoding="utf-8")

    assert not read(before, habits, knowing).readings[0].hold
    assert known_by(knowing).table_in(sweep("RB-300-9", "72").split("\n")[:-1], _ids(habits))

    assert read(path, habits, knowing) == read(path, habits, new)


def _ids(habits: Habits) -> list[re.Pattern[str]]:
    return [in_texts(re.compile(one)) for one in (habits.panel_ids, habits.batch_ids)]
