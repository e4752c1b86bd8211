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
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.merge.merge import Merged
    from tiecoat.merge.other import LeftOut

SHOWN = 20  # files of one sort


def add_merge(merging: argparse.ArgumentParser) -> None:
    """Add which lab is brought in."""
    merging.add_argument(
        "other", metavar="OTHER", help="folder of the other lab: it stays as it is"
    )
    merging.add_argument("--show", action="store_true", help="show what would come, change nothing")


def merge_labs(options: argparse.Namespace) -> int:
    """Bring what is new of another lab; 1 where some of it is held or does not come."""
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
    for why, of_reason in groupby(sorted(merged.left_out, key=_why), _why):
        yield from _listed(f"does not come: {why}", [one.name for one in of_reason])
    would = "would come" if show else "came"
    yield (
        f"{counted(merged.filed, 'file')} {would} with"
        f" {counted(merged.measurements, 'measurement')}; {merged.known:,} whose values this lab"
        f" has; {merged.waiting:,} that wait; {merged.discarded:,} that were discarded;"
        f" {counted(merged.decided, 'measurement')} retracted or counting again"
    )
    yield (
        f"{counted(merged.here, 'file')} of that lab this one had already;"
        f" {len(merged.held):,} held, {len(merged.left_out):,} left out"
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
