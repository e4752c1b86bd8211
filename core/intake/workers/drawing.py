"""What a worker does to draw what a reader found on the picture it read."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from tiecoat.dialect.habits import Habits
from tiecoat.errors import FileHeld
from tiecoat.extend.blame import blame
from tiecoat.extend.loading import Plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.reading import export_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Pixels = NDArray[np.uint8]

T = TypeVar("T")

QUALITY = 92  # of the JPEG


@dataclass(frozen=True)
class Drawn:
    """A picture with what was found on it, or why there is none."""

    jpeg: bytes | None
    remark: str = ""


@dataclass(frozen=True)
class Shown:
    """A picture as it was taken, and the same with what was found on it; why not, where one lacks.

    Parameters
    ----------
    plain, marked
        Of one shape, (rows, columns, 3).
    times
        So many times fewer columns than the original has.
    """

    plain: Pixels | None
    marked: Pixels | None = None
    times: float = 1.0
    remark: str = ""


def draw(file: ExportFile, label: str, plugins: Plugins, habits: Habits) -> Drawn:
    """Have the reader that read a picture draw on it.

    Parameters
    ----------
    file
        The picture.
    label
        "name version" of the reader, as it stands in the archive.
    """
    return Drawn(*_by_reader(file, label, plugins, habits, _encoded))


def show(file: ExportFile, label: str, plugins: Plugins, habits: Habits, most_px: int) -> Shown:
    """Return a picture plain and with what its reader draws on it, both made smaller where large.

    Parameters
    ----------
    file, label
        As of `draw`.
    most_px
        Longest side of what is returned.
    """
    from tiecoat.picture.shrinking import resized

    try:
        plain = export_of(file, habits).picture().pixels
    except FileHeld as held:
        return Shown(None, remark=_told(held))
    rows, columns = plain.shape[:2]

    def without_caption(pixels: Any) -> Pixels:
        """Return the drawing as far as the picture reaches: below and beside stand words."""
        return _checked(pixels)[:rows, :columns]

    marked, remark = _by_reader(file, label, plugins, habits, without_caption)
    if marked is not None and marked.shape != plain.shape:
        marked, remark = None, "what its reader draws is smaller than the picture"
    times = max(1.0, max(rows, columns) / most_px)
    if times > 1:
        size = max(1, round(rows / times)), max(1, round(columns / times))
        plain, marked = resized(plain, marked, *size)
    return Shown(plain, marked, columns / plain.shape[1], remark)


def _by_reader(
    file: ExportFile, label: str, plugins: Plugins, habits: Habits, finish: Callable[[Any], T]
) -> tuple[T | None, str]:
    """Return what is made of a reader's drawing, or None, and what must be said of it."""
    name, _, version = label.partition(" ")
    reader = plugins.readers.get(name)
    if reader is None:
        return None, f"the reader {name} is not there any more"
    if not hasattr(reader, "draw"):
        return None, f"the reader {name} does not draw"
    export = export_of(file, habits)
    plugins.hand(export, reader)
    try:
        made = finish(reader.draw(export))
    except FileHeld as held:
        return None, _told(held)
    except Exception as error:  # noqa: BLE001 - a stranger's code
        return None, f"the reader {name} broke down: {blame(error)}"
    if version != reader.version:
        return made, f"read by version {version} of {name}, drawn by {reader.version}"
    return made, ""


def _told(held: FileHeld) -> str:
    return str(held).replace("\n", ": ", 1)


def _checked(pixels: Any) -> Pixels:
    """Return a drawing as it may be shown; any other shape or type is the reader's fault."""
    import numpy as np
    from PIL import Image

    return np.asarray(Image.fromarray(np.asarray(pixels)).convert("RGB"))


def _encoded(pixels: Any) -> bytes:
    import numpy as np
    from PIL import Image

    sink = io.BytesIO()
    Image.fromarray(np.asarray(pixels)).save(sink, "JPEG", quality=QUALITY, subsampling=0)
    return sink.getvalue()
