"""Every worked example in a docstring of the program comes out as it is written there."""

from __future__ import annotations

import doctest
import importlib
import re
from pathlib import Path

import pytest
from program_sources import sources

PROMPT = re.compile(r"^\s*>>> ", re.MULTILINE)


def examples_written() -> dict[str, int]:
    """How many examples the source of each module shows, of those that show any."""
    written = {name: len(PROMPT.findall(source)) for name, source in sources().items()}
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
