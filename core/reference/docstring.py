"""Docstrings as we write them (numpydoc) -> Markdown."""

from __future__ import annotations

import inspect
import re
from collections.abc import Iterator, Sequence

_RULE = re.compile(r"-{3,}$")
_TERMS = {"Parameters", "Attributes", "Raises", "Returns", "Yields"}
_CITED = re.compile(r"\.\. \[(\d+)\] (.*)")
_MATHS = re.compile(r":math:`([^`]+)`")
_MATHS_BLOCK = re.compile(r"\.\. math::\s*(.*)")


def summary_of(doc: str | None) -> str:
    """Return the first sentence of a docstring, in one line."""
    return " ".join(inspect.cleandoc(doc or "").split("\n\n")[0].split())


def markdown_of(doc: str | None) -> str:
    """Return a docstring as Markdown: sections as bold lines, parameters and references as lists.

    Formulas stay in the notation of LaTeX, as code.

    Examples
    --------
    >>> print(markdown_of("Say it.\\n\\nParameters\\n----------\\nword\\n    What to say."))
    Say it.
    <BLANKLINE>
    **Parameters**
    <BLANKLINE>
    - **`word`**: What to say.
    """
    lines = inspect.cleandoc(doc or "").splitlines()
    return re.sub(r"\n{3,}", "\n\n", "\n".join(_lines(lines))).strip()


def row_of(cells: Sequence[str]) -> str:
    """Return a row of a Markdown table."""
    return "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _lines(lines: list[str]) -> Iterator[str]:
    section, at = "", 0
    while at < len(lines):
        line = lines[at]
        if at + 1 < len(lines) and line.strip() and _RULE.match(lines[at + 1].strip()):
            section, at = line.strip(), at + 2
            yield from ("", f"**{section}**", "")
        elif line.lstrip().startswith(">>>"):
            end = next((n for n in range(at, len(lines)) if not lines[n].strip()), len(lines))
            yield from ("", "```python", *lines[at:end], "```", "")
            at = end
        elif maths := _MATHS_BLOCK.match(line.strip()):
            end = _end_of(lines, at)
            below = [one.strip() for one in lines[at + 1 : end]]
            yield from ("", "```", *filter(None, [maths[1], *below]), "```", "")
            at = end
        elif cited := _CITED.match(line):
            end = _end_of(lines, at)
            below = [one.strip() for one in lines[at + 1 : end]]
            yield f"{cited[1]}. {_inline(' '.join([cited[2], *below]))}"
            at = end
        elif section in _TERMS and line.strip() and not line.startswith(" "):
            end = _end_of(lines, at)
            said = "\n  ".join(inspect.cleandoc("\n".join(["", *lines[at + 1 : end]])).splitlines())
            term = line if "`" in line else f"`{line}`"
            yield f"- **{term}**: {_inline(said)}" if said else f"- {_inline(line)}"
            at = end
        else:
            yield _inline(line)
            at += 1


def _end_of(lines: list[str], begin: int) -> int:
    """Return the line behind those that are indented further than the one they belong to."""
    depth = len(lines[begin]) - len(lines[begin].lstrip())
    for number in range(begin + 1, len(lines)):
        line = lines[number]
        if line.strip() and len(line) - len(line.lstrip()) <= depth:
            return number
    return len(lines)


def _inline(text: str) -> str:
    return re.sub(r"\[(\d+)\]_", r"[\1]", _MATHS.sub(r"`\1`", text))
