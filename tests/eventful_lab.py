"""A small lab in which everything has happened once, through its inbox and the commands."""

from __future__ import annotations

from pathlib import Path

from bad_exports import density, impedance, panel_row, panels, pull_off
from labs import LabAtWork, make_lab

from tiecoat.cli import main

BENCH = '''\
"""A reader of slips "bench NUMBER: VALUE BATCH", as first written: it takes 20 C for granted."""
from tiecoat.plugin import Claim, Measurement, hookimpl


class Bench:
    name, kind, version = "slip", "density", "1"
    temperature_c = 20.0
    refused = None
    most = 1

    def recognise(self, export):
        return Claim(0.9, "a slip") if export.head.startswith(b"bench ") else None

    def read(self, export):
        notes = export.notes
        for row, line in enumerate(export.text().splitlines()[: self.most], 1):
            value, batch = line.split()[-2:]
            if value == self.refused:
                raise ValueError("the pycnometer was not filled")
            yield Measurement(
                columns={
                    "temperature_c": [self.temperature_c],
                    "density_g_cm3": [float(value) + float(notes.get("add", 0.0))],
                    "state": ["as mixed"],
                    "elapsed_s": [60.0 * row],
                },
                rows=[row],
                batch=batch,
            )


@hookimpl
def tiecoat_readers():
    return [Bench()]
'''


def measurement(at_work: LabAtWork, name: str) -> str:
    """Return the one measurement of an export."""
    (found,) = {row["measurement"] for row in at_work.every_row() if row["source_name"] == name}
    return str(found)


def mended(at_work: LabAtWork) -> None:
    """Put a mended reader in place: right temperature, all lines, and no empty pycnometer."""
    text = BENCH.replace('"density", "1"', '"density", "2"').replace("20.0", "23.0")
    text = text.replace("refused = None", 'refused = "1.41"').replace("most = 1", "most = 2")
    (at_work.root / "readers" / "slip.py").write_text(text, encoding="utf-8")


def run(at_work: LabAtWork, *arguments: str) -> int:
    """Run a command on the lab."""
    return main([*arguments, "--lab", str(at_work.root)])


def build(root: Path) -> LabAtWork:
    """Two registers, ids from a folder and by hand, notes, a rival, a retraction, a discard."""
    at_work = make_lab(root, readers={"folder": True})
    (at_work.root / "readers" / "slip.py").write_text(BENCH, encoding="utf-8")

    def take(name: str, content: str, folder: str = "") -> None:
        at_work.drop(name, content, folder)
        at_work.take()

    take("register.csv", panels(panel_row("RB-014-3", "RB-014"), panel_row("RB-015-1", "RB-015")))
    take("spectrum.csv", impedance(panel=None), folder="week 39/RB-014-3")
    take("day 2.csv", impedance(panel="RB-015-1", at="2026-09-23 09:00"))
    moved = panel_row("RB-014-3", "RB-014").replace("180", "195")
    take("register mended.csv", panels(moved, panel_row("RB-016-1", "RB-016")))
    take("density.csv", density())
    take("density again.csv", density() + "\n")  # other bytes, the same values: known
    take("typo.csv", density(batch="RB-15", at="15.09.2026;08:00"))
    run(at_work, "held", "assign", "typo.csv", "--batch", "RB-015")
    take("first.csv", pull_off(strength="4.72"))
    take("second.csv", pull_off(strength="5.11"))
    run(at_work, "supersede", "second.csv", "--why", "dolly was measured again")
    take("leaked.csv", impedance(panel="RB-014-3", at="2026-09-29 09:00"))
    run(at_work, "retract", measurement(at_work, "leaked.csv"), "--why", "the cell leaked")
    take("spilled.csv", density("x"))
    run(at_work, "held", "discard", "spilled.csv", "--why", "spilled the cup")
    take("waits.csv", density("y"))
    at_work.drop("slip 1.txt.toml", "add = 0.25")
    take("slip 1.txt", "bench 1: 1.25 RB-014\nbench 1: 1.27 RB-014\n")
    take("slip 2.txt", "bench 2: 1.41 RB-017\n")
    return at_work
