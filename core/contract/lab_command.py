"""A command that a plugin adds: `tiecoat NAME`."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tiecoat.wording import Told

if TYPE_CHECKING:
    from argparse import ArgumentParser, Namespace
    from pathlib import Path

    RunCommand = Callable[[Path, Namespace, Told], "CommandAnswer"]

CODES = (0, 1, 2)


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

    @property
    def wrong(self) -> str:
        """What of it is no answer; "" where nothing is."""
        if self.code not in CODES:
            return f"it exits with {self.code!r}; a command has 0, 1 or 2"
        for name, told in (("lines", self.lines), ("problems", self.problems)):
            if isinstance(told, str) or not isinstance(told, Sequence):
                return f"its {name} are {type(told).__name__}; expected a list of texts, one a line"
            if strange := [one for one in told if not isinstance(one, str)]:
                return f"its {name} hold {type(strange[0]).__name__}; expected a text for each line"
        if not isinstance(self.values, Mapping):
            return f"its values are {type(self.values).__name__}; expected {{field: value}}"
        return ""


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
        there is no `--json`. What is answered otherwise than it stands here is printed all the
        same, and told on the errors' stream.
    """

    name: str
    words: str
    run: RunCommand
    add: Callable[[ArgumentParser], object] | None = None
    answers: Mapping[str, tuple[str, str]] = field(default_factory=dict)

    def strays(self, done: CommandAnswer) -> Iterator[str]:
        """Say what of an answer for scripts is not as `answers` has it."""
        told: dict[str, list[object]] = {}
        for path, value in _fields(done.values):
            told.setdefault(path, []).append(value)
        for path, values in told.items():
            if path not in self.answers:
                yield f"answers with {path!r}, which is none of its `answers`"
                continue
            sort, _ = self.answers[path]
            if wrong := [one for one in values if not _is_of(one, sort)]:
                yield f"answers with {path!r} {wrong[0]!r}; its `answers` say {sort}"
        for path, (sort, _) in self.answers.items():
            may_lack = "[]" in path or sort.endswith("?") or done.code == NOT_POSSIBLE
            if path not in told and not may_lack:
                yield f"does not answer with {path!r}, which is one of its `answers`"


NOT_POSSIBLE = 2  # what a command exits with that could not be done


def _fields(value: object, at: str = "") -> Iterator[tuple[str, object]]:
    """Yield each field of an answer, and what stands there."""
    if isinstance(value, Mapping):
        for name, one in value.items():
            yield from _fields(one, f"{at}.{name}" if at else str(name))
    elif isinstance(value, list | tuple):
        for one in value:
            yield from _fields(one, f"{at}[]")
    else:
        yield at, value


def _is_of(value: object, sort: str) -> bool:
    """Say whether a value is of a type as `answers` names it."""
    plain = value.item() if hasattr(value, "item") else value  # of a number of numpy
    if plain is None or (isinstance(plain, float) and not math.isfinite(plain)):
        return sort.endswith("?")
    if isinstance(plain, bool):
        return sort.startswith("bool")
    if isinstance(plain, int | float):
        return sort.startswith("number" if isinstance(plain, float) else ("whole", "number"))
    return sort.startswith("text")


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
