"""How far a command is, on the errors' stream of a terminal, so that the output stays as it is."""

from __future__ import annotations

import sys
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress, TaskID

PATIENCE_S = 1.0  # what takes no longer shows nothing


class Bars:
    """Bars that are shown once a command has taken a while."""

    def __init__(self) -> None:
        self._progress = _progress()
        self._bars: dict[str, TaskID] = {}
        self._later = threading.Timer(PATIENCE_S, self._progress.start)
        self._later.daemon = True
        self._later.start()

    def told(self, what: str, done: int, total: int) -> None:
        """Show how far one thing is."""
        if what not in self._bars:
            self._bars[what] = self._progress.add_task(what)
        bar = self._bars[what]
        self._progress.update(bar, completed=done, total=total, visible=done < total)

    def close(self) -> None:
        """Take all bars away."""
        self._later.cancel()
        self._later.join()
        self._progress.stop()


def _progress() -> Progress:
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn
    from rich.progress import TimeRemainingColumn as Remaining

    return Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        Remaining(),
        console=Console(stderr=True),
        transient=True,
        redirect_stdout=sys.stdout.isatty(),  # a file gets what it would get without bars
    )
