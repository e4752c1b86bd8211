"""Damaged exports of every built-in reader: held, or filed with the values that they say.

By default 15 of each sample; `TIECOAT_CAMPAIGN=500` in the environment makes it 500.
"""

from __future__ import annotations

import hashlib
import math
import os
import random
import re
import tempfile
import time
from collections import Counter
from functools import cache
from pathlib import Path
from typing import Any

import plain_parse
import pyarrow as pa
import pytest
from mutations import in_bytes, in_cells, in_titles
from plain_parse import Odd, OddAbove, Plain, Unsaid
from sample_layouts import LAYOUTS

from tiecoat.dialect.habits import Habits
from tiecoat.extend.loading import Plugins, load_plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.answers import Reading
from tiecoat.intake.workers.reading import read_chunk
from tiecoat.reasons import Reason

EXPORTS = Path(__file__).parent.parent / "exports"
GOOD = sorted(
    path.relative_to(EXPORTS).as_posix()
    for path in EXPORTS.glob("*/*.*")
    if path.suffix in {".csv", ".txt", ".xlsx"}
)
EACH = int(os.environ.get("TIECOAT_CAMPAIGN", "15"))
TOGETHER = 50
MAY_LEAVE_OUT = {"exposure_rating/readings_comma.csv"}  # a row without a rating says nothing
LIMIT_S = 20.0  # for so many files together; one takes some milliseconds
OURS = {Reason.READER_FAILED.code, Reason.READER_BROKE_RULES.code, Reason.READER_OUT_OF_MEMORY.code}
HABITS = Habits(zone=plain_parse.ZONE)


@pytest.fixture(scope="module")
def plugins() -> Plugins:
    """The built-in readers and kinds."""
    return load_plugins(None)


def text_of(content: bytes) -> str:
    """Decode an export as the samples are written."""
    for encoding in (
        "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig",
        "cp1252",
    ):
        try:
            return content.decode(encoding)
        except UnicodeDecodeError:
            continue
    raise Odd("the encoding")


def bytes_of(text: str, like: bytes) -> bytes:
    """Encode a text as the sample that it comes from."""
    if like[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return text.encode("utf-16")
    try:
        like.decode("utf-8")
    except UnicodeDecodeError:
        return text.encode("cp1252", "replace")
    return text.encode("utf-8-sig" if like[:3] == b"\xef\xbb\xbf" else "utf-8")


def read(
    contents: list[bytes], name: str, folder: Path, plugins: Plugins
) -> list[tuple[Reading, list[dict[str, Any]]]]:
    """Read files together and return for each its reading and its rows."""
    tasks = []
    for n, content in enumerate(contents):
        path = folder / f"{n}{Path(name).suffix}"
        path.write_bytes(content)
        tasks.append(
            ExportFile(path, f"{n}.csv", "", f"{n:04d}{hashlib.sha256(content).hexdigest()}")
        )
    started = time.monotonic()
    chunk = read_chunk(tasks, plugins, HABITS)
    assert time.monotonic() - started < LIMIT_S
    rows: dict[str, list[dict[str, Any]]] = {}
    for stream in chunk.tables.values():
        for row in pa.ipc.open_stream(stream).read_all().to_pylist():
            rows.setdefault(row["source_sha256"], []).append(row)
    return [(reading, rows.get(reading.sha256, [])) for reading in chunk.readings]


def differences(
    content: bytes, name: str, reading: Reading, rows: list[dict[str, Any]]
) -> list[str] | None:
    """Compare what would be filed with what the plain way reads.

    None where it cannot tell: a title is damaged, or a unit or a time is written in a way that it
    does not know. But rows of numbers may never be missing, whatever stands above them; and where
    the sample holds several tables, no title may be.
    """
    layout = LAYOUTS[name]
    try:
        text = text_of(content)
        sample = plain_parse.known_titles(text_of((EXPORTS / name).read_bytes()), layout)
        titles = plain_parse.known_titles(text, layout)
        widths = {width for _, width in sample}
        there = plain_parse.rows_of_numbers(text, layout, widths) - {r["source_row"] for r in rows}
        if there and name not in MAY_LEAVE_OUT:
            return [f"rows {sorted(there)} are lost"]
        other = set(titles) - set(sample)
        if layout.blocks and other and len(titles) <= len(sample):
            raise OddAbove(f"titles {other}, not {sample}")
        if titles != sample and not layout.blocks:
            return None
        plain = {line.row: line for line in plain_parse.parse(text, layout)}
    except Unsaid:
        return None
    except OddAbove:
        return _unlike(undamaged(name), text, rows)
    except Odd as odd:
        return [f"filed in spite of {odd}"]
    found = _unequal(plain, reading, rows, timed=bool(layout.time))
    lines = re.split(r"\r*\n|\r", text)
    changed = [said for row, said in found if lines[row - 1] not in undamaged(name)]
    return changed or (_unlike(undamaged(name), text, rows) if found else [])


@cache
def undamaged(name: str) -> dict[str, dict[str, Any]]:
    """Return what is filed of each line of a sample, whose values the plain way has confirmed."""
    content = (EXPORTS / name).read_bytes()
    with tempfile.TemporaryDirectory() as folder:
        ((_, rows),) = read([content], name, Path(folder), load_plugins(None))
    lines = re.split(r"\r*\n|\r", text_of(content))
    return {lines[row["source_row"] - 1]: row for row in rows}


def _unlike(sample: dict[str, dict[str, Any]], text: str, rows: list[dict[str, Any]]) -> list[str]:
    """Compare each row with what is filed of the same line where nothing above it is damaged.

    A time may be missing, where the line or title that tells it is gone; nothing may be another.
    """
    lines = re.split(r"\r*\n|\r", text)
    filed = {lines[row["source_row"] - 1]: row for row in rows}
    found = [f"line {line!r} is lost" for line in sample.keys() & set(lines) - filed.keys()]
    for line in sample.keys() & filed.keys():
        for column, value in sample[line].items():
            other = filed[line].get(column)
            if column.startswith(("source_", "measurement", "batch", "panel")):
                continue
            if column == "measured_at" and other is None:
                continue
            same = math.isclose(other, value) if isinstance(value, float) and other else False
            if other != value and not same:
                found.append(f"line {line!r}: {column} is {other}, undamaged it is {value}")
    return found


def _unequal(
    plain: dict[int, Plain], reading: Reading, rows: list[dict[str, Any]], *, timed: bool
) -> list[tuple[int, str]]:
    """Compare each row that would be filed with its line, and the other way round."""
    keys = {key.measurement: key for key in reading.keys}
    found: list[tuple[int, str]] = []
    for row in rows:
        line = plain.get(row["source_row"])
        if line is None:
            found.append((row["source_row"], f"row {row['source_row']} is none"))
            continue
        for column, value in line.values.items():
            filed = row.get(column)
            if (filed is None) != (value is None) or (
                filed is not None and not math.isclose(filed, value, rel_tol=1e-9, abs_tol=1e-12)
            ):
                said = f"row {line.row}: {column} is {filed}, said is {value}"
                found.append((line.row, said))
        if row["measured_at"] != line.at and timed:
            said = f"row {line.row}: time is {row['measured_at']}, said is {line.at}"
            found.append((line.row, said))
        key = keys[row["measurement"]]
        if line.key and (key.panel or key.batch or "").upper() not in line.key:
            said = f"row {line.row}: {key.panel or key.batch}, said is {line.key}"
            found.append((line.row, said))
    missed = sorted(plain.keys() - {row["source_row"] for row in rows})
    missed = [n for n in missed if any(v is not None for v in plain[n].values.values())]
    return found + [(n, f"row {n} is missing") for n in missed]


@pytest.mark.every(3)
@pytest.mark.parametrize("name", LAYOUTS)
def test_the_plain_way_reads_the_undamaged_exports(
    name: str, plugins: Plugins, tmp_path: Path
) -> None:
    """Both ways of reading agree on every value of every sample, so that they can be compared."""
    content = (EXPORTS / name).read_bytes()
    ((reading, rows),) = read([content], name, tmp_path, plugins)
    assert rows
    assert differences(content, name, reading, rows) == []


def damaged(name: str, many: int) -> list[bytes]:
    """Return so many damaged copies of a sample, each distinct from it."""
    content = (EXPORTS / name).read_bytes()
    dice = random.Random(f"{name} {os.environ.get('TIECOAT_SEED', '')}")
    found: list[bytes] = []
    while len(found) < many:
        if name in LAYOUTS and dice.random() < 0.75:
            layout = LAYOUTS[name]
            way = in_titles if dice.random() < (0.5 if layout.blocks else 0.1) else in_cells
            other = bytes_of(way(text_of(content), layout.delimiter, dice), content)
        else:
            other = in_bytes(content, dice)
        if other != content:
            found.append(other)
    return found


@pytest.mark.every(8)
@pytest.mark.parametrize("name", GOOD)
def test_damaged_exports_are_held_or_filed_as_they_say(
    name: str, plugins: Plugins, tmp_path: Path
) -> None:
    """No reader breaks down or hangs, and what is filed equals an independent reading."""
    contents = damaged(name, EACH)
    wrong: list[tuple[list[str], bytes]] = []
    compared: Counter[str] = Counter()
    for start in range(0, EACH, TOGETHER):
        some = contents[start : start + TOGETHER]
        for content, (reading, rows) in zip(some, read(some, name, tmp_path, plugins), strict=True):
            if reading.hold is not None:
                compared["held"] += 1
                assert reading.hold.reason not in OURS, (reading.hold.detail, content)
                assert rows == []
            elif name in LAYOUTS:
                said = differences(content, name, reading, rows)
                compared["not compared" if said is None else "compared"] += 1
                if said:
                    wrong.append((said, content))
    print(name, dict(compared))
    assert wrong == []
    assert compared["not compared"] <= 0.15 * EACH + 2
    if name in LAYOUTS:
        assert compared["compared"] > 0
