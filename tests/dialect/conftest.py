"""Exports made of bytes or text."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from tiecoat.dialect.export import Export
from tiecoat.dialect.habits import Habits

BERLIN = Habits(zone=ZoneInfo("Europe/Berlin"))


@pytest.fixture
def export(tmp_path: Path) -> Callable[..., Export]:
    """Write an export and open it with the habits of a lab in Berlin."""

    def make(content: str | bytes, habits: Habits = BERLIN, name: str = "export.csv") -> Export:
        path = tmp_path / name
        path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
        return Export(path, name, "", habits)

    return make
