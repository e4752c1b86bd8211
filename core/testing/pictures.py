"""Does what is measured on a picture follow the scale that it says, and the notes beside it?

A picture has no lines that could be swapped and no titles with units. It is damaged as bytes are
(`damaged`), and written otherwise here: with another resolution, with another scale in its notes,
and without its notes.
"""

from __future__ import annotations

import re
import struct
import zlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

from tiecoat.contract.columns import columns_of
from tiecoat.dialect.units import scale
from tiecoat.disk import fsio
from tiecoat.intake.export_file import ExportFile
from tiecoat.testing.examples import ExampleExport
from tiecoat.testing.rows_told import IDS, RowTold
from tiecoat.testing.workbench import Workbench

PNG, JFIF = b"\x89PNG\r\n\x1a\n", b"JFIF\x00"
SCALE = "um_per_pixel"  # as notes and settings call it
NOTED_SCALE = re.compile(rf"^(\s*{SCALE}\s*=\s*)([0-9.]+)", re.MULTILINE)
NEAR = 1e-3  # of a factor


def pictures_follow(bench: Workbench, example: ExampleExport) -> Iterator[str]:
    """Tell where the scale of a picture is not followed, or what its notes say is kept."""
    coarser = with_twice_the_resolution(example.content)
    notes = _notes_of(example.file)
    noted = NOTED_SCALE.search(notes)
    if coarser and not noted and SCALE not in bench.asked.settings:
        file = bench.variant(example, coarser)
        yield from _not_scaled(bench, example, file, "with twice the resolution")
    if noted:
        other = NOTED_SCALE.sub(lambda one: f"{one[1]}{float(one[2]) / 2:g}", notes)
        file = _with_notes(bench, example, other)
        yield from _not_scaled(bench, example, file, f"with half the {SCALE} in its notes")
    if notes:
        yield from _kept_of_notes(bench, example, notes)


def _not_scaled(
    bench: Workbench, example: ExampleExport, file: ExportFile, what: str
) -> Iterator[str]:
    """Tell where no length of a kind is half of what it was, though a pixel is half as large."""
    was = bench.read(file)
    if was.hold is not None:
        return
    then, now = _first_of_each(bench.rows(example)), _first_of_each(was.rows)
    for kind in sorted(then.keys() & now.keys()):
        columns = columns_of(bench.plugins.kinds[kind])
        lengths = [one.name for one in columns if scale(one.unit or "1", "m") is not None]
        lengths = [name for name in lengths if name in then[kind]]
        if lengths and not any(_is_half(then[kind][n], now[kind].get(n)) for n in lengths):
            yield (
                f"{example.name} {what} gives rows of {kind} in which nothing is half as large:"
                " the scale that it says is not looked at"
            )


def _first_of_each(rows: tuple[RowTold, ...]) -> Mapping[str, Mapping[str, str]]:
    """Return the values of the first row of each kind."""
    return {row.kind: dict(row.values) for row in reversed(rows)}


def _is_half(then: str, now: str | None) -> bool:
    try:
        before, after = float(then), float(now or "")
    except ValueError:
        return False
    return before != 0 and abs(after / before - 0.5) <= NEAR


def _kept_of_notes(bench: Workbench, example: ExampleExport, notes: str) -> Iterator[str]:
    """Tell where what only the notes say is filed of the picture without them."""
    was = bench.read(_with_notes(bench, example, ""))
    if was.hold is not None:
        return
    for name in IDS:
        told = {dict(row.values).get(name) for row in bench.rows(example)} - {None}
        kept = told & {dict(row.values).get(name) for row in was.rows}
        for one in sorted(filter(None, kept)):
            if one in notes and one not in f"{example.folder}/{example.name}":
                yield (
                    f"{example.name} without its notes is filed for {one}, which they alone say:"
                    f" the reader keeps the {name}"
                )


def _notes_of(file: ExportFile) -> str:
    return "" if file.notes is None else Path(file.notes).read_text(encoding="utf-8")


def _with_notes(bench: Workbench, example: ExampleExport, notes: str) -> ExportFile:
    """Write an example with other notes beside it, or with none."""
    file = bench.variant(example, example.content)
    assert file.notes is not None
    if not notes:
        fsio.remove(file.notes)
        return replace(file, notes=None)
    file.notes.write_text(notes, encoding="utf-8")
    return file


def with_twice_the_resolution(content: bytes) -> bytes | None:
    """Return a PNG or JPEG that says twice as many pixels to the length; None where it says none.

    A PNG says it in its chunk pHYs (ISO/IEC 15948), a JPEG in its segment JFIF (ISO/IEC 10918-5).
    """
    if content.startswith(PNG) and (at := content.find(b"pHYs")) > 0:
        across, down, unit = struct.unpack(">IIB", content[at + 4 : at + 13])
        told = b"pHYs" + struct.pack(">IIB", 2 * across, 2 * down, unit)
        return content[:at] + told + struct.pack(">I", zlib.crc32(told)) + content[at + 17 :]
    if content.startswith(b"\xff\xd8") and content[6:11] == JFIF and content[13] in (1, 2):
        doubled = (2 * one for one in struct.unpack(">HH", content[14:18]))
        return content[:14] + struct.pack(">HH", *doubled) + content[18:]
    return None
