"""What is computed: each evaluation with its quantities, and the formulas behind it.

An evaluation is told by the docstrings of its module and function; the formulas by those of the
modules that it imports, so with their ranges and sources.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Callable, Iterator
from importlib import import_module
from types import ModuleType
from typing import Any

from tiecoat.plugin import Evaluation
from tiecoat.reference.docstring import markdown_of, summary_of
from tiecoat.reference.entry import ReferenceEntry

EVALUATIONS, FORMULAS = "Evaluations", "Formulas"
ROOM = "tiecoat.evaluate"
_SAYS = (".. math::", ":math:", "Source", "source", "References", "ISO ", "ASTM ", "from memory")


def evaluation_entries(
    evaluations: dict[str, Evaluation], sources: dict[str, str]
) -> Iterator[ReferenceEntry]:
    """Return the entries of the evaluations, then those of the formulas of the built-in ones."""
    formulas: dict[str, ModuleType] = {}
    for name in sorted(evaluations):
        module, compute = computing(evaluations[name])
        behind = _modules_behind(module) if module.__name__.startswith(f"{ROOM}.") else {}
        formulas |= behind
        yield _evaluation(evaluations[name], sources[name], module, compute, sorted(behind))
    for path in sorted(formulas):
        yield _formulas(_short(path), formulas[path])


def computing(evaluation: Evaluation) -> tuple[ModuleType, Callable[..., Any]]:
    """Return the module in which an evaluation computes, and its function.

    The functions of the built-in ones only import theirs, so that nothing loads before it is asked
    for: what they import is what they name.
    """
    compute = evaluation.compute
    code = getattr(compute, "__code__", None)
    named = [one for one in getattr(code, "co_names", ()) if one.startswith(f"{ROOM}.")]
    if named:
        module = import_module(named[0])
        return module, module.compute
    return sys.modules[compute.__module__], compute


def _evaluation(
    one: Evaluation, source: str, module: ModuleType, compute: Callable[..., Any], behind: list[str]
) -> ReferenceEntry:
    needs = ", ".join(f"`{kind}`" for kind in dict.fromkeys((one.kind, *one.needs)))
    when = "only when one of its quantities is named" if one.slow else "whenever its kind is asked"
    facts = [
        f"- from measurements of: {needs}",
        f"- comes from: {source}, version {one.version}",
        f"- computed: {when}: `tiecoat evaluate {one.kind}`",
    ]
    if behind:
        facts.append("- formulas: " + ", ".join(f"`{_short(path)}`" for path in behind))
    text = "\n\n".join(
        (
            "\n".join(facts),
            markdown_of(module.__doc__),
            f"**{compute.__name__}**: {markdown_of(compute.__doc__)}",
        )
    )
    return ReferenceEntry(EVALUATIONS, one.name, summary_of(module.__doc__), text)


def _modules_behind(module: ModuleType) -> dict[str, ModuleType]:
    """Return the modules of the room that one imports from, and they in turn, by their names."""
    found: dict[str, ModuleType] = {}
    waiting = [module]
    while waiting:
        for value in vars(waiting.pop()).values():
            path = value.__name__ if inspect.ismodule(value) else getattr(value, "__module__", None)
            if isinstance(path, str) and path.startswith(f"{ROOM}.") and path not in found:
                found[path] = sys.modules[path]
                waiting.append(found[path])
    return {path: one for path, one in found.items() if _says(one.__doc__) or _told_in(one)}


def _says(doc: str | None) -> bool:
    return any(say in (doc or "") for say in _SAYS)


def _told_in(module: ModuleType) -> list[tuple[str, Callable[..., Any]]]:
    """Return the public functions of a module that name a formula, a range or a source."""
    own = (
        (name, one)
        for name, one in vars(module).items()
        if inspect.isfunction(one) and one.__module__ == module.__name__ and name[0] != "_"
    )
    return [(name, one) for name, one in own if name != "compute" and _says(one.__doc__)]


def _formulas(name: str, module: ModuleType) -> ReferenceEntry:
    told = _told_in(module)
    parts = [markdown_of(module.__doc__)]
    parts += [f"#### `{one}`\n\n{markdown_of(function.__doc__)}" for one, function in told]
    holds = tuple(one for one, _ in told)
    return ReferenceEntry(FORMULAS, name, summary_of(module.__doc__), "\n\n".join(parts), holds)


def _short(path: str) -> str:
    return path.removeprefix(f"{ROOM}.")
