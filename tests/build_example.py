"""Makes the example lab anew with the real program: what archive_example/exports became.

    python tests/build_example.py

replaces archive, held, journal, originals and the report of the study in archive_example/. The
generator of the exports themselves is generate_example.py.
"""

from __future__ import annotations

import shutil
import tempfile
from datetime import date
from pathlib import Path

import tiecoat
from tiecoat.ask.study_data import read_study, study_data
from tiecoat.intake.outcome import Outcome, Teller
from tiecoat.intake.taking_in import take
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import SETTINGS, Lab
from tiecoat.report.write import write_report

EXAMPLE = Path(__file__).resolve().parent.parent / "archive_example"
REPORTED = date(2026, 11, 26)
PARTS = ("archive", "held", "journal", "originals")


def build(folder: Path) -> tuple[Lab, list[Outcome]]:
    """Lay out the example lab in a folder and take everything in: exports, then broken ones."""
    lab = new_lab(folder, (EXAMPLE / SETTINGS).read_text(encoding="utf-8"))
    outcomes: list[Outcome] = []
    teller = Teller(print, outcomes.append)
    inbox = lab.inbox_path(lab.settings.inbox[0])
    for source in (EXAMPLE / "exports" / "register", EXAMPLE / "exports", EXAMPLE / "broken"):
        shutil.copytree(source, inbox / source.name, dirs_exist_ok=True)
        take(lab, [], teller)
    return lab, outcomes


def main() -> None:
    """Build it and put it in its place."""
    with tempfile.TemporaryDirectory() as place:
        lab, outcomes = build(Path(place) / "lab")
        for part in PARTS:
            shutil.rmtree(EXAMPLE / part, ignore_errors=True)
            shutil.copytree(lab.root / part, EXAMPLE / part)
    for outcome in outcomes:
        print(outcome.line)
    data = study_data(tiecoat.open(EXAMPLE), read_study(EXAMPLE / "study.toml"))
    print(write_report(data, EXAMPLE / "report", REPORTED))


if __name__ == "__main__":
    main()
