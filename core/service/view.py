"""What a person sees while intake runs: a live view in a terminal, plain lines elsewhere."""

from __future__ import annotations

from collections import Counter, deque
from contextlib import suppress
from datetime import datetime
from types import TracebackType
from typing import Self

from rich.console import Console, Group
from rich.live import Live
from rich.table import Table
from rich.text import Text

from tiecoat.intake.outcome import FileStatus, Outcome, Pulse, Teller
from tiecoat.lab.settings import Lab

SHOWN = 12  # outcomes in the live view
MARKS = {
    FileStatus.FILED: "green",
    FileStatus.KNOWN: "cyan",
    FileStatus.HELD: "yellow",
    FileStatus.WAITING: "magenta",
    FileStatus.DAMAGED: "red",
}


class View:
    """Tells what happens; enter it before the service starts.

    Parameters
    ----------
    console
        Where to write.
    lab
        Its inboxes stand in the heading.
    """

    def __init__(self, console: Console, lab: Lab) -> None:
        self._console = console
        self._lab = lab
        self._recent: deque[tuple[datetime, Outcome]] = deque(maxlen=SHOWN)
        self._counts: Counter[FileStatus] = Counter()
        self._pulse = Pulse("starting")
        self._live = (
            Live(console=console, get_renderable=self._render, refresh_per_second=4)
            if console.is_terminal
            else None
        )
        self.teller = Teller(self._line, self._tell, self._beat, self._follow)

    def __enter__(self) -> Self:
        if self._live:
            self._live.start()
        self._follow(self._lab)
        return self

    def _follow(self, lab: Lab) -> None:
        self._lab = lab
        if not self._live:
            inboxes = ", ".join(str(lab.inbox_path(box)) for box in lab.settings.inbox)
            self._line(f"lab {lab.root}, watching {inboxes}; Ctrl-C ends it")

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._live:
            self._live.stop()
        self._line(f"stopped: {self._sums()}")

    def _tell(self, outcome: Outcome) -> None:
        self._counts[outcome.status] += 1
        self._recent.append((datetime.now().astimezone(), outcome))
        if not self._live:
            self._line(outcome.line)

    def _beat(self, pulse: Pulse) -> None:
        self._pulse = pulse

    def _line(self, text: str) -> None:
        stamp = datetime.now().astimezone().strftime("%H:%M:%S")
        # Its stream may be closed; then rich ends the program, and prints no more from then on.
        with suppress(OSError, ValueError, SystemExit):
            self._console.print(f"{stamp}  {text}", markup=False, highlight=False, soft_wrap=True)

    def _sums(self) -> str:
        damaged = self._counts[FileStatus.DAMAGED] > 0  # seldom: told where there is one
        left_out = {FileStatus.WAITING, *(() if damaged else (FileStatus.DAMAGED,))}
        told = (status for status in FileStatus if status not in left_out)
        return ", ".join(f"{self._counts[status]:,} {status}" for status in told)

    def _render(self) -> Group:
        heading = Text.assemble(("tiecoat ", "bold"), str(self._lab.root), "   Ctrl-C ends it")
        inboxes = Text("watching " + ", ".join(box.path for box in self._lab.settings.inbox))
        doing = "reading" if self._pulse.queue else "idle"
        state = f"{self._pulse.waiting} still settling, {doing}"
        return Group(heading, inboxes, self._table(), Text(f"{self._sums()}   ({state})", "bold"))

    def _table(self) -> Table:
        table = Table(box=None, pad_edge=False, expand=True)
        table.add_column("time", style="dim", no_wrap=True)
        table.add_column("", no_wrap=True)
        table.add_column("file", overflow="ellipsis", no_wrap=True, ratio=2)
        table.add_column("where it went, or why it is held", overflow="fold", ratio=5)
        for at, outcome in self._recent:
            mark = Text(outcome.status, MARKS[outcome.status])
            table.add_row(f"{at:%H:%M:%S}", mark, Text(outcome.name), Text(outcome.said))
        return table
