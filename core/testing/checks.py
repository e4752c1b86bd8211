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
    if not (bench.kinds or bench.readers or bench.evaluations or bench.problems):
        yield "no kind, no reader and no evaluation comes of these plugins"
    if bench.kinds or bench.readers:
        if bench.asked.exports is None:
            yield "no example exports are handed over: Conformance(..., exports=a folder)"
        elif not bench.good:
            yield f"there is no example export in {bench.asked.exports}"


def _in_module(module: str, name: str, bench: Workbench) -> Iterable[str]:
    found: Iterable[str] = getattr(import_module(f"{_ROOM}.{module}"), name)(bench)
    return found


_HOMES = {  # what it is called -> the module that has it; what is heavy loads when it runs
    "units_and_meanings": "kinds_checked",
    "bounds_are_sane": "kinds_checked",
    "own_are_recognised": "recognising",
    "others_are_left_alone": "recognising",
    "rows_are_as_expected": "expecting",
    "broken_are_held": "expecting",
    "filed_and_read_back": "expecting",
    "rebuilt_alike": "expecting",
    "identity_and_order": "kinds_checked",
    "nothing_is_kept": "steadiness",
    "nothing_is_touched": "steadiness",
    "little_is_taken": "steadiness",
    "damage_is_never_filed_wrong": "damaged",
    "messages_are_plain": "damaged",
    "readers_tell_their_version": "versions",
    "kinds_tell_their_version": "versions",
    "results_are_whole": "evaluating",
    "evaluations_are_pure": "evaluating",
    "little_is_told_as_little": "evaluating",
    "evaluations_tell_their_version": "versions",
}
CHECKS: Mapping[str, Callable[[Workbench], Iterable[str]]] = {
    "plugins_are_loaded": plugins_are_loaded,
    **{name: partial(_in_module, module, name) for name, module in _HOMES.items()},
}
