"""Modulus at 0.1 Hz over the days in salt water: each candidate beside the control.

    python archive_example/plot_modulus.py [FILE.svg]

needs tiecoat only. Points are panels; lines join the means over the panels.
"""

from __future__ import annotations

import sys
from pathlib import Path

import matplotlib as mpl
import pandas as pd
from matplotlib import pyplot as plt
from matplotlib.axes import Axes

import tiecoat

HERE = Path(__file__).resolve().parent
CONTROL = {"color": "0.45", "marker": "s", "linestyle": ":"}
LOW = {"color": "#56B4E9", "marker": "o", "linestyle": "--"}
HIGH = {"color": "#D55E00", "marker": "^", "linestyle": "-"}


def by_batch() -> pd.DataFrame:
    """Return the modulus of every panel and day, with candidate, dose and role."""
    archive = tiecoat.open(HERE)
    found = archive.evaluate("impedance", quantity="modulus")
    found = found[found["value"].notna()]
    register = archive.read("batches")[["batch", "candidate", "dose_percent", "role"]]
    joined = found.merge(register, on="batch")
    return joined.assign(day=joined["exposure_h"] / 24)


def draw(axes: Axes, rows: pd.DataFrame, look: dict[str, str], label: str) -> None:
    """Draw one batch: its panels as points, their means joined."""
    colour = look["color"]
    axes.scatter(rows["day"], rows["value"], s=9, marker=look["marker"], color=colour, alpha=0.5)
    means = rows.groupby("day")["value"].mean()
    axes.plot(means.index, means, **look, ms=4, label=label)


def main() -> None:
    """Draw the figure."""
    mpl.rcParams.update({"svg.hashsalt": "tiecoat", "font.size": 9, "svg.fonttype": "none"})
    rows = by_batch()
    control = rows[rows["role"] == "control"]
    candidates = sorted(rows.loc[rows["role"] == "candidate", "candidate"].unique())
    figure, grid = plt.subplots(2, 2, figsize=(7.5, 6), sharex=True, sharey=True)
    for axes, candidate in zip(grid.flat, candidates, strict=True):
        draw(axes, control, CONTROL, "control")
        of_candidate = rows[rows["candidate"] == candidate].groupby("dose_percent")
        for look, (dose, batch) in zip((LOW, HIGH), of_candidate, strict=True):
            draw(axes, batch, look, f"{dose:g} %")
        axes.set_title(candidate, fontsize=10)
        axes.set_yscale("log")
        axes.grid(visible=True, color="0.9")
        axes.legend(frameon=False, fontsize=8, loc="lower left")
    for axes in grid[:, 0]:
        axes.set_ylabel("|Z| at 0.1 Hz × area (Ω cm²)")
    for axes in grid[-1]:
        axes.set_xlabel("days in 3 % NaCl")
    figure.suptitle("Invented data: film modulus over immersion, three panels a batch", fontsize=10)
    figure.tight_layout()
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else HERE / "modulus.svg"
    figure.savefig(target, metadata={"Date": None} if target.suffix == ".svg" else None)


if __name__ == "__main__":
    main()
