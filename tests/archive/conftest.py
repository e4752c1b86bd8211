from __future__ import annotations

from pathlib import Path

import pytest
from archive_rows import make_lab

from tiecoat.lab.settings import Lab


@pytest.fixture
def lab(tmp_path: Path) -> Lab:
    return make_lab(tmp_path / "lab")
