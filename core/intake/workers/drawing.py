"""What a worker does to draw what a reader found on the picture it read."""

from __future__ import annotations

import io
from dataclasses import dataclass

from tiecoat.dialect.habits import Habits
from tiecoat.errors import FileHeld
from tiecoat.extend.blame import blame
from tiecoat.extend.loading import Plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.reading import export_of

QUALITY = 92  # of the JPEG


@dataclass(frozen=True)
class Drawn:
    """A picture with what was found on it, or why there is none."""

    jpeg: bytes | None
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
    name, _, version = label.partition(" ")
    reader = plugins.readers.get(name)
    if reader is None:
        return Drawn(None, f"the reader {name} is not there any more")
    if not hasattr(reader, "draw"):
        return Drawn(None, f"the reader {name} does not draw")
    export = export_of(file, habits)
    export.choices = plugins.choices.get(name)
    try:
        jpeg = _encoded(reader.draw(export))
    except FileHeld as held:
        return Drawn(None, str(held).replace("\n", ": ", 1))
    except Exception as error:  # noqa: BLE001 - a stranger's code
        return Drawn(None, f"the reader {name} broke down: {blame(error)}")
    if version != reader.version:
        return Drawn(jpeg, f"read by version {version} of {name}, drawn by {reader.version}")
    return Drawn(jpeg)


def _encoded(pixels: object) -> bytes:
    import numpy as np
    from PIL import Image

    sink = io.BytesIO()
    Image.fromarray(np.asarray(pixels)).save(sink, "JPEG", quality=QUALITY, subsampling=0)
    return sink.getvalue()
