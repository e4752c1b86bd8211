"""Small exports for the benchmarks, with a simple layout that both sides read."""

from __future__ import annotations

import math
import random
from pathlib import Path

POINTS = 71
SETTINGS = """\
[intake]
settle_s = 0.0
[ids]
batch = 'RB-[0-9]{3}'
panel = '(?P<batch>RB-[0-9]{3})-[0-9]{1,3}'
"""


def spectrum(panel: str, hours: float, seed: int) -> str:
    """Return one impedance spectrum of a panel: a resistor beside a capacitor, with noise."""
    draw = random.Random(seed)
    lines = [
        "Invented data for a benchmark",
        f"Panel: {panel}",
        "Cell area: 14.6 cm2",
        f"Immersed for: {hours:g} h",
        "",
        "Frequency [Hz],Z' [Ohm],Z'' [Ohm]",
    ]
    resistance, capacitance = 10 ** draw.uniform(7, 9), 10 ** draw.uniform(-10, -9)
    for step in range(POINTS):
        frequency = 10 ** (5 - step / 10)
        z = resistance / (1 + 2j * math.pi * frequency * resistance * capacitance)
        z *= 1 + draw.gauss(0, 0.01)
        lines.append(f"{frequency:.6g},{z.real:.6g},{z.imag:.6g}")
    return "\n".join(lines) + "\n"


def write_spectra(folder: Path, count: int, *, batches: int = 40, start: int = 0) -> list[Path]:
    """Write so many spectra over so many batches, four panels each, and return their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for number in range(start, start + count):
        batch, turn = number % batches, number // batches
        panel = f"RB-{batch:03d}-{turn % 4 + 1}"
        path = folder / f"{panel} spectrum {number:06d}.csv"
        path.write_text(spectrum(panel, turn // 4 * 24.0, number), encoding="utf-8")
        paths.append(path)
    return paths
