"""The spectra of impedance (Bode): modulus and phase over frequency."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.result_rows import is_near
from tiecoat.evaluate.impedance.spectra import spectra_of
from tiecoat.report.looks import FAINT, MOST_HEIGHT, TITLE_HEIGHT, log_axis, new_figure
from tiecoat.report.small_multiples import (
    ACROSS,
    LineLook,
    groups_of,
    legend,
    more_legend,
    parts,
    small_multiples,
)
from tiecoat.report.words import say

HEIGHT = 4.1  # inches


def bode_figures(
    comparison: Comparison,
    rows: pd.DataFrame,
    hours: float,
    line: str = "",
    most_height: float = MOST_HEIGHT,
) -> Iterator[Figure]:
    """Draw modulus and phase over frequency, a line a spectrum; at most four candidates a figure.

    Parameters
    ----------
    rows
        Of the kind impedance, as the archive gives them.
    hours
        Only the spectra near this exposure time.
    line
        What tells these panels from others, such as their coat system; it becomes the title.
    """
    rows = rows[is_near(rows["exposure_h"], hours)].reset_index(drop=True)
    if not len(rows):
        return
    spectra = spectra_of(rows)
    if not spectra.points.any():
        return
    of_batch = spectra.keys["batch"].to_numpy()
    for part in parts(groups_of(comparison)):
        most = most_height - TITLE_HEIGHT * bool(line)
        figure = new_figure(min(HEIGHT + more_legend(part), most), line)
        grid = figure.subplots(2, ACROSS, sharex=True, sharey="row", height_ratios=[1.25, 1])
        for row, values in zip(grid, (spectra.modulus_ohm_cm2, -spectra.phase_deg), strict=True):

            def draw(axes: Axes, batch: str, look: LineLook, values: Any = values) -> None:
                for one in np.flatnonzero(of_batch == batch):
                    x, y = spectra.frequency_hz[one], values[one]
                    axes.plot(x, y, lw=0.9, ms=2.6, mew=0.4, mec="white", markevery=7, **look)

            small_multiples(list(row), part, draw)
        for axes in grid[:, : len(part)].flat:
            axes.set_xscale("log")
        _bode_axes(grid, len(part), spectra.frequency_hz, spectra.modulus_ohm_cm2)
        legend(grid[1][: len(part)], -0.36)
        yield figure


def _bode_axes(grid: Any, count: int, frequencies: Any, modulus: Any) -> None:
    ends = float(np.nanmin(frequencies)), float(np.nanmax(frequencies))
    low, high = float(np.nanmin(modulus)) / 1.6, float(np.nanmax(modulus)) * 1.6
    grid[0][0].set_yscale("log")
    grid[0][0].set_ylim(low, high)
    log_axis(grid[0][0].yaxis, low, high)
    grid[0][0].set_ylabel(say("|Z| × area (Ω cm²)"))
    grid[1][0].set_ylabel(say("−phase (°)"))
    grid[1][0].set_yticks([0, 30, 60, 90])
    for axes in grid[1][:count]:
        log_axis(axes.xaxis, *ends)
        axes.axhline(45, color=FAINT, lw=0.6)
        axes.set_xlabel(say("frequency (Hz)"))
        axes.set_title("")
