"""Plates as files for slides and print: PNG for the screen, TIFF with its size on paper."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from tiecoat.ask.result_files import made_whole, refuse_own_folders
from tiecoat.ask.study_data import StudyData
from tiecoat.errors import QueryInvalid, UnknownName
from tiecoat.lab.settings import Lab
from tiecoat.report.looks import looks
from tiecoat.report.plate_figure import caption_of, parts_of, plate_figures, plate_words
from tiecoat.report.plates import (
    KINDS,
    Plate,
    PlateChoice,
    PlateSubject,
    SeenPicture,
    plates_of,
)
from tiecoat.report.words import Language, speaking
from tiecoat.wording import Told, untold

FOLDER = "plates"
PRINT_DPI, LEAST_DPI, MOST_DPI = 300, 72, 1200
NAME = re.compile(r"[^\w.-]+")
LONGEST = 80  # characters of a file's name


@dataclass(frozen=True)
class WrittenPlate:
    """A plate on disk: what it shows, its files, and a line for each picture on it."""

    title: str
    png: Path
    tiff: Path
    pictures: tuple[str, ...]


def default_folder(lab: Lab, study: Path | None) -> Path:
    """Return where plates go that nobody names a place for: plates/ in the lab."""
    return lab.root / FOLDER / ("all" if study is None else study.stem)


def refuse(folder: Path, lab: Lab, choice: PlateChoice, dpi: int) -> None:
    """Refuse plates that cannot be made: to be asked before anything is compared.

    Raises
    ------
    QueryInvalid
        If the folder is the lab's own, or so many dots are no print.
    UnknownName
        If the kind has no pictures.
    """
    refuse_own_folders(folder.absolute(), lab)
    if choice.kind and choice.kind not in KINDS:
        raise UnknownName(f"--kind: found {choice.kind!r}; plates are made of {', '.join(KINDS)}")
    if not LEAST_DPI <= dpi <= MOST_DPI:
        raise QueryInvalid(
            f"--dpi: found {dpi}; expected {LEAST_DPI} to {MOST_DPI}, such as {PRINT_DPI}"
        )


def write_plates(
    data: StudyData,
    folder: Path,
    choice: PlateChoice,
    dpi: int = PRINT_DPI,
    told: Told = untold,
) -> list[WrittenPlate]:
    """Write the plates of a study as PNG and TIFF, in the language of the lab.

    Parameters
    ----------
    data
        Gathered with pictures.
    dpi
        Dots in an inch of paper; a plate is 18 cm wide.
    told
        Called with the progress.

    Raises
    ------
    UnknownName
        If there are no such pictures.
    QueryInvalid
        If the folder cannot be written.
    """
    with speaking(Language(data.lab.settings.report.language)), looks():
        plates = plates_of(data, choice, told)
        if not plates:
            raise UnknownName(_none(choice))
        try:
            folder.mkdir(parents=True, exist_ok=True)
            return list(_written(data, plates, folder, dpi))
        except OSError as error:
            raise QueryInvalid(f"{folder} cannot be written: {error.strerror or error}") from error


def _none(choice: PlateChoice) -> str:
    kinds = choice.kind or ", ".join(KINDS)
    at = "" if math.isnan(choice.exposure_h) else f" near {choice.exposure_h:g} h"
    return f"no pictures ({kinds}){at} of the batches and panels of this study are filed"


def _written(
    data: StudyData, plates: Sequence[Plate], folder: Path, dpi: int
) -> Iterator[WrittenPlate]:
    taken: set[str] = set()
    for plate in plates:
        parts = list(parts_of(plate, data.comparison))
        figures = plate_figures(data.comparison, plate, dpi)
        for number, (part, figure) in enumerate(zip(parts, figures, strict=True), 1):
            title = plate_words(plate)
            stem = _stem(plate, number if len(parts) > 1 else 0)
            while stem in taken:
                stem += "_"
            taken.add(stem)
            png, tiff = folder / f"{stem}.png", folder / f"{stem}.tif"
            for path, content in zip((png, tiff), encoded(figure), strict=True):
                with made_whole(path) as half_made:
                    half_made.write_bytes(content)
            yield WrittenPlate(title, png, tiff, tuple(_lines(plate.subject, part)))


def _stem(plate: Plate, figure: int) -> str:
    subject = plate.subject
    hours = "" if math.isnan(subject.exposure_h) else f"{subject.exposure_h:g} h"
    parts = [subject.kind, subject.line, hours, str(plate.number) if plate.of > 1 else ""]
    name = NAME.sub(" ", " ".join(filter(None, parts)))[:LONGEST].strip()
    return f"{name} ({figure})" if figure else name


def _lines(subject: PlateSubject, part: Sequence[SeenPicture]) -> Iterator[str]:
    for one in part:
        words = [*caption_of(one.shot, subject), one.remark]
        yield f"{one.shot.batch}: {'; '.join(filter(None, words))}"


def encoded(figure: Figure) -> tuple[bytes, bytes]:
    """Return a figure as PNG and as TIFF, each with its dots in an inch."""
    import numpy as np
    from PIL import Image

    canvas: Any = FigureCanvasAgg(figure)
    canvas.draw()
    image = Image.fromarray(np.asarray(canvas.buffer_rgba())).convert("RGB")
    dpi = (figure.dpi, figure.dpi)
    png, tiff = io.BytesIO(), io.BytesIO()
    image.save(png, "PNG", dpi=dpi)
    image.save(tiff, "TIFF", dpi=dpi, compression="tiff_lzw")
    return png.getvalue(), tiff.getvalue()
