"""What the program stands on is bounded by what the tests have passed with, and pinned to start."""

from __future__ import annotations

import importlib.util
import subprocess
import tomllib
from collections.abc import Iterator
from importlib.metadata import requires
from pathlib import Path
from typing import Any

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).parents[1]
PINS = ROOT / ".ci" / "constraints.txt"
CALENDAR = "tzdata"  # of which only the newest is right


def project() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def required() -> list[Requirement]:
    """Return all that pyproject.toml asks for."""
    found = project()
    lists = [
        found["build-system"]["requires"],
        found["project"]["dependencies"],
        *found["project"]["optional-dependencies"].values(),
    ]
    return [Requirement(text) for texts in lists for text in texts]


def pinned() -> dict[str, Version]:
    """Return what the constraints file names."""
    lines = PINS.read_text(encoding="utf-8").splitlines()
    pairs = [line.split("==") for line in lines if line and not line.startswith("#")]
    return {canonicalize_name(name): Version(version) for name, version in pairs}


def needed(name: str, extra: str = "") -> Iterator[str]:
    """Yield what a distribution of this environment needs, and what that needs."""
    for text in requires(name) or []:
        one = Requirement(text)
        if one.marker is None or one.marker.evaluate({"extra": extra}):
            yield canonicalize_name(one.name)


@pytest.mark.parametrize("one", required(), ids=str)
def test_whatever_is_needed_has_bounds_and_a_tested_version_within(one: Requirement) -> None:
    """A lower bound and an upper one, and the version that a fresh machine gets lies between."""
    operators = {specifier.operator for specifier in one.specifier}
    assert operators == ({">="} if one.name == CALENDAR else {">=", "<"})
    assert one.specifier.contains(pinned()[canonicalize_name(one.name)])


def test_nothing_comes_along_unpinned() -> None:
    """All that what is needed needs is pinned too, so that next year's machine is this one."""
    every, new = set[str](), {*needed("tiecoat", "test")}
    while new:
        every |= new
        new = {one for name in new for one in needed(name)} - every
    assert {name for name in every if name not in pinned()} == {"tiecoat"} & every
    assert len(every) > 50


def test_a_fresh_machine_is_set_up_with_the_pins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The command of the README hands them to pip."""
    spec = importlib.util.spec_from_file_location("start", ROOT / ".ci" / "start.py")
    assert spec
    assert spec.loader
    start = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(start)
    called: list[tuple[list[str], Path]] = []

    def call(command: list[str], cwd: Path) -> int:
        called.append((command, cwd))
        return 0

    for folder in ("bin", "Scripts"):
        (tmp_path / folder).mkdir()
        for name in ("python", "python.exe"):
            (tmp_path / folder / name).touch()
    monkeypatch.setattr(start, "PLACE", tmp_path)
    monkeypatch.setattr(subprocess, "call", call)
    monkeypatch.setattr("sys.argv", ["start.py", "test"])
    assert start.main() == 0
    (install, folder), _ = called
    assert install[1:4] == ["-m", "pip", "install"]
    assert (folder / install[install.index("--constraint") + 1]).samefile(PINS)
