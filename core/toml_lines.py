"""Where a key of a TOML text stands, and what pydantic found there, for the person who wrote it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pydantic import ValidationError

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"\s*((?:[A-Za-z0-9_-]+|\"[^\"]*\"|'[^']*')(?:\s*\.\s*[A-Za-z0-9_-]+)*)\s*=")


def key_lines(text: str) -> dict[tuple[str | int, ...], int]:
    """Return the line, from 1, of each table header and each key, by its path.

    Examples
    --------
    >>> key_lines("a = 1\\n[b.c]\\nd = 2\\n[[e]]\\nf = 3\\n")[("b", "c", "d")]
    3
    """
    lines: dict[tuple[str | int, ...], int] = {}
    table: tuple[str | int, ...] = ()
    counts: dict[tuple[str | int, ...], int] = {}
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


def _parts(dotted: str) -> tuple[str | int, ...]:
    return tuple(part.strip().strip("\"'") for part in dotted.split("."))


def explain(error: ValidationError, text: str) -> str:
    """Return one line for each thing pydantic found wrong: line, key, value, what is allowed."""
    lines = key_lines(text)
    return "\n".join(_explain_one(dict(problem), lines) for problem in error.errors())


def _explain_one(problem: dict[str, object], lines: dict[tuple[str | int, ...], int]) -> str:
    path = problem["loc"]
    assert isinstance(path, tuple)
    known = next((path[:n] for n in range(len(path), 0, -1) if path[:n] in lines), None)
    where = f"line {lines[known]}: " if known else ""
    name = ".".join(str(part + 1 if isinstance(part, int) else part) for part in path) or "file"
    message = str(problem["msg"]).removeprefix("Value error, ").replace("Input should be", "allowed is")
    if problem["type"] == "extra_forbidden":
        return f"  {where}{name}: there is no such key; see the comments of a new lab for those there are"
    if problem["type"] == "missing":
        return f"  {where}{name}: is missing and needed"
    return f"  {where}{name} = {problem['input']!r}: {message}"
