"""Pictures with what was found drawn on them, so that a person can see and contest it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.archive.journal.records import Journal
from tiecoat.ask.query import Archive
from tiecoat.disk import fsio
from tiecoat.errors import UnknownName
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.inboxes.notes import latest_notes, notes_named
from tiecoat.intake.inboxes.preserve import original_of
from tiecoat.intake.workers.pool import ReaderPool, failure_of
from tiecoat.lab.settings import Lab
from tiecoat.reasons import Reason
from tiecoat.rebuild.history import FiledExport, history

if TYPE_CHECKING:
    from collections.abc import Hashable
    from concurrent.futures import Future

    from tiecoat.intake.workers.drawing import Drawn

FOLDER = "overlays"
AHEAD = 4  # pictures on their way in the workers, so that memory stays bounded


@dataclass(frozen=True)
class Overlay:
    """What became of one picture: the path of its overlay, or what stood in the way."""

    name: str
    path: Path | None
    remark: str = ""


@dataclass(frozen=True)
class _PictureToDraw:
    """A picture to draw on, as the archive knows it."""

    name: str
    sha256: str
    kind: str
    batch: str
    measurement: str
    reader: str


def overlays(
    archive: Archive, kind: str | None = None, batch: str | None = None, panel: str | None = None
) -> tuple[int, Iterator[Overlay]]:
    """Draw what was found on the originals, and write them to `overlays/` in the lab.

    Each is read again as it was filed, with the folder and the notes of then, but by the reader and
    the settings of today.

    Parameters
    ----------
    archive
        What was found in which original.
    kind, batch, panel
        Only these.

    Returns
    -------
    tuple
        How many there will be, and what becomes of each, as it is done.

    Raises
    ------
    UnknownName
        If there is no such kind, batch or panel, or nothing of it comes from a picture.
    """
    found = archive.measurements(kind, batch, panel)
    firsts = found.sort_values("measurement").drop_duplicates("source_sha256").to_dict("records")
    wanted = [one for one in map(_wanted, firsts) if _is_picture(archive.lab, one)]
    wanted.sort(key=lambda one: (one.kind, one.batch, one.name))
    if not wanted:
        raise UnknownName("none of these measurements come from a picture")
    return len(wanted), _drawn(archive.lab, wanted)


def _wanted(row: dict[Hashable, object]) -> _PictureToDraw:
    return _PictureToDraw(
        str(row["source_name"]),
        str(row["source_sha256"]),
        str(row["kind"]),
        str(row["batch"]),
        str(row["measurement"]),
        str(row["reader"]),
    )


def _is_picture(lab: Lab, wanted: _PictureToDraw) -> bool:
    from tiecoat.dialect.export import Export

    original = original_of(lab, wanted.sha256)
    return original is None or Export(original, wanted.name).is_picture


def _drawn(lab: Lab, wanted: list[_PictureToDraw]) -> Iterator[Overlay]:
    steps = history(Journal(lab))
    filed = {step.sha256: step for step in steps if isinstance(step, FiledExport)}
    with ReaderPool(lab) as pool:
        on_their_way: list[tuple[_PictureToDraw, Future[Drawn]]] = []
        for one in wanted:
            original = original_of(lab, one.sha256)
            if original is None:
                yield Overlay(one.name, None, f"its original ({one.sha256}) is not there")
                continue
            file = _file(lab, one, original, filed.get(one.sha256))
            on_their_way.append((one, pool.draw(file, one.reader)))
            if len(on_their_way) >= AHEAD:
                yield _written(lab, *on_their_way.pop(0))
        for pair in on_their_way:
            yield _written(lab, *pair)


def _file(
    lab: Lab, wanted: _PictureToDraw, original: Path, filed: FiledExport | None
) -> ExportFile:
    if filed is None:  # the journal is cut off or gone
        notes = latest_notes(lab, wanted.sha256)
        return ExportFile(original, wanted.name, "", wanted.sha256, notes)
    notes = notes_named(lab, wanted.sha256, filed.notes.name) if filed.notes else None
    return ExportFile(original, wanted.name, filed.folder, wanted.sha256, notes)


def _written(lab: Lab, wanted: _PictureToDraw, future: Future[Drawn]) -> Overlay:
    failure = failure_of(future)
    if failure:
        return Overlay(wanted.name, None, f"{Reason.of(failure.reason).text}: {failure.detail}")
    drawn = future.result()
    if drawn.jpeg is None:
        return Overlay(wanted.name, None, drawn.remark)
    stem = re.sub(r"[^\w .()-]", "_", Path(wanted.name).stem)[:80]
    target = lab.root / FOLDER / wanted.kind / wanted.batch / f"{stem} {wanted.measurement}.jpg"
    fsio.publish(target, drawn.jpeg, lab.stage)
    return Overlay(wanted.name, target, drawn.remark)
