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
from tiecoat.intake.held import list_held
from tiecoat.lab import SETTINGS, Lab
from tiecoat.new_lab import new_lab
from tiecoat.screens import contents_table, show_held

HERE = Path(__file__).resolve().parent
MARKER = "made-by-the-demonstration"
SECONDS = 6.0  # over which the exports are dropped
LIMIT_S = 240.0
AT_HZ = 0.1


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
    console.print(contents_table(archive.measurements()))
    console.print(Rule("what is held, and why"))
    show_held(list_held(lab), console)
    console.print(Rule("a first result"))
    console.print(_results(archive))
    console.print(
        f"lg |Z|A: decimal logarithm of the modulus at {AT_HZ} Hz times area, in ohm cm².\n"
        "Invented data. Means over the panels or determinations; a verdict needs the comparison\n"
        "with the control, its uncertainty, and the person who answers for it.\n"
    )
    console.print(
        f"Look around in {folder}\n  tiecoat held show ID --lab {folder}\n"
        f"  python archive_example/queries/with_duckdb.py",
        highlight=False,
    )
    return 0


@contextlib.contextmanager
def _service(lab: Lab) -> Iterator[None]:
    """Run `tiecoat serve` as a process of its own, and end it as Ctrl-C would."""
    windows = sys.platform == "win32"
    flags = subprocess.CREATE_NEW_PROCESS_GROUP if windows else 0
    command = [sys.executable, "-m", "tiecoat.cli", "serve", "--lab", str(lab.root)]
    service = subprocess.Popen(command, creationflags=flags)
    try:
        yield
    finally:
        service.send_signal(signal.CTRL_BREAK_EVENT if windows else signal.SIGTERM)
        code = service.wait(60)
        if code:
            raise SystemExit(f"the service ended with code {code}")


def _drop(lab: Lab) -> int:
    """Copy the exports into the inbox over a few seconds, the register first; return how many."""
    inbox = lab.inbox_path(lab.settings.inbox[0])
    exports = sorted(
        (HERE / "exports").rglob("*.*"), key=lambda p: (p.parent.name != "register", p)
    )
    broken = sorted((HERE / "broken").iterdir(), reverse=True)
    every = len(exports) // (len(broken) + 1)
    for number, one in enumerate(broken, 1):
        exports.insert(number * (every + 1), one)
    for path in exports:
        folder = inbox / path.parent.relative_to(HERE / "exports") if path not in broken else inbox
        folder.mkdir(exist_ok=True)
        shutil.copyfile(path, folder / path.name)
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
    """Return modulus by day, strength and density of each candidate and dose."""
    batches = archive.read("batches").set_index("batch")[["candidate", "dose_percent"]]
    modulus = _modulus_by_day(archive.read("impedance"))
    strength = archive.read("pull_off").groupby("batch")["strength_mpa"].mean()
    density = archive.read("density").query("state == 'as mixed'").groupby("batch")["density_g_cm3"]
    table = Table(box=None, pad_edge=False)
    table.add_column("candidate")
    table.add_column("dose\n%", justify="right")
    for day in modulus.columns:
        table.add_column(f"lg |Z|A\nday {day:g}", justify="right")
    table.add_column("pull-off\nMPa", justify="right")
    table.add_column("density\ng/cm³", justify="right")
    last = modulus.columns[-1]
    for batch in modulus.sort_values(last, ascending=False).index:
        candidate, dose = batches.loc[batch]
        days = [f"{value:.2f}" for value in modulus.loc[batch]]
        more = [f"{strength.get(batch, np.nan):.2f}", f"{density.mean().get(batch, np.nan):.4f}"]
        table.add_row(candidate, f"{dose:g}", *days, *more)
    return table


def _modulus_by_day(rows: pd.DataFrame) -> pd.DataFrame:
    """Return lg(|Z| area / ohm cm²) at 0.1 Hz: a row a batch, a column a day, mean over panels."""
    found = []
    for (batch, _), points in rows.groupby(["batch", "measurement"]):
        spectrum = points.sort_values("frequency_hz")
        frequency = spectrum["frequency_hz"].to_numpy()
        if frequency[0] <= AT_HZ <= frequency[-1]:  # between measured points, never beyond
            modulus = (
                np.hypot(spectrum["z_real_ohm"], spectrum["z_imag_ohm"]) * spectrum["area_cm2"]
            )
            value = np.interp(np.log10(AT_HZ), np.log10(frequency), np.log10(modulus))
            found.append((batch, round(spectrum["exposure_h"].iloc[0] / 24), value))
    frame = pd.DataFrame(found, columns=["batch", "day", "modulus"])
    return frame.pivot_table(index="batch", columns="day", values="modulus")


if __name__ == "__main__":
    sys.exit(main())
