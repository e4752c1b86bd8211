"""Every check that plugins pass through, in the order in which it helps to read what they find."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tiecoat.testing.workbench import Workbench

_ROOM = "tiecoat.testing"


def plugins_are_loaded(bench: Workbench) -> Iterator[str]:
    """All that they bring is taken, and they bring something."""
    yield from bench.problems
    for place in bench.unnamed:
        yield (
            f"{place} has hooks, and no line under [project.entry-points.tiecoat] of pyproject.toml"
            " names it: nothing of it is loaded"
        )
    for name in bench.not_packed:
        yield (
            f"{name} is needed, and py-modules in pyproject.toml does not list it: it would be"
            " missing once the package is installed"
        )
    seen = (bench.figures, bench.pages, bench.commands)
    if not (bench.kinds or bench.readers or bench.evaluations or any(seen) or bench.problems):
        yield "nothing comes of these plugins: no kind, reader, evaluation, page or command"
    if bench.kinds or bench.readers:
        if bench.asked.exports is None:
            yield "no example exports are handed over: Conformance(..., exports=a folder)"
        elif not bench.good:
            yield f"there is no example export in {bench.asked.exports}"


def _in_module(module: str, name: str, bench: Workbench) -> Iterable[str]:
    found: Iterable[str] = getattr(import_module(f"{_ROOM}.{module}"), name)(bench)
    return found


_EXAMPLES, _KINDS, _EVALUATIONS = "an example export that is read", "a kind", "an evaluation"
_THERE: Mapping[str, Callable[[Workbench], object]] = {  # what is looked at -> is it there?
    "an example export": lambda bench: bench.good,
    _EXAMPLES: lambda bench: bench.sound,
    "a broken example": lambda bench: any(one.broken for one in bench.examples),
    "a reader": lambda bench: bench.readers,
    _KINDS: lambda bench: bench.kinds,
    "a kind with examples": lambda bench: bench.kinds and bench.asked.exports,
    _EVALUATIONS: lambda bench: bench.evaluations,
    "an evaluation with examples": lambda bench: bench.evaluations and bench.asked.exports,
    "a figure": lambda bench: bench.figures,
    "a page": lambda bench: bench.pages,
    "a command": lambda bench: bench.commands,
}
_HOMES = {  # its name -> the module that has it, which loads when it runs; what it looks at
    "units_and_meanings": ("kinds_checked", _KINDS),
    "bounds_are_sane": ("kinds_checked", _KINDS),
    "own_are_recognised": ("recognising", "an example export"),
    "others_are_left_alone": ("recognising", "a reader"),
    "rows_are_as_expected": ("expecting", "an example export"),
    "broken_are_held": ("expecting", "a broken example"),
    "filed_and_read_back": ("expecting", _EXAMPLES),
    "rebuilt_alike": ("expecting", _EXAMPLES),
    "identity_and_order": ("kinds_checked", _EXAMPLES),
    "nothing_is_kept": ("steadiness", _EXAMPLES),
    "nothing_is_touched": ("steadiness", _EXAMPLES),
    "little_is_taken": ("steadiness", "an example export"),
    "damage_is_never_filed_wrong": ("damaged", _EXAMPLES),
    "messages_are_plain": ("damaged", _EXAMPLES),
    "what_it_says_is_filed": ("following", _EXAMPLES),
    "readers_tell_their_version": ("versions", _EXAMPLES),
    "kinds_tell_their_version": ("versions", "a kind with examples"),
    "results_are_whole": ("evaluating", _EVALUATIONS),
    "evaluations_are_pure": ("evaluating", _EVALUATIONS),
    "little_is_told_as_little": ("evaluating", _EVALUATIONS),
    "evaluations_tell_their_version": ("versions", "an evaluation with examples"),
    "figures_are_drawn": ("reporting", "a figure"),
    "pages_are_told": ("reporting", "a page"),
    "commands_answer": ("reporting", "a command"),
}
CHECKS: Mapping[str, Callable[[Workbench], Iterable[str]]] = {
    "plugins_are_loaded": plugins_are_loaded,
    **{name: partial(_in_module, module, name) for name, (module, _) in _HOMES.items()},
}


def lacking(bench: Workbench, name: str) -> str:
    """Return what a check would look at, where there is none of it; else ""."""
    if name not in _HOMES:
        return ""
    needed = _HOMES[name][1]
    return "" if _THERE[needed](bench) else needed
