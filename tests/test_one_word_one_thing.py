"""One word for one thing, one thing for one word: names of classes and of types."""

from __future__ import annotations

import ast
import importlib.util
import pkgutil
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from pathlib import Path

import tiecoat
import tiecoat.plugins
import tiecoat.schemas

OF_A_TYPE = re.compile(r"_*[A-Z]\w*[a-z]\w*")  # Place, not PLACE


def sources() -> dict[str, str]:
    """The source of every module of the program, by its name."""
    packages = (tiecoat, tiecoat.plugins, tiecoat.schemas)  # below one folder, or in three
    names = {package.__name__ for package in packages}
    for package in packages:
        walked = pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        names |= {module.name for module in walked}
    found = {}
    for name in sorted(names):
        spec = importlib.util.find_spec(name)
        assert spec is not None
        assert spec.origin is not None
        found[name] = Path(spec.origin).read_text(encoding="utf-8")
    return found


def types_of(source: str) -> Iterator[tuple[str, str]]:
    """Each class of a module, and each name that it gives to another type, with what that is."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if isinstance(node, ast.ClassDef):
            yield node.name, "a class"
    for node in tree.body:
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            target = node.target if isinstance(node, ast.AnnAssign) else node.targets[0]
            if isinstance(target, ast.Name) and OF_A_TYPE.fullmatch(target.id):
                yield target.id, ast.unparse(node.value)


def said_of_several(modules: Mapping[str, str]) -> dict[str, list[str]]:
    """Names that two modules give to different things, with the modules; "_" tells none apart.

    Two classes are never the same thing. Two names for a type are, where they say the same type.
    """
    meanings: dict[str, dict[str, str]] = defaultdict(dict)
    for module, source in modules.items():
        for name, meaning in types_of(source):
            meanings[name.lstrip("_")][module] = meaning
    return {
        name: sorted(by_module)
        for name, by_module in sorted(meanings.items())
        if len(by_module) > 1
        and ("a class" in by_module.values() or len(set(by_module.values())) > 1)
    }


def test_no_name_of_a_class_or_type_stands_for_two_things() -> None:
    """A class, private ones too, has its name alone; a name for a type says the same everywhere."""
    modules = sources()
    assert len(modules) > 200
    assert said_of_several(modules) == {}


def test_what_counts_as_two_things() -> None:
    """Two classes, a class and a type, and two types are told; one type named twice is not."""
    one = "class Place: ...\nclass Inner:\n    class Deep: ...\nIds = dict[str, str]\nNO = 1\n"
    other = "class _Place: ...\nclass Ids: ...\nclass Deep: ...\nFloats = list[float]\n"
    third = "Floats: TypeAlias = list[float]\nDeepest = None\nNO = 2\nInner = int\n"
    assert said_of_several({"one": one, "other": other, "third": third}) == {
        "Deep": ["one", "other"],
        "Ids": ["one", "other"],
        "Inner": ["one", "third"],
        "Place": ["one", "other"],
    }
    apart = {"one": "Ids = dict[str, str]", "other": "Ids: TypeAlias = dict[str, int]"}
    assert said_of_several(apart) == {"Ids": ["one", "other"]}
