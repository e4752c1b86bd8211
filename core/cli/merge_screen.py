"""`tiecoat merge`: what comes from another lab, what is held, what does not come, and why."""

from __future__ import annotations

import argparse
import getpass
from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from tiecoat.cli.answers import answer
from tiecoat.cli.general import progress
from tiecoat.cli.shared import lab_of
from tiecoat.merge.comes_as import ComesAs
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.merge.merge import Merged
    from tiecoat.merge.other import LeftOut

SHOWN = 20  # files of one sort
FATES = {
    ComesAs.KNOWN: "with values that this lab has",
    ComesAs.WAITING: "that wait as there",
    ComesAs.DISCARDED: "that were discarded there",
    ComesAs.GONE_ON: "that went on as others",
    ComesAs.HELD: "held here",
    ComesAs.LEFT_OUT: "left out",
}


def add_merge(merging: argparse.ArgumentParser) -> None:
    """Add which lab is brought in."""
    merging.set_defaults(command=merge_labs)
    merging.add_argument(
        "other", metavar="OTHER", help="folder of the other lab: it stays as it is"
    )
    merging.add_argument("--show", action="store_true", help="show what would come, change nothing")


def merge_labs(options: argparse.Namespace) -> int:
    """Bring what is new of another lab; 1 where some is held or left out, or stands open."""
    from tiecoat.merge.merge import merge

    with progress() as told:
        merged = merge(
            lab_of(options), options.other, getpass.getuser(), show=options.show, told=told
        )
    code = int(not merged.is_clean)
    if options.json:
        from tiecoat.cli.answer_values import of_merged

        return answer(options, code, of_merged(merged))
    for line in _lines(merged, show=options.show):
        print(line)
    return code


def _lines(merged: Merged, *, show: bool) -> Iterable[str]:
    yield from _listed(
        "settings that files were filed by there, and that are others here (each is made again by"
        " its own)",
        merged.changed,
    )
    yield from _listed("worth knowing", merged.notices)
    held = [one.line.removeprefix("held").strip() for one in merged.held]
    yield from _listed("contradicts this lab, and is held here", held)
    for title, every in (("does not come", merged.left_out), ("stands open", merged.open)):
        for why, of_reason in groupby(sorted(every, key=_why), _why):
            yield from _listed(f"{title}: {why}", [one.name for one in of_reason])
    would = "would come" if show else "came"
    files = merged.files
    fates = [
        f"{files[ComesAs.FILED]:,} {would} with {counted(merged.measurements, 'measurement')}",
        *(f"{files[fate]:,} {said}" for fate, said in FATES.items() if files[fate]),
        *([f"{merged.here:,} this lab had already"] if merged.here else []),
    ]
    yield f"{counted(merged.there, 'file')} of that lab: {', '.join(fates)}"
    yield (
        f"{counted(merged.decided, 'measurement')} retracted or counting again;"
        f" {len(merged.open):,} that a person must settle"
    )
    if not (merged.in_place or show):
        yield "nothing was changed: there is nothing new"


def _why(one: LeftOut) -> str:
    return one.why


def _listed(title: str, lines: Sequence[str]) -> Iterable[str]:
    if lines:
        yield f"{title} ({len(lines):,})"
        yield from (f"  {line}" for line in lines[:SHOWN])
    if len(lines) > SHOWN:
        yield f"  and {len(lines) - SHOWN:,} more"
