"""What DEVELOPERS.md says of the tree is so."""

from __future__ import annotations

import ast
import re
from pathlib import Path

TREE = Path(__file__).parent.parent
GUIDE = (TREE / "DEVELOPERS.md").read_text(encoding="utf-8")
PATH = re.compile(r"`((?:core|plugins|schemas|tests|archive_example)/[\w./]*)`")
TYPE = re.compile(r"^\| `(\w+)` \| [^|]+ \| `([\w/.]+)` \|$", re.MULTILINE)


def test_the_paths_in_the_guide_are_there() -> None:
    """A newcomer who follows a path of DEVELOPERS.md finds a file or a folder."""
    paths = set(PATH.findall(GUIDE))
    assert len(paths) > 50
    assert {path for path in paths if not (TREE / path).exists()} == set()


def test_the_types_on_the_way_of_a_file_stand_where_the_guide_says() -> None:
    """Each type in the table is a class of the module named beside it."""
    types = TYPE.findall(GUIDE)
    assert len(types) > 15
    for name, module in types:
        tree = ast.parse((TREE / module).read_text(encoding="utf-8"))
        assert name in {node.name for node in tree.body if isinstance(node, ast.ClassDef)}, module
