"""`tiecoat reference`: what there is, one entry, or all of it as pages."""

from __future__ import annotations

import argparse
import sys
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.cli.answers import answer
from tiecoat.cli.shared import screen, show_markdown
from tiecoat.errors import UnknownName
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.reference.entry import ReferenceEntry
    from tiecoat.reference.reference import Reference


def add_reference(parser: argparse.ArgumentParser) -> None:
    """Add the word and where pages go to."""
    parser.set_defaults(command=tell_reference)
    parser.add_argument(
        "word",
        nargs="?",
        help="such as a kind, a column, a setting, a reason, a method (default: list all entries)",
    )
    parser.add_argument(
        "--html", type=Path, metavar="FOLDER", help="write all entries as pages into this folder"
    )


def tell_reference(options: argparse.Namespace) -> int:
    """Tell what there is, or what a word means; or write the pages."""
    from tiecoat.reference.entry import found, saying
    from tiecoat.reference.reference import reference

    made = reference(_readers_folder(options.lab))
    for problem in made.problems:
        print(problem, file=sys.stderr)
    if options.html is not None:
        pages = _write(made, options.html)
        if options.json:
            return answer(options, 0, {"entries": [], "pages": pages, "left_out": made.problems})
        print(f"wrote {counted(len(pages), 'page')}; open {pages[0]}")
        return 0
    meant = found(made.entries, options.word) if options.word else []
    listed = [] if meant else list(made.entries)
    if options.word and not meant:
        listed = saying(made.entries, options.word)
        meant = listed if len(listed) == 1 else []
    if not meant and not listed:
        raise UnknownName(_unknown(made, options.word))
    if options.json:
        values = [_values(one, whole=bool(meant)) for one in meant or listed]
        return answer(options, 0, {"entries": values, "pages": [], "left_out": made.problems})
    if meant:
        show_markdown("\n\n".join(f"# {one.name} ({one.chapter})\n\n{one.text}" for one in meant))
    else:
        _list(listed)
    return 0


def _readers_folder(lab: str) -> Path | None:
    """Return the readers folder of the lab that was named, or that is here; None for no lab."""
    from tiecoat.disk import fsio
    from tiecoat.lab.settings import SETTINGS, open_lab

    if lab == "." and not fsio.is_there(Path(SETTINGS)):
        return None
    return open_lab(lab).own_readers


def _unknown(made: Reference, word: str) -> str:
    from tiecoat.reference.entry import near

    likely = near(made.entries, word)
    hint = f"near are: {', '.join(likely)}" if likely else "tiecoat reference lists all there is"
    return f"the reference has nothing of {word!r}; {hint}"


def _values(entry: ReferenceEntry, *, whole: bool) -> dict[str, object]:
    values = {"chapter": entry.chapter, "name": entry.name, "summary": entry.summary}
    return {**values, "text": entry.text if whole else None}


def _write(made: Reference, folder: Path) -> list[str]:
    from tiecoat.disk import fsio
    from tiecoat.reference.pages import pages_of

    fsio.make_dirs(folder)
    pages = pages_of(made)
    for name, text in pages.items():
        fsio.publish(folder / name, text.encode(), folder)
    return [str((folder / name).absolute()) for name in pages]


def _list(entries: list[ReferenceEntry]) -> None:
    from rich.table import Table
    from rich.text import Text

    console = screen()
    for chapter, of in groupby(entries, key=lambda one: one.chapter):
        console.print(Text(chapter, "bold"))
        table = Table(box=None, padding=(0, 2, 0, 0), show_header=False)
        for one in of:
            table.add_row(Text(f"  {one.name}"), Text(one.summary))
        console.print(table)
    print("tiecoat reference WORD tells one of them, a column, a setting, a method")
