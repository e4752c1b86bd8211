"""Laying out a new plugin: a package, or files for a lab's readers folder, with its tests.

What is laid out works, and its tests pass: whoever changes it goes on from there.
"""

from __future__ import annotations

import keyword
import re
import sys
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

from jinja2 import Environment, PackageLoader, StrictUndefined

from tiecoat.contract.lab_command import OWN_COMMANDS
from tiecoat.contract.study_page import OWN_SECTIONS
from tiecoat.disk import fsio
from tiecoat.errors import QueryInvalid
from tiecoat.extend.loading import ANNOUNCE, COMMAND, EVALUATE, KIND, REPORT, built_in_kinds
from tiecoat.wording import listed

NAME = re.compile(r"[a-z][a-z0-9_]{2,29}")
PAIR = "pair"  # an export of two files, a head and a table
PARTS = (PAIR, "property", "figure", "page", "command")  # what is laid out on request
_EXPORTS = "tests/exports"


class LaidOut(NamedTuple):
    """A file of a new plugin, and what stands in it."""

    path: Path
    words: str


class _ToLayOut(NamedTuple):
    """A file to lay out: where, from which text, what stands in it; in a readers folder too?"""

    place: str
    text: str
    words: str
    in_lab: bool = True


def _pieces(name: str, parts: Collection[str]) -> Iterator[_ToLayOut]:
    """Yield the files of a package."""
    yield _ToLayOut("pyproject.toml", "pyproject.toml", "what pip installs", in_lab=False)
    yield _ToLayOut("README.md", "README.md", "how to go on", in_lab=False)
    yield _ToLayOut(f"{name}.py", "plugin.py", "the kind and its reader")
    shown = [one for one in ("property", "figure", "page") if one in parts]
    brought = listed(["the evaluation", *shown], " and ")
    yield _ToLayOut(f"{EVALUATE}{name}.py", "evaluate.py", brought)
    if "command" in parts:
        yield _ToLayOut(f"{COMMAND}{name}.py", "command.py", f"tiecoat {_command(name)}")
    yield _ToLayOut(f"tests/test_{name}.py", "test.py", "has the kit look at all of it")
    yield from _examples("drops", name, parts)
    yield _ToLayOut(f"{_EXPORTS}/fingerprints.json", "fingerprints.json", "what versions were like")


def _examples(stem: str, name: str, parts: Collection[str]) -> Iterator[_ToLayOut]:
    """Yield an export that is filed, with its rows, and one that is held."""
    good, broken = f"{_EXPORTS}/{stem}", f"{_EXPORTS}/broken/not-a-number"
    if PAIR in parts:
        yield _ToLayOut(f"{good}.fwh/{stem}.fwh", "head.fwh", "the head of an example export")
        yield _ToLayOut(f"{good}.fwh/{stem}.fwd", "example.csv", "its table")
        rows = f"{good}.fwh"
    else:
        yield _ToLayOut(f"{good}.csv", "example.csv", "an example export")
        rows = f"{good}.csv"
    yield _ToLayOut(f"{rows}.{name}.rows.csv", "rows.csv", "what must be filed of it")
    if PAIR in parts:
        folder = f"{broken}.fwh/not-a-number"
        yield _ToLayOut(f"{folder}.fwh", "broken.fwh", "the head of one that must be held")
        yield _ToLayOut(f"{folder}.fwd", "broken.csv", "its table")
    else:
        yield _ToLayOut(f"{broken}.height.csv", "broken.csv", "one that must be held")


def new_plugin(name: str, folder: Path, parts: Collection[str] = ()) -> list[LaidOut]:
    """Lay out a package in a new folder, and return its files.

    Parameters
    ----------
    name
        Of its module, kind and evaluation: lower-case letters, digits and underscores.
    folder
        A folder that does not exist yet or is empty.
    parts
        Some of `PARTS`, which it has besides a kind, a reader of tables and an evaluation.

    Raises
    ------
    QueryInvalid
        If the name will not do, or something is there already: nothing is written then.
    """
    _refuse(name)
    if fsio.is_there(folder) and (not fsio.is_folder(folder) or fsio.names_in(folder)):
        raise QueryInvalid(f"{folder} exists and is not empty; name a new folder")
    layout = {piece.place: piece for piece in _pieces(name, parts)}
    return _written(folder, name, parts, layout, handed="HERE.parent", exports="exports")


def new_reader(name: str, readers: Path, parts: Collection[str] = ()) -> list[LaidOut]:
    """Lay out a plugin in the readers folder of a lab, its tests in a folder there.

    Raises
    ------
    QueryInvalid
        As for `new_plugin`.
    """
    _refuse(name)
    layout = {
        piece.place.replace(_EXPORTS, f"tests/{name}"): piece  # nothing is loaded from tests/
        for piece in _pieces(name, parts)
        if piece.in_lab
    }
    modules = [place for place in layout if "/" not in place]
    handed = ", ".join(f'HERE.parent / "{module}"' for module in modules)
    return _written(readers, name, parts, layout, handed=handed, exports=name)


def _refuse(name: str) -> None:
    others = {
        "a word of Python": keyword.iskeyword(name),
        "a module of Python": name in sys.stdlib_module_names,
        "a section of the report": name in OWN_SECTIONS,
        "a command of tiecoat": _command(name) in OWN_COMMANDS,
        "a kind of tiecoat": name in {one.name for one in built_in_kinds()},
    }
    for other, taken in others.items():
        if taken:
            raise QueryInvalid(f"{name!r} is the name of {other}; choose another")
    kept = (EVALUATE, REPORT, COMMAND, ANNOUNCE, KIND)
    if not NAME.fullmatch(name) or name.startswith(kept):
        raise QueryInvalid(
            f"{name!r} is no name for a plugin: lower-case letters, digits and underscores, 3 to 30"
            f" of them, such as falling_weight; not beginning with {listed(kept, ' or ')}"
        )


def _command(name: str) -> str:
    return name.replace("_", "-")


def _written(
    folder: Path,
    name: str,
    parts: Collection[str],
    layout: Mapping[str, _ToLayOut],
    *,
    handed: str,
    exports: str,
) -> list[LaidOut]:
    told = {"name": name, "package": name.replace("_", "-"), "command": _command(name)}
    told |= {"handed": handed, "exports": exports}
    if there := [place for place in layout if fsio.is_there(folder / place)]:
        raise QueryInvalid(f"{folder / there[0]} is there already; choose another name")
    texts = Environment(
        loader=PackageLoader("tiecoat.extend", "layout"),
        autoescape=False,  # code is made, and nothing of it is a stranger's
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    for place, piece in layout.items():
        path = folder / place
        fsio.make_dirs(path.parent)
        text = texts.get_template(f"{piece.text}.txt").render(told, parts=parts)
        path.write_text(text, encoding="utf-8", newline="\n")
    return [LaidOut(folder / place, piece.words) for place, piece in layout.items()]
