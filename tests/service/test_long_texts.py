"""What a hostile file says may be of any length; what is told of it is not."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable

import pytest
from bad_exports import density
from labs import LabAtWork, Service, wait_until
from truth import status

from tiecoat.service.logfile import KEPT, LOG, OWN_LOG
from tiecoat.wording import LONGEST, shortened

LONG = "9" * 1_000_000
FILES = 30  # each of them would have begun a new log
SMALL_LOG = 8_000  # bytes, so that a burst of holds fills every file of the log
START = f"""
import sys
from tiecoat.cli import main
from tiecoat.service import logfile
logfile.LARGEST = {SMALL_LOG}
sys.exit(main(sys.argv[1:]))
"""

Make = Callable[..., LabAtWork]
Serve = Callable[..., Service]


def test_a_text_is_cut_once_and_says_how_long_it_was() -> None:
    """What is told has a length that nothing exceeds; cut again, it stays as it is."""
    assert shortened("four", 4) == "four"
    assert shortened("a" * 50, 40) == "a" * 21 + "... (50 characters)"
    cut = shortened(LONG)
    assert len(cut) == LONGEST
    assert cut.endswith("999... (1,000,000 characters)")
    assert shortened(cut) == cut


@pytest.mark.thorough
def test_long_cells_make_short_lines_and_holds_no_gap(lab: Make, serve: Serve) -> None:
    """Cells of a megabyte are told briefly everywhere, and the service's own log stays whole."""
    at_work = lab()
    command = [sys.executable, "-c", START, "serve", "--log", "--lab", str(at_work.root)]
    service = serve(at_work, command)
    for number in range(FILES):
        long = {0: {"batch": LONG}, 1: {"value": LONG}, 2: {"state": LONG}, 3: {"at": f"{LONG};8"}}
        bad = density(**long[number % 4], temperature=f"22,{number}")
        at_work.drop(f"hostile {number}.csv", bad)
    wait_until(lambda: len(at_work.held()) == FILES, "all held", 90)
    for number in range(200):
        at_work.drop(f"bad {number}.csv", density(value="much " * 150, temperature=f"22,{number}"))
    wait_until(lambda: len(at_work.held()) == FILES + 200, "the burst held", 90)
    assert status(at_work.root)[0] == 1
    assert service.stop() == 0

    folder = (at_work.root / LOG).parent
    logs = {path.name: path.read_text(encoding="utf-8") for path in folder.iterdir()}
    assert len([name for name in logs if name.startswith(LOG.name)]) == KEPT + 1
    assert "started: tiecoat" not in "".join(logs[f"{LOG.name}{end}"] for end in ("", ".1", ".5"))
    own = logs[OWN_LOG.name].splitlines()
    assert "  started: tiecoat " in own[0]
    assert own[-1].endswith("  stopped")
    assert not any("held" in line for line in own)

    lines = [*service.output.splitlines(), *"\n".join(logs.values()).splitlines()]
    assert max(map(len, lines)) < LONGEST + 400  # a file's name, the time, and where to look
    for record in at_work.held().values():
        assert len(json.dumps(record["faults"])) < 4 * LONGEST
        assert len(record["told"]) < 6 * LONGEST
    health = json.loads((at_work.root / "health.json").read_text(encoding="utf-8"))
    assert len(json.dumps(health)) < 2 * LONGEST

    commands = ["held"], ["held", "show", "hostile 1.csv"], ["service", "status"]
    for words in commands:
        shown = subprocess.run(
            [sys.executable, "-m", "tiecoat.cli", *words, "--lab", str(at_work.root)],
            capture_output=True,
            text=True,
            check=False,
        )
        assert max(map(len, shown.stdout.splitlines())) < LONGEST + 400
