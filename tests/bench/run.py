"""Benchmarks: figures and ratios measured in one run, on the machine as it is.

python tests/bench/run.py [NAME ...]       names: as in NAMES below
"""

from __future__ import annotations

import importlib
import sys
import tempfile
from pathlib import Path

NAMES = (
    "start_up",
    "backlog",
    "growth",
    "service",
    "evaluation",
    "circuit_fits",
    "pictures",
    *("questions", "plain_readers", "lake"),
)

if __name__ == "__main__":
    for name in sys.argv[1:] or NAMES:
        with tempfile.TemporaryDirectory() as place:
            print(f"{name}:", flush=True)
            print(importlib.import_module(name).run(Path(place)), flush=True)
