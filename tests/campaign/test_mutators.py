"""The changes that are made on purpose, and whether the command that makes them counts rightly."""

from __future__ import annotations

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from mutators import audible, changes, drawn, plain
from swapping import only_functions_differ, swap

CAMPAIGN = Path(__file__).parent
PARTS = (
    "calls_heard.py",
    "covering.py",
    "mutate.py",
    "mutators.py",
    "swapping.py",
    "tree_copies.py",
    "tried.py",
    "trying.py",
)


def made(source: str) -> dict[str, list[str]]:
    """Return by sort what becomes of a source, one line for each change."""
    found: dict[str, list[str]] = {}
    for change in changes(source):
        found.setdefault(change.sort, []).append(change.source())
    return found


@pytest.mark.parametrize(
    ("source", "sort", "expected"),
    [
        ("a < b", "comparison", ["a <= b", "a >= b"]),
        ("a >= b", "comparison", ["a > b", "a < b"]),
        ("a == b", "comparison", ["a != b"]),
        ("a is None", "comparison", ["a is not None"]),
        ("a not in b", "comparison", ["a in b"]),
        ("0 < a <= 1", "comparison", ["0 <= a <= 1", "0 >= a <= 1", "0 < a < 1", "0 < a > 1"]),
        ("a + b", "operator", ["a - b"]),
        ("a / b", "operator", ["a * b"]),
        ("a ** b", "operator", ["a * b"]),
        ("a | b", "operator", ["a & b"]),
        ("a += b", "operator", ["a -= b"]),
        ("not a", "operator", ["a"]),
        ("-a", "operator", ["a"]),
        ("a and b", "and/or", ["a or b", "b", "a"]),
        ("a or b or c", "and/or", ["a and b and c", "b or c", "a or c", "a or b"]),
        ("a = True", "constant", ["a = False"]),
        ("a = 7", "constant", ["a = 8"]),
        ("a = 0.5", "constant", ["a = 0.505", "a = 1.0"]),
        ("a = 0.0", "constant", ["a = 1.0", "a = -1.0"]),
        ("a = 'mark'", "text", ["a = 'markX'"]),
        ("a = f'{b} mm'", "text", ["a = f'{b} mmX'"]),
        ("a if b else c", "guard", ["a if True else c", "a if False else c"]),
        ("[a for a in b if c]", "guard", ["[a for a in b if True]"]),
    ],
)
def test_each_sort_of_change(source: str, sort: str, expected: list[str]) -> None:
    """One thing is another one at a time, and all the rest stays."""
    assert made(source)[sort] == expected


def test_guards_are_decided_for_good() -> None:
    """Each `if` is always taken and never; a loop is never begun, for without end it would hang."""
    source = "if a:\n    b()\nwhile c:\n    d()"
    assert made(source)["guard"] == [
        "if True:\n    b()\nwhile c:\n    d()",
        "if False:\n    b()\nwhile c:\n    d()",
        "if a:\n    b()\nwhile False:\n    d()",
    ]


def test_statements_go() -> None:
    """A call, a raise, a change of what there is, a value that is returned: each is left out."""
    source = (
        "def f(a):\n    g(a)\n    a.b = 1\n    a = a + 1\n    c = 2\n    if c:\n        raise E\n"
        "    for d in a:\n        continue\n    return a"
    )
    gone = ["g(a)", "a.b = 1", "a = a + 1", "raise E", "continue"]
    assert made(source)["statement"] == [
        *(source.replace(statement, "pass", 1) for statement in gone),
        source.replace("return a", "return None"),
    ]


@pytest.mark.parametrize(
    "source",
    [
        '"""A module."""',
        'def f():\n    """A function."""\n    return None',
        "import a\nfrom b import c",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    a = 1",
        "__all__ = ['a']",
        "a: int | None",
        "def f(a: int | None) -> int | None:\n    return None",
        "A: TypeAlias = tuple[int, 'B']",
        "@cache(size=3)\ndef f():\n    return None",
        "b = f'{a:.3f}'",
        "assert a",
    ],
)
def test_what_no_test_could_see_is_left_alone(source: str) -> None:
    """Docstrings, annotations, imports and the like are not changed."""
    assert changes(source) == []


def test_a_change_says_where_it_stands() -> None:
    """Its line, and its function as the interpreter names it; outside of any, none."""
    source = (
        "A = 1\nclass B:\n    c = 2\n    def d(self, e=3):\n        def f():\n            g(4)\n"
        "        return lambda: 5\n"
    )
    found = {c.before: (c.line, c.function) for c in changes(source) if c.sort == "constant"}
    assert found == {
        "1": (1, ""),
        "2": (3, ""),
        "3": (4, "B.d"),
        "4": (6, "B.d.<locals>.f"),
        "5": (7, "B.d"),
    }


def test_a_change_undoes_itself() -> None:
    """However many changes were written out, the next one stands alone."""
    source = "if a < 1 and b:\n    c = f(2)"
    every = changes(source)
    first = [change.source() for change in every]
    assert [change.source() for change in reversed(every)] == first[::-1]
    assert len(set(first) | {plain(source)}) == len(every) + 1


def test_the_same_changes_are_drawn_each_time() -> None:
    """From one seed the same, from another others, and every sort before one comes often."""
    source = Path(CAMPAIGN / "mutators.py").read_text(encoding="utf-8")
    every = changes(source)
    sorts = {change.sort for change in every}
    first = drawn(every, 30, "seed a")
    assert first == drawn(changes(source), 30, "seed a") != drawn(every, 30, "seed b")
    assert len({change.number for change in first}) == 30
    counts = [sum(change.sort == sort for change in first) for sort in sorts]
    assert max(counts) - min(counts) <= 1
    assert sorted(c.number for c in drawn(every, 10**6, "seed a")) == list(range(len(every)))


def test_what_comes_out_is_another_module() -> None:
    """It is Python, and not the same as before, for changes of a real module."""
    source = Path(CAMPAIGN / "tried.py").read_text(encoding="utf-8")
    before = ast.dump(ast.parse(source))
    for change in drawn(changes(source), 70, "seed"):
        assert ast.dump(ast.parse(change.source())) != before, change


def test_a_function_is_changed_where_it_is_loaded() -> None:
    """Whoever has it calls the changed one, what it makes included; nothing is loaded again."""
    source = "def f(a):\n    return lambda: [a + 1 for _ in 'b']\ndef g():\n    return 2\n"
    loaded: dict[str, Any] = {}
    exec(compile(source, "a path", "exec"), loaded)
    f, g = loaded["f"], loaded["g"]
    (change,) = [change for change in changes(source) if change.sort == "operator"]
    swap([f, g], source, "a path", change)
    assert (f(3)(), g()) == ([2], 2)


@pytest.mark.parametrize(
    ("source", "answer"),
    [
        ("def f():\n    return 1", True),
        ("class A:\n    def f(self):\n        return lambda: 1", True),
        ("def f():\n    def g(a=1):\n        return a", True),
        ("a = 1", False),
        ("def f(a=1):\n    pass", False),
        ("class A:\n    def f(self, a=1):\n        pass", False),
        ("class A:\n    a = 1", False),
    ],
)
def test_what_runs_when_a_module_is_loaded_is_known(source: str, answer: bool) -> None:
    """A default or a value of a class is there before any function is called."""
    (change,) = [change for change in changes(source) if change.sort == "constant"]
    assert only_functions_differ(source, change) == answer


def test_each_function_says_that_it_is_called() -> None:
    """Within functions and classes too, by the name that a change gives it."""
    source = (
        '"""A module."""\nfrom __future__ import annotations\nclass A:\n    def f(self):\n'
        '        """Do it."""\n        def g():\n            pass\n'
    )
    assert audible(source, "a.py") == (
        '"""A module."""\nfrom __future__ import annotations\n'
        "from calls_heard import hear as _hear\n\nclass A:\n\n    def f(self):\n"
        '        """Do it."""\n        _hear(\'a.py\\tA.f\')\n\n        def g():\n'
        "            _hear('a.py\\tA.f.<locals>.g')\n            pass"
    )


MODULES = {
    "counted": """
def total(values: list[int]) -> int:
    return sum(values) - 0

def elsewhere() -> int:
    return 4

def unasked() -> int:
    return 2
""",
    "early": """
def first() -> int:
    return 5

FIRST = first()
""",
    "endless": """
def ends() -> bool:
    while False:
        pass
""",
}
TESTS = {
    "counted": """
import subprocess
import sys
import pytest
from tiecoat.compare.counted import total, unasked

@pytest.fixture(scope="module")
def lazy():
    return total([1, 2])

def test_first(lazy):
    assert lazy is not None

def test_second(lazy):
    assert lazy == 3

def test_in_another_process():
    code = "from tiecoat.compare.counted import elsewhere; print(elsewhere())"
    assert subprocess.run([sys.executable, "-c", code], stdout=-1, text=True).stdout == "4\\n"

def test_that_fails():
    assert total([1, 2]) == 4
""",
    "early": """
from tiecoat.compare.early import FIRST

def test_early():
    assert FIRST == 5
""",
    "endless": """
from tiecoat.compare.endless import ends

def test_end():
    ends()
""",
}

FREEZES = """
import gc

def pytest_collection_finish():
    gc.freeze()
"""


@pytest.fixture
def small_tree(tmp_path: Path) -> Path:
    """A tree like ours, with three modules and their tests, and less patience.

    As with ours, what has been collected is frozen.
    """
    tree = tmp_path / "tree"
    for folder in ("core/compare", "plugins", "schemas", "tests/compare", "tests/campaign"):
        (tree / folder).mkdir(parents=True)
    for part in PARTS:
        shutil.copy(CAMPAIGN / part, tree / "tests/campaign" / part)
    trying = tree / "tests/campaign/trying.py"
    patient = trying.read_text(encoding="utf-8")
    assert "START_S = 10.0" in patient
    trying.write_text(patient.replace("START_S = 10.0", "START_S = 5.0"), encoding="utf-8")
    for package in (tree / "core", tree / "core/compare"):
        (package / "__init__.py").write_text("")
    for name, source in MODULES.items():
        (tree / f"core/compare/{name}.py").write_text(source)
        (tree / f"tests/compare/test_{name}.py").write_text(TESTS[name])
    (tree / "tests/conftest.py").write_text(FREEZES)
    (tree / "pyproject.toml").write_text(
        "[project]\ndependencies = []\noptional-dependencies.test = []\n"
        '[tool.setuptools.package-dir]\ntiecoat = "core"\n"tiecoat.plugins" = "plugins"\n'
        '"tiecoat.schemas" = "schemas"\n[tool.pytest.ini_options]\n'
    )
    return tree


def mutate(tree: Path, *options: str) -> tuple[int, str]:
    """Run the command on the tree; return its exit code and its table."""
    command = [sys.executable, str(tree / "tests/campaign/mutate.py"), *options]
    done = subprocess.run(
        [*command, "--work", str(tree.parent / "work")], capture_output=True, text=True, check=False
    )
    assert done.stderr == ""
    assert done.stdout.endswith(f"written to {tree.parent / 'work' / 'table.txt'}\n")
    return done.returncode, done.stdout


def counts(printed: str) -> dict[str, tuple[int, ...]]:
    """Return the numbers of the table, by the name of the row."""
    found = {}
    for line in printed.partition("module  ")[2].splitlines()[1:]:
        name, *numbers = line.split()[:5] or [""]
        if len(numbers) == 4 and all(number.isdecimal() for number in numbers):
            found[name] = tuple(map(int, numbers))
    return found


@pytest.mark.thorough
@pytest.mark.skipif(not hasattr(os, "fork"), reason="runs are forks of one process")
def test_changes_are_counted_by_what_the_tests_say(small_tree: Path) -> None:
    """Each change is shown to the tests that could notice it.

    Noticed: by the first test, by one that has a value from a fixture, by one that asks another
    process, by one whose value was there before it. Not: what changes nothing, what no test asks,
    and what runs on until its time is over.
    """
    code, printed = mutate(small_tree)
    assert code == 1
    assert counts(printed) == {
        "core/compare/counted.py": (7, 4, 3, 0),
        "core/compare/early.py": (2, 2, 0, 0),
        "core/compare/endless.py": (1, 0, 0, 1),
        "constant": (5, 3, 1, 1),
        "operator": (1, 0, 1, 0),
        "statement": (4, 3, 1, 0),
        "all": (10, 6, 3, 1),
    }
    file, early_file = "tests/compare/test_counted.py", "tests/compare/test_early.py"
    assert f"left out, for it fails on the code as it is: {file}::test_that_fails" in printed
    noticed = [line for line in printed.splitlines() if line.startswith("noticed: ")]
    place = "core/compare/counted.py"
    total, other = f"{place}:3 in total", f"{place}:6 in elsewhere"
    early = "core/compare/early.py:3 in first"
    assert sorted(noticed) == [
        f"noticed: {total}: constant: 0 -> 1 [{file}::test_second]",
        f"noticed: {total}: statement: return sum(values) - 0 -> return None [{file}::test_first]",
        f"noticed: {other}: constant: 4 -> 5 [{file}::test_in_another_process]",
        f"noticed: {other}: statement: return 4 -> return None [{file}::test_in_another_process]",
        f"noticed: {early}: constant: 5 -> 6 [{early_file}::test_early]",
        f"noticed: {early}: statement: return 5 -> return None [{early_file}::test_early]",
    ]
    assert printed.partition("survived: 3\n")[2].splitlines()[:6] == [
        f"  {total}: operator: sum(values) - 0 -> sum(values) + 0 [2 tests]",
        f"  {place}:9 in unasked: statement: return 2 -> return None [0 tests]",
        f"  {place}:9 in unasked: constant: 2 -> 3 [0 tests]",
        "",
        "timed out: 1",
        "  core/compare/endless.py:3 in ends: constant: False -> True [1 tests]",
    ]


@pytest.mark.thorough
@pytest.mark.skipif(not hasattr(os, "fork"), reason="runs are forks of one process")
def test_a_change_is_tried_again_once_a_test_has_changed(small_tree: Path) -> None:
    """Nothing is tried twice in vain; what survived is, with a new test beside it."""
    _, printed = mutate(small_tree)
    again = mutate(small_tree)
    assert "0 changes to try, 10 tried before" in again[1]
    assert (again[0], counts(again[1])) == (1, counts(printed))

    tests = small_tree / "tests/compare/test_counted.py"
    more = "\ndef test_what_was_unasked():\n    assert unasked() == 2\n"
    tests.write_text(tests.read_text() + more)
    code, printed = mutate(small_tree, "--modules", "compare/counted*")
    assert "3 changes to try, 4 tried before" in printed
    assert (code, counts(printed)["all"]) == (1, (7, 6, 1, 0))
