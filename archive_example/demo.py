"""The demonstration: a lab is laid out, the real service started, and exports dropped in.

    python archive_example/demo.py [FOLDER]

FOLDER is where the lab goes (default: demo-lab beside this checkout's README); one that a former
demonstration left is replaced. All data are invented; some exports are broken on purpose.
"""

from __future__ import annotations

import argparse
import contextlib
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd
from rich.console import Console
from rich.rule import Rule
from rich.table import Table

import tiecoat
from tiecoat.ask.study_data import read_study, study_data
from tiecoat.cli.screens import contents_table, show_held
from tiecoat.cli.verdict_screen import show_overview, summary
from tiecoat.intake.held.files import list_held
from tiecoat.intake.inboxes.notes import notes_beside
from tiecoat.lab.new_lab import new_lab
from tiecoat.lab.settings import SETTINGS, Lab
from tiecoat.report.write import date_of, default_folder, write_report

HERE = Path(__file__).resolve().parent
MARKER = "made-by-the-demonstration"
SECONDS = 6.0  # over which the exports are dropped
LIMIT_S = 240.0


def main() -> int:
    """Run the demonstration."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", nargs="?", default=HERE.parent / "demo-lab", type=Path)
    folder: Path = parser.parse_args().folder.absolute()
    if (folder / MARKER).exists():
        shutil.rmtree(folder)
    console = Console()
    console.print(Rule("a lab is laid out"))
    lab = new_lab(folder, (HERE / SETTINGS).read_text(encoding="utf-8"))
    (folder / MARKER).touch()
    console.print(f"{folder}\nIts settings stand in {SETTINGS}.", highlight=False)
    console.print(Rule("the service is started, and exports arrive"))
    with _service(lab):
        dropped = _drop(lab)
        _wait(lab, dropped)
    console.print(Rule("what the archive holds"))
    archive = tiecoat.open(folder)
    console.print(contents_table(archive.holds()))
    console.print(Rule("what is held, and why"))
    show_held(list_held(lab), console)
    console.print(Rule("a first result"))
    console.print(_results(archive))
    console.print(
        "By day in salt water: lg of the modulus at 0.1 Hz times area, in ohm cm²; then pull-off\n"
        "strength of the primer alone and with the topcoat.\n"
        "Invented data. Means over the panels or determinations; a verdict needs the\n"
        "comparison with the control, its uncertainty, and the person who answers for it.\n"
    )
    console.print(Rule("the verdict on each candidate"))
    data = study_data(archive, read_study(HERE / "study.toml"))
    show_overview(data.comparison, console)
    for line in summary(data.comparison, data.recommendations):
        console.print(line, markup=False, highlight=False)
    report = write_report(data, default_folder(lab, HERE / "study.toml"), date_of(None))
    console.print(
        f"\nThe report, for any browser and for paper: {report}\n\n"
        f"Look around in {folder}\n  tiecoat held show ID --lab {folder}\n"
        f"  tiecoat overlay --lab {folder}\n"
        f"  python archive_example/queries/with_duckdb.py",
        highlight=False,
    )
    return 0


@contextlib.contextmanager
def _service(lab: Lab) -> Iterator[None]:
    """Run `tiecoat serve` as a process of its own, and end it as Ctrl-C would."""
    if sys.platform == "win32":
        flags, stop = subprocess.CREATE_NEW_PROCESS_GROUP, signal.CTRL_BREAK_EVENT
    else:
        flags, stop = 0, signal.SIGTERM
    command = [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(lab.root)]
    service = subprocess.Popen(command, creationflags=flags)
    try:
        yield
    finally:
        service.send_signal(stop)
        code = service.wait(60)
        if code:
            raise SystemExit(f"the service ended with code {code}")


def _drop(lab: Lab) -> int:
    """Copy the exports into the inbox over a few seconds, the register first; return how many."""
    inbox = lab.inbox_path(lab.settings.inbox[0])
    exports = sorted(
        (path for path in (HERE / "exports").rglob("*.*") if path.suffix != ".toml"),
        key=lambda path: (path.parent.name != "register", path),
    )
    broken = sorted((HERE / "broken").iterdir(), reverse=True)
    every = len(exports) // (len(broken) + 1)
    for number, one in enumerate(broken, 1):
        exports.insert(number * (every + 1), one)
    for path in exports:
        folder = inbox if path in broken else inbox / path.parent.name
        folder.mkdir(exist_ok=True)
        for one in (notes_beside(path), path):
            if one.exists():
                shutil.copyfile(one, folder / one.name)
        time.sleep(SECONDS / len(exports))
    return len(exports)


def _wait(lab: Lab, dropped: int) -> None:
    """Wait until every export has left the inbox."""
    inbox = lab.inbox_path(lab.settings.inbox[0])
    end = time.monotonic() + LIMIT_S
    while time.monotonic() < end:
        left = [
            p for p in inbox.rglob("*") if p.is_file() and p.relative_to(inbox).parts[0] != "done"
        ]
        if not left:
            return
        time.sleep(0.2)
    raise SystemExit(f"{len(left)} of {dropped} exports are still in {inbox} after {LIMIT_S:.0f} s")


def _results(archive: tiecoat.Archive) -> Table:
    """Return modulus by day, strength by coats, density and air of each candidate and dose."""
    batches = archive.read("batches").set_index("batch")[["candidate", "dose_percent"]]
    modulus = archive.evaluate("impedance", quantity="modulus")
    modulus["day"] = (modulus["exposure_h"] / 24).round()
    modulus["lg"] = np.log10(modulus["value"])
    by_day = modulus.pivot_table(index="batch", columns="day", values="lg")
    columns = {
        "primer\nMPa": (_strengths(archive, topcoat=False), ".2f"),
        "topcoat\nMPa": (_strengths(archive, topcoat=True), ".2f"),
        "density\ng/cm³": (_of_batches(archive, "density", "density_mean", "as mixed"), ".3f"),
        "air\n% vol.": (_of_batches(archive, "density", "entrapped_air", "as mixed"), ".1f"),
    }
    table = Table(box=None, pad_edge=False, padding=(0, 1, 0, 0))
    table.add_column("\ncandidate", no_wrap=True)
    table.add_column("dose\n%", justify="right")
    for heading in [*(f"day\n{day:g}" for day in by_day.columns), *columns]:
        table.add_column(heading, justify="right")
    for batch in by_day.sort_values(by_day.columns[-1], ascending=False).index:
        candidate, dose = batches.loc[batch]
        days = [f"{value:.2f}" for value in by_day.loc[batch]]
        others = [f"{values.get(batch, np.nan):{form}}" for values, form in columns.values()]
        table.add_row(candidate, f"{dose:g}", *days, *others)
    return table


def _strengths(archive: tiecoat.Archive, *, topcoat: bool) -> pd.Series[float]:
    """Return the mean pull-off strength over the panels with a topcoat, or over those without."""
    found = archive.evaluate("pull_off", quantity="strength_mean")
    coats = archive.read("panels").set_index("panel")["coat_system"]
    has_topcoat = found["panel"].map(coats).str.contains("topcoat")
    return found[has_topcoat.eq(topcoat)].groupby("batch")["value"].mean()


def _of_batches(
    archive: tiecoat.Archive, kind: str, quantity: str, condition: str = ""
) -> pd.Series[float]:
    """Return a result that is pooled over the panels or determinations of each batch."""
    found = archive.evaluate(kind, quantity=quantity)
    whole = found[(found["panel"] == "") & (found["condition"] == condition)]
    return whole.groupby("batch")["value"].mean()


if __name__ == "__main__":
    sys.exit(main())
