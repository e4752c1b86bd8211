"""Where a key of a TOML text stands, and what pydantic found there, for the person who wrote it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass
from difflib import get_close_matches
from typing import TYPE_CHECKING, TypeAlias, get_args, get_type_hints

if TYPE_CHECKING:
    from pydantic import ValidationError

KeyPath: TypeAlias = tuple[str | int, ...]  # of a key: ("columns", "state", "titles")

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\]]+?)\s*\]\]?\s*(?:#.*)?$")
_ADDRESS = re.compile(r"(\w+://)[^\s'\"]*[@?#:][^\s'\"]*")  # it may hold a key: never told
_KEY = re.compile(r"\s*((?:[A-Za-z0-9_-]+|\"[^\"]*\"|'[^']*')(?:\s*\.\s*[A-Za-z0-9_-]+)*)\s*=")


def key_lines(text: str) -> dict[KeyPath, int]:
    """Return the line, from 1, of each table header and each key, by its path.

    Examples
    --------
    >>> key_lines("a = 1\\n[b.c]\\nd = 2\\n[[e]]\\nf = 3\\n")[("b", "c", "d")]
    3
    """
    lines: dict[KeyPath, int] = {}
    table: KeyPath = ()
    counts: dict[KeyPath, int] = {}
    for number, line in enumerate(text.splitlines(), 1):
        if header := _HEADER.match(line):
            table = _parts(header[2])
            if header[1] == "[[":
                counts[table] = counts.get(table, -1) + 1
                table = (*table, counts[table])
            lines.setdefault(table, number)
        elif key := _KEY.match(line):
            lines.setdefault((*table, *_parts(key[1])), number)
    return lines


def _parts(dotted: str) -> KeyPath:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))


def explain(
    error: ValidationError,
    text: str,
    model: type[object] | None = None,
    section: KeyPath = (),
) -> str:
    """Return one line for each thing pydantic found wrong: line, key, value, what is allowed.

    With the model at hand, a key that does not exist is answered with those that do. The model may
    be of one section only.
    """
    lines = key_lines(text)
    problems = [dict(problem) for problem in error.errors()]
    return "\n".join(_explain_one(problem, lines, model, section) for problem in problems)


def at(path: KeyPath, lines: Mapping[KeyPath, int]) -> str:
    """Return "line 3: batch.titles" for a key, or for the nearest table above it that is there."""
    known = next((path[:n] for n in range(len(path), 0, -1) if path[:n] in lines), None)
    where = f"line {lines[known]}: " if known else ""
    name = ".".join(str(part + 1 if isinstance(part, int) else part) for part in path) or "file"
    return f"{where}{name}"


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return "did you mean 'titles'? " where one of the known words is near, or ""."""
    near = get_close_matches(word, list(known), 1)
    return f"did you mean {near[0]!r}? " if near else ""


def _explain_one(
    problem: dict[str, object],
    lines: dict[KeyPath, int],
    model: type[object] | None,
    section: KeyPath,
) -> str:
    path = problem["loc"]
    assert isinstance(path, tuple)
    where = at((*section, *path), lines)
    message = str(problem["msg"]).removeprefix("Value error, ")
    message = message.replace("Input should be", "allowed is").replace("a valid array", "a list")
    if problem["type"] == "dataclass_type":
        message = "allowed is a table with keys of its own"
    if problem["type"] in {"extra_forbidden", "unexpected_keyword_argument"}:
        return f"  {where}: there is no such key; {_keys_instead(path, model)}"
    if problem["type"] == "missing":
        return f"  {where}: is missing and needed"
    if isinstance(problem["input"], dict):  # a whole table: its text would hide the message
        return f"  {where}: {message}"
    found = _ADDRESS.sub(r"\1...", repr(problem["input"]))
    return f"  {where} = {found}: {message}"


def _keys_instead(path: KeyPath, model: type[object] | None) -> str:
    if model is None:
        return "see the comments of a new lab for those there are"
    annotation: object = model
    for part in path[:-1]:
        annotation = _fields(annotation).get(str(part), annotation)
    allowed = _fields(annotation)
    return f"{did_you_mean(str(path[-1]), allowed)}allowed are {', '.join(allowed)}"


def _fields(annotation: object) -> dict[str, object]:
    """Return the annotations of the model in an annotation such as `dict[str, Model] | None`."""
    if of_model := getattr(annotation, "model_fields", None):
        return {name: one.annotation for name, one in of_model.items()}
    if isinstance(annotation, type) and is_dataclass(annotation):
        hints = get_type_hints(annotation)
        return {one.name: hints[one.name] for one in fields(annotation)}
    return next((found for inner in get_args(annotation) if (found := _fields(inner))), {})
