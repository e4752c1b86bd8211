"""What an import and a call for help cost, against an empty Python."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

TIMES = 11
COMMANDS = {
    "python -c pass": ["-c", "pass"],
    "import tiecoat": ["-c", "import tiecoat"],
    "tiecoat --help": ["-m", "tiecoat.cli", "--help"],
    "import pandas": ["-c", "import pandas"],
}


def seconds(arguments: list[str]) -> float:
    """Return the median seconds of a run."""
    found = []
    for _ in range(TIMES):
        start = time.perf_counter()
        command = [sys.executable, *arguments]
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        found.append(time.perf_counter() - start)
    return statistics.median(found)


def run(folder: Path) -> str:
    """Return the figures in words."""
    return ", ".join(f"{name} {seconds(a) * 1e3:.0f} ms" for name, a in COMMANDS.items())
