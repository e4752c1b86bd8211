"""Pictures with what was found drawn on them, so that a person can see and contest it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.ask.pictures import FiledPicture, asked, is_there
from tiecoat.ask.query import Archive
from tiecoat.disk import fsio
from tiecoat.errors import UnknownName
from tiecoat.lab.settings import Lab

if TYPE_CHECKING:
    from tiecoat.intake.workers.drawing import Drawn

FOLDER = "overlays"


@dataclass(frozen=True)
class Overlay:
    """What became of one picture: the path of its overlay, or what stood in the way."""

    name: str
    path: Path | None
    remark: str = ""


def overlays(
    archive: Archive, kind: str | None = None, batch: str | None = None, panel: str | None = None
) -> tuple[int, Iterator[Overlay]]:
    """Draw what was found on the originals, and write them to `overlays/` in the lab.

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
    wanted = [one for one in map(FiledPicture.of, firsts) if is_there(archive.lab, one)]
    wanted.sort(key=lambda one: (one.kind, one.batch, one.name))
    if not wanted:
        raise UnknownName("none of these measurements come from a picture")
    return len(wanted), _drawn(archive.lab, wanted)


def _drawn(lab: Lab, wanted: Sequence[FiledPicture]) -> Iterator[Overlay]:
    for one, answer in asked(lab, wanted, lambda pool, file, reader: pool.draw(file, reader)):
        yield (
            Overlay(one.name, None, answer)
            if isinstance(answer, str)
            else _written(lab, one, answer)
        )


def _written(lab: Lab, wanted: FiledPicture, drawn: Drawn) -> Overlay:
    if drawn.jpeg is None:
        return Overlay(wanted.name, None, drawn.remark)
    stem = re.sub(r"[^\w .()-]", "_", Path(wanted.name).stem)[:80]
    target = lab.root / FOLDER / wanted.kind / wanted.batch / f"{stem} {wanted.measurement}.jpg"
    fsio.publish(target, drawn.jpeg, lab.stage)
    return Overlay(wanted.name, target, drawn.remark)
