"""What became of an export, and where it is told."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal, assert_never

from tiecoat.intake.held.files import Held
from tiecoat.lab.settings import Lab
from tiecoat.wording import counted, shortened


class FileStatus(StrEnum):
    """What became of a file that arrived."""

    FILED = "filed"
    KNOWN = "known"
    HELD = "held"
    WAITING = "waiting"
    DAMAGED = "damaged"

    @property
    def is_over(self) -> bool:
        """Whether nobody need do any more about the file: the archive has it."""
        match self:
            case FileStatus.FILED | FileStatus.KNOWN:
                return True
            case FileStatus.HELD | FileStatus.WAITING | FileStatus.DAMAGED:
                return False
            case _:
                assert_never(self)


@dataclass(frozen=True)
class Outcome:
    """One line for a person: what became of one file.

    `tables` lists (kind, batch, measurements) for each table that it went to; `remarks` sums up
    those that `remarked` of them were filed with; `held` is there when the file is held; `note` is
    whatever else must be told; `registers` says that it was filed into a register, for which other
    files may wait. "damaged" is an original that is not what it was: nothing is filed from it;
    `was_held` is the id among the held of a file that waited there until now.
    """

    status: FileStatus
    name: str
    tables: tuple[tuple[str, str, int], ...] = ()
    rows: int = 0
    held: Held | None = None
    note: str = ""
    registers: bool = False
    remarks: tuple[str, ...] = ()
    remarked: int = 0
    was_held: str = ""

    @property
    def line(self) -> str:
        """The outcome with the file's name, in one line."""
        return f"{self.status:<7} {self.name}: {self.said}"

    @property
    def said(self) -> str:
        """Where it went, or why it is held."""
        return self._with(self.why)

    def line_like(self, other: str) -> str:
        """The outcome in one line, where what must be told of it was told of another file."""
        return f"{self.status:<7} {self.name}: {self._with(f'as {other}')}"

    @property
    def why(self) -> str:
        """What must be told of it: remarks, or why it is not filed; "" where nothing must."""
        match self.status:
            case FileStatus.FILED:
                return ", ".join(self.remarks)
            case FileStatus.HELD:
                assert self.held is not None
                first = self.held.faults[0].sentence if self.held.faults else self.held.detail
                why = self.held.reason.text
                return self.note or (f"{why} ({first})" if first and first != why else why)
            case FileStatus.KNOWN | FileStatus.WAITING | FileStatus.DAMAGED:
                return self.note
            case _:
                assert_never(self.status)

    def _with(self, why: str) -> str:
        """Return where it went, with what must be told of it in these words."""
        match self.status:
            case FileStatus.FILED:
                places = ", ".join(
                    f"{kind} {batch} ({counted(n, 'measurement')})"
                    for kind, batch, n in self.tables
                )
                odd = f"; remarked: {why}" if self.remarks else ""
                more = f"; {self.note}" if self.note else ""
                rows = counted(self.rows, "row")
                return f"{shortened(places)}, {rows}{shortened(odd)}{shortened(more)}"
            case FileStatus.HELD:
                assert self.held is not None
                return f"{shortened(why)}; see: tiecoat held show {self.held.id}"
            case FileStatus.KNOWN | FileStatus.WAITING | FileStatus.DAMAGED:
                return shortened(why)
            case _:
                assert_never(self.status)


def in_the_end(outcomes: Iterable[Outcome]) -> list[Outcome]:
    """Return what became of each file: of one that was held and tried again, only the last."""
    ended: list[Outcome] = []
    held: dict[str, list[int]] = {}
    for one in outcomes:
        places = held.pop(one.was_held, [])
        if not places:
            places = [len(ended)]
            ended.append(one)
        for place in places:
            ended[place] = one
        if one.held:
            held.setdefault(one.held.id, []).extend(places)
    return ended


@dataclass(frozen=True)
class Pulse:
    """How intake is at the moment.

    `waiting` files have not settled yet, `queue` files have and are neither filed nor held;
    `remarked` measurements are filed with a remark;
    `troubles` are sentences about what is in the way.
    """

    state: Literal["starting", "watching", "stopping"]
    waiting: int = 0
    queue: int = 0
    troubles: tuple[str, ...] = ()
    remarked: int = 0

    def __post_init__(self) -> None:
        object.__setattr__(self, "troubles", tuple(map(shortened, self.troubles)))


@dataclass
class Teller:
    """Where it is told what happens.

    `say` gets a line about the service itself, `tell` what became of a file, `beat` how intake is
    whenever it has moved on, `follow` the lab when its settings have changed. Whatever the line, it
    is `shortened`.
    """

    say: Callable[[str], None]
    tell: Callable[[Outcome], None]
    beat: Callable[[Pulse], None] = lambda pulse: None
    follow: Callable[[Lab], None] = lambda lab: None

    def __post_init__(self) -> None:
        say = self.say
        self.say = lambda line: say(shortened(line))
