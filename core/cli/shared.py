"""What commands share: the lab they are for, the screen, intake with plain lines, a question."""

from __future__ import annotations

import argparse
import shutil
import sys
import textwrap
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from tiecoat.cli.answers import add_json
from tiecoat.cli.general import add_general
from tiecoat.errors import QueryInvalid
from tiecoat.wording import counted

if TYPE_CHECKING:
    from rich.console import Console

    from tiecoat.intake.outcome import Teller
    from tiecoat.lab.settings import Lab

Command = Callable[[argparse.Namespace], int]

LISTED = 50  # what a list shows unless told otherwise
NOT_ASKED = "nothing was changed: look at what is listed, then say --yes (nobody can be asked here)"


def lab_of(options: argparse.Namespace) -> Lab:
    """Return the lab that a command is for; what is written in it is kept from others.

    What was cut short in it is noted, for `tell_completed`.
    """
    from tiecoat.archive.opening import cut_short
    from tiecoat.lab.access import keep_from_others
    from tiecoat.lab.settings import open_lab

    lab = open_lab(options.lab)
    keep_from_others(lab.settings.access.readable_by)
    if said := cut_short(lab):
        options.cut_short = lab, said
    return lab


def tell_completed(options: argparse.Namespace) -> None:
    """Say on the errors' stream what was cut short before and was completed by the command."""
    lab, said = getattr(options, "cut_short", (None, ""))
    if lab is None:
        return
    from tiecoat.archive.opening import cut_short

    if cut_short(lab) != said:
        print(f"completed what was cut short: {said}", file=sys.stderr)


def screen() -> Console:
    """Return the screen, or what the output goes to."""
    if not sys.stdout.isatty():
        from tiecoat.cli.piped import PipedConsole

        return PipedConsole()
    from rich.console import Console

    return Console()


def show_markdown(text: str) -> None:
    """Show Markdown: laid out on a terminal, and as it is written elsewhere."""
    console = screen()
    if console.is_terminal:
        from rich.markdown import Markdown

        console.print(Markdown(text))
    else:
        print(text)


def run_intake(options: argparse.Namespace, action: Callable[[Lab, Teller], None]) -> int:
    """Run an action of intake, show what becomes of each file, and say whether anything is held."""
    from tiecoat.cli.intake_screen import show_intake

    return show_intake(lab_of(options), options, action)


def actions_of(
    parser: argparse.ArgumentParser,
) -> Callable[[str, Command, str], argparse.ArgumentParser]:
    """Return what adds an action, such as `retry`, to a command, such as `held`."""
    actions = parser.add_subparsers(metavar="ACTION")

    def add(name: str, command: Command, words: str) -> argparse.ArgumentParser:
        sub = actions.add_parser(name, help=words, description=words)
        sub.set_defaults(command=command, name=f"{parser.prog.split()[-1]} {name}")
        add_general(sub)
        add_json(sub, f"{parser.prog.split()[-1]} {name}")
        return sub

    return add


def add_limit(parser: argparse.ArgumentParser) -> None:
    """Add how many a list shows."""
    words = f"how many to list (default: {LISTED})"
    parser.add_argument("--limit", type=_count, default=LISTED, metavar="N", help=words)


def _count(text: str) -> int:
    count = int(text)
    if count < 1:
        raise ValueError
    return count


def add_study(parser: argparse.ArgumentParser) -> None:
    """Add the study that a command is for."""
    parser.add_argument(
        "study",
        nargs="?",
        type=Path,
        metavar="STUDY",
        help="the study file, .toml (default: everything in the register)",
    )


def add_yes(parser: argparse.ArgumentParser) -> None:
    """Add that nobody need be asked before many are changed."""
    parser.add_argument("--yes", action="store_true", help="do it without asking")


def agreed(question: str, options: argparse.Namespace) -> bool:
    """Ask whether to do it, unless that was said before; say so where it is not done.

    Raises
    ------
    QueryInvalid
        If nobody can be asked.
    """
    if options.yes:
        return True
    if options.quiet or options.json or not sys.stdin.isatty():
        raise QueryInvalid(NOT_ASKED)
    if input(f"{question} [y/N] ").strip().casefold() in {"y", "yes"}:
        return True
    print("nothing was changed")
    return False


def more(total: int, shown: int, fewer: str) -> str:
    """Return that there are more than are shown, and what shows more or leaves fewer."""
    return f"and {total - shown:,} more; --limit {total} lists all, {fewer} choose"


def show_briefly(lines: list[str], noun: str) -> None:
    """Print what is about to be changed: how many, and the first of them."""
    print(f"{counted(len(lines), noun)}:")
    for line in lines[:LISTED]:
        print(f"  {line}")
    if len(lines) > LISTED:
        print(f"  and {len(lines) - LISTED:,} more", flush=True)


def show_next(commands: Sequence[tuple[str, str]]) -> None:
    """Print commands, each with what it does, and where all of them are told."""
    every = [*commands, ("tiecoat --help", "tells every command")]
    width = max(len(command) for command, _ in every)
    for command, does in every:
        print(in_width(f"  {command:<{width}}  {does}", width + 4))


def in_width(line: str, indent: int) -> str:
    """Return a line as a terminal shows it without breaking a word; elsewhere as it is."""
    if not sys.stdout.isatty():
        return line
    return textwrap.fill(
        line,
        shutil.get_terminal_size().columns,
        subsequent_indent=" " * indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
