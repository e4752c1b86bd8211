"""Laying out a new plugin: a package, or a file for a lab's readers folder, with its tests.

What is laid out works, and its tests pass: whoever changes it goes on from there.
"""

from __future__ import annotations

import keyword
import re
import sys
from collections.abc import Mapping
from importlib.resources import files
from pathlib import Path
from string import Template

from tiecoat.disk import fsio
from tiecoat.errors import QueryInvalid
from tiecoat.extend.loading import ANNOUNCE, COMMAND, EVALUATE, KIND, REPORT, built_in_kinds
from tiecoat.wording import listed

NAME = re.compile(r"[a-z][a-z0-9_]{2,29}")
_PACKAGE: Mapping[str, str] = {  # where it stands -> what it is made from
    "pyproject.toml": "pyproject.toml.txt",
    "README.md": "README.md.txt",
    "$name.py": "plugin.py.txt",
    "evaluate_$name.py": "evaluate.py.txt",
    "tests/test_$name.py": "test.py.txt",
    "tests/exports/drops.csv": "example.csv.txt",
    "tests/exports/drops.csv.$name.rows.csv": "rows.csv.txt",
    "tests/exports/broken/not-a-number.height.csv": "broken.csv.txt",
    "tests/exports/fingerprints.json": "fingerprints.json.txt",
}
_TESTS = "tests"  # a folder within readers/, where nothing is loaded from


def new_plugin(name: str, folder: Path) -> list[Path]:
    """Lay out a package in a new folder, and return its files.

    Parameters
    ----------
    name
        Of its module, kind and evaluation: lower-case letters, digits and underscores.
    folder
        A folder that does not exist yet or is empty.

    Raises
    ------
    QueryInvalid
        If the name will not do, or something is there already: nothing is written then.
    """
    _refuse(name)
    if fsio.is_there(folder) and (not fsio.is_folder(folder) or fsio.names_in(folder)):
        raise QueryInvalid(f"{folder} exists and is not empty; name a new folder")
    return _written(folder, name, _PACKAGE, "HERE.parent", "exports")


def new_reader(name: str, readers: Path) -> list[Path]:
    """Lay out a plugin in the readers folder of a lab, its tests in a folder there.

    Raises
    ------
    QueryInvalid
        As for `new_plugin`.
    """
    _refuse(name)
    layout = {
        place.replace("tests/exports", f"{_TESTS}/{name}").replace(
            "tests/test_", f"{_TESTS}/test_"
        ): made
        for place, made in _PACKAGE.items()
        if place.endswith(("$name.py", ".csv", ".json"))
    }
    handed = f'HERE.parent / "{name}.py", HERE.parent / "{EVALUATE}{name}.py"'
    return _written(readers, name, layout, handed, name)


def _refuse(name: str) -> None:
    taken = keyword.iskeyword(name) or name in sys.stdlib_module_names
    if taken or name in {kind.name for kind in built_in_kinds()}:
        raise QueryInvalid(f"{name!r} is the name of something else already; choose another")
    kept = (EVALUATE, REPORT, COMMAND, ANNOUNCE, KIND)
    if not NAME.fullmatch(name) or name.startswith(kept):
        raise QueryInvalid(
            f"{name!r} is no name for a plugin: lower-case letters, digits and underscores, 3 to 30"
            f" of them, such as falling_weight; not beginning with {listed(kept, ' or ')}"
        )


def _written(
    folder: Path, name: str, layout: Mapping[str, str], handed: str, exports: str
) -> list[Path]:
    told = {"name": name, "package": name.replace("_", "-"), "handed": handed, "exports": exports}
    pieces = files("tiecoat.extend") / "layout"
    texts = {
        folder / Template(place).substitute(told): Template(
            (pieces / made).read_text(encoding="utf-8")
        ).substitute(told)
        for place, made in layout.items()
    }
    if there := [path for path in texts if fsio.is_there(path)]:
        raise QueryInvalid(f"{there[0]} is there already; choose another name")
    for path, text in texts.items():
        fsio.make_dirs(path.parent)
        path.write_text(text, encoding="utf-8", newline="\n")
    return list(texts)
