from __future__ import annotations

import shutil
from pathlib import Path

import eventful_lab
import pytest
from archive_rows import make_lab
from labs import LabAtWork

from tiecoat.lab import Lab


@pytest.fixture
def lab(tmp_path: Path) -> Lab:
    return make_lab(tmp_path / "lab")


@pytest.fixture(scope="session")
def eventful(tmp_path_factory: pytest.TempPathFactory) -> LabAtWork:
    """A lab in which everything has happened; not to be changed."""
    return eventful_lab.build(tmp_path_factory.mktemp("eventful") / "lab")


@pytest.fixture
def at_work(eventful: LabAtWork, tmp_path: Path) -> LabAtWork:
    """A copy of the eventful lab, to be damaged."""
    shutil.copytree(eventful.root, tmp_path / "eventful")
    return LabAtWork(tmp_path / "eventful")
