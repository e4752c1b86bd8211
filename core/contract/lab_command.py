"""A command that a plugin adds: `tiecoat NAME`."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tiecoat.wording import Told

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from pathlib import Path

    RunCommand = Callable[[Path, Namespace, Told], "CommandAnswer"]


@dataclass(frozen=True)
class CommandAnswer:
    """What a command has done.

    Parameters
    ----------
    code
        What it exits with: 0 done, 1 something is found or left out, 2 not possible.
    lines
        What a person is told.
    problems
        What stood in the way, told on the errors' stream.
    values
        What `--json` prints, by the fields that the command names as `answers`.
    """

    code: int = 0
    lines: Sequence[str] = ()
    problems: Sequence[str] = ()
    values: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True)
class LabCommand:
    """A command `tiecoat NAME`, with a place in `tiecoat --help`.

    Parameters
    ----------
    name
        Unique among all commands: lower-case letters, digits and hyphens.
    words
        What it does, in a line of `tiecoat --help`.
    run
        Gets the folder of the lab (`tiecoat.open` opens its archive), what was asked for, and a
        function to tell how far it is, `told("drawing", 3, 10)`, which shows a bar. It prints
        nothing and returns a `CommandAnswer`. An error of tiecoat that it raises is told as always;
        anything else is told as a fault of this plugin, and the command exits with 2.
    add
        Gets the parser (argparse) of the command, and adds what it takes; None: nothing. `--lab`,
        `--quiet` and `--verbose` are there already.
    answers
        Fields that `--json` prints, each with its type (text, whole, number or bool, with ? where
        it may be null) and what it means; `plates[].png` is one of each of a list. Without any
        there is no `--json`.
    """

    name: str
    words: str
    run: RunCommand
    add: Callable[[ArgumentParser], object] | None = None
    answers: Mapping[str, tuple[str, str]] = field(default_factory=dict)


OWN_COMMANDS = frozenset(  # those that come by no hook: no plugin takes their names
    {
        *(
            "compare",
            "completion",
            "contents",
            "evaluate",
            "guide",
            "held",
            "learn",
            "measurements",
            "merge",
        ),
        *("new", "overlay", "plugin", "profile", "publish", "readers", "rebuild", "reference"),
        *("refile", "reindex", "reinstate", "report", "retract", "serve", "service", "study"),
        *("supersede", "take", "try", "upgrade", "verify", "why"),
    }
)
