"""The logs of a service that nobody looks at, in <lab>/log/; none grows too large.

tiecoat.log has all that happened. A burst of files pushes the oldest lines out of it, so what is
said of the service itself (that it started, what was in its way, how it ended) stands in
service.log as well, and nothing else does.
"""

from __future__ import annotations

import contextlib
import logging
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from logging.handlers import RotatingFileHandler
from pathlib import Path

from tiecoat.disk import fsio

LOG = Path("log", "tiecoat.log")
OWN_LOG = LOG.with_name("service.log")
LARGEST = 1_000_000  # bytes of one file
KEPT = 5  # older files beside the current one


class _Rotating(RotatingFileHandler):
    """A log in trouble must not trouble the service: it goes on, if need be without the line."""

    def doRollover(self) -> None:  # noqa: N802 - the name is logging's
        """Begin a new file; where another program has the old one open, go on in that."""
        with contextlib.suppress(OSError):
            super().doRollover()

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: N802
        """Let a line go that cannot be written; the health file tells of a full disk."""


@contextmanager
def log_file(root: Path, log: Path = LOG) -> Iterator[Callable[[str], None]]:
    """Open a log of the lab at `root`; what is returned writes one line with date and time."""
    path = root / log
    _make_folder(path)
    handler = _Rotating(
        path,
        maxBytes=LARGEST,
        backupCount=KEPT,
        encoding="utf-8",
        errors="backslashreplace",
        delay=True,
    )
    handler.setFormatter(logging.Formatter("%(asctime)s  %(message)s", "%Y-%m-%d %H:%M:%S%z"))

    def write(line: str) -> None:
        _make_folder(path)
        record = logging.LogRecord("tiecoat", logging.INFO, str(path), 0, line, None, None)
        handler.handle(record)

    try:
        yield write
    finally:
        handler.close()


def _make_folder(path: Path) -> None:
    """Make the folder of the log, if that can be: a disk may refuse now and take it later."""
    with contextlib.suppress(OSError):
        fsio.make_dirs(path.parent)
