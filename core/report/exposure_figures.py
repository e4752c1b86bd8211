"""Impedance over exposure: the modulus of every panel over time, and the spectra (Bode)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np
import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tiecoat.compare.comparison import Comparison
from tiecoat.compare.result_rows import is_near
from tiecoat.evaluate.impedance.kramers_kronig import FAILS
from tiecoat.evaluate.impedance.spectra import spectra_of
from tiecoat.report.labels import candidate_words, in_lines, number
from tiecoat.report.looks import (
    CONTROL,
    FAINT,
    SOFT,
    dose_looks,
    log_axis,
    new_figure,
)
from tiecoat.report.words import in_numbers, joined, say, translated

ACROSS = 4
DAYS_FROM_H = 72.0  # longer exposures are told in days
TITLE = 26  # characters in a line of a title
LEGEND_LINE = 0.14  # inches

LineLook: TypeAlias = dict[str, Any]


@dataclass(frozen=True)
class BatchGroup:
    """Batches that are drawn together: the control, and one candidate at its doses."""

    name: str
    looks: dict[str, LineLook]  # by batch, the control last, so that it is drawn on top
    words: dict[str, str]


def groups_of(comparison: Comparison) -> list[BatchGroup]:
    """Return a group a candidate, in the order of the batches."""
    register = comparison.batches
    doses = {str(one): float(dose) for one, dose in register["dose_percent"].fillna(-1).items()}
    found: dict[str, list[str]] = {}
    for batch in register.index:
        if batch != comparison.control:
            found.setdefault(candidate_words(register, batch), []).append(batch)
    groups = []
    for name, batches in found.items():
        rising = sorted(batches, key=lambda one: (doses[one], one))
        words = {one: _with_dose(one, doses[one]) for one in rising}
        looks = dose_looks(rising)
        if comparison.control:
            looks[comparison.control] = CONTROL
            words[comparison.control] = f"{comparison.control}, {say('control')}"
        groups.append(BatchGroup(name, looks, words))
    return groups


def _with_dose(batch: str, dose: float) -> str:
    return f"{batch}, {in_numbers(f'{dose:g}')} %" if dose >= 0 else batch


def modulus_figures(
    comparison: Comparison, results: pd.DataFrame, condition: str, line: str = ""
) -> Iterator[Figure]:
    """Draw the modulus over time, a line a panel; at most four candidates a figure.

    Parameters
    ----------
    results
        Result table of impedance.
    condition
        Of the modulus, such as `0.1 Hz`.
    line
        What tells these panels from others, such as their coat system; it becomes the title.
    """
    rows = _moduli(results, condition)
    if not len(rows):
        return
    in_days = rows["exposure_h"].max() > DAYS_FROM_H
    rows = rows.assign(time=rows["exposure_h"] / (24.0 if in_days else 1.0))
    hours = [one.exposure_h for one in comparison.properties if one.quantity == "modulus"]
    compared = [hour / (24.0 if in_days else 1.0) for hour in hours]

    def draw(axes: Axes, batch: str, look: LineLook) -> None:
        for _, panel in rows[rows["batch"] == batch].groupby("panel", sort=True):
            course = panel.sort_values("time")
            axes.plot(course["time"], course["value"], lw=0.9, ms=3.4, mew=0.5, mec="white", **look)
            failed = course[course["flags"].str.contains(FAILS, regex=False)]
            axes.plot(failed["time"], failed["value"], "x", color="black", ms=6, mew=1.1)

    low, high = float(rows["value"].min()) / 1.6, float(rows["value"].max()) * 1.6
    for part in _parts(groups_of(comparison)):
        figure = new_figure(2.75 + _more_legend(part), line)
        grid = figure.subplots(1, ACROSS, sharex=True, sharey=True)
        _small_multiples(list(grid), part, draw)
        for axes in grid[: len(part)]:
            axes.set_yscale("log")
            axes.set_ylim(low, high)
            for hour in compared:
                axes.axvline(hour, color=SOFT, lw=0.6, linestyle=(0, (1, 2)))
            axes.set_xlabel(say("days of exposure") if in_days else say("hours of exposure"))
        log_axis(grid[0].yaxis, low, high)
        at = translated(condition)
        grid[0].set_ylabel(say("|Z| × area at {frequency} (Ω cm²)", frequency=at))
        _legend(grid[: len(part)], -0.24)
        yield figure


def _moduli(results: pd.DataFrame, condition: str) -> pd.DataFrame:
    rows = results[(results["quantity"] == "modulus") & (results["condition"] == condition)]
    return rows[rows["value"].gt(0) & rows["exposure_h"].notna() & (rows["panel"] != "")]


def modulus_words(comparison: Comparison, results: pd.DataFrame, condition: str) -> str:
    """Return what such figures show: where the panels of each batch end.

    Parameters are as of `modulus_figures`.
    """
    rows = _moduli(results, condition)
    last = rows.sort_values("exposure_h").groupby(["batch", "panel"]).last()
    ends = np.exp(np.log(last["value"]).groupby(level="batch").mean())
    told = [
        f"{one} {number(ends[one], 2)}" for one in comparison.batches.index if one in ends.index
    ]
    if not told:
        return ""
    return say(
        "|Z| × area at {frequency} when last measured, after {hours} h at the latest, geometric"
        " means of the panels in Ω cm²: {batches}.",
        frequency=translated(condition),
        hours=number(float(last["exposure_h"].max())),
        batches=joined(told),
    )


def bode_figures(
    comparison: Comparison, rows: pd.DataFrame, hours: float, line: str = ""
) -> Iterator[Figure]:
    """Draw modulus and phase over frequency, a line a spectrum; at most four candidates a figure.

    Parameters
    ----------
    rows
        Of the kind impedance, as the archive gives them.
    hours
        Only the spectra near this exposure time.
    line
        As of `modulus_figures`.
    """
    rows = rows[is_near(rows["exposure_h"], hours)].reset_index(drop=True)
    if not len(rows):
        return
    spectra = spectra_of(rows)
    if not spectra.points.any():
        return
    of_batch = spectra.keys["batch"].to_numpy()
    for part in _parts(groups_of(comparison)):
        figure = new_figure(4.1 + _more_legend(part), line)
        grid = figure.subplots(2, ACROSS, sharex=True, sharey="row", height_ratios=[1.25, 1])
        for row, values in zip(grid, (spectra.modulus_ohm_cm2, -spectra.phase_deg), strict=True):

            def draw(axes: Axes, batch: str, look: LineLook, values: Any = values) -> None:
                for one in np.flatnonzero(of_batch == batch):
                    x, y = spectra.frequency_hz[one], values[one]
                    axes.plot(x, y, lw=0.9, ms=2.6, mew=0.4, mec="white", markevery=7, **look)

            _small_multiples(list(row), part, draw)
        for axes in grid[:, : len(part)].flat:
            axes.set_xscale("log")
        _bode_axes(grid, len(part), spectra.frequency_hz, spectra.modulus_ohm_cm2)
        _legend(grid[1][: len(part)], -0.36)
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


def _parts(groups: Sequence[BatchGroup]) -> Iterator[list[BatchGroup]]:
    for start in range(0, len(groups), ACROSS):
        yield list(groups[start : start + ACROSS])


def _small_multiples(
    row: Sequence[Axes], groups: Sequence[BatchGroup], draw: Callable[[Axes, str, LineLook], None]
) -> None:
    for axes in row[len(groups) :]:
        axes.set_axis_off()
    for axes, group in zip(row, groups, strict=False):
        for batch, look in group.looks.items():
            draw(axes, batch, look)
            axes.plot([], [], label=group.words[batch], ms=3.4, **look)
        axes.set_title(in_lines(group.name, TITLE))
        axes.grid(visible=True, axis="both")
        axes.tick_params(length=2.5)


def _more_legend(groups: Sequence[BatchGroup]) -> float:
    """Return the height in inches that legends of more than three batches take."""
    return LEGEND_LINE * max(0, max(len(one.words) for one in groups) - 3)


def _legend(row: Sequence[Axes], below: float) -> None:
    """Put a legend under the axes of each candidate; `below` is in heights of the axes."""
    for axes in row:
        handles, words = axes.get_legend_handles_labels()
        axes.legend(
            handles, words, loc="upper center", bbox_to_anchor=(0.5, below), handlelength=2.6
        )
