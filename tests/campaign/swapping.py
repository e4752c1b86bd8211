"""Changed functions put in the place of those that a running process has loaded already.

So no module need be loaded again for a change: whoever has imported a function calls the changed
one from then on. It is no help where what is changed runs while modules are loaded.
"""

from __future__ import annotations

import ast
import gc
import inspect
import sys
from collections import defaultdict
from collections.abc import Sequence
from types import CodeType, FunctionType

from mutators import Change

Key = tuple[str, int]  # the name of a function, and which one of that name in its module


def functions_below(folder: str) -> dict[str, list[FunctionType]]:
    """Return the functions that are loaded from a folder, by the path of their source."""
    found: dict[str, list[FunctionType]] = defaultdict(list)
    gc.unfreeze()  # what is frozen is in no list of objects
    for one in gc.get_objects():
        if type(one) is FunctionType and one.__code__.co_filename.startswith(folder):
            found[one.__code__.co_filename].append(one)
    return found


def only_functions_differ(source: str, change: Change) -> bool:
    """Say whether a change leaves alone all that runs when the module is loaded."""
    before = _codes(compile(ast.parse(source), "", "exec", dont_inherit=True))
    after = _codes(change.code(""))
    return before.keys() == after.keys() and all(
        code.co_freevars == after[key].co_freevars
        if code.co_flags & inspect.CO_OPTIMIZED
        else _alone(code) == _alone(after[key])
        for key, code in before.items()
    )


def swap(functions: Sequence[FunctionType], loaded: str, path: str, change: Change) -> None:
    """Put a change into the functions of its module, which was loaded with this text.

    A module that is not loaded yet has none: it will be loaded with the change.

    Raises
    ------
    LookupError
        If there are none of one that is loaded: whatever is tried then would seem to go unnoticed.
    """
    before = _codes(compile(loaded, path, "exec", dont_inherit=True))
    key_of = {_place(code): key for key, code in before.items()}
    after = _codes(change.code(path))
    loaded_from = (getattr(one, "__file__", None) for one in tuple(sys.modules.values()))
    if not functions and path in loaded_from:
        raise LookupError(f"no function of {path} is loaded")
    for function in functions:
        function.__code__ = after[key_of[_place(function.__code__)]]


def _place(code: CodeType) -> tuple[str, int, bytes]:
    """Return where code stands; that it equals itself is not sure once it has run."""
    return code.co_qualname, code.co_firstlineno, code.co_linetable


def _codes(module: CodeType) -> dict[Key, CodeType]:
    """Return the code of a module and of all in it."""
    found: dict[Key, CodeType] = {}

    def add(code: CodeType) -> None:
        place = sum(name == code.co_qualname for name, _ in found)
        found[code.co_qualname, place] = code
        for one in code.co_consts:
            if isinstance(one, CodeType):
                add(one)

    add(module)
    return found


def _alone(code: CodeType) -> CodeType:
    return code.replace(
        co_consts=tuple(None if isinstance(one, CodeType) else one for one in code.co_consts)
    )
