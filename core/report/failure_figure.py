"""Where the pulled-off films failed: shares of the area, a bar a panel."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pandas as pd
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from tiecoat.compare.comparison import Comparison
from tiecoat.evaluate.adhesion.failure_sites import class_of, sites_of
from tiecoat.report.labels import batch_words, in_lines
from tiecoat.report.looks import MOST_HEIGHT, SITES, new_figure
from tiecoat.report.words import say, translated

BAR = 0.125  # inches
GAP = 0.8  # bars between two batches


def failure_figure(comparison: Comparison, rows: pd.DataFrame, line: str = "") -> Figure | None:
    """Draw the mean shares of the places of ISO 4624 over the tests of each panel; None without.

    Parameters
    ----------
    rows
        Of the kind pull_off, as the archive gives them.
    line
        What tells these panels from others, such as their coat system; it becomes the title.
    """
    rows = rows.dropna(subset=["failure", "panel"]).reset_index(drop=True)
    if not len(rows):
        return None
    sites = sites_of(rows["failure"])
    shares = sites.groupby([rows["batch"], rows["panel"]], sort=True).mean()
    batches = [one for one in _order(comparison) if one in shares.index.get_level_values(0)]
    places = np.concatenate([[0.0], np.cumsum([len(shares.loc[one]) + GAP for one in batches])])
    height = min(MOST_HEIGHT, 0.8 + BAR * float(places[-1]))
    figure = new_figure(height, line)
    axes = figure.subplots()
    for start, batch in zip(places, batches, strict=False):
        mine = shares.loc[batch]
        at = start + np.arange(len(mine))
        left = np.zeros(len(mine))
        for name, colour, hatch in _fills(sites.columns):
            width = mine[name].to_numpy()
            axes.barh(
                at, width, 0.84, left, color=colour, hatch=hatch, edgecolor="white", linewidth=0.3
            )
            left = left + width
    middles = [
        start + (len(shares.loc[one]) - 1) / 2 for start, one in zip(places, batches, strict=False)
    ]
    names = (batch_words(comparison.batches, one, comparison.control) for one in batches)
    axes.set_yticks(middles, [in_lines(one) for one in names])
    axes.tick_params(axis="y", length=0)
    axes.set_ylim(places[-1] - GAP / 2, -GAP)
    axes.set_xlim(0, 100)
    axes.set_xlabel(say("share of the broken area (%), mean over the tests of the panel"))
    axes.spines["left"].set_visible(False)
    handles = [
        Patch(
            facecolor=colour,
            hatch=hatch,
            edgecolor="white",
            label=_site_words(name),
        )
        for name, colour, hatch in _fills(sites.columns)
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=min(6, len(handles)))
    return figure


def _site_words(site: str) -> str:
    return f"{site} ({translated(class_of(site))})"


def _order(comparison: Comparison) -> list[str]:
    others = [one for one in comparison.batches.index if one != comparison.control]
    return [comparison.control, *others] if comparison.control else others


def _fills(places: Iterable[str]) -> list[tuple[str, str, str]]:
    """Return place, colour and hatch: cohesive, then adhesive, then in the glue."""
    fills = []
    for kind, looks in SITES.items():
        mine = [place for place in places if class_of(place) == kind]
        fills += [(place, *looks[number % len(looks)]) for number, place in enumerate(mine)]
    return fills
