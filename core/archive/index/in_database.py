"""What the parts of the index in SQLite ask of the whole."""

from __future__ import annotations

from collections.abc import Iterable
from contextlib import AbstractContextManager
from typing import Any


class InDatabase:
    """Reaches the database; whoever inherits a part says how."""

    def _rows(self, sql: str, *values: Any) -> list[tuple[Any, ...]]:
        raise NotImplementedError

    def _do(self, sql: str, *values: Any) -> None:
        raise NotImplementedError

    def _many(self, sql: str, rows: Iterable[tuple[Any, ...]]) -> None:
        raise NotImplementedError

    def _transaction(self) -> AbstractContextManager[None]:
        raise NotImplementedError
