"""`tiecoat publish`: what of a lab has gone into a lake."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING

from tiecoat.cli.answers import answer
from tiecoat.cli.general import progress
from tiecoat.cli.shared import lab_of
from tiecoat.wording import counted, listed

if TYPE_CHECKING:
    from tiecoat.lake.publishing import LabPublished

SHOWN = 8  # batches of a kind that are named


def add_publish(parser: argparse.ArgumentParser) -> None:
    """Add where, and as what."""
    parser.set_defaults(command=publish)
    parser.add_argument(
        "url",
        metavar="URL",
        help="a folder, or s3://, az://, abfss://, gs://; credentials come from the environment",
    )
    words = "of the lab there, the first time (default: its folder's); it keeps it"
    parser.add_argument("--as", dest="lab_name", metavar="NAME", help=words)
    parser.add_argument(
        "--instead",
        action="store_true",
        help="have this lab take the place of another copy of it that published last",
    )
    parser.add_argument(
        "--tidy",
        action="store_true",
        help="put small files of the lake together, delete what no version of the last week needs",
    )


def publish(options: argparse.Namespace) -> int:
    """Publish what has changed; 1 where a kind cannot be published."""
    from tiecoat.lake.publishing import Publisher

    if options.tidy:
        return _tidy(options)
    with progress() as told:
        publisher = Publisher(
            lab_of(options), options.url, options.lab_name, instead=options.instead
        )
        done = publisher.publish(told)
    code = int(done.refused)
    if options.json:
        return answer(options, code, _values(done))
    for line in _lines(done):
        print(line)
    return code


def _tidy(options: argparse.Namespace) -> int:
    from tiecoat.lake.tables import LakeTables
    from tiecoat.lake.upkeep import tidy

    with progress() as told:
        deleted = tidy(LakeTables(options.url), told)
    if options.json:
        return answer(options, 0, {"kinds": [], "deleted": sum(deleted.values())})
    print(f"{counted(sum(deleted.values()), 'file')} deleted of {counted(len(deleted), 'table')}")
    return 0


def _values(done: LabPublished) -> dict[str, object]:
    kinds = [
        {"kind": k.kind, "changed": k.changed, "gone": k.gone, "refused": k.refused or None}
        for k in done.kinds
    ]
    return {"name": done.lab, "kinds": kinds, "deleted": 0}


def _lines(done: LabPublished) -> Iterator[str]:
    moved = [one for one in done.kinds if one.changed or one.gone]
    for one in moved:
        said = (
            [f"{counted(len(one.changed), 'table')}: {_named(one.changed)}"] if one.changed else []
        )
        said += [f"taken out: {_named(one.gone)}"] if one.gone else []
        yield f"{one.kind}: {'; '.join(said)}"
    for one in done.kinds:
        if one.refused:
            yield f"{one.kind}: not published: {one.refused}"
    if not moved:
        yield f"nothing has changed since {done.lab} was published"


def _named(batches: tuple[str, ...]) -> str:
    more = len(batches) - SHOWN
    return listed(batches[:SHOWN]) + (f" and {more:,} more" if more > 0 else "")
