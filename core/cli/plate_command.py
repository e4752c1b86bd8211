"""`tiecoat plate`: pictures of control and candidates in a row, as files for slides and print.

It comes in by the hook for commands, as a stranger's does.
"""

from __future__ import annotations

import argparse
import math
from pathlib import Path

from tiecoat.cli.shared import add_study
from tiecoat.plugin import CommandAnswer, LabCommand, hookimpl
from tiecoat.wording import Told, counted


def _add(parser: argparse.ArgumentParser) -> None:
    """Add the study, and what can be asked of plates."""
    add_study(parser)
    parser.add_argument(
        "--kind", default="", metavar="KIND", help="cross_section, defects or rust_image only"
    )
    parser.add_argument(
        "--each",
        choices=["batch", "panel", "field"],
        default="batch",
        help="a picture of each batch (default: the panel nearest the median of its panels, and of"
        " it the field nearest the median of its fields; of two equally near the one nearer the"
        " mean), of each panel, or every field",
    )
    parser.add_argument(
        "--hours",
        type=float,
        default=math.nan,
        metavar="H",
        help="of exposed panels (default: the last that most candidates share with the control)",
    )
    parser.add_argument(
        "--dpi", type=int, default=300, metavar="N", help="dots in an inch at 18 cm (default: 300)"
    )
    parser.add_argument(
        "--to",
        type=Path,
        metavar="FOLDER",
        help="where to (default: plates/ in the lab, by the name of the study file)",
    )


def _plate(lab: Path, options: argparse.Namespace, told: Told) -> CommandAnswer:
    """Write the plates, and say of each which pictures stand on it."""
    from tiecoat.ask.query import open_archive
    from tiecoat.ask.study_data import read_study, study_data
    from tiecoat.report.plate_files import default_folder, refuse, write_plates
    from tiecoat.report.plates import PlateChoice

    archive = open_archive(lab)
    folder = options.to or default_folder(archive.lab, options.study)
    choice = PlateChoice(options.each, options.kind, options.hours)
    study = read_study(options.study, lab=archive.lab)
    refuse(folder, archive.lab, choice, options.dpi)
    data = study_data(archive, study, told, with_pictures=True, with_results=False)
    written = write_plates(data, folder, choice, options.dpi, told)
    lines = [
        line
        for one in written
        for line in (f"{one.png.name}: {one.title}", *(f"  {it}" for it in one.pictures))
    ]
    plates = [
        {"title": one.title, "png": one.png, "tiff": one.tiff, "pictures": one.pictures}
        for one in written
    ]
    return CommandAnswer(
        int(bool(data.left_out)),
        lines=[*lines, f"{counted(len(written), 'plate')}, PNG and TIFF, in {folder}"],
        problems=data.left_out,
        values={"plates": plates, "left_out": data.left_out},
    )


PLATE = LabCommand(
    "plate",
    "lay pictures of control and candidates out in a row, at one scale",
    _plate,
    _add,
    {
        "plates[].title": ("text", "what it shows"),
        "plates[].png": ("text", "path of the picture for the screen"),
        "plates[].tiff": ("text", "path of the same for print"),
        "plates[].pictures[]": ("text", "batch, numbers and which picture it is, for each on it"),
        "left_out[]": ("text", "what could not be computed, and why"),
    },
)


@hookimpl
def tiecoat_commands() -> list[LabCommand]:
    """Return the command."""
    return [PLATE]
