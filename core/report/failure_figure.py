"""Where the pulled-off films failed: shares of the area, a bar a panel."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
import pandas as pd
from matplotlib.figure import Figure
from matplotlib.patches import Patch

from tiecoat.contract.notations.failure_notation import COHESIVE, INTERFACE
from tiecoat.contract.notations.not_stated import NOT_STATED
from tiecoat.evaluate.adhesion.failure_sites import class_of, sites_of
from tiecoat.report.labels import in_lines
from tiecoat.report.looks import (
    DARK_HATCH_FROM,
    INK,
    MOST_HEIGHT,
    SITES,
    lightness,
)
from tiecoat.report.words import joined, say, translated
from tiecoat.wording import by_number, capital

BAR = 0.125  # inches
PANEL = 6.0  # points of the name of a panel beside its bar
_NOT_TOLD = {COHESIVE: "coat not told", INTERFACE: "layers not told"}
BESIDE = -0.12  # of the width of the bars, where the names of batches stand
GAP = 0.8  # bars between two batches


def draw_failures(
    figure: Figure,
    results: pd.DataFrame,
    rows: pd.DataFrame,
    names: Mapping[str, str],
    places_of_all: Iterable[str],
) -> None:
    """Draw the mean shares of the places of ISO 4624 over the tests of each panel, if any.

    Parameters
    ----------
    rows
        Of the kind pull_off, as the archive gives them.
    names
        By batch what it is called, in the order from above.
    places_of_all
        The places in all figures of the report, so that each looks the same in all of them.
    """
    shares = panel_shares(rows)
    if shares is None:
        return
    fills = _fills(shares.columns, places_of_all)
    batches = [one for one in names if one in shares.index.get_level_values(0)]
    places = np.concatenate([[0.0], np.cumsum([len(shares.loc[one]) + GAP for one in batches])])
    figure.set_figheight(min(MOST_HEIGHT, 0.8 + BAR * float(places[-1])))
    axes = figure.subplots()
    for start, batch in zip(places, batches, strict=False):
        mine = shares.loc[batch]
        at = start + np.arange(len(mine))
        left = np.zeros(len(mine))
        for name, look in fills:
            width = mine[name].to_numpy()
            axes.barh(at, width, 0.84, left, **look)
            left = left + width
    middles = [
        start + (len(shares.loc[one]) - 1) / 2 for start, one in zip(places, batches, strict=False)
    ]
    bars = [
        (start + place, str(panel))
        for start, one in zip(places, batches, strict=False)
        for place, panel in enumerate(shares.loc[one].index)
    ]
    axes.set_yticks([at for at, _ in bars], [panel for _, panel in bars], fontsize=PANEL)
    axes.tick_params(axis="y", length=0)
    of_batches = axes.secondary_yaxis(BESIDE)
    of_batches.set_yticks(middles, [in_lines(names[one]) for one in batches])
    of_batches.tick_params(axis="y", length=0)
    of_batches.spines["left"].set_visible(False)
    axes.set_ylim(places[-1] - GAP / 2, -GAP)
    axes.set_xlim(0, 100)
    axes.set_xlabel(say("share of the broken area (%), mean over the tests of the panel"))
    axes.spines["left"].set_visible(False)
    handles = [Patch(label=_site_words(name), **look) for name, look in fills]
    figure.legend(
        handles=handles,
        loc="outside lower center",
        ncols=min(6, len(handles)),
        handlelength=3.2,
        handleheight=1.1,
    )


def panel_shares(rows: pd.DataFrame) -> pd.DataFrame | None:
    """Return the mean shares in % of each place over tests of each panel; None if none states it.

    The index is batch and panel.
    """
    rows = rows.dropna(subset=["failure", "panel"])
    rows = rows[rows["failure"] != NOT_STATED].reset_index(drop=True)
    if not len(rows):
        return None
    shares = sites_of(rows["failure"]).groupby([rows["batch"], rows["panel"]]).mean()
    return shares.loc[sorted(shares.index, key=lambda key: (key[0], by_number(key[1])))]


def failure_words(
    results: pd.DataFrame,
    rows: pd.DataFrame,
    names: Mapping[str, str],
) -> str:
    """Return what the figure shows: where the film of each batch fails most, and how much.

    Shares are means over the panels of a batch.
    """
    shares = panel_shares(rows)
    if shares is None:
        return ""
    of_batches = shares.groupby(level=0).mean()
    of_batches = of_batches.loc[[one for one in names if one in of_batches.index]]
    most = of_batches.idxmax(axis=1)
    told = [
        say(
            "Most at {place}: {batches}.",
            place=_site_words(str(place)),
            batches=joined(
                [
                    _with_share(str(one), share)
                    for one, share in of_batches.loc[found, place].items()
                ]
            ),
        )
        for place in most.unique()
        for found in [most.index[most == place]]
    ]
    for kind in ("adhesive", "glue"):
        mine = [one for one in of_batches if class_of(str(one)) == kind]
        if mine:
            told.append(_ends(translated(f"{kind} failure"), of_batches[mine].sum(axis=1)))
    return " ".join(told)


def _ends(failure: str, of_batches: pd.Series[float]) -> str:
    """Return which batches have most and least of a sort of failure."""
    if of_batches.max() == of_batches.min():
        share = f"{of_batches.max():.0f} %"
        return say("{failure}: {share} of each batch.", failure=capital(failure), share=share)
    highest, lowest = (of_batches[of_batches == end()] for end in (of_batches.max, of_batches.min))
    return say(
        "{failure}: most {highest}, least {lowest}.",
        failure=capital(failure),
        highest=joined([_with_share(str(one), share) for one, share in highest.items()]),
        lowest=joined([_with_share(str(one), share) for one, share in lowest.items()]),
    )


def _with_share(batch: str, share: float) -> str:
    return f"{batch} ({share:.0f} %)"


def _site_words(site: str) -> str:
    name = translated(_NOT_TOLD[site]) if site in _NOT_TOLD else site
    return f"{name} ({translated(class_of(site))})"


def places_in(rows: pd.DataFrame) -> list[str]:
    """Return the places of failure in rows of the kind pull_off."""
    return [str(one) for one in sites_of(rows["failure"].dropna())]


def _fills(drawn: Iterable[str], places: Iterable[str]) -> list[tuple[str, dict[str, Any]]]:
    """Return the places that are drawn, with their looks: cohesive, adhesive, then in the glue."""
    fills = []
    for kind, looks in SITES.items():
        mine = sorted(place for place in places if class_of(place) == kind)
        for number, place in enumerate(mine):
            colour, hatch = looks[number % len(looks)]
            lines = INK if lightness(colour) >= DARK_HATCH_FROM else "white"
            look = {"facecolor": colour, "hatch": hatch, "edgecolor": lines, "linewidth": 0.3}
            fills.append((place, look))
    wanted = set(drawn)
    return [one for one in fills if one[0] in wanted]
