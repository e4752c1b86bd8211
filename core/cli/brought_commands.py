"""The commands that plugins bring: loaded when one is asked for, run and answered as ours are."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tiecoat.cli.answers import answer, tell_fields
from tiecoat.cli.general import progress
from tiecoat.cli.shared import in_width
from tiecoat.errors import PluginBroke, TiecoatError
from tiecoat.extend.blame import blame
from tiecoat.extend.loading import BroughtCommands, load_commands
from tiecoat.lab.settings import open_lab
from tiecoat.plugin import CommandAnswer, LabCommand


def commands_of(lab: str) -> BroughtCommands:
    """Return what plugins bring, those of a lab too where there is one that can be opened."""
    try:
        own = open_lab(lab).own_readers
    except TiecoatError:
        own = None
    return load_commands(own)


def add_brought(parser: argparse.ArgumentParser, command: LabCommand, where: str) -> None:
    """Have a parser take what a command of a plugin takes, and run it.

    Raises
    ------
    PluginBroke
        If the plugin cannot say what it takes.
    """

    def run(options: argparse.Namespace) -> int:
        done = _done(command, where, options)
        if options.json:
            for stray in command.strays(done):
                print(f"command {command.name!r} of {where} {stray}", file=sys.stderr)
            return answer(options, done.code, done.values)
        for line in done.lines:
            print(in_width(line, len(line) - len(line.lstrip()) + 2))
        for problem in done.problems:
            print(problem, file=sys.stderr)
        return done.code

    parser.set_defaults(command=run)
    try:
        if command.add is not None:
            command.add(parser)
    except Exception as error:
        raise _broke(command, where, blame(error, command.add)) from error
    if command.answers:
        tell_fields(parser, dict(command.answers))


def _done(command: LabCommand, where: str, options: argparse.Namespace) -> CommandAnswer:
    """Return what a command has done, and blame its plugin where that is nothing one can tell."""
    try:
        with progress() as told:
            done = command.run(Path(options.lab), options, told)
    except (TiecoatError, BrokenPipeError):
        raise
    except (Exception, SystemExit) as error:
        raise _broke(command, where, blame(error, command.run)) from error
    if not isinstance(done, CommandAnswer):
        raise _broke(command, where, f"it returns {type(done).__name__}, not a CommandAnswer")
    if done.wrong:
        raise _broke(command, where, done.wrong)
    return done


def _broke(command: LabCommand, where: str, why: str) -> PluginBroke:
    return PluginBroke(f"command {command.name!r} of {where} broke down: {why}")
