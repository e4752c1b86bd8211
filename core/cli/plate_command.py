"""`tiecoat plate`: pictures of control and candidates in a row, as files for slides and print."""

from __future__ import annotations

import argparse
import math
import sys
from pathlib import Path

from tiecoat.cli.answers import answer
from tiecoat.cli.general import progress
from tiecoat.wording import counted


def add_plate(parser: argparse.ArgumentParser) -> None:
    """Add what can be asked of plates; the study is added by who adds the command."""
    parser.add_argument(
        "--kind", default="", metavar="KIND", help="cross_section, defects or rust_image only"
    )
    parser.add_argument(
        "--each",
        choices=["batch", "panel", "field"],
        default="batch",
        help="a picture of each batch (default: the panel nearest the median of its panels, and of"
        " it the field nearest the median of its fields), of each panel, or every field",
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


def plate(options: argparse.Namespace) -> int:
    """Write the plates, and say of each which pictures stand on it."""
    from tiecoat.ask.query import open_archive
    from tiecoat.ask.study_data import read_study, study_data
    from tiecoat.report.plate_files import default_folder, refuse, write_plates
    from tiecoat.report.plates import PlateChoice

    archive = open_archive(options.lab)
    folder = options.to or default_folder(archive.lab, options.study)
    choice = PlateChoice(options.each, options.kind, options.hours)
    study = read_study(options.study, lab=archive.lab)
    refuse(folder, archive.lab, choice, options.dpi)
    with progress() as told:
        data = study_data(archive, study, told, with_pictures=True, with_results=False)
        written = write_plates(data, folder, choice, options.dpi, told)
    code = int(bool(data.left_out))
    if options.json:
        plates = [
            {"title": one.title, "png": one.png, "tiff": one.tiff, "pictures": one.pictures}
            for one in written
        ]
        return answer(options, code, {"plates": plates, "left_out": data.left_out})
    for one in written:
        print(one.title)
        for line in one.pictures:
            print(f"  {line}")
    for problem in data.left_out:
        print(problem, file=sys.stderr)
    print(f"{counted(len(written), 'plate')}, PNG and TIFF, in {folder}")
    return code
