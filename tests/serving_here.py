"""The service in a thread of the test's own process, with the workers that it keeps warm.

For tests of what the service does; those of how it starts, ends and prints need one of its own.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from labs import LabAtWork, wait_until

from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.taking_in import serve


class Running:
    """`serve` in a thread, and what it has said and told."""

    def __init__(self, lab: LabAtWork) -> None:
        self.said: list[str] = []
        self.told: list[Outcome] = []
        self.stop, self.wake = threading.Event(), threading.Event()
        teller = Teller(self.said.append, self.told.append)
        self.thread = threading.Thread(target=serve, args=(lab.lab, teller, self.stop, self.wake))

    def filed(self, name: str) -> bool:
        """Say whether this file was filed."""
        return any(outcome.name == name and outcome.status == "filed" for outcome in self.told)

    def wait_for(self, name: str) -> None:
        """Wait until this file is filed."""
        wait_until(lambda: self.filed(name), f"{name}, said is {self.said}")

    def wait_said(self, words: str, after: int = 0) -> None:
        """Wait until these words are said, after so many lines."""
        wait_until(lambda: any(words in line for line in self.said[after:]), words)


@contextmanager
def serving_here(lab: LabAtWork) -> Iterator[Running]:
    """Serve a lab in a thread of this process."""
    running = Running(lab)
    running.thread.start()
    try:
        yield running
    finally:
        running.stop.set()
        running.wake.set()
        running.thread.join(30)
    assert not running.thread.is_alive()
