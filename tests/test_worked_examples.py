"""Every worked example in a docstring of the program comes out as it is written there."""

from __future__ import annotations

import doctest
import importlib
import importlib.util
import pkgutil
import re
from pathlib import Path

import pytest

import tiecoat
import tiecoat.plugins
import tiecoat.schemas

PROMPT = re.compile(r"^\s*>>> ", re.MULTILINE)


def examples_written() -> dict[str, int]:
    """How many examples the source of each module shows, of those that show any."""
    packages = (tiecoat, tiecoat.plugins, tiecoat.schemas)  # below one folder, or in three
    names = {package.__name__ for package in packages}
    for package in packages:
        walked = pkgutil.walk_packages(package.__path__, f"{package.__name__}.")
        names |= {module.name for module in walked}
    written = {}
    for name in sorted(names):
        spec = importlib.util.find_spec(name)
        assert spec is not None
        assert spec.origin is not None
        written[name] = len(PROMPT.findall(Path(spec.origin).read_text(encoding="utf-8")))
    return {name: count for name, count in written.items() if count}


@pytest.mark.parametrize(("name", "written"), examples_written().items())
def test_the_worked_examples_of_a_module_come_out(
    name: str, written: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a docstring shows is what comes out where `archive_example` lies; none is left out."""
    monkeypatch.chdir(Path(__file__).parent.parent)
    runner, told = doctest.DocTestRunner(verbose=False), list[str]()
    for one in doctest.DocTestFinder().find(importlib.import_module(name)):
        runner.run(one, out=told.append)
    assert runner.failures == 0, "".join(told)
    assert runner.tries == written
