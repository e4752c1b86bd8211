"""Reads the sample exports the way a worker does."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from io import BytesIO
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pyarrow as pa
import pytest

from tiecoat.dialect.habits import Habits
from tiecoat.extend.loading import Plugins, load_plugins
from tiecoat.intake.export_file import ExportFile
from tiecoat.intake.workers.answers import Reading
from tiecoat.intake.workers.reading import read_chunk
from tiecoat.lab.settings import IdPatterns

EXPORTS = Path(__file__).parent.parent / "exports"
HABITS = Habits(
    zone=ZoneInfo("Europe/Berlin"), panel_ids=IdPatterns().panel, batch_ids=IdPatterns().batch
)


@pytest.fixture(scope="session")
def plugins() -> Plugins:
    """The built-in kinds and readers, every one of them loaded."""
    loaded = load_plugins(None)
    assert loaded.problems == ()
    return loaded


@pytest.fixture(scope="session")
def read(plugins: Plugins) -> Callable[[Path], tuple[Reading, dict[str, list[dict[str, Any]]]]]:
    """Reads a file; gives what the worker says of it, and the rows of each kind."""

    def read(path: Path) -> tuple[Reading, dict[str, list[dict[str, Any]]]]:
        sha256 = hashlib.sha256(path.read_bytes()).hexdigest()
        chunk = read_chunk([ExportFile(path, path.name, "", sha256)], plugins, HABITS)
        rows = {
            kind: pa.ipc.open_stream(BytesIO(stream)).read_all().to_pylist()
            for kind, stream in chunk.tables.items()
        }
        return chunk.readings[0], {kind: found for kind, found in rows.items() if found}

    return read
