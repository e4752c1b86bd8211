"""Exports with known values for the crash tests, and a simple second opinion on what they say.

What a file holds is read here from its bytes by splitting lines, independently of the program.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import TypeAlias

BATCHES = [f"RB-{number}" for number in range(101, 113)]
FREQUENCIES_HZ = (0.1, 1.0, 10.0, 1000.0, 100000.0)
STATES = ("as mixed", "deaerated", "rested")
FIRST = datetime(2026, 9, 14, 8, 0, tzinfo=UTC)

Determination: TypeAlias = tuple[str | float | datetime, ...]  # what tells it from all others
Values: TypeAlias = tuple[tuple[float, ...], ...]  # its rows, sorted


@dataclass(frozen=True)
class Made:
    """An export; `broken` is the reason for which it must be held, "" if it is in order.

    One that is in order may still contradict another: then whichever came first is filed.
    """

    name: str
    content: bytes
    broken: str = ""


class Supply:
    """An endless mixture of good, broken, doubled and contradicting exports.

    Parameters
    ----------
    dice
        Seeded: the same seed gives the same exports.
    """

    def __init__(self, dice: random.Random) -> None:
        self._dice = dice
        self._count = 0
        self._good: list[Made] = []  # those that later ones may double or contradict
        self._unregistered: list[str] = []

    def next(self, way: Callable[[], Made] | None = None) -> Made:
        """Return the next export, of this sort if one is named."""
        self._count += 1
        if way:
            return way()
        ways = {
            self.spectrum: 12,
            self.densities: 6,
            self.twin: 2,
            self.retold: 2,
            self.rival: 3,
            self.broken: 4,
            self.of_unregistered_panel: 2,
        }
        (chosen,) = self._dice.choices(list(ways), list(ways.values()))
        return chosen()

    def register(self) -> Made | None:
        """Return the register of all panels that were used without being in it."""
        if not self._unregistered:
            return None
        self._count += 1
        lines = ["Panel;Batch;Substrate;Coat system;Coated on"]
        lines += [f"{p};{batch_of(p)};steel;EP;2026-09-01 07:00" for p in self._unregistered]
        self._unregistered = []
        return Made(self._name("register"), _bytes(lines))

    def spectrum(self) -> Made:
        """Return a spectrum of one panel: one table."""
        panel = f"{self._dice.choice(BATCHES)}-{self._dice.randint(1, 9)}"
        made = Made(self._name("spectrum"), self._sweep(panel))
        self._good.append(made)
        return made

    def of_unregistered_panel(self) -> Made:
        """Return a spectrum of a panel whose batch only a later register says."""
        panel = f"T{self._count:05}"
        self._unregistered.append(panel)
        return Made(self._name("panel not registered"), self._sweep(panel))

    def densities(self) -> Made:
        """Return the densities of three batches: three tables."""
        lines = ["Instrument;DB-2", "", "Batch;Date;Time;State;Sample temp. [°C];Density [g/cm³];"]
        lines[-1] += "Rest [s]"
        for batch in self._dice.sample(BATCHES, 3):
            at = FIRST + timedelta(minutes=self._count)
            state = self._dice.choice(STATES)
            value = 1 + self._dice.randint(10, 80) / 100
            lines.append(f"{batch};{at:%Y-%m-%d};{at:%H:%M};{state};22.5;{value:.2f};60")
        made = Made(self._name("density"), _bytes(lines))
        self._good.append(made)
        return made

    def twin(self) -> Made:
        """Return the same bytes under another name."""
        if not self._good:
            return self.spectrum()
        other = self._dice.choice(self._good)
        return Made(self._name("twin"), other.content)

    def retold(self) -> Made:
        """Return the same values in other bytes."""
        if not self._good:
            return self.densities()
        other = self._dice.choice(self._good)
        content = f"Remark;copy {self._count}\n".encode() + other.content
        return Made(self._name("retold"), content)

    def rival(self) -> Made:
        """Return the same determinations, the last one with another value."""
        if not self._good:
            return self.densities()
        other = self._dice.choice(self._good)
        *lines, last = other.content.decode().splitlines()
        cells = last.split(";")
        cells[1 if len(cells) == 3 else 5] = f"{2 + self._count / 1e4:.6f}"
        return Made(self._name("rival"), _bytes([*lines, ";".join(cells)]))

    def broken(self) -> Made:
        """Return an export that must be held, for one of several reasons."""
        good = self._sweep(f"{self._dice.choice(BATCHES)}-1").decode()
        broken = {
            "not-a-number": good.replace("\n10;", "\nten;"),
            "no-reader": f"Dear all,\nplease find the results number {self._count} attached.\n",
            "empty-file": "",
            "out-of-bounds": good.replace("Cell area;14.5", "Cell area;-14.5"),
            "id-not-in-pattern": good.replace("Panel;RB", "Panel;XYZ"),
        }
        reason = self._dice.choice(list(broken))
        return Made(self._name(reason), broken[reason].encode(), reason)

    def _sweep(self, panel: str) -> bytes:
        at = FIRST + timedelta(minutes=self._count)
        lines = [f"Panel;{panel}", "Cell area;14.5 cm2", "Immersed for;24 h"]
        lines += [f"Measured at;{at:%Y-%m-%d %H:%M}", "", "f [Hz];Z' [Ohm];Z'' [Ohm]"]
        electrolyte, film = self._dice.randint(50, 500), self._dice.randint(10_000, 99_999) * 1e3
        seconds = film * self._dice.randint(100, 999) * 1e-12  # of the film: resistance by farads
        for frequency in FREQUENCIES_HZ:
            impedance = electrolyte + film / (1 + 2j * math.pi * frequency * seconds)
            lines.append(f"{frequency:g};{impedance.real:.6g};{impedance.imag:.6g}")
        return _bytes(lines)

    def _name(self, what: str) -> str:
        """Return a name whose place in the alphabet says nothing of the order of arrival."""
        return f"{self._dice.choice('abcdefgh')} {what} {self._count}.csv"


def _bytes(lines: list[str]) -> bytes:
    return ("\n".join(lines) + "\n").encode()


def batch_of(panel: str) -> str:
    """Return the batch that a panel's name, or for T00017 the register, gives."""
    return BATCHES[int(panel[1:]) % len(BATCHES)] if panel.startswith("T") else panel[:-2]


def determinations(content: bytes) -> dict[Determination, Values]:
    """Return what a good export says, read by splitting its lines."""
    blocks = content.decode().split("\n\n")
    if content.startswith(b"Panel;Batch;"):
        _, *rows = (line.split(";") for line in blocks[0].splitlines())
        return {("panels", batch, panel): () for panel, batch, *_ in rows}
    table = [line.split(";") for line in blocks[1].splitlines()]
    above = dict(line.split(";", 1) for line in blocks[0].splitlines())
    return dict(_sweep(above, table) if "Panel" in above else _densities(table))


def _sweep(above: dict[str, str], table: list[list[str]]) -> Iterator[tuple[Determination, Values]]:
    at = datetime.fromisoformat(above["Measured at"]).replace(tzinfo=UTC)
    hours = float(above["Immersed for"].removesuffix(" h"))
    rows = sorted(tuple(map(float, cells)) for cells in table[1:])
    panel = above["Panel"]
    yield ("impedance", batch_of(panel), panel, at, hours), tuple(rows)


def _densities(table: list[list[str]]) -> Iterator[tuple[Determination, Values]]:
    for batch, date, clock, state, temperature_c, density, rest_s in table[1:]:
        at = datetime.fromisoformat(f"{date} {clock}").replace(tzinfo=UTC)
        key = ("density", batch, at, state, float(rest_s))
        yield key, ((float(temperature_c), float(density)),)
