"""The course of a film's modulus over exposure, panel by panel and place by place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from tiecoat.evaluate.impedance.spectra import Bools, Floats, Integers, Spectra, Texts, codes, texts

NEAR, NEAR_H = 0.02, 0.05  # exposures as far apart as 2 % or three minutes count as one


@dataclass(frozen=True)
class PanelCourses:
    """lg modulus of panels over exposure: the mean over spots and repeats, a row an exposure.

    Parameters
    ----------
    keys
        (k) batch and panel of each panel.
    batches
        (b) batch of each batch, and `system`, which is added to its condition: the coat system
        where a batch has several, each of which counts as a batch of its own.
    panel, batch
        Number of the panel of each row, (r,); number of the batch of each panel, (k,).
    hours, lg_modulus
        (r,) ascending in each panel.
    at_limit
        (r,) whether a spectrum behind the row reached the limit of the instrument.
    spots
        The same rows with each spot for itself, of panels with several.
    flags
        (k,) what there is to know of the spectra behind it.
    """

    keys: pd.DataFrame
    batches: pd.DataFrame
    panel: Integers
    batch: Integers
    hours: Floats
    lg_modulus: Floats
    at_limit: Bools
    spots: SpotCourses
    flags: Texts


@dataclass(frozen=True)
class SpotCourses:
    """lg modulus of each spot of panels over exposure, (s,) all: panel, number of the spot."""

    panel: Integers
    spot: Integers
    hours: Floats
    lg_modulus: Floats


def panels_of(spectra: Spectra, modulus_ohm_cm2: Floats, at_limit: Bools) -> PanelCourses:
    """Return the panels of spectra, with the geometric mean of spots and repeats per exposure."""
    panel = codes(spectra.keys, ("batch", "panel"))
    first = np.flatnonzero(~pd.Series(panel).duplicated().to_numpy())
    keys = spectra.keys.loc[first, ["batch", "panel", "system"]].reset_index(drop=True)
    batch = codes(keys, ("batch", "system"))
    batches = keys.loc[~pd.Series(batch).duplicated().to_numpy(), ["batch", "system"]]
    hours = spectra.keys["exposure_h"].to_numpy()
    with np.errstate(divide="ignore"):
        lg = np.log10(modulus_ohm_cm2)
    good = np.isfinite(lg) & np.isfinite(hours)
    table = pd.DataFrame(
        {
            "panel": panel[good],
            "spot": spectra.place[good],
            "hours": hours[good],
            "lg": lg[good],
            "limit": at_limit[good],
        }
    )
    by_exposure = table.groupby(["panel", "hours"], sort=True, as_index=False)
    means = by_exposure.agg({"lg": "mean", "limit": "any"})
    of_spots = table.groupby(["panel", "spot", "hours"], sort=True, as_index=False)["lg"].mean()
    return PanelCourses(
        keys,
        batches.reset_index(drop=True),
        means["panel"].to_numpy(dtype=np.int64),
        batch,
        means["hours"].to_numpy(dtype=np.float64),
        means["lg"].to_numpy(dtype=np.float64),
        means["limit"].to_numpy(dtype=np.bool_),
        SpotCourses(
            of_spots["panel"].to_numpy(dtype=np.int64),
            of_spots["spot"].to_numpy(dtype=np.int64),
            of_spots["hours"].to_numpy(dtype=np.float64),
            of_spots["lg"].to_numpy(dtype=np.float64),
        ),
        _panel_flags(spectra, panel, len(keys), good),
    )


def _panel_flags(spectra: Spectra, panel: Integers, panels: int, used: Bools) -> Texts:
    count = np.bincount(panel[used], minlength=panels)
    failed = np.array(["Kramers-Kronig" in text for text in spectra.flags], dtype=bool)
    bad = np.bincount(panel[used & failed], minlength=panels)
    place = pd.DataFrame({"panel": panel[used], "hours": spectra.keys["exposure_h"][used]})
    place["spot"] = spectra.keys["spot"][used]
    spots = place.drop_duplicates().groupby(["panel", "hours"]).size().groupby("panel")
    uneven = np.zeros(panels, dtype=bool)
    differing = spots.nunique()
    uneven[differing.index.to_numpy(dtype=np.int64)] = differing.to_numpy() > 1
    return texts(
        [
            "; ".join(
                text
                for holds, text in (
                    (b, f"{b} of {n} spectra: fails the Kramers-Kronig test"),
                    (u, "not the same number of spots at every exposure"),
                )
                if holds
            )
            for b, n, u in zip(bad, count, uneven, strict=True)
        ]
    )


def exposures_together(group: Integers, hours: Floats) -> Integers:
    """Return a number for each row, equal where group and exposure are the same.

    Exposures of a group count as one as long as each lies within 2 % or three minutes of the one
    before, so that panels measured one after the other share theirs.

    Examples
    --------
    >>> exposures_together(np.array([0, 0, 0, 1]), np.array([24.0, 1.0, 24.3, 24.0])).tolist()
    [1, 0, 1, 2]
    """
    order = np.lexsort((hours, group))
    of, at = group[order], hours[order]
    apart = np.diff(at, prepend=-np.inf) > np.maximum(NEAR_H, NEAR * np.abs(at))
    new = apart | (np.diff(of, prepend=-1) != 0)
    found = np.empty(len(hours), dtype=np.int64)
    found[order] = np.cumsum(new) - 1
    return found
