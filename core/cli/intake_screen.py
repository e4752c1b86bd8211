"""What commands of intake show: a line a file, how far it is, and what it came to in all."""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from tiecoat.archive.opening import doubt_of_journal
from tiecoat.cli.answer_values import of_outcomes
from tiecoat.cli.answers import answer
from tiecoat.cli.general import INTERRUPTED, progress
from tiecoat.intake.outcome import FileStatus, Outcome, Pulse, Teller, in_the_end
from tiecoat.wording import counted

if TYPE_CHECKING:
    from tiecoat.lab.settings import Lab

NAMED = 3  # files of which the same is told, that are listed


def show_intake(
    lab: Lab, options: argparse.Namespace, action: Callable[[Lab, Teller], None]
) -> int:
    """Run an action of intake with plain lines, or one answer, and say whether anything is held."""
    outcomes: list[Outcome] = []
    alike: dict[tuple[FileStatus, str], list[str]] = {}
    notices: list[str] = []
    with progress() as told:

        def tell(outcome: Outcome) -> None:
            outcomes.append(outcome)
            same = alike.setdefault((outcome.status, outcome.why), [])
            same.append(outcome.name)
            if not options.json:
                again = outcome.why and len(same) > 1
                print(outcome.line_like(same[0]) if again else outcome.line, flush=True)

        def beat(pulse: Pulse) -> None:
            told("files", len(outcomes), len(outcomes) + pulse.queue + pulse.waiting)

        try:
            action(lab, Teller(notices.append if options.json else print, tell, beat))
        except KeyboardInterrupt:
            filed = in_all(in_the_end(outcomes)) or "nothing was filed"
            print(
                f"stopped: {filed}. Nothing is half filed;"
                " what is not told of is taken in when you run this again.",
                file=sys.stderr,
            )
            return INTERRUPTED
    outcomes = in_the_end(outcomes)
    code = int(not all(outcome.status.is_over for outcome in outcomes))
    if doubt := doubt_of_journal(lab):
        code = 1
        notices.append(doubt)
        print(f"tiecoat: {doubt}", file=sys.stderr)
    if options.json:
        return answer(options, code, of_outcomes(outcomes, notices))
    for line in alike_words(alike):
        print(line)
    if not outcomes:
        print("nothing to take in")
    elif len(outcomes) > 1:
        print(f"in all: {in_all(outcomes)}")
    return code


def alike_words(alike: Mapping[tuple[FileStatus, str], Sequence[str]]) -> Iterator[str]:
    """Return a line for what was told of several files: of how many, and of which.

    Parameters
    ----------
    alike
        Names of files by what became of them, and what had to be told of it.
    """
    for (status, why), names in alike.items():
        if why and len(names) > 1:
            told = ", ".join(names[:NAMED])
            more = f" and {len(names) - NAMED:,} more" if len(names) > NAMED else ""
            word = "remarked" if status is FileStatus.FILED else status
            yield f"{counted(len(names), 'file')} {word} alike, as {names[0]} says: {told}{more}"


def in_all(outcomes: list[Outcome]) -> str:
    """Return how many files became what, such as "12 filed, 2 held"."""
    counts = Counter(outcome.status for outcome in outcomes)
    return ", ".join(f"{counts[status]:,} {status}" for status in FileStatus if counts[status])
