"""The names that scripts and plugins import, with their methods; and the hooks."""

from __future__ import annotations

import inspect
from collections.abc import Iterator
from enum import Enum
from importlib import import_module
from types import ModuleType
from typing import Any

from tiecoat.plugin import Hooks
from tiecoat.reference.docstring import markdown_of, summary_of
from tiecoat.reference.entry import ReferenceEntry

FACES = {  # module -> what it is for
    "tiecoat": "For scripts: tiecoat",
    "tiecoat.plugin": "For plugins: tiecoat.plugin",
    "tiecoat.evaluate.result": "For evaluations: tiecoat.evaluate.result",
    "tiecoat.testing": "For tests of plugins: tiecoat.testing",
}
HOOKS = "Hooks"


def names_of(module: ModuleType) -> list[str]:
    """Return the public names of a module: those it lists, else the functions that are its own."""
    listed: list[str] | None = getattr(module, "__all__", None)
    own = (
        n for n, one in vars(module).items() if getattr(one, "__module__", "") == module.__name__
    )
    return listed or [name for name in own if not name.startswith("_")]


def face_entries() -> Iterator[ReferenceEntry]:
    """Return the entries of all that may be imported; first of each module its own words."""
    for path, chapter in FACES.items():
        module = import_module(path)
        yield ReferenceEntry(chapter, path, summary_of(module.__doc__), markdown_of(module.__doc__))
        for name in names_of(module):
            yield _entry(chapter, path, name, getattr(module, name))


def hook_entries() -> Iterator[ReferenceEntry]:
    """Return the entries of the hooks."""
    for name, hook in vars(Hooks).items():
        if name.startswith("tiecoat_"):
            head = _code(f"def {name}{_signature(hook, method=True)}")
            text = f"{head}\n\n{markdown_of(hook.__doc__)}\n\n{_whole()}"
            yield ReferenceEntry(HOOKS, name, summary_of(hook.__doc__), text)


def _whole() -> str:
    return markdown_of(Hooks.__doc__).replace("The hook specifications.", "").strip()


def _entry(chapter: str, path: str, name: str, what: Any) -> ReferenceEntry:
    if not (inspect.isclass(what) or inspect.isfunction(what)):
        said = _OTHERS[path, name]
        return ReferenceEntry(
            chapter, name, said, f"{_code(f'from {path} import {name}')}\n\n{said}"
        )
    head = f"{path}.{name}"
    members = list(_members(what)) if inspect.isclass(what) else []
    if not _is_never_made(what):
        head += _signature(what)
    parts = [_code(head), markdown_of(what.__doc__), *_sorts(what)]
    parts += [f"#### {_code_in_line(name, one, said)}\n\n{text}" for one, said, text in members]
    holds = tuple(word for one, _, _ in members for word in (one, f"{name}.{one}"))
    text = "\n\n".join(part for part in parts if part)
    return ReferenceEntry(chapter, name, summary_of(what.__doc__), text, holds)


def _is_never_made(what: Any) -> bool:
    """Say whether nobody calls it: a protocol, a closed list of words, an error that is caught."""
    if not inspect.isclass(what):
        return False
    return issubclass(what, Enum | BaseException) or getattr(what, "_is_protocol", False)


_OTHERS = {  # what is neither a class nor a function, and so has no docstring of its own
    ("tiecoat", "__version__"): "The version of the program, a text.",
    ("tiecoat.plugin", "hookimpl"): (
        "The mark of a function that implements a hook: `@hookimpl` stands in the line above it."
    ),
}


def _sorts(what: Any) -> list[str]:
    if not inspect.isclass(what) or not issubclass(what, BaseException):
        return []
    bases = ", ".join(f"`{base.__name__}`" for base in what.__bases__)
    return [f"Caught as {bases} too."]


def _members(what: type) -> Iterator[tuple[str, str, str]]:
    """Return name, signature and text of each public method and property, by their places."""
    seen = set()
    for cls in what.__mro__:
        if not cls.__module__.startswith("tiecoat"):
            continue
        for name, one in vars(cls).items():
            plain = one.__func__ if isinstance(one, classmethod | staticmethod) else one
            function = getattr(plain, "fget", None) or getattr(plain, "func", None) or plain
            if name.startswith("_") or name in seen or not inspect.isfunction(function):
                continue
            seen.add(name)
            signature = _signature(plain, method=True) if function is plain else ""
            yield name, signature, markdown_of(function.__doc__)


class _AsWritten:
    """Stands in a signature for what would be written there in another way."""

    def __init__(self, text: str) -> None:
        self._text = text

    def __repr__(self) -> str:
        return self._text


def _signature(what: Any, *, method: bool = False) -> str:
    """Return the signature as it stands in the code; `method` leaves out what it is called on."""
    signature = inspect.signature(what)
    given = list(signature.parameters.values())[1 if method else 0 :]
    returned = signature.return_annotation
    if inspect.isclass(what):
        returned = signature.empty
    shown = [
        one.replace(annotation=_annotation(one.annotation), default=_default(one.default))
        for one in given
    ]
    return str(signature.replace(parameters=shown, return_annotation=_annotation(returned)))


def _annotation(said: Any) -> Any:
    return _AsWritten(said) if isinstance(said, str) else said


def _default(value: Any) -> Any:
    if type(value).__name__ == "_HAS_DEFAULT_FACTORY_CLASS":  # an empty one, made for each
        return _AsWritten("...")
    plain = value is inspect.Parameter.empty or isinstance(value, str | int | float | tuple | None)
    return value if plain or inspect.isclass(value) else _AsWritten(f"{type(value).__name__}(...)")


def _code(line: str) -> str:
    """Return a signature as a block, a parameter in each line where it is long."""
    if len(line) > 88 and "(" in line:
        head, _, rest = line.partition("(")
        inside, _, back = rest.rpartition(")")
        line = f"{head}(\n    " + ",\n    ".join(_parts(inside)) + f",\n){back}"
    return f"```python\n{line}\n```"


def _parts(inside: str) -> list[str]:
    parts, depth, begin = [], 0, 0
    for at, letter in enumerate(inside):
        depth += (letter in "([{") - (letter in ")]}")
        if letter == "," and depth == 0:
            parts.append(inside[begin:at].strip())
            begin = at + 1
    return [*parts, inside[begin:].strip()]


def _code_in_line(name: str, member: str, signature: str) -> str:
    return f"`{name}.{member}{signature}`"
