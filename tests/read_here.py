"""Readers in this process: what a worker would do is done here, with the same answers.

For each `take` workers start and end, which costs more than most tests do themselves. What workers
guard against is tested where they are: `conftest.py` names the tests that do without them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from typing import Any, TypeVar
from unittest import mock

from tiecoat.intake.workers import pool
from tiecoat.intake.workers.pool import ReaderPool

T = TypeVar("T")

IN_WORKERS = ReaderPool._start


class Here:
    """What stands in place of the worker processes of a lab."""

    def __init__(self, of: ReaderPool) -> None:
        lab = of._lab
        self._worker = pool._ReaderWorker(
            lab.readers, lab.settings.readers.folder, lab.habits, lab.reading
        )

    def schedule(self, call: Callable[..., T], args: tuple[Any, ...], timeout: float) -> Future[T]:
        """Do it at once, however long it takes."""
        future: Future[T] = Future()
        with mock.patch.object(pool, "_worker", self._worker):
            try:
                future.set_result(call(*args))
            except Exception as error:  # noqa: BLE001 - it comes out where a worker's would
                future.set_exception(error)
        return future

    def close(self) -> None:
        """Nothing was started."""

    stop = close

    def join(self, timeout: float | None = None) -> None:
        """Nothing is waited for."""


def _start(of: ReaderPool) -> Any:
    return Here(of)


@contextmanager
def read_here() -> Iterator[None]:
    """Labs read in this process."""
    with mock.patch.object(ReaderPool, "_start", _start):
        yield


@contextmanager
def read_in_workers() -> Iterator[None]:
    """Labs read as they do in life."""
    with mock.patch.object(ReaderPool, "_start", IN_WORKERS):
        yield
