"""What all commands have in common: the lab is named, as much told as is asked for, and how far."""

from __future__ import annotations

import argparse
import os
import sys
import time
import warnings
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout
from pathlib import Path
from typing import TextIO

from tiecoat.wording import Told, untold

INTERRUPTED = 130  # as shells have it for a program that Ctrl-C has ended
STANDS = {  # what is so once Ctrl-C has ended a command; of what takes in files, see its screen
    "compare": "nothing was written",
    "evaluate": "nothing was written",
    "merge": "either all that is new has come, or nothing; see: tiecoat verify",
    "overlay": "the pictures that were named are drawn",
    "publish": "each kind is in the lake as before or as it is now; the next run goes on",
    "rebuild": "the archive is whole, the one of before or the new one; see: tiecoat verify",
    "reindex": "the index is whole, as it was before",
    "report": "the report was not written, and one that was there stands as it was",
    "upgrade": "the tables of each kind are whole, all as before or all as its kind is today",
    "verify": "nothing was changed, and whether the lab is sound is not known",
}
LAB = "TIECOAT_LAB"  # in the environment: the lab where none is named


def add_general(parser: argparse.ArgumentParser, *, lab: bool = True, top: bool = False) -> None:
    """Add the options that stand anywhere.

    Parameters
    ----------
    lab
        Whether it is for a lab.
    top
        Whether this is the whole program: it has what holds where an option is not given. What is
        given later counts.
    """

    def default(value: object) -> object:
        return value if top else argparse.SUPPRESS

    if lab:
        parser.add_argument(
            "--lab",
            default=default(os.environ.get(LAB) or "."),
            metavar="FOLDER",
            help=f"the lab (default: {LAB} in the environment, else here)",
        )
    told = parser.add_mutually_exclusive_group()
    told.add_argument(
        "-q",
        "--quiet",
        action="store_true",
        default=default(False),
        help="tell errors only; the exit code tells the rest",
    )
    told.add_argument(
        "-v",
        "--verbose",
        action="store_true",
        default=default(False),
        help="tell which program and lab, how long it took, and where a fault of tiecoat lies",
    )


@contextmanager
def told_as_asked(options: argparse.Namespace) -> Iterator[None]:
    """Print nothing where that is asked for, or beside the rest what was run and how long."""
    if options.quiet:
        with Path(os.devnull).open("w", encoding="utf-8") as nowhere, redirect_stdout(nowhere):
            yield
        return
    if not options.verbose:
        yield
        return
    from tiecoat import __version__

    begun = time.monotonic()
    where = f"lab {Path(options.lab).absolute()}"
    print(f"tiecoat {__version__}, Python {sys.version.split()[0]}, {where}", file=sys.stderr)
    try:
        yield
    finally:
        print(f"took {time.monotonic() - begun:.1f} s", file=sys.stderr)


@contextmanager
def warnings_told() -> Iterator[None]:
    """Have what the program itself warns of told as errors are, each once."""
    told: set[str] = set()

    def tell(  # noqa: PLR0917 - as the library calls it
        message: Warning | str,
        category: type[Warning],
        filename: str,
        lineno: int,
        file: TextIO | None = None,
        line: str | None = None,
    ) -> None:
        if category is not UserWarning:
            shown(message, category, filename, lineno, file, line)
        elif str(message) not in told:
            told.add(str(message))
            print(f"tiecoat: {message}", file=sys.stderr)

    with warnings.catch_warnings():
        shown = warnings.showwarning
        warnings.showwarning = tell
        yield


@contextmanager
def progress() -> Iterator[Told]:
    """Give a function that shows how far something is: a bar, a count and the time remaining.

    There is a bar for each thing that is told of. All are gone in the end. What is printed
    meanwhile stands above them.
    """
    if not sys.stderr.isatty():
        yield untold
        return
    from tiecoat.cli.progress import Bars

    bars = Bars()
    try:
        yield bars.told
    finally:
        bars.close()
